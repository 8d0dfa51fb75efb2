"""The weight of alloy in a lab's description, with the price and the amount that stand beside it."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from feesheet import reference
from feesheet.number_words import decimal_of, taken_apart, value
from feesheet.phrases import LONGEST

GRAINS_IN_PENNYWEIGHT = 24
"""NIST Handbook 44, Appendix C, General Tables of Units of Measurement."""

_NUMBER = r"\d+(?:[.,]\d+)*|[.,]\d+"
_PENNY = r"dwts?|pwts?|pennyweights?"
_UNIT = (
    rf"{_PENNY}|troy\s?(?:oz|ounces?)|oz\.?\s?(?:tr?|troy)|ozt|oz|ounces?|gramm|grammes?|grammi|grams?|gramos?|grms?|gms?|gr|g"
    r"|grains?|grn|kg"
)
_MONEY = r"(?:[$€£¥]|(?-i:[A-Z]{3})\b)?"
_WEIGHT = re.compile(
    rf"(?<![\w.,/])(?P<sign>[-−–]?)(?P<weight>{_NUMBER})\s?(?P<unit>{_UNIT})\b\.?"
    rf"(?:\s?(?:and\s)?(?P<grains>{_NUMBER})\s?(?:gr|grains?|grn|gn)\b\.?)?"
    rf"(?:\s*(?:@|x|×|\*|à|a|at|je|au prix de|zu)\s*{_MONEY}\s?(?P<price>{_NUMBER})\s?{_MONEY}"
    rf"(?:\s?(?:/|per|je|pro|par|por|al)\s?(?P<per>{_UNIT})\b\.?)?)?"
    rf"(?:\s*=\s*{_MONEY}\s?(?P<amount>{_NUMBER})\s?{_MONEY})?",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class WeightFound:
    """A weight in its own unit, the price of one such unit and the amount of both, NaN where not written."""

    weight: float
    unit: str
    price_per_unit: float = math.nan
    amount: float = math.nan


def weight_in(text: str, decimal: str = ".") -> WeightFound | None:
    """The weight that a description states, None where it states none or several. Grains join their pennyweights.

    `decimal` is the file's decimal mark. A figure that fits it not at all but the other mark alone is read with that.

    >>> weight_in("High noble alloy 2.1 dwt @ 150.00/dwt")
    WeightFound(weight=2.1, unit='dwt', price_per_unit=150.0, amount=nan)
    >>> weight_in("2 dwt 6 gr").weight, weight_in("3,2 g à 61,20", ",").price_per_unit
    (2.25, 61.2)
    """
    found = [match for match in _WEIGHT.finditer(text[:LONGEST]) if _stands_alone(text, match)]
    if len(found) != 1:
        return None
    match = found[0]
    weight, unit = _number(match["weight"], decimal), " ".join(match["unit"].lower().rstrip(".").split())
    if match["grains"]:
        weight += _number(match["grains"], decimal) / GRAINS_IN_PENNYWEIGHT
    if math.isnan(weight) or (match["grains"] and not re.fullmatch(_PENNY, unit)):
        return None
    price = _number(match["price"], decimal) * _units_in(unit, match["per"])
    return WeightFound(-weight if match["sign"] else weight, unit, price, _number(match["amount"], decimal))


def without_weight(text: str) -> str:
    """The description without its weights and the prices beside them."""
    return " ".join(_WEIGHT.sub(" ", text[:LONGEST]).split())


def _stands_alone(text: str, match: re.Match[str]) -> bool:
    """Whether the figures are a weight of their own, not the price "per 30 g" of another."""
    return not re.search(r"(?:/|per|je|pro|par)\s?$", text[: match.start()], re.IGNORECASE)


def _number(body: str | None, decimal: str) -> float:
    word = taken_apart(body) if body else None
    if word is None:
        return math.nan
    number = value(word, decimal)
    sure = decimal_of(word.body)
    number = value(word, sure) if number is None and sure else number
    return math.nan if number is None else number


def _units_in(unit: str, per: str | None) -> float:
    """How much of the price's unit is in one unit of the weight; NaN where either is not clear."""
    if per is None or per.lower().rstrip(".") == unit:
        return 1.0
    one, other = reference.grams_in(unit), reference.grams_in(per)
    return one / other if one and other else math.nan
