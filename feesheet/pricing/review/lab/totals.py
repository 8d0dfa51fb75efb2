"""Invoices and statements whose totals are not what their lines add up to."""

from __future__ import annotations

from collections.abc import Iterator

import pandas as pd

from feesheet.costing.meaning import window_start
from feesheet.costing.reconciliation import invoice_totals, keys_of
from feesheet.costing.reconciliation_block import DIFFERS
from feesheet.costing.roster import Roster
from feesheet.formula.model import Block, Model, figure
from feesheet.formula.numbers import Numbers
from feesheet.formula.operations import larger, same, size, when
from feesheet.formula.tree import Traced
from feesheet.practice import Practice
from feesheet.pricing.review.findings import Finding
from feesheet.pricing.review.lab.alloy_rows import terms_of
from feesheet.pricing.review.lab.letters import money_words, place_words
from feesheet.pricing.review.lab.paid_back import SHEET

TEST = "total_tests"


@figure("Paper apart", "money")
def paper_gap(against_paper: Traced, compared: Traced, paper_total: Traced) -> Traced:
    """How far the paper's own total is from its lines, more than rounding; nought where it has none. Unit: money."""
    return when(same(against_paper, DIFFERS), size(compared - paper_total), 0)


@figure("Statement apart", "money")
def statement_gap(against_statement: Traced, lines_read: Traced, statement_total: Traced) -> Traced:
    """The same for what the lab's statement asks. Unit: money."""
    return when(same(against_statement, DIFFERS), size(lines_read - statement_total), 0)


@figure("Money", "money")
def total_money(paper_apart: Traced, statement_apart: Traced) -> Traced:
    """The larger of the two: an amount to be explained, whichever side asks for more. Unit: money."""
    return larger(paper_apart, statement_apart)


def add(model: Model, practice: Practice, who: Roster, parts: pd.DataFrame) -> None:
    """Add the invoices of the period that have a total of their own or stand on a statement."""
    totals = model.blocks["invoice_totals"]
    totals.worked(paper_gap, compared="compared" if "compared" in totals.columns else "lines_read")
    totals.worked(statement_gap)
    rows = _rows(practice, parts)
    block = Block(
        TEST,
        SHEET,
        "Totals of papers and statements",
        len(rows),
        "The lines count in the costs, not the totals. A coin is rounding. Where the paper asks for less than its lines, that is asked too.",
        label=("lab", "invoice"),
    )
    block.counter(
        "total_no", "Total no.", rows["total_no"].to_numpy(), "Row in the invoices against their totals."
    )
    block.given("lab", "Lab", pd.Categorical(rows["lab"].astype(str)))
    block.given("invoice", "Invoice", list(rows["invoice"].astype(str)), "code")
    block.given("date", "Date", list(rows["date"]), "date")
    block.fetch("lines_read", "Lines", "money", "invoice_totals.lines_read", "total_no")
    block.fetch("paper_apart", "Paper apart", "money", "invoice_totals.paper_gap", "total_no")
    block.fetch("statement_apart", "Statement apart", "money", "invoice_totals.statement_gap", "total_no")
    block.worked(total_money, name="money")
    model.add(block)


def found(
    model: Model, practice: Practice, who: Roster, parts: pd.DataFrame, numbers: Numbers
) -> list[Finding]:
    """Invoices that differ from their paper's total or from the statement; no lines are named, for none is known to be wrong."""
    rows = _rows(practice, parts)
    names = ("money", "lines_read", "paper_apart", "statement_apart")
    figures = pd.DataFrame({name: numbers.of(TEST, name) for name in names}, index=rows.index)
    rows = rows.assign(**{name: figures[name] for name in names})
    least = float(model.settings["money_tolerance"].value)
    made, terms = [], terms_of(practice)
    for place, (_, row) in enumerate(rows.iterrows(), start=1):
        if row["money"] > least:
            lab, money, left = str(row["lab"]), float(row["money"]), terms.left(row["lab"], row["date"])
            words, of = " ".join(_words(practice, row)), (str(row["site"]), str(row["invoice"]))
            made.append(Finding("total differs", lab, *of, (), TEST, place, money, words, left))
    return made


def _rows(practice: Practice, parts: pd.DataFrame) -> pd.DataFrame:
    """Invoices of the period with a total or on a statement: their row `total_no` in the invoice totals, and their site."""
    totals = invoice_totals(practice, parts)
    totals["total_no"] = range(1, len(totals) + 1)
    lines = parts.drop_duplicates("line")
    lines = lines.assign(key=keys_of(lines))
    sites, inside = lines.groupby("key")["site"].first(), lines.groupby("key")["in_window"].any()
    totals["site"] = totals["key"].map(sites.astype(str)).fillna("")
    last = pd.Timestamp(practice.day("pricing_date"))
    recent = (pd.to_datetime(totals["date"]) > window_start(practice)) & (
        pd.to_datetime(totals["date"]) <= last
    )
    wanted = totals["key"].map(inside).astype(object).fillna(recent).astype(bool)
    told = totals["total"].notna() | totals["statement"].notna()
    totals["unread"] = totals["statement"].notna() & totals["total"].isna() & ~totals["key"].isin(sites.index)
    return totals[wanted & told].reset_index(drop=True)


def _words(practice: Practice, row: pd.Series) -> Iterator[str]:
    """The sentences of one invoice."""
    where = place_words(str(row["invoice"]) or "without a number", row["date"])
    if row["unread"]:
        asked = money_words(practice, row["statement"])
        yield f"{where} stands on your statement with {asked}, but we have no such invoice. Please send us a copy of it."
        return
    yield f"{where}: its lines add up to {money_words(practice, row['lines_read'])}."
    sides = (("Its own total", "total", "paper_apart"), ("Your statement", "statement", "statement_apart"))
    for whose, total, apart in sides:
        if row[apart]:
            more = "more" if row[total] > row["lines_read"] else "less"
            said, gap = (money_words(practice, row[name]) for name in (total, apart))
            yield f"{whose} says {said}, which is {gap} {more}."
    yield "Please tell us which of them holds."
