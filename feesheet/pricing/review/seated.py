"""Work that was seated, row by row: what it brought, and the rows that no item of the fee schedule can take."""

from __future__ import annotations

from bisect import bisect_right

import numpy as np
import pandas as pd

from feesheet.costing.roster import Roster, words
from feesheet.formula.model import Block, figure
from feesheet.formula.operations import known, smaller, when
from feesheet.formula.tree import Traced
from feesheet.practice import Practice
from feesheet.pricing.review.period import Period
from feesheet.schema import plain

FULL_FEE_NO = 1
"""The number of the payer who pays the full fee; the plans follow in their own order."""

NO_CODE = "no such code at this site"
NO_PLAN = "plan not among the plans"
NO_FEE = "money not typed, and no fee known"


@figure("Paid of the fee", "money")
def paid_fee(current_fee: Traced, allowed: Traced) -> Traced:
    """What the payer pays of the fee: a plan the fee or its allowed amount, whichever is less. Unit: money a unit.

    >>> paid_fee(1400.0, 980.0)
    980.0
    """
    return when(known(allowed), smaller(current_fee, allowed), current_fee)


@figure("Promised a unit", "money")
def promised_unit(paid_fee: Traced, kept_of_fee: Traced) -> Traced:
    """What should come in for one unit after the share that is not collected and card costs. Unit: money a unit."""
    return paid_fee * kept_of_fee


@figure("Money", "money")
def seated_money(received: Traced, units: Traced, promised_unit: Traced) -> Traced:
    """What came in for the row, as typed; where nothing is typed, what plan and fee promise. Unit: money."""
    return when(known(received), received, units * promised_unit)


@figure("Not typed", "whole")
def not_typed(received: Traced) -> Traced:
    """1 if nothing is typed as received."""
    return 1 - known(received)


@figure("Left out", "whole")
def left_out(earned_no: Traced) -> Traced:
    """1 if the row is in no figure of what was earned."""
    return earned_no < 1


@figure("Money left out", "money")
def money_left_out(money: Traced, left_out: Traced, in_now: Traced) -> Traced:
    """The row's money, if it is of the period and in no figure of what was earned. Unit: money."""
    return money * left_out * in_now


@figure("Units left out", "units")
def units_left_out(units: Traced, left_out: Traced, in_now: Traced) -> Traced:
    """The row's units, if it is of the period and in no figure of what was earned."""
    return units * left_out * in_now


def payers(practice: Practice, full_fee: str) -> list[str]:
    """Who pays: the full fee first, then the plans."""
    return [full_fee, *words(practice.tables["plans"]["plan"])]


def seated_rows(practice: Practice, who: Roster, now: Period, then: Period | None) -> pd.DataFrame:
    """The rows of the two periods, as typed, and who and what each is.

    Beside the table's columns: `position` in the table, `in_now` and `in_then`, `item` (0: none), `payer` (0: none),
    `person` (the dentist), `allowed` on the day it was seated (NaN: the full fee) and `why` a row is left out ("" if not).
    """
    table = practice.tables["seated"]
    rows = table.assign(position=np.arange(len(table)), in_now=now.holds(table["seated_on"]))
    rows["in_then"] = then.holds(table["seated_on"]) if then else False
    rows = rows[rows["in_now"] | rows["in_then"]].reset_index(drop=True)
    items = {
        (str(code), plain(site)): number
        for number, (code, site) in enumerate(zip(who.items["code"], who.items["site"], strict=True), start=1)
    }
    rows["item"] = [
        items.get((code, plain(site)), 0)
        for code, site in zip(words(rows["code"]), words(rows["site"]), strict=True)
    ]
    numbers = {plain(name): number for number, name in enumerate(payers(practice, ""), FULL_FEE_NO)}
    rows["payer"] = [numbers.get(plain(plan), 0) for plan in words(rows["plan"])]
    spelled: dict[str, str] = {}
    rows["person"] = [spelled.setdefault(plain(name), name) for name in words(rows["dentist"])]
    rows["allowed"] = _allowed_on_the_day(practice, rows)
    fees = np.append(who.items["current_fee"].to_numpy(dtype=float), 0.0)[rows["item"].to_numpy(int) - 1]
    rows["why"] = np.select(
        [rows["item"] == 0, rows["payer"] == 0, rows["received"].isna() & (fees <= 0)],
        [NO_CODE, NO_PLAN, NO_FEE],
        "",
    )
    return rows


