"""The invoices held against their papers and the labs' statements, as a block, and what is said where they differ."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pandas as pd

from feesheet.costing.meaning import CONTROL
from feesheet.costing.money_words import billed_abroad, money
from feesheet.costing.reconciliation import PAPER, PLACES, keys_of, listed
from feesheet.formula.model import Block, figure
from feesheet.formula.numbers import Numbers
from feesheet.formula.operations import all_of, known, pick, same, size, when
from feesheet.formula.tree import Traced
from feesheet.practice import Practice
from feesheet.problems import Problem

AGREES, ROUNDING, DIFFERS, NO_TOTAL, NOT_LISTED = "agrees", "rounding", "DIFFERS", "no total", "not listed"
"""What the table says of an invoice; a rounding is a difference of one coin, accepted."""


@figure("Compared", "money")
def compared(lines_read: Traced, tax_read: Traced, net: Traced) -> Traced:
    """The lines as their total counts them: without tax where that leaves it out. Unit: money."""
    return lines_read - tax_read * net


@figure("Off paper", "money")
def off_paper(compared: Traced, paper_total: Traced) -> Traced:
    """The lines less the total on the invoice's own paper; blank where it has none. Unit: money."""
    return when(known(paper_total), compared - paper_total, "")


@figure("Off statement", "money")
def off_statement(lines_read: Traced, statement_total: Traced) -> Traced:
    """The lines less what the lab's statement lists; blank where none lists the invoice. Unit: money."""
    return when(known(statement_total), lines_read - statement_total, "")


@figure("Against paper", "text")
def against_paper(
    compared: Traced, paper_total: Traced, money_tolerance: Traced, rounding_slack: Traced
) -> Traced:
    """Agrees to half of the smallest coin, differs by a coin as rounding does (accepted), or differs. No total is no agreement."""
    found = _verdict(compared - paper_total, money_tolerance, rounding_slack)
    return when(known(paper_total), found, NO_TOTAL)


@figure("Against statement", "text")
def against_statement(
    lines_read: Traced, statement_total: Traced, money_tolerance: Traced, rounding_slack: Traced
) -> Traced:
    """The same against the lab's statement."""
    found = _verdict(lines_read - statement_total, money_tolerance, rounding_slack)
    return when(known(statement_total), found, NOT_LISTED)


def _verdict(gap: Traced, money_tolerance: Traced, rounding_slack: Traced) -> Traced:
    return pick(1 + (size(gap) > money_tolerance) + (size(gap) > rounding_slack), AGREES, ROUNDING, DIFFERS)


@figure("Not read", "whole")
def not_read(statement_total: Traced, line_count: Traced) -> Traced:
    """1 if a statement lists the invoice and no file holds a line of it."""
    return when(all_of(known(statement_total), same(line_count, 0)), 1, 0)


def invoice_totals_block(totals: pd.DataFrame) -> Block:
    """Each invoice of a lab: its lines, the total on its paper, what a statement lists, and the differences."""
    block = Block(
        "invoice_totals",
        "Checks",
        "Invoices against their totals",
        len(totals),
        "Every line of the invoice with its tax; balances, payments, totals and copies left out. A blank total agrees with nothing.",
        label=("lab", "invoice"),
    )
    block.given("lab", "Lab", pd.Categorical(totals["lab"].astype(str)))
    block.given("invoice", "Invoice", list(totals["invoice"]), "code")
    block.number()
    block.count(
        "line_count", "Parts of lines", "lines.total_no", "no", meaning="Line parts in this workbook."
    )
    block.total("lines_read", "Lines", "money", "lines.part_amount", "lines.total_no", "no")
    against = "lines_read"
    if totals["net"].any():
        against = "compared"
        _add_net(block, totals)
    for name, heading, column, meaning in _TOTALS:
        block.given(name, heading, totals[column].to_numpy(), "money", meaning=meaning)
    block.worked(off_paper, compared=against)
    block.worked(off_statement)
    block.worked(against_paper, compared=against)
    block.worked(against_statement)
    block.worked(not_read)
    return block


