"""Lines whose amount is more than their units times the unit price, or their weight times the price of it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pandas as pd

from feesheet import reference
from feesheet.costing.meaning import ALLOY, COST, REMAKE, UNIT
from feesheet.costing.roster import Roster, numbers_of
from feesheet.formula.model import Block, Model, figure
from feesheet.formula.numbers import Numbers
from feesheet.formula.operations import larger, smaller, when
from feesheet.formula.tree import Traced
from feesheet.practice import Practice
from feesheet.pricing.review.findings import Finding
from feesheet.pricing.review.lab.cases_of_lines import SURCHARGE
from feesheet.pricing.review.lab.letters import money_words
from feesheet.pricing.review.lab.line_tests import amount_columns, back_words, findings, tested_block, where
from feesheet.pricing.review.lab.paid_back import add_paid_back
from feesheet.pricing.review.lab.twice import billed_again

TEST = "sum_tests"
_TREATMENTS = (UNIT, COST, REMAKE, ALLOY)


@figure("Times × price", "money")
def sum_due(times: Traced, unit_price: Traced) -> Traced:
    """What the line's own figures come to. Unit: money."""
    return times * unit_price


@figure("Rounding", "money")
def sum_slack(times: Traced, rounding_slack: Traced, money_tolerance: Traced) -> Traced:
    """What rounding may make of it: a coin, or half a coin for each time that a rounded price is taken. Unit: money."""
    return larger(rounding_slack, times * money_tolerance)


@figure("More than that", "money")
def sum_over(amount: Traced, sum_due: Traced, sum_slack: Traced) -> Traced:
    """The amount less that sum, where it is more than rounding explains; an amount below it is no fault. Unit: money."""
    return when(amount - sum_due > sum_slack, amount - sum_due, 0)


@figure("Money", "money")
def sum_money(sum_over: Traced, paid_back: Traced) -> Traced:
    """What is asked back, less what came back already. Unit: money."""
    return when(sum_over > 0, sum_over + paid_back, 0)


@figure("Of it for the price", "money")
def back_left(wrong_sum: Traced, paid_back: Traced) -> Traced:
    """What came back beyond a wrong sum; nought or less. Unit: money."""
    return smaller(0, wrong_sum + paid_back)


def add(model: Model, practice: Practice, who: Roster, parts: pd.DataFrame) -> None:
    """Add the tested lines: those of the period with a unit price, and units or a weight that it is for."""
    if TEST in model.blocks:
        return
    add_paid_back(model, parts)
    rows = _rows(practice, parts, billed_again(model, practice, who, parts))
    block = tested_block(
        TEST,
        "Units times price",
        rows,
        "The amount is what was charged and stays in the costs. Alloy: the weight as billed, in grams or the units, whichever comes nearest.",
    )
    block.given(
        "times",
        "Times",
        rows["times"].to_numpy(),
        "number",
        meaning="Units, or the weight that the price is for.",
    )
    block.given(
        "unit_price", "Unit price", rows["unit_price"].to_numpy(), "money", meaning="As the line says it."
    )
    amount_columns(block)
    for function in (sum_due, sum_slack, sum_over):
        block.worked(function)
    block.worked(sum_money, name="money")
    model.add(block)


def found(
    model: Model, practice: Practice, who: Roster, parts: pd.DataFrame, numbers: Numbers
) -> list[Finding]:
    """Lines that are charged more than their own figures come to."""
    times, prices, due, back = (
        numbers.of(TEST, name) for name in ("times", "unit_price", "sum_due", "paid_back")
    )

    def says(row: int, line: pd.Series, money: float) -> str:
        words = [money_words(practice, amount) for amount in (prices[row], due[row], line["amount"], money)]
        return (
            f"{where(line)}: {times[row]:g} × {words[0]} is {words[1]}, but {words[2]} was charged."
            f"{back_words(practice, float(back[row]))} Please credit {words[3]}, or tell us what it is for."
        )

    return findings("units times price", TEST, model, practice, parts, numbers, says)


def wrong_sums(numbers: Numbers) -> dict[int, float]:
    """The wrong sums as issued, by their line's row in the invoice lines."""
    return dict(zip(numbers.of(TEST, "line_no"), numbers.of(TEST, "sum_over"), strict=True))


def wrong_sum_columns(model: Model, block: Block, line_no: Sequence[int]) -> None:
    """The wrong sum of a block's lines: its own test asks for it, and no other one again."""
    sums = model.blocks[TEST].columns["line_no"].values
    numbers = numbers_of(line_no, [] if sums is None else list(sums))
    block.counter("sum_no", "Sum no.", numbers, "Row in units times price; 0: no unit price.")
    block.fetch(
        "wrong_sum", "Wrong sum", "money", f"{TEST}.sum_over", "sum_no", 0, "More than units times price on the line."
    )  # fmt: skip


def _rows(practice: Practice, parts: pd.DataFrame, again: set[int]) -> pd.DataFrame:
    """The tested lines with `times`, what the unit price is multiplied by."""
    lines = parts.assign(line_no=np.arange(1, len(parts) + 1)).drop_duplicates("line")
    wanted = lines["treatment"].isin(_TREATMENTS) | (lines["kind"] == SURCHARGE)
    lines = lines[
        wanted & lines["in_window"] & ~lines["copy"] & (lines["amount"] > 0) & (lines["unit_price"] > 0)
    ]
    lines = lines[~lines["line"].isin(again)]
    typed = practice.tables["invoice_lines"]["units"].to_numpy()[lines["line"].to_numpy()]
    weights = lines["weight"].where(lines["treatment"] == ALLOY)
    in_unit = lines["weight_unit"].astype(str).map(reference.grams_in).astype(float)
    ways = np.column_stack([typed, weights, weights * in_unit])
    off = np.where(
        np.isnan(ways), np.inf, np.abs(ways * lines[["unit_price"]].to_numpy() - lines[["amount"]].to_numpy())
    )
    nearest = off.argmin(axis=1) if len(lines) else np.array([], dtype=int)
    lines = lines.assign(times=ways[np.arange(len(lines)), nearest])
    return lines[lines["times"] > 0].reset_index(drop=True)
