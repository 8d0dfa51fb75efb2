"""The invoices held against their papers and the labs' statements, as a block, and what is said where they differ."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pandas as pd

from feesheet.costing.reconciliation import PAPER, PLACES, listed
from feesheet.formula.model import Block, figure
from feesheet.formula.numbers import Numbers
from feesheet.formula.operations import known, round_to, same, size, when
from feesheet.formula.tree import Traced
from feesheet.problems import Problem

AGREES, ROUNDING, DIFFERS = "agrees", "rounding, accepted", "DIFFERS"
NO_LINES, NO_TOTAL, NOT_LISTED = "no lines read", "no total on paper", "on no statement"


@figure("Compared", "money")
def compared(lines_read: Traced, tax_read: Traced, net: Traced) -> Traced:
    """The lines as their total counts them: without tax where that leaves it out. Unit: money."""
    return lines_read - tax_read * net


@figure("Off paper", "money")
def less_total(compared: Traced, paper_total: Traced, money_digits: Traced) -> Traced:
    """The lines less the total on the invoice's own paper; blank where it has none. Unit: money."""
    return when(known(paper_total), round_to(compared - paper_total, money_digits), "")


@figure("Off statement", "money")
def less_statement(lines_read: Traced, statement_total: Traced, money_digits: Traced) -> Traced:
    """The lines less what the lab's statement lists; blank where none lists the invoice. Unit: money."""
    return when(known(statement_total), round_to(lines_read - statement_total, money_digits), "")


@figure("Against paper", "text")
def against_paper(
    compared: Traced, paper_total: Traced, line_count: Traced, smallest_coin: Traced, money_tolerance: Traced
) -> Traced:
    """Agrees to half of the smallest coin, differs by a coin as rounding does, or differs. No total is no agreement."""
    found = _verdict(compared - paper_total, line_count, smallest_coin, money_tolerance)
    return when(known(paper_total), found, NO_TOTAL)


@figure("Against statement", "text")
def against_statement(
    lines_read: Traced,
    statement_total: Traced,
    line_count: Traced,
    smallest_coin: Traced,
    money_tolerance: Traced,
) -> Traced:
    """The same against the lab's statement. An invoice that a statement lists and no file holds has no lines."""
    found = _verdict(lines_read - statement_total, line_count, smallest_coin, money_tolerance)
    return when(known(statement_total), found, NOT_LISTED)


def _verdict(gap: Traced, line_count: Traced, smallest_coin: Traced, money_tolerance: Traced) -> Traced:
    near = when(size(gap) <= smallest_coin + money_tolerance, ROUNDING, DIFFERS)
    return when(same(line_count, 0), NO_LINES, when(size(gap) <= money_tolerance, AGREES, near))


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
        block.total(
            "tax_read", "Of it tax", "money", "lines.part_amount", "lines.total_no", "no", "lines.tax"
        )
        block.counter(
            "net", "Without tax", totals["net"].astype(int).to_numpy(), "1 if the total leaves tax out."
        )
        block.worked(compared)
    for name, heading, column, meaning in (
        (
            "paper_total",
            "On paper",
            "total",
            "As the invoice's own paper says, or a total line of it; blank: none.",
        ),
        (
            "statement_total",
            "On statement",
            "statement",
            "As the first statement lists it; blank: none does.",
        ),
    ):
        block.given(name, heading, totals[column].to_numpy(), "money", meaning=meaning)
    block.worked(less_total, compared=against)
    block.worked(less_statement)
    block.worked(against_paper, compared=against)
    block.worked(against_statement)
    return block


def total_notices(totals: pd.DataFrame, figures: Numbers) -> list[Problem]:
    """Papers and statements that the lines differ from, and invoices of a statement that no file holds."""
    table = totals.assign(
        read=figures.of("invoice_totals", "lines_read"),
        paper=np.asarray(figures.of("invoice_totals", "against_paper"), dtype=object),
        listing=np.asarray(figures.of("invoice_totals", "against_statement"), dtype=object),
    )
    papers = table[table["total_from"] == PAPER].assign(said=totals["total"])
    own = {column: column.removeprefix("statement_") for column in PLACES[3:]}
    listings = table.drop(columns=list(own.values())).rename(columns=own).assign(said=totals["statement"])
    return [
        *_differing(papers[papers["paper"].isin((ROUNDING, DIFFERS, NO_LINES))], "paper", "own total"),
        *_differing(
            listings[listings["listing"].isin((ROUNDING, DIFFERS))], "listing", "line of the statement"
        ),
        *_in_no_file(listings[(listings["listing"] == NO_LINES) & (listings["total_from"] == "")]),
    ]


def _differing(rows: pd.DataFrame, verdict: str, words: str) -> Iterator[Problem]:
    """One notice a file for differences of a coin, one for larger ones."""
    for (_, close), group in rows.groupby(["file", rows[verdict] == ROUNDING], sort=True):
        named = (
            f"{row.invoice or 'without a number'} {row.said:,.2f}, its lines {row.read:,.2f}: "
            f"{abs(row.said - row.read):,.2f} {'more' if row.said > row.read else 'less'}"
            for row in group.itertuples()
        )
        what = f"{len(group)} invoice(s) differ from their {words}: {listed(named)}."
        do = "Accepted as rounding: the lines count." if close else _LOOK
        yield Problem("does not match its total", what, do, *_place(group))


_LOOK = "Look for a line that is missing or misread: the lines count, not the total."


def _in_no_file(rows: pd.DataFrame) -> Iterator[Problem]:
    """One notice for each lab whose statement lists invoices that were not among the files."""
    for lab, group in rows.groupby("lab", sort=True):
        what = (
            f"{lab}: {len(group)} invoice(s) that its statement lists are in no file, worth "
            f"{group['said'].sum():,.2f} in all: {listed(group['invoice'])}."
        )
        yield Problem("not understood", what, "Add their files, or ask the lab for copies.", *_place(group))


def _place(group: pd.DataFrame) -> tuple[str, str, str]:
    first = group.iloc[0]
    return str(first["file"]), str(first["sheet"]), str(first["cell"])
