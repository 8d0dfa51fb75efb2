"""Remakes and return deposits with what came back for them, as blocks, and the notices of what is still open."""

from __future__ import annotations

import numpy as np
import pandas as pd

from feesheet.costing import cases
from feesheet.formula.model import Block, Model, figure
from feesheet.formula.numbers import Numbers
from feesheet.formula.operations import known, pick, when
from feesheet.formula.tree import Traced
from feesheet.practice import Practice
from feesheet.problems import Problem
from feesheet.schema import plain

SETTLED, OPEN, OVER, NO_TERMS = "settled", "open", "open, days are over", "open, no days agreed"
_FIRST_DAY = pd.Timestamp("1899-12-30")
"""Day nought of a spreadsheet: days that formulas count with are numbers from it."""


@figure("Credited", "money")
def credited_part(credit_amount: Traced, credit_share: Traced) -> Traced:
    """The share of the credit that pays this claim back. Unit: money."""
    return credit_amount * credit_share


@figure("Still open", "money")
def open_amount(charged: Traced, credited: Traced) -> Traced:
    """What was charged and has not come back by the pricing date. Unit: money."""
    return charged + credited


@figure("Days since", "whole")
def days_since(as_of: Traced, claimed_on: Traced) -> Traced:
    """Days from the invoice to the pricing date."""
    return as_of - claimed_on


@figure("Days left", "whole")
def days_left(dispute_days: Traced, days_since: Traced) -> Traced:
    """Days in which the lab must still hear of it; blank where none are agreed, negative when they are over."""
    return when(known(dispute_days), dispute_days - days_since, "")


@figure("State", "text")
def claim_state(
    open_amount: Traced, money_tolerance: Traced, dispute_days: Traced, days_since: Traced
) -> Traced:
    """Settled when nothing is left to come back; else whether the lab's days to dispute are over."""
    agreed = known(dispute_days)
    waiting = pick(1 + agreed + agreed * (days_since <= dispute_days), NO_TERMS, OVER, OPEN)
    return when(open_amount <= money_tolerance, SETTLED, waiting)


def add_cases(model: Model, practice: Practice, parts: pd.DataFrame) -> None:
    """Add the claims and the credits of the invoice window, each credit with its claim."""
    pricing = pd.Timestamp(practice.day("pricing_date"))
    lines = parts.assign(line_no=np.arange(1, len(parts) + 1)).drop_duplicates("line")
    claimed, given, linked = (
        cases.claims(lines, pricing),
        cases.credits(lines, pricing),
        cases.links(lines, pricing),
    )
    own = {plain(mill) for mill in practice.tables["milling"]["lab"]}
    claimed = claimed[~claimed["lab_key"].isin(own)]
    recent = set(given.loc[given["in_window"], "line"])
    claimed = claimed[
        claimed["in_window"] | claimed["line"].isin(linked.loc[linked["credit"].isin(recent), "claim"])
    ].reset_index(drop=True)
    linked = linked[linked["claim"].isin(claimed["line"])]
    loose = given[given["in_window"] & (given["kind"] != "credit") & ~given["line"].isin(linked["credit"])]
    lone = pd.DataFrame(
        {"claim": -1, "credit": loose["line"].astype(int), "of_credit": 1.0, "how": "no claim found"}
    )
    model.add(_claims_block(practice, claimed, linked, pricing))
    model.add(_credits_block(given, claimed, pd.concat([linked, lone], ignore_index=True)))


