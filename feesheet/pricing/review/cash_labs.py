"""The labs' side of cash and accrual: charged by invoice date, paid as statements say, and what is still owed."""

from __future__ import annotations

import numpy as np
import pandas as pd

from feesheet.costing.meaning import CONTROL
from feesheet.costing.roster import numbers_of
from feesheet.formula.model import Block, Model
from feesheet.practice import Practice
from feesheet.pricing.review.cash_figures import (
    LAB,
    OWN_MILL,
    by_lab,
    difference_told,
    held_share,
    held_words,
    is_off,
    not_paid,
    not_told,
    paid_amount,
    still_owed,
)
from feesheet.pricing.review.period import Period
from feesheet.pricing.summary import sum_of
from feesheet.schema import plain
from feesheet.total_lines import is_payment

SHEET = "Cash and accrual"


def mark_lines(model: Model, practice: Practice, parts: pd.DataFrame, now: Period) -> list[str]:
    """Give the lines their lab, and say which give money back and which were paid; the labs in the order of their table."""
    names = _labs(practice, parts)
    block = model.blocks["lines"]
    labs = parts["lab"].astype(str).map(plain)
    block.counter(
        "cash_lab_no",
        "Lab no. of the cash",
        numbers_of(labs, [plain(name) for name in names]),
        "Row in the labs' cash.",
    )
    paid = is_payment(practice.tables["invoice_lines"])[parts["line"].to_numpy(dtype=np.int64)]
    charge = now.holds(parts["date"]) & ~parts["copy"] & (parts["treatment"] != CONTROL)
    for name, heading, truth in (
        ("gives_back", "Gives money back in the period", charge & (parts["amount"] < 0)),
        ("payment", "Payment in the period", paid & now.holds(parts["date"]) & ~parts["copy"]),
    ):
        block.counter(name, heading, truth.to_numpy().astype(int), "1 for yes, 0 for no.")
    block.worked(paid_amount)
    return names


def _labs(practice: Practice, parts: pd.DataFrame) -> list[str]:
    """The labs and mills that have a line, as their own tables spell them."""
    billed = {plain(lab) for lab in parts["lab"].astype(str).unique()}
    listed = [str(lab) for table in ("labs", "milling") for lab in practice.tables[table]["lab"]]
    spelled = {plain(lab): lab for lab in reversed(listed)}
    return [spelled[lab] for lab in dict.fromkeys(map(plain, listed)) if lab in billed]


def lab_cash_block(practice: Practice, names: list[str], now: Period) -> Block:
    """One row a lab: charged and credited by invoice date, paid and owed as its statements say."""
    block = Block(
        "lab_cash",
        SHEET,
        "Labs: charged and paid",
        len(names),
        "Charged: by invoice date, tax and charges that are in no cost included. Paid: as statements in the folder say. "
        "Charged less paid is owed by the latest statement, or nothing that was read tells what became of it.",
        label=("lab",),
    )
    block.number()
    block.given("lab", "Lab", names)
    mills = {plain(str(lab)) for lab in practice.tables["milling"]["lab"]}
    block.given("lab_is", "What it is", [OWN_MILL if plain(name) in mills else LAB for name in names])
    for name, heading, source, flag, meaning in (
        ("charged", "Charged", "lines.part_amount", "charge", "By invoice date, copies left out."),
        ("credited", "Of it given back", "lines.part_amount", "gives_back", "Credits, rebates and returns."),
        ("paid", "Paid", "lines.paid_amount", "payment", "As statements say."),
    ):
        by = ("lines.cash_lab_no", "no", f"lines.{flag}")
        block.total(name, heading, "money", source, *by, meaning=meaning)
    block.count("payments", "Payments told", "lines.cash_lab_no", "no", "lines.payment")
    _statements(block, practice, names, now)
    for function in (by_lab, not_paid, still_owed, not_told, is_off, difference_told):
        block.worked(function)
    return block


def _statements(block: Block, practice: Practice, names: list[str], now: Period) -> None:
    """How many statements of the period were read, and the latest balance with its day and cell."""
    papers = practice.documents[practice.documents["kind"] == "statement"]
    papers = papers[(papers["date"] <= pd.Timestamp(now.last)).to_numpy()].sort_values("date", kind="stable")
    own = str(practice.settings["currency"])
    counts, balances, days, places = [], [], [], []
    for name in names:
        of_lab = papers[papers["lab"].map(plain) == plain(name)]
        counts.append(int(now.holds(of_lab["date"]).sum()))
        told = of_lab[of_lab["total"].notna() & of_lab["currency"].isin(("", own))]
        balances.append(float(told["total"].iloc[-1]) if len(told) else np.nan)
        days.append(told["date"].iloc[-1] if len(told) else pd.NaT)
        place = told[["file", "sheet", "cell"]].iloc[-1] if len(told) else ()
        places.append(", ".join(part for part in place if part))
    block.given("statements", "Statements read", counts, "whole", meaning="Those dated in the period.")
    meaning = "The amount due on the latest statement by the period's last day; blank: none was read."
    block.given("balance", "Latest balance", balances, "money", meaning=meaning)
    block.given("balance_on", "Balance of", pd.Series(days, dtype="datetime64[s]").to_numpy(), "date")
    block.given("balance_at", "Balance read from", places, width=30)


def lab_cash_total_block() -> Block:
    """All labs together."""
    block = Block("lab_cash_total", SHEET, "All labs together", 1, label=("labs",))
    block.given("labs", "Labs", ["all"])
    for name, heading, source in (
        ("all_charged", "Charged", "charged"),
        ("all_credited", "Of it given back", "credited"),
        ("all_paid", "Paid", "paid"),
        ("all_owed", "Still owed", "still_owed"),
        ("all_not_told", "On no statement", "not_told"),
    ):
        block.listed(name, heading, "money", [sum_of(f"lab_cash.{source}")], "The sum over the labs.")
    return block


def totals_held_block() -> Block:
    """How much of what the labs charged has a total, on its own paper or on a statement, that its lines are held against."""
    block = Block(
        "totals_held",
        SHEET,
        "Charges that have a total",
        1,
        "A total on the invoice's own paper, or on a statement: see Totals of papers and statements on the Lab audit sheet. "
        "The practice's own mill sends none and is left out.",
        label=("held_of",),
    )
    block.given("held_of", "Charges", ["of the labs in the period"], width=30)
    held = [sum_of("total_tests.lines_read")]
    block.listed("held", "Held against a total", "money", held, "Lines of the invoices that have one.")
    labs = [sum_of("lab_cash.by_lab")]
    block.listed("charged_by_labs", "Charged by labs", "money", labs, "The sum over the labs.")
    block.worked(held_share)
    block.worked(held_words)
    return block