_TOTALS = (
    (
        "paper_total",
        "On paper",
        "total",
        "As the invoice's own paper says, or a total line of it; blank: none.",
    ),
    ("statement_total", "On statement", "statement", "As the first statement lists it; blank: none does."),
)


def _add_net(block: Block, totals: pd.DataFrame) -> None:
    """Columns for totals that leave tax out, where any does."""
    block.total("tax_read", "Of it tax", "money", "lines.part_amount", "lines.total_no", "no", "lines.tax")
    block.counter(
        "net", "Without tax", totals["net"].astype(int).to_numpy(), "1 if the total leaves tax out."
    )
    block.worked(compared)


def total_notices(
    practice: Practice, parts: pd.DataFrame, totals: pd.DataFrame, figures: Numbers
) -> list[Problem]:
    """Papers and statements that the lines differ from, and invoices of a statement that no file holds."""
    of = {name: list(figures.of("invoice_totals", name)) for name in ("lines_read", *_VERDICTS, "not_read")}
    abroad = _abroad(practice, parts)
    table = totals.assign(**of, abroad=[abroad.get(key, "") for key in totals["key"]])
    papers = table[table["total_from"] == PAPER].assign(said=totals["total"])
    own = {column: column.removeprefix("statement_") for column in PLACES[3:]}
    listings = table.drop(columns=list(own.values())).rename(columns=own).assign(said=totals["statement"])
    missing = (listings["not_read"] == 1) & (listings["total_from"] == "")
    return [
        *_differing(practice, papers, _VERDICTS[0], "own total"),
        *_differing(practice, listings[~missing], _VERDICTS[1], "line of the statement"),
        *_in_no_file(practice, listings[missing]),
    ]


def _abroad(practice: Practice, parts: pd.DataFrame) -> dict[str, str]:
    """What the lines of each invoice come to as billed in another currency, in words by the invoice's key."""
    if "billed_currency" not in parts:
        return {}
    charged = parts[(parts["treatment"] != CONTROL) & ~parts["copy"]]
    groups = charged.groupby(np.array(keys_of(charged), dtype=object), sort=False)
    return {str(key): billed_abroad(practice, group) for key, group in groups}


_VERDICTS = ("against_paper", "against_statement")


def _differing(practice: Practice, rows: pd.DataFrame, verdict: str, words: str) -> Iterator[Problem]:
    """One notice a file for differences of a coin, one for larger ones."""
    off = rows[rows[verdict].isin((ROUNDING, DIFFERS))]
    for (_, close), group in off.groupby(["file", off[verdict] == ROUNDING], sort=True):
        named = (
            f"{row.invoice or 'without a number'} {money(practice, row.said)}, "
            f"its lines {money(practice, row.lines_read)}{row.abroad}: "
            f"{money(practice, abs(row.said - row.lines_read))} {'more' if row.said > row.lines_read else 'less'}"
            for row in group.itertuples()
        )
        what = f"{len(group)} invoice(s) differ from their {words}: {listed(named)}."
        do = "Accepted as rounding: the lines count." if close else _LOOK
        yield Problem("does not match its total", what, do, *_place(group))


_LOOK = "Look for a line that is missing or misread: the lines count, not the total."


def _in_no_file(practice: Practice, rows: pd.DataFrame) -> Iterator[Problem]:
    """One notice for each lab whose statement lists invoices that were not among the files."""
    for lab, group in rows.groupby("lab", sort=True):
        what = (
            f"{lab}: {len(group)} invoice(s) that its statement lists are in no file, worth "
            f"{money(practice, group['said'].sum())} in all: {listed(group['invoice'])}."
        )
        yield Problem("not understood", what, "Add their files, or ask the lab for copies.", *_place(group))


def _place(group: pd.DataFrame) -> tuple[str, str, str]:
    first = group.iloc[0]
    return str(first["file"]), str(first["sheet"]), str(first["cell"])
