"""Cases whose work and invoice lie in different periods, or lack one another: the labs' cost by the day of seating."""

from __future__ import annotations

from typing import Any

import pandas as pd

from feesheet.costing.meaning import CONTROL
from feesheet.costing.roster import words
from feesheet.formula.model import Block, Model
from feesheet.formula.tree import Traced, figure_in
from feesheet.practice import Practice
from feesheet.pricing.review.cash_figures import moved
from feesheet.pricing.review.cash_labs import SHEET
from feesheet.pricing.review.period import Period
from feesheet.pricing.summary import sum_of
from feesheet.schema import plain

SEATED_LATER, SEATED_BEFORE = (
    "invoiced in the period, seated after it",
    "invoiced in the period, seated before it",
)
NOT_SEATED = "invoiced in the period, not among the work seated"
INVOICED_OUTSIDE = "seated in the period, invoiced outside it"
NO_INVOICE = "seated in the period, no invoice yet"
STATES = (SEATED_LATER, SEATED_BEFORE, NOT_SEATED, INVOICED_OUTSIDE, NO_INVOICE)
"""What may be between a case's invoice and its seating; the first three are charged in the period and not of its work."""


def case_numbers(parts: pd.DataFrame) -> pd.Series:
    """The case of each line part: its own, else the only one that its invoice names (freight, alloy); 0: none."""
    own = parts["case_no"].astype(int)
    named = own.where(own > 0).groupby(parts["invoice_no"])
    only = (named.transform("nunique") == 1) & (parts["invoice"].astype(str) != "")
    return own.where((own > 0) | ~only, named.transform("max").fillna(0).astype(int))


def cases(practice: Practice, parts: pd.DataFrame, now: Period) -> pd.DataFrame:
    """The cases that lie between two periods, one row each.

    `state`, `case_no` (of the lines; 0: none), `works` (positions in the work seated), `lab`, `invoice`, `invoiced_on`
    and `seated_on`. Cases of labs whose numbers no work names are left out.
    """
    lines = parts.assign(case_no=case_numbers(parts))
    lines = lines[(lines["case_no"] > 0) & ~lines["copy"] & (lines["treatment"] != CONTROL)]
    hashes = parts.loc[parts["case_no"] > 0].drop_duplicates("case_no").set_index("case_no")["case"]
    lines = lines.assign(hashed=lines["case_no"].map(hashes.astype(str)))
    work = practice.tables["seated"]
    work = work[(work["case"] != "").to_numpy()]
    of_case = dict(list(lines.groupby("hashed", sort=False)))
    found = [
        _seated(group, of_case.get(str(case), lines[:0]), now)
        for case, group in work.groupby(work["case"].astype(str), sort=False)
    ]
    named = {lab for row in found for lab in row["labs"]}
    linked = {row["case_no"] for row in found}
    of_named = lines["lab"].astype(str).map(plain).isin(named) & ~lines["case_no"].isin(linked)
    rest = lines[of_named & now.holds(lines["date"])]
    found += [_row(NOT_SEATED, group, []) for _, group in rest.groupby("case_no", sort=True)]
    table = pd.DataFrame([row for row in found if row["state"]], columns=list(_row("", lines[:0], [])))
    order = ["state", "invoiced_on", "seated_on"]
    return table.sort_values(order, key=_order, kind="stable").reset_index(drop=True)


def _order(column: pd.Series) -> pd.Series:
    return column.map(STATES.index) if column.name == "state" else column


def _seated(works: pd.DataFrame, lines: pd.DataFrame, now: Period) -> dict[str, Any]:
    """One case of the work seated, with the lines of its number at its own lab."""
    of_case = _of_one_lab(lines, works)
    seated = bool(now.holds(works["seated_on"]).any())
    invoiced = now.holds(of_case["date"])
    state = ""
    if seated and of_case.empty:
        state = NO_INVOICE
    elif seated and not invoiced.all():
        state = INVOICED_OUTSIDE
    elif not seated and invoiced.any():
        later = works["seated_on"].min() > pd.Timestamp(now.last)
        state = SEATED_LATER if later else SEATED_BEFORE
    return _row(state, of_case, list(works.index), works["seated_on"].min())


def _of_one_lab(lines: pd.DataFrame, works: pd.DataFrame) -> pd.DataFrame:
    """Of several labs' cases of one number, that of the work's own site, else that invoiced nearest to the seating."""
    if lines["case_no"].nunique() <= 1:
        return lines
    here = lines[lines["site"].astype(str).map(plain).isin({plain(site) for site in words(works["site"])})]
    lines = lines if here.empty else here
    nearest = (lines["date"] - works["seated_on"].min()).abs().idxmin()
    return lines[lines["case_no"] == lines.loc[nearest, "case_no"]]


def _row(state: str, lines: pd.DataFrame, works: list[int], seated_on: object = pd.NaT) -> dict[str, Any]:
    first = lines.sort_values("date", kind="stable").iloc[:1]
    return {
        "state": state,
        "case_no": int(first["case_no"].iloc[0]) if len(first) else 0,
        "works": works,
        "seated_on": seated_on,
        "lab": str(first["lab"].iloc[0]) if len(first) else "",
        "invoice": str(first["invoice"].iloc[0]) if len(first) else "",
        "invoiced_on": first["date"].iloc[0] if len(first) else pd.NaT,
        "labs": {plain(lab) for lab in words(first["lab"])},
    }


