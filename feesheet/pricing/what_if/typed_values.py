"""A value as a person types it: a new value, or with a sign and % a change."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from typing import Any

import pandas as pd

from feesheet import number_words, reference
from feesheet.practice import Practice
from feesheet.pricing.what_if.refusals import Refusal, quoted
from feesheet.pricing.what_if.subjects import Subject

_PER = re.compile(r"(.*?)\s*(?:/|\bper\b)\s*(.+)", re.IGNORECASE)
_SIGNED = re.compile(r"[-+\u2212\u2013\u2010\u2011]")


@dataclass(frozen=True)
class Value:
    """A new value, or with `by_share` a change as a share (0.4: 40 % more)."""

    number: float
    by_share: bool


def typed_value(text: str, subject: Subject, metal: str, practice: Practice) -> Value | Refusal:
    """What was typed after the "=": "4,500", "+40%", "145 per gram"; a price comes out in the unit of the metal's latest quote."""
    match = _PER.fullmatch(text.strip())
    number_text, unit = (match[1], match[2]) if match else (text.strip(), "")
    word = number_words.taken_apart(number_text)
    if word is None:
        return _no_number(text, subject)
    number = _number(word, number_text, str(practice.settings.get("currency") or ""))
    if isinstance(number, Refusal):
        return number
    signed = bool(_SIGNED.match(number_text)) or word.negative
    refused = _unclear_sense(number_text, number, signed, word.percent, subject)
    if refused:
        return refused
    by_share = signed and word.percent
    if not unit:
        return Value(number, by_share)
    if by_share or subject.driver != "metal":
        return Refusal(
            "unclear unit",
            "only a new price of a metal has a unit of weight.",
            'Leave out "per" and the unit.',
        )
    return _in_quoted_unit(number, unit, metal, practice)


def _no_number(text: str, subject: Subject) -> Refusal:
    what = f"{quoted(text.strip())} is not a number."
    example = "0.04 or 4%" if subject.sort == "share" else "4500"
    new = "" if subject.sort == "change" else f"a new value in digits, for example {example}, or "
    return Refusal("not a number", what, f"Type {new}a change in %, for example +10%.", "new_value")


def _number(word: number_words.NumberWord, text: str, currency: str) -> float | Refusal:
    """The number: before three digits a comma parts thousands, as everywhere in this program, and a point is asked about."""
    if word.currency:
        what = f"{quoted(text)} names a currency."
        return Refusal(
            "mixed currency", what, f"Type the number alone; all amounts are in {currency}.", "new_value"
        )
    mark = number_words.decimal_of(word.body)
    if not mark and "." in word.body:
        whole, _, rest = word.body.partition(".")
        do = f"Type {whole}{rest}, or {float(word.body):g}."
        return Refusal(
            "unclear number",
            f"{quoted(text)} can be {whole},{rest} or {float(word.body):g}.",
            do,
            "new_value",
        )
    number = number_words.value(word, mark or ".")
    if number is None:
        what = f"the thousands of {quoted(text)} are not in groups of three."
        return Refusal("unclear number", what, "Type the digits without marks for thousands.", "new_value")
    return number


def _unclear_sense(text: str, number: float, signed: bool, percent: bool, subject: Subject) -> Refusal | None:
    """Why it is not clear whether a new value or a change is meant; None where it is."""
    field = "new_value"
    if subject.sort == "change" and not (signed and percent):
        return Refusal(
            "unclear number", f"{subject.driver} take a change in %.", "Type it as +10% or -10%.", field
        )
    shown = f"{abs(number * 100 if percent else number):.10g}"
    if signed and not percent:
        change = f"{abs(number) * (100 if abs(number) < 1 else 1):.10g}%"
        if subject.sort == "price" and number < 0:
            do = (
                f"For a fall type -{change}."
                if abs(number) < 100
                else "For a fall type a share of it, such as -10%."
            )
            return Refusal("out of range", "a price can't be negative.", do, field)
        what = f"{quoted(text)} can be a change or a new value."
        new = change if subject.sort == "share" else shown
        return Refusal(
            "unclear number", what, f"For a change type {text[:1]}{change}; for a new value {new}.", field
        )
    if percent and not signed and subject.sort != "share":
        what = f"{quoted(text)} can be a change, or a part of what it is now."
        return Refusal("unclear number", what, f"For a change type +{shown}% or -{shown}%.", field)
    if subject.sort == "share" and not percent and number > 1:
        what = f"{quoted(text)} can be {shown} % or {number * 100:.10g} %."
        return Refusal("unclear number", what, f"For {shown} % type {shown}%.", field)
    return None


def latest_quote(metal: str, practice: Practice) -> pd.Series | None:
    """The metal's latest quote by the pricing date, None where there is none."""
    quotes, pricing = practice.tables["metal_prices"], practice.settings.get("pricing_date")
    known = quotes[
        (quotes["metal"].astype(object) == metal) & quotes["date"].notna() & quotes["price"].notna()
    ]
    if isinstance(pricing, date):
        known = known[known["date"] <= pd.Timestamp(pricing)]
    return None if known.empty else known.sort_values("date", kind="stable").iloc[-1]


def _in_quoted_unit(number: float, unit: str, metal: str, practice: Practice) -> Value | Refusal:
    grams, quote = reference.grams_in(unit), latest_quote(metal, practice)
    if grams is None:
        twofold = unit.lower().rstrip(".") in reference.UNCLEAR_UNITS
        what = f"{quoted(unit)} {'names two masses' if twofold else 'is no unit of mass that is known here'}."
        return Refusal(
            "unclear unit", what, "Type gram, pennyweight, troy ounce, kilogram, or 30 g.", "new_value"
        )
    quoted_unit: Any = "" if quote is None else quote["unit"]
    in_quote = reference.grams_in(str(quoted_unit))
    if in_quote is None:
        return Value(number, False)  # no quote, or none with a clear unit: refused for that reason
    return Value(number if in_quote == grams else number * in_quote / grams, False)
