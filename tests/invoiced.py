"""A practice of one lab, one gold crown and the invoice lines, papers and statements of a test."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date
from typing import Any

import pandas as pd
from priced import read_rows
from truth.test_by_the_page import gold_crown

from feesheet.practice import DOCUMENTS, ENTRIES, Practice, columns_of
from feesheet.problems import Problem
from feesheet.uses.annual_update import Priced, price

Row = dict[str, Any]

CROWN = "Full cast crown"


def line(amount: float, **more: Any) -> Row:
    """A unit fee of one gold crown on invoice A-9 of lab A, or whatever else is said."""
    plainly = {
        "date": date(2026, 9, 20),
        "invoice": "A-9",
        "lab": "lab A",
        "site": "North",
        "kind": "unit fee",
        "product": CROWN,
    }
    return {**plainly, "amount": amount, **more}


def practice_of(
    lines: Sequence[Row],
    *,
    names: Iterable[Row] = (),
    papers: Sequence[Row] = (),
    entries: Sequence[Row] = (),
    sites: Iterable[str] = (),
    **lab: Any,
) -> Practice:
    """The practice with those lines alone, more product names, papers, statement entries and sites, and what else the lab's row says."""
    rows, _ = gold_crown()
    for name in ("sites", "overhead"):
        rows[name] += [{**row, "site": site} for site in sites for row in rows[name]]
    rows["invoice_lines"] = list(lines)
    rows["product_map"] += list(names)
    rows["labs"] = [{**rows["labs"][0], **lab}]
    practice = read_rows(rows)
    return replace(practice, documents=_frame(papers, DOCUMENTS), entries=_frame(entries, ENTRIES))


def paper(invoice: str, total: float | None, **more: Any) -> Row:
    """An invoice of lab A as its own paper tells of it."""
    known = {"file": f"{invoice}.xlsx", "sheet": "Invoice", "cell": "D9", "lab": "lab A", "invoice": invoice}
    plainly = {
        "date": "2026-09-20",
        "kind": "invoice",
        "total": total,
        "repeats": False,
        "replaces": False,
        "currency": "EUR",
    }
    return {**known, **plainly, **more}


def entry(invoice: str, amount: float, **more: Any) -> Row:
    """An invoice as a statement of lab A lists it."""
    place = {"file": "statement.xlsx", "sheet": "September", "row": 12.0, "lab": "lab A", "invoice": invoice}
    return {**place, "date": "2026-09-20", "amount": amount, "currency": "EUR", **more}


def _frame(rows: Sequence[Row], kinds: dict[str, Any]) -> pd.DataFrame:
    if not rows:
        return columns_of(kinds)
    return pd.DataFrame([{name: row.get(name) for name in kinds} for row in rows]).astype(kinds)


def billed_abroad(practice: Practice, currency: str, foreign_per_own: float) -> Practice:
    """The practice as if its lines were billed in another currency and had been converted."""
    lines = practice.tables["invoice_lines"]
    lines = lines.assign(
        billed_amount=lines["amount"] * foreign_per_own,
        billed_currency=currency,
        exchange_rate=1 / foreign_per_own,
    )
    return replace(practice, tables={**practice.tables, "invoice_lines": lines})


def outcome(practice: Practice) -> tuple[Priced, list[Problem]]:
    """The practice priced, and what is said of it."""
    return price(practice)


def table(priced: Priced, block: str) -> list[Row]:
    """The rows of a block of the workbook as plain values."""
    columns = priced.model.blocks[block].columns
    values = {name: list(priced.numbers.of(block, name)) for name in columns}
    return [dict(zip(values, row, strict=True)) for row in zip(*values.values(), strict=True)]


def said(problems: Iterable[Problem], kind: str) -> list[str]:
    """What the problems of one kind say."""
    return [problem.what for problem in problems if problem.kind == kind]
