"""Discounts and credits, each given to the lines that it is for: what was taken back is not asked for again.

A credit is for positive lines of the same lab and case up to its day; without a case for those of the same teeth on
its own invoice. One of the very same amount as a line is for that line, the latest of several; any other is shared
by the units' amounts. What stands on a whole invoice, without teeth and case, is for no line.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from feesheet.costing.case_blocks import credited_part
from feesheet.costing.meaning import ALLOY, COST, TAX, UNIT
from feesheet.formula.model import Block, Model

SHEET = "Lab tests"
"""The sheet of all tests that hold lines against something."""

NOTHING = 1e-6
"""Money under any currency's smallest coin."""
_CHARGES = (UNIT, COST, ALLOY)
_CREDITS = ("discount", "credit", "remake credit")
SURCHARGE = "alloy surcharge"


def add_paid_back(model: Model, parts: pd.DataFrame) -> None:
    """Add the block of credits with the lines that they are for, once."""
    if "line_credits" in model.blocks:
        return
    rows = credits_of_lines(parts)
    block = Block(
        "line_credits",
        SHEET,
        "Discounts and credits by line",
        len(rows),
        "Those of a line's case, or of its teeth on its invoice: they count against what is asked back. Rebates on a whole invoice do not.",
        label=("lab", "invoice"),
    )
    for name, heading in (("for_line_no", "For line no."), ("credit_line_no", "Credit line no.")):
        block.counter(name, heading, rows[name].to_numpy(), "Row in the invoice lines.")
    told = parts.iloc[rows["credit_line_no"].to_numpy() - 1]
    block.given("lab", "Lab", pd.Categorical(told["lab"].astype(str)))
    block.given("invoice", "Invoice", pd.Categorical(told["invoice"].astype(str)), "code")
    block.given("date", "Date", list(told["date"]), "date")
    block.fetch("credit_amount", "Amount", "money", "lines.amount", "credit_line_no")
    block.given("credit_share", "Share of it", rows["credit_share"].to_numpy(), "exact")
    block.worked(credited_part, name="paid_back", heading="Paid back")
    model.add(block)


def paid_back_column(block: Block) -> None:
    """What came back for a block's lines, as a column `paid_back` (nought or less)."""
    meaning = "Discounts and credits of the line; nought or less."
    block.total(
        "paid_back", "Paid back", "money", "line_credits.paid_back", "line_credits.for_line_no", "line_no",
        meaning=meaning,
    )  # fmt: skip


def credits_of_lines(parts: pd.DataFrame) -> pd.DataFrame:
    """One row for each credit and line that it is for: `for_line_no`, `credit_line_no` and `credit_share`, its share."""
    lines = parts.assign(line_no=np.arange(1, len(parts) + 1)).drop_duplicates("line")
    lines = lines[~lines["copy"] & (lines["treatment"] != TAX) & lines["amount"].notna()]
    charged = lines["treatment"].isin(_CHARGES) | (lines["kind"] == SURCHARGE)
    given = lines[
        (lines["amount"] < 0) & (charged | lines["kind"].isin(_CREDITS)) & (lines["returned"] == "")
    ]
    pairs = _pairs(given, lines[(lines["amount"] > 0) & charged])
    pairs["exact"] = (pairs["amount"] + pairs["credit"]).abs() <= NOTHING
    pairs["unit"] = pairs["treatment"] == UNIT
    for preferred in ("exact", "unit"):
        any_so = pairs.groupby("credit_line_no")[preferred].transform("any").astype(bool)
        pairs = pairs[pairs[preferred].astype(bool) | ~any_so]
    pairs = pairs[~pairs["exact"] | ~pairs.duplicated("credit_line_no", keep="last")]
    pairs["credit_share"] = pairs["amount"] / pairs.groupby("credit_line_no")["amount"].transform("sum")
    return pairs[["for_line_no", "credit_line_no", "credit_share"]].reset_index(drop=True)


def _pairs(given: pd.DataFrame, charged: pd.DataFrame) -> pd.DataFrame:
    """Each credit beside every line that it may be for, in the order of the lines' days."""
    facts = ["line_no", "date", "amount", "treatment"]
    credit = given[[*facts, "case_no", "invoice_no", "whole_teeth"]].rename(
        columns={"line_no": "credit_line_no", "date": "day", "amount": "credit", "treatment": "how"}
    )
    lines = charged[[*facts, "case_no", "invoice_no", "whole_teeth"]].rename(
        columns={"line_no": "for_line_no"}
    )
    by_case = credit[credit["case_no"] > 0].merge(lines, on="case_no", suffixes=("", "_of_line"))
    by_teeth = credit[credit["whole_teeth"] != ""].merge(
        lines, on=["invoice_no", "whole_teeth"], suffixes=("", "_of_line")
    )
    either = (by_teeth["case_no"] == 0) | (by_teeth["case_no_of_line"] == 0)
    pairs = pd.concat([by_case, by_teeth[either]])
    pairs = pairs[
        (pairs["date"] <= pairs["day"]) & ((pairs["how"] == ALLOY) <= (pairs["treatment"] == ALLOY))
    ]
    return pairs.sort_values(["date", "for_line_no"], kind="stable")
