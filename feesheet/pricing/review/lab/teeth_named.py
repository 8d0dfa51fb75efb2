"""Unit fees for more units than the teeth that the line names."""

from __future__ import annotations

import re

import numpy as np
import pandas as pd

from feesheet.costing.meaning import UNIT
from feesheet.costing.roster import Roster, numbers_of
from feesheet.formula.model import Model, figure
from feesheet.formula.numbers import Numbers
from feesheet.formula.operations import larger, ratio
from feesheet.formula.tree import Traced
from feesheet.phrases import concepts
from feesheet.practice import Practice
from feesheet.pricing.review.findings import Finding
from feesheet.pricing.review.lab import line_sums, price_list
from feesheet.pricing.review.lab.letters import counted, money_words
from feesheet.pricing.review.lab.line_tests import (
    amount_columns,
    back_words,
    findings,
    tested_block,
    units_words,
    were,
    where,
)
from feesheet.pricing.review.lab.no_metal import IMPLANT
from feesheet.pricing.review.lab.twice import billed_again

TEST = "tooth_tests"
KIND = "units over teeth"


@figure("Units over teeth", "units")
def units_over(units: Traced, teeth_count: Traced) -> Traced:
    """The units beyond the teeth that the line names. Unit: units."""
    return larger(0, units - teeth_count)


@figure("Price of a unit", "money")
def unit_as_due(amount: Traced, wrong_sum: Traced, over_list: Traced, units: Traced) -> Traced:
    """What is left for one unit when a wrong sum and what is above the price list are asked back by their own tests. Unit: money a unit."""
    return ratio(amount - wrong_sum - over_list, units, 0)


@figure("Money", "money")
def units_money(units_over: Traced, unit_as_due: Traced, back_left: Traced) -> Traced:
    """What was charged for the units over, less what came back. Unit: money."""
    return larger(0, units_over * unit_as_due + back_left)


def add(model: Model, practice: Practice, who: Roster, parts: pd.DataFrame) -> None:
    """Add the unit fees of the period with more units than teeth."""
    line_sums.add(model, practice, who, parts)
    if price_list.TEST not in model.blocks:
        price_list.add(model, practice, who, parts)
    rows = _rows(parts, billed_again(model, practice, who, parts))
    block = tested_block(
        TEST,
        "Units over the teeth named",
        rows,
        "Unit fees of a known material that name their teeth; a span such as 14-16 is three. Work on implants may have several parts a tooth and is left out.",
    )
    block.counter("teeth_count", "Teeth named", _count(rows).to_numpy(), "Teeth of the line.")
    block.fetch("units", "Units", "units", "lines.units", "line_no", meaning="Units of the line.")
    amount_columns(block)
    line_sums.wrong_sum_columns(model, block, list(rows["line_no"]))
    listed = model.blocks[price_list.TEST].columns["line_no"].values
    numbers = numbers_of(rows["line_no"], [] if listed is None else list(listed))
    block.counter("list_no", "List no.", numbers, "Row in units against the price list; 0: none.")
    block.fetch("over_list", "Over the list", "money", f"{price_list.TEST}.money", "list_no", 0)
    block.worked(units_over)
    block.worked(unit_as_due)
    block.worked(line_sums.back_left)
    block.worked(units_money, name="money")
    model.add(block)


def found(
    model: Model, practice: Practice, who: Roster, parts: pd.DataFrame, numbers: Numbers
) -> list[Finding]:
    """Lines that charge more units than they name teeth."""
    teeth, over, back = (numbers.of(TEST, name) for name in ("teeth_count", "units_over", "back_left"))

    def says(row: int, line: pd.Series, money: float) -> str:
        return (
            f"{where(line)}: {units_words(line)} {were(line['units'])} billed for {counted(teeth[row], 'tooth', 'teeth')}."
            f"{back_words(practice, float(back[row]))} Please credit {money_words(practice, money)}, "
            f"or tell us what the {counted(over[row], 'unit')} more {were(over[row])} for."
        )

    return findings(KIND, TEST, model, practice, parts, numbers, says)


def _count(lines: pd.DataFrame) -> pd.Series:
    """How many teeth each line names."""
    return lines["whole_teeth"].astype(str).str.split().str.len().astype(int)


def _rows(parts: pd.DataFrame, again: set[int]) -> pd.DataFrame:
    """The lines that charge more units than teeth; one that names a tooth twice may be for two patients."""
    lines = parts.assign(line_no=np.arange(1, len(parts) + 1))
    implants = set(lines.loc[lines["role"].astype(str).str.contains(IMPLANT), "line"])
    lines = lines.drop_duplicates("line")
    lines = lines[(lines["treatment"] == UNIT) & lines["in_window"] & ~lines["copy"] & (lines["amount"] > 0)]
    lines = lines[(lines["material"] != "") & ~lines["no_crown"].astype(bool) & ~lines["primary"]]
    lines = lines[(lines["whole_teeth"] != "") & ~lines["line"].isin(implants | again)]
    lines = lines[lines["units"] > _count(lines)]
    plainly = [not _on_implants(words) for words in lines["product"].astype(str)]
    once = [not _named_twice(words) for words in lines["teeth"].astype(str)]
    return lines[np.array(plainly, dtype=bool) & np.array(once, dtype=bool)].reset_index(drop=True)


def _on_implants(words: str) -> bool:
    """Whether a product's words name an implant."""
    return IMPLANT in concepts(words, "support")


def _named_twice(words: str) -> bool:
    """Whether a number stands twice among the teeth.

    >>> _named_twice("16, 26, 16"), _named_twice("14-16")
    (True, False)
    """
    numbers = re.findall(r"\d+", words)
    return len(set(numbers)) < len(numbers)