def mark_cases(model: Model, parts: pd.DataFrame, table: pd.DataFrame, now: Period) -> None:
    """Give the lines the number of their case in the table, and say which are charged on other days than the period's."""
    numbers = {int(case): row for row, case in enumerate(table["case_no"], start=1) if case}
    block = model.blocks["lines"]
    block.counter(
        "lag_no",
        "Case no. of the cash",
        [numbers.get(case, 0) for case in case_numbers(parts)],
        "Row in the cases between two periods; 0: none.",
    )
    other = ~now.holds(parts["date"]) & ~parts["copy"] & (parts["treatment"] != CONTROL)
    by_seating = _by_seating(parts, table, now).to_numpy().astype(int)
    for name, heading, values in (
        ("charge_outside", "Charge outside the period", other.to_numpy().astype(int)),
        ("by_seating", "Charge on work of the period", by_seating),
    ):
        block.counter(name, heading, values, "1 for yes, 0 for no.")


def lag_block(table: pd.DataFrame) -> Block:
    """One row a case: its invoice and its seating, and the money of each."""
    note = (
        "Accrual counts work by the day it was seated, invoices by their own. These cases are in the one and not in the "
        "other. Labs whose case numbers no work seated names are left out; case numbers are never shown."
    )
    block = Block(
        "seated_lag", SHEET, "Cases between two periods", len(table), note, label=("lag_state", "lag_invoice")
    )
    block.number()
    block.given("lag_state", "What is known", list(table["state"]), width=42)
    block.given("lag_lab", "Lab", list(table["lab"]))
    block.given("lag_invoice", "Invoice", list(table["invoice"]), "code")
    for name, heading in (("invoiced_on", "Invoiced on"), ("seated_on", "Seated on")):
        block.given(name, heading, pd.Series(table[name], dtype="datetime64[s]").to_numpy(), "date")
    kinds = [STATES.index(state) + 1 for state in table["state"]]
    block.counter("lag_kind_no", "Kind no.", kinds, "Row in the kinds of such cases.")
    for name, heading, flag in (
        ("lag_invoiced", "Invoiced in the period", "charge"),
        ("lag_other_days", "Invoiced outside it", "charge_outside"),
    ):
        block.total(name, heading, "money", "lines.part_amount", "lines.lag_no", "no", f"lines.{flag}")
    block.total(
        "lag_received", "Received for it", "money", "receipts.received_known", "receipts.lag_no", "no"
    )
    return block


def lag_kinds_block() -> Block:
    """The same added up by what is known."""
    block = Block("lag_kinds", SHEET, "Cases between two periods, added up", len(STATES), label=("lag_kind",))
    block.number()
    block.given("lag_kind", "What is known", list(STATES), width=42)
    block.count("lag_cases", "Cases", "seated_lag.lag_kind_no", "no")
    for name, heading, source in (
        ("kind_invoiced", "Invoiced in the period", "lag_invoiced"),
        ("kind_other_days", "Invoiced outside it", "lag_other_days"),
        ("kind_received", "Received for it", "lag_received"),
    ):
        block.total(name, heading, "money", f"seated_lag.{source}", "seated_lag.lag_kind_no", "no")
    return block


def by_seating_block() -> Block:
    """From what the labs charged in the period to what the work seated in it cost at the labs, and to what was paid."""
    out = STATES.index(NOT_SEATED) + 1
    steps: list[tuple[str, float, Traced]] = [
        ("Charged by the labs in the period, by invoice date", 1.0, sum_of("lab_cash.charged"))
    ]
    for row, state in enumerate(STATES[:out], start=1):
        steps.append((f"less: {state}", -1.0, figure_in("lag_kinds", "kind_invoiced", row)))
    steps.append((f"plus: {INVOICED_OUTSIDE}", 1.0, figure_in("lag_kinds", "kind_other_days", out + 1)))
    note = "Work without a case number counts on its invoice's date. Cash is beside it: what statements say was paid."
    block = Block(
        "by_seating",
        SHEET,
        "The labs' charges by the day of seating",
        len(steps),
        note,
        label=("seating_step",),
    )
    block.given("seating_step", "Step", [name for name, _, _ in steps], width=48)
    block.given("sign", "Sign", [sign for _, sign, _ in steps], "whole", meaning="1: added; -1: taken off.")
    block.listed("kind_money", "Its money", "money", [tree for _, _, tree in steps], "Of the tables above.")
    block.worked(moved)
    return block


def seating_total_block() -> Block:
    """Accrual both ways, and cash."""
    block = Block(
        "seating_total", SHEET, "Three ways to count the labs' charges", 1, label=("seating_scope",)
    )
    block.given("seating_scope", "Labs", ["all"])
    for name, heading, source in (
        ("charged_by_invoice", "By invoice date", "lab_cash.charged"),
        ("charged_by_seating", "By the day of seating", "by_seating.moved"),
        ("charged_by_payment", "By payment", "lab_cash.paid"),
    ):
        block.listed(name, heading, "money", [sum_of(source)], "Of the period.")
    return block


def _by_seating(parts: pd.DataFrame, table: pd.DataFrame, now: Period) -> pd.Series:
    """Whether each line part counts by the day of seating, told line by line; without a case, by its own date."""
    moved_in = table.loc[table["state"] == INVOICED_OUTSIDE, "case_no"]
    moved_out = table.loc[table["state"].isin(STATES[:3]), "case_no"]
    charge = ~parts["copy"] & (parts["treatment"] != CONTROL)
    numbers = case_numbers(parts)
    within = now.holds(parts["date"]) & ~numbers.isin(moved_out)
    return charge & (within | numbers.isin(moved_in))