def _allowed_on_the_day(practice: Practice, rows: pd.DataFrame) -> list[float]:
    """What each row's plan allowed for its code on the day of service; NaN where it allowed none."""
    table = practice.tables["plan_fees"]
    began = table["allowed_from"].fillna(pd.Timestamp("1900-01-01"))
    amounts: dict[tuple[str, str], tuple[list[pd.Timestamp], list[float]]] = {}
    for place in np.argsort(began.to_numpy(), kind="stable"):
        key = (plain(table["plan"].iloc[place]), str(table["code"].iloc[place]))
        days, allowed = amounts.setdefault(key, ([], []))
        days.append(began.iloc[place])
        allowed.append(float(table["allowed"].iloc[place]))
    found = []
    for plan, code, day in zip(words(rows["plan"]), words(rows["code"]), rows["seated_on"], strict=True):
        days, allowed = amounts.get((plain(plan), code), ([], []))
        held = bisect_right(days, day)
        found.append(allowed[held - 1] if held else float("nan"))
    return found


def seated_block(practice: Practice, rows: pd.DataFrame, earned_no: list[int]) -> Block:
    """The rows with the figures that each is worth; `earned_no` is the row of what was earned, 0 where it is left out."""
    others = len(practice.tables["seated"]) - len(rows)
    blank = (
        f"{others} row(s) of other days are not here. "
        * (others > 0)
        + "What is not typed as received counts what plan and fee promise. Received is taken as typed, card costs "
        "are not taken off. Patients' names and case numbers are left away."
    )
    block = Block("seated", "Work seated", "Work seated", len(rows), blank, label=("code", "site"))
    _typed_columns(block, practice, rows)
    for name, heading, values, meaning in (
        ("item_no", "Item no.", rows["item"].to_numpy(int), "Row in the cost build-up; 0: none."),
        ("earned_no", "Earned no.", earned_no, "Row in what was earned; 0: left out."),
        ("in_now", "In the period", rows["in_now"].to_numpy(int), "1 for yes, 0 for no."),
        ("in_then", "In the period then", rows["in_then"].to_numpy(int), "1 for yes, 0 for no."),
    ):
        block.counter(name, heading, values, meaning)
    for name, heading, unit, source in (
        ("current_fee", "Current fee", "fee", "fee_rules.current_fee"),
        ("kept_of_fee", "Kept of a fee", "fraction", "plan_items.kept_of_fee"),
    ):
        block.fetch(name, heading, unit, source, "item_no", 0)
    for function in (paid_fee, promised_unit):
        block.worked(function)
    block.worked(seated_money, name="money")
    for function in (not_typed, left_out, money_left_out, units_left_out):
        block.worked(function)
    return block


def _typed_columns(block: Block, practice: Practice, rows: pd.DataFrame) -> None:
    """What the rows say, and where they stand."""
    sources = [practice.sources[int(source)] for source in rows["source"]]
    block.given("file", "File", pd.Categorical([source.file for source in sources]), width=24)
    block.given("sheet", "Sheet", pd.Categorical([source.sheet for source in sources]))
    block.given("row", "Row", rows["row"].to_numpy(), "whole", counter=True)
    block.given("seated_on", "Seated on", rows["seated_on"].to_numpy(), "date")
    block.given("code", "Code", list(words(rows["code"])), "code")
    block.given("site", "Site", list(words(rows["site"])))
    block.given("plan", "Plan", list(words(rows["plan"])))
    if rows["person"].any():
        block.given("dentist", "Dentist", list(rows["person"]))
    block.given("why", "Left out because", list(rows["why"]), width=30)
    block.given("units", "Units", rows["units"].to_numpy(float), "units")
    block.given(
        "received", "Received", rows["received"].to_numpy(float), "money", meaning="Blank: not typed."
    )
    meaning = "What the plan allowed on the day of service; blank: the full fee."
    block.given("allowed", "Allowed that day", rows["allowed"].to_numpy(float), "money", meaning=meaning)
