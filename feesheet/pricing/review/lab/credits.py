"""What the labs still owe: remakes that were charged and deposits that were paid, as far as no credit has come."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from feesheet.costing.lab_prices import quote_rows
from feesheet.costing.roster import Roster
from feesheet.formula.model import Block, Model, figure
from feesheet.formula.numbers import Numbers
from feesheet.formula.tree import Traced
from feesheet.practice import Practice
from feesheet.pricing.review.findings import TO_SETTLE, Finding
from feesheet.pricing.review.lab.alloy_rows import terms_of
from feesheet.pricing.review.lab.letters import counted, money_words, percent_words
from feesheet.pricing.review.lab.line_tests import converted_words, finding, units_words, were, where
from feesheet.pricing.review.lab.paid_back import SHEET
from feesheet.schema import plain

TEST = "claim_tests"
OF_LAB, OF_PRACTICE, NOT_SETTLED = "lab", "practice", "not settled"
"""On whose side the cause of a remake lies."""
_REMAKE = "remake"
_ASKED = "Please tell us which part is ours and credit the rest."


@figure("Money", "money")
def claim_money(still_open: Traced, own_cause: Traced) -> Traced:
    """What is still to come back; nothing where the cause was the practice's own. Unit: money."""
    return still_open * (1 - own_cause)


def add(model: Model, practice: Practice, who: Roster, parts: pd.DataFrame) -> None:
    """Add the claims with the cause of each."""
    claims = model.blocks["claims"]
    lines = _lines(model, parts)
    block = Block(TEST, SHEET, "What is still to be credited", claims.rows, "Each remake and return deposit with its cause.",
                  label=("lab", "invoice"))  # fmt: skip
    block.counter(
        "claim_no", "Claim no.", list(range(1, claims.rows + 1)), "Row in the remakes and return deposits."
    )
    block.counter("line_no", "Line no.", line_numbers(model), "Row in the invoice lines.")
    block.given("lab", "Lab", pd.Categorical(lines["lab"].astype(str)))
    block.given("invoice", "Invoice", pd.Categorical(lines["invoice"].astype(str)), "code")
    block.given("what", "What", claims.labels("claim"))
    block.given("cause", "Cause", causes(lines))
    own = [int(cause == OF_PRACTICE) for cause in block.labels("cause")]
    block.counter("own_cause", "The practice's own", own, "1 for yes, 0 for no.")
    block.fetch("still_open", "Charged and not credited", "money", "claims.open_amount", "claim_no")
    block.worked(claim_money, name="money")
    model.add(block)


def found(
    model: Model, practice: Practice, who: Roster, parts: pd.DataFrame, numbers: Numbers
) -> list[Finding]:
    """A finding for each claim that is open and not of the practice's own making."""
    lines, what, cause = _lines(model, parts), numbers.of(TEST, "what"), numbers.of(TEST, "cause")
    prices = _prices(model, practice, who, numbers)
    least = float(model.settings["money_tolerance"].value)
    made, terms = [], terms_of(practice)
    for row, (due, charged) in enumerate(
        zip(numbers.of(TEST, "money"), numbers.of("claims", "charged"), strict=True)
    ):
        if due <= least:
            continue
        line = lines.iloc[row]
        if what[row] == _REMAKE:
            words = _remake_words(
                practice, line, str(cause[row]), float(charged), float(due), _reckoned(practice, line, prices)
            )
        else:
            words = _deposit_words(practice, line, float(charged), float(due))
        words += converted_words(practice, line)
        of_remake = "remake of the lab's" if cause[row] == OF_LAB else TO_SETTLE
        kind = of_remake if what[row] == _REMAKE else "credit open"
        made.append(finding(kind, terms, line, (int(line["line"]),), (TEST, row + 1), float(due), words))
    return made


def causes(lines: pd.DataFrame) -> list[str]:
    """On whose side the cause of each remake lies; a blank is not settled."""
    return [str(cause) or NOT_SETTLED for cause in lines["remake_cause"].astype(object)]


def _lines(model: Model, parts: pd.DataFrame) -> pd.DataFrame:
    """The first part of each claim's line."""
    return parts.iloc[line_numbers(model) - 1]


def line_numbers(model: Model) -> np.ndarray[Any, Any]:
    """The row of each claim in the invoice lines."""
    return np.asarray(model.blocks["claims"].columns["claim_line_no"].values, dtype=int)


def _prices(model: Model, practice: Practice, who: Roster, numbers: Numbers) -> dict[tuple[str, str], float]:
    """The list price of each lab and material."""
    quotes = quote_rows(practice, who)
    labs = quotes["lab"].map(plain)
    return dict(
        zip(zip(labs, quotes["material"], strict=True), numbers.of("lab_prices", "quoted_price"), strict=True)
    )


def _reckoned(
    practice: Practice, line: pd.Series, prices: dict[tuple[str, str], float]
) -> tuple[float, float] | None:
    """The share of its price that the practice reckons with for a remake, and what that comes to; None without a price."""
    price = prices.get((plain(str(line["lab"])), str(line["material"])), 0.0)
    materials = practice.tables["materials"]
    shares = {plain(str(material)): float(share)
              for material, share in zip(materials["material"], materials["lab_share_on_remake"], strict=True)}  # fmt: skip
    share = shares.get(plain(str(line["material"])), np.nan)
    return None if not price or np.isnan(share) else (share, share * price * float(line["units"]))


def _remake_words(
    practice: Practice,
    line: pd.Series,
    cause: str,
    charged: float,
    due: float,
    reckoned: tuple[float, float] | None,
) -> str:
    """The remake, what the practice reckons with for one, and what is asked."""
    units = float(line["units"])
    made = units_words(line) if line["material"] else counted(units, "unit")
    in_all = "" if units == 1 else " in all"
    words = f"{where(line)}: {made} {were(units)} made again and charged at {money_words(practice, charged)}{in_all}"
    back = charged - due
    came = f"only {money_words(practice, back)} of it has come back" if back > 0 else ""
    if cause == OF_LAB:
        came = f"; {came}" if came else ""
        return f"{words}{came}. The cause was on your side; please credit {money_words(practice, due)}."
    them = "it" if units == 1 else "them"
    words += f"; {came or 'no credit has come for ' + them}."
    return words + (_share_words(practice, charged, *reckoned) if reckoned else f" {_ASKED}")


def _share_words(practice: Practice, charged: float, share: float, most: float) -> str:
    """What the practice reckons with for a remake, and what it asks of a charge above that, or within it."""
    of_list, here = f"{percent_words(share)} of the list price", money_words(practice, most)
    if round(charged - most, 2) > 0:
        return f" We reckon with {of_list} for a remake, here {here}. {_ASKED}"
    return (
        f" That is within the {of_list} that we reckon with for a remake, here {here}. "
        "Please tell us on whose side the cause was, and credit it if it was on yours."
    )


def _deposit_words(practice: Practice, line: pd.Series, charged: float, due: float) -> str:
    """The deposit and what is asked."""
    paid, asked = money_words(practice, charged), money_words(practice, due)
    came = (
        "it has not come back"
        if due >= charged
        else f"only {money_words(practice, charged - due)} of it has come back"
    )
    return (
        f"{where(line)}: a return deposit of {paid} was paid and {came}. "
        f"Please return {asked}, or tell us what you are waiting for."
    )