def _claims_block(
    practice: Practice, claimed: pd.DataFrame, linked: pd.DataFrame, pricing: pd.Timestamp
) -> Block:
    labs = practice.tables["labs"]
    terms = {plain(lab): days for lab, days in zip(labs["lab"], labs["dispute_days"], strict=True)}
    how = linked.groupby("claim")["how"].agg(lambda found: ", ".join(sorted(set(found)))).to_dict()
    block = Block(
        "claims",
        "Remakes and credits",
        "Remakes and return deposits",
        len(claimed),
        "What was charged for work made again or lent, and what came back by the pricing date.",
        label=("claim", "claim_lab", "claim_invoice"),
    )
    block.number()
    block.given(
        "claim", "What", ["return deposit" if deposit else "remake" for deposit in claimed["deposit"]]
    )
    _told(block, "claim", claimed)
    block.fetch("charged", "Charged", "money", "lines.amount", "claim_line_no", meaning="The line's amount.")
    block.total("credited", "Credited", "money", "credits.credited_part", "credits.claim_no", "no")
    block.worked(open_amount)
    block.given("linked", "Linked", [how.get(line, "") for line in claimed["line"]])
    as_of = [float((pricing - _FIRST_DAY).days)] * len(claimed)
    block.given("as_of", "As of", as_of, "date", meaning="The pricing date.")
    block.worked(days_since)
    agreed = [terms.get(lab, np.nan) for lab in claimed["lab_key"]]
    block.given(
        "dispute_days", "Days to dispute", agreed, "whole", meaning="From the Labs table; blank: none agreed."
    )
    block.worked(days_left)
    block.worked(claim_state)
    return block


def _credits_block(given: pd.DataFrame, claimed: pd.DataFrame, linked: pd.DataFrame) -> Block:
    rows = linked.merge(given, left_on="credit", right_on="line")
    numbers = {line: number for number, line in enumerate(claimed["line"], start=1)}
    block = Block(
        "credits",
        "Remakes and credits",
        "Credits",
        len(rows),
        "Each credit with the claim that it pays back: found by its case, else by its teeth; one for several claims has a row for each.",
        label=("credit_lab", "credit_invoice"),
    )
    block.counter(
        "claim_no", "Claim no.", [numbers.get(line, 0) for line in rows["claim"]], "Row above; 0: none found."
    )
    _told(block, "credit", rows)
    block.fetch(
        "credit_amount", "Amount", "money", "lines.amount", "credit_line_no", meaning="The line's amount."
    )
    block.given("credit_share", "Share of it", rows["of_credit"].to_numpy(), "exact")
    block.worked(credited_part)
    block.given("how", "Found", list(rows["how"]))
    return block


def _told(block: Block, name: str, rows: pd.DataFrame) -> None:
    """Lab, invoice, day, teeth and line of claims or credits."""
    days = (rows["date"] - _FIRST_DAY).dt.days.astype(float)
    block.given(f"{name}_lab", "Lab", pd.Categorical(rows["lab"].astype(str)))
    block.given(f"{name}_invoice", "Invoice", pd.Categorical(rows["invoice"].astype(str)), "code")
    block.given(f"{name}ed_on", "Date", days.to_numpy(), "date")
    block.given(f"{name}_teeth", "Teeth (ISO 3950)", list(rows["whole_teeth"]))
    block.counter(f"{name}_line_no", "Line no.", rows["line_no"].to_numpy(), "Row in the invoice lines.")


def open_claims(practice: Practice, parts: pd.DataFrame, figures: Numbers) -> list[Problem]:
    """What has not come back while the lab must still hear of it: one notice a claim, the most urgent first."""
    names = (
        "claim",
        "claim_lab",
        "claim_invoice",
        "claim_line_no",
        "open_amount",
        "dispute_days",
        "claim_state",
    )
    table = pd.DataFrame({name: list(figures.of("claims", name)) for name in (*names, "days_left")})
    problems = []
    for row in table[table["claim_state"] == OPEN].sort_values("days_left", kind="stable").itertuples():
        line = int(parts["line"].iloc[int(row.claim_line_no) - 1])
        what = (
            f"{row.claim_lab}, invoice {row.claim_invoice}: {row.open_amount:,.2f} for a {row.claim} has not come back; "
            f"{row.days_left:.0f} of {row.dispute_days:.0f} days are left to dispute it."
        )
        place = practice.place("invoice_lines", line, "amount")
        problems.append(Problem("open credit", what, "Ask the lab for the credit, if one is due.", *place))
    return problems
