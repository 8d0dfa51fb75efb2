"""Alloy premiums over time: what each lab took above the metal's value, alloy by alloy."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from feesheet.costing.meaning import window_start
from feesheet.formula.model import Block, figure
from feesheet.formula.operations import ratio
from feesheet.formula.tree import Traced
from feesheet.practice import Practice
from feesheet.pricing.review.lab.alloy_rows import TESTED
from feesheet.pricing.review.period import Period

SHORT_PERIOD = 6
"""Months up to which a period is shown month by month, a longer one in steps of three months (the costing rules of this program)."""
QUARTER = 3


@dataclass(frozen=True)
class Places:
    """The rows of the premiums over time: lab, alloy and first day of each, and the row (0: none) of every line."""

    names: list[tuple[str, str, pd.Timestamp]]
    numbers: list[int]


@figure("Premium", "fraction")
def premium_of_time(time_billed: Traced, time_worth: Traced) -> Traced:
    """What the lab took above the metal's value in that time. Unit: fraction of that value."""
    return ratio(time_billed, time_worth, 1) - 1


def history_places(practice: Practice, rows: pd.DataFrame) -> Places:
    """The rows of the tested lines, by lab, alloy and the month or three months of the period."""
    starts = _starts(practice)
    keys = [
        (str(lab), str(alloy), max(start for start in starts if start <= pd.Timestamp(day)))
        for lab, alloy, day in zip(rows["lab"], rows["alloy_used"], rows["date"], strict=True)
    ]
    tested = list(rows["outcome"] == TESTED)
    names = sorted({key for key, counts in zip(keys, tested, strict=True) if counts})
    places = {name: number for number, name in enumerate(names, start=1)}
    return Places(names, [places[key] if counts else 0 for key, counts in zip(keys, tested, strict=True)])


def _starts(practice: Practice) -> list[pd.Timestamp]:
    """The first day of each column: of the period itself, then of every month or three months of it."""
    last, months = practice.day("pricing_date"), int(practice.settings["invoice_months"])
    step = 1 if months <= SHORT_PERIOD else QUARTER
    whole = Period(last, months, window_start(practice).date())
    later = [Period(last, before) for before in range(months - step, 0, -step)]
    return [pd.Timestamp(period.first) for period in (whole, *later)]


def history_block(sheet: str, tests: str, names: list[tuple[str, str, pd.Timestamp]]) -> Block:
    """One row a lab, alloy and time: what was billed, what the metal was worth, and the premium."""
    block = Block(
        "premium_history",
        sheet,
        "Alloy premiums over time",
        len(names),
        "Premium: what was billed for a lab's lines of an alloy, over what their metal was worth on the invoice dates.",
        label=("time_lab", "time_alloy", "time_from"),
    )
    block.number()
    block.given("time_lab", "Lab", [lab for lab, _, _ in names])
    block.given("time_alloy", "Alloy", [alloy for _, alloy, _ in names], width=22)
    block.given("time_from", "From", [start for _, _, start in names], "date")
    block.count("time_lines", "Lines", f"{tests}.history_no", "no")
    for name, heading, unit, source in (
        ("time_grams", "Grams", "grams", "line_grams"),
        ("time_billed", "Billed", "money", "billed"),
        ("time_worth", "Metal value", "money", "metal_worth"),
    ):
        block.total(name, heading, unit, f"{tests}.{source}", f"{tests}.history_no", "no")
    block.worked(premium_of_time)
    return block
