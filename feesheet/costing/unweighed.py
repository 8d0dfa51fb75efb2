"""Alloy billed without a weight: the grams that its amount would buy on the day, shown as estimated and used in no fee."""

from __future__ import annotations

import numpy as np
import pandas as pd

from feesheet.costing.meaning import ALLOY
from feesheet.costing.metal import estimated_g
from feesheet.costing.places import day_places
from feesheet.costing.roster import Roster, numbers_of
from feesheet.formula.model import Block, Model


def without_weight(parts: pd.DataFrame) -> pd.Series:
    """Whether each part is of an alloy line that has an amount and names its alloy, but no weight."""
    bare = (parts["treatment"] == ALLOY) & parts["weight"].isna() & (parts["amount"].fillna(0.0) != 0)
    return bare & ~parts["copy"] & (parts["alloy_used"] != "")


def add_unweighed(model: Model, who: Roster, parts: pd.DataFrame, days: pd.DataFrame) -> None:
    """Add the block where there are such lines: one row a part."""
    rows = parts[without_weight(parts)].astype({"date": "datetime64[s]"})
    if rows.empty:
        return
    block = Block(
        "unweighed",
        "Alloy lines",
        "Alloy billed without a weight",
        len(rows),
        "Estimated from the amount, the metal's value on the day and the alloy's premium; used in no fee.",
        label=("line_no",),
    )
    block.counter(
        "line_no", "Line no.", list(np.flatnonzero(without_weight(parts)) + 1), "Row in the invoice lines."
    )
    alloy_no = numbers_of(rows["alloy_used"], who.alloys)
    block.counter("alloy_no", "Alloy no.", alloy_no, "Row in the Alloys table.")
    day_no = numbers_of(zip(rows["alloy_used"], rows["date"], strict=True), day_places(days))
    block.counter("day_no", "Value no.", day_no, "Row in the alloy values by day.")
    block.given("alloy", "Alloy", list(rows["alloy_used"]))
    block.given("date", "Date", list(rows["date"]), "date")
    block.fetch("part_amount", "Amount", "money", "lines.part_amount", "line_no")
    block.fetch("day_value_per_g", "Metal value per g", "money_per_g", "days.day_value_per_g", "day_no")
    block.fetch("alloy_premium", "Alloy premium", "fraction", "alloys.alloy_premium", "alloy_no")
    block.worked(estimated_g)
    model.add(block)
