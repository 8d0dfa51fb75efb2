"""Discounts and credits, each given to the lines that it is for: what was taken back is not asked for again.

A credit is for positive lines of the same lab and case up to its day; without a case for those of the same teeth on
its own invoice. One of the very same amount as a line is for that line, the latest of several; any other is shared
by the units' amounts. One without a case that none of this explains is for a line of another invoice where lab, site, teeth
and the very amount are the same, `LONGEST_DAYS` before it at most: of the invoice whose number its own begins with
(A-1042 and A-1042-CN), else the latest before it; such a line is paid back once. What stands on a whole invoice, without
teeth and case, is for no line.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from feesheet.costing.case_blocks import credited_part
from feesheet.costing.cases import LONGEST_DAYS
from feesheet.costing.meaning import ALLOY, COST, TAX, UNIT
from feesheet.formula.model import Block, Model
from feesheet.pricing.review.lab.cases_of_lines import SURCHARGE, with_cases
from feesheet.schema import plain

SHEET = "Lab tests"
"""The sheet of all tests that hold lines against something."""

NOTHING = 1e-6
"""Money under any currency's smallest coin."""
_CHARGES = (UNIT, COST, ALLOY)
_CREDITS = ("discount", "credit", "remake credit")


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
        "Those of a line's case, of its teeth on its invoice, or of its teeth and amount on a later one: they count against what is "
        "asked back. Rebates on a whole invoice do not.",
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
    lines = with_cases(parts).assign(line_no=np.arange(1, len(parts) + 1)).drop_duplicates("line")
    lines = lines[~lines["copy"] & (lines["treatment"] != TAX) & lines["amount"].notna()]
    charged = lines["treatment"].isin(_CHARGES) | (lines["kind"] == SURCHARGE)
    given = lines[
        (lines["amount"] < 0) & (charged | lines["kind"].isin(_CREDITS)) & (lines["returned"] == "")
    ]
    charges = lines[(lines["amount"] > 0) & charged]
    pairs = _pairs(given, charges)
    pairs["exact"] = (pairs["amount"] + pairs["credit"]).abs() <= NOTHING
    pairs["unit"] = pairs["treatment"] == UNIT
    for preferred in ("exact", "unit"):
        any_so = pairs.groupby("credit_line_no")[preferred].transform("any").astype(bool)
        pairs = pairs[pairs[preferred].astype(bool) | ~any_so]
    pairs = pairs[~pairs["exact"] | ~pairs.duplicated("credit_line_no", keep="last")]
    pairs["credit_share"] = pairs["amount"] / pairs.groupby("credit_line_no")["amount"].transform("sum")
    loose = given[(given["case_no"] == 0) & ~given["line_no"].isin(pairs["credit_line_no"])]
    settled = set(pairs.loc[pairs["exact"], "for_line_no"])
    later = _of_other_invoices(loose, charges[~charges["line_no"].isin(settled)])
    columns = ["for_line_no", "credit_line_no", "credit_share"]
    return pd.concat([pairs[columns], later[columns]]).reset_index(drop=True)


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


def _of_other_invoices(given: pd.DataFrame, charged: pd.DataFrame) -> pd.DataFrame:
    """Credits with the one line of another invoice that each pays back whole: the likeliest that no other has paid back."""
    pairs = _equal_elsewhere(given, charged)
    lines: dict[int, int] = {}
    settled: set[int] = set()
    for credit, line in zip(pairs["line_no"], pairs["line_no_of_line"], strict=True):
        if credit not in lines and line not in settled:
            lines[credit] = line
            settled.add(line)
    columns = {"for_line_no": list(lines.values()), "credit_line_no": list(lines)}
    return pd.DataFrame(columns, dtype=np.int64).assign(credit_share=1.0)


def _equal_elsewhere(given: pd.DataFrame, charged: pd.DataFrame) -> pd.DataFrame:
    """Credits beside lines of earlier invoices with their lab, site, teeth and amount, each credit's likeliest line first."""
    facts = ["line_no", "date", "invoice", "invoice_no", "treatment"]
    same = ["lab_key", "site_key", "whole_teeth", "cents"]
    credit, lines = (
        frame.assign(
            lab_key=[plain(str(lab)) for lab in frame["lab"]],
            site_key=[plain(str(site)) for site in frame["site"]],
            cents=frame["amount"].abs().round(4),
        )[[*facts, *same]]
        for frame in (given[given["whole_teeth"] != ""], charged)
    )
    pairs = credit.merge(lines, on=same, suffixes=("", "_of_line"))
    days = (pairs["date"] - pairs["date_of_line"]).dt.days
    elsewhere = (pairs["invoice_no"] != pairs["invoice_no_of_line"]) & days.between(0, LONGEST_DAYS)
    pairs = pairs[elsewhere & ((pairs["treatment"] == ALLOY) <= (pairs["treatment_of_line"] == ALLOY))]
    numbers = zip(pairs["invoice"].astype(str), pairs["invoice_of_line"].astype(str), strict=True)
    pairs = pairs.assign(
        stem=[_stem(*both) for both in numbers], earlier=pairs["date_of_line"] < pairs["date"]
    )
    order = ["date", "line_no", "stem", "earlier", "date_of_line", "line_no_of_line"]
    return pairs.sort_values(order, ascending=[True, True, False, False, False, False])


def _stem(number: str, other: str) -> int:
    """How many signs of a credit's number are the other invoice's number and are followed by an ending; 0 where it has no such one.

    >>> _stem("A-1042-CN", "a-1042"), _stem("A-1042", "A-104"), _stem("A-1042", "A-1042")
    (6, 0, 0)
    """
    begins = other and number.casefold().startswith(other.casefold())
    return len(other) if begins and number[len(other) :] and not number[len(other)].isdigit() else 0
