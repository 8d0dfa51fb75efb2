"""Rows that hold money and yet are no line: why each is told, so that no money is left out in silence."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from feesheet.reading.invoices import words
from feesheet.reading.invoices.context import Context
from feesheet.reading.invoices.evidence import Evidence
from feesheet.reading.invoices.headings import AMOUNTS, Heading
from feesheet.reading.invoices.sections import text_at
from feesheet.reading.invoices.vocabulary import Vocabulary

_CODES = ("case", "invoice", "patient", "date", "lab", "clinic", "currency")
"""Fields whose words name no charge."""
NEITHER = "This row holds an amount, but neither a product nor a total."
ABOVE = "This row holds an amount, but stands above the headings of the table: it is no line of an invoice."
NO_FIGURE = "The amount of this total can't be read, so nothing is held against it."
NO_AMOUNT = "This row holds a quantity, a price or another figure, but no amount: nothing is counted for it."


def is_above(row: Sequence[Any], first: Heading, evidence: Evidence, vocabulary: Vocabulary) -> int:
    """The column of the amount in a row above the first headings that looks like a line under them, -1 in others."""
    columns = first.columns
    money = [columns[name] for name in (*AMOUNTS, "unit_price") if name in columns]
    at = next((one for one in money if _is_figure(row, one, evidence)), -1)
    text = text_at(row, columns.get("description", -1))
    filled = sum(one < len(row) and row[one] not in ("", None) for one in columns.values())
    named = any(sign.isalpha() for sign in text) if "description" in columns else filled > 2
    if at < 0 or not named or filled < 2 or vocabulary.label(text) or vocabulary.total(text):
        return -1
    return at


def unpaid(row: Sequence[Any], columns: Mapping[str, int], text: str, evidence: Evidence) -> int:
    """The column of a figure in a row without an amount that shows that one is missing there, -1 where none does.

    A price or, in a row without words, a quantity; or a broken number where the headings name words or nothing, as in
    a row that has slipped sideways.
    """
    telling = ["unit_price"] if any(sign.isalpha() for sign in text) else ["unit_price", "quantity"]
    for name in telling:
        at = columns.get(name, -1)
        value = evidence.plain_number(row[at]) if 0 <= at < len(row) else 0.0
        if value and not math.isnan(value):
            return at
    named = {at for name, at in columns.items() if name not in ("description", "weight_unit", "unit")}
    return next((at for at in range(len(row)) if at not in named and _is_broken(row[at], evidence)), -1)


def charge_named(row: Sequence[Any], heading: Heading, context: Context) -> str:
    """The only words of a row without a product, if they name a charge such as freight or a discount; else "".

    Below a table they may stand in any column, such as that of the prices or of the teeth.
    """
    closed = {*heading.people, *(heading.columns[name] for name in _CODES if name in heading.columns)}
    texts = [
        cell.strip()
        for at, cell in enumerate(row)
        if isinstance(cell, str) and at not in closed and sum(sign.isalpha() for sign in cell) > 2
    ]
    named = len(texts) == 1 and words.kind_of(texts[0], 1.0, context) not in ("unit fee", "note")
    return texts[0] if named else ""


def _is_figure(row: Sequence[Any], at: int, evidence: Evidence) -> bool:
    return at < len(row) and not math.isnan(evidence.plain_number(row[at]))


def _is_broken(cell: Any, evidence: Evidence) -> bool:
    """Whether the cell is a number that is no whole one, as prices are."""
    value = evidence.plain_number(cell) if cell not in ("", None) else math.nan
    return not math.isnan(value) and value != round(value)
