"""Sheets of labs' papers built in memory, and what the general layouts make of them."""

from __future__ import annotations

from typing import Any

from feesheet.reading.grids import Grid
from feesheet.reading.invoices.built_in import LAB_STATEMENT, LAB_TABLE
from feesheet.reading.invoices.context import Context, LabKnown
from feesheet.reading.invoices.document import Document
from feesheet.reading.invoices.door import InvoiceReader
from feesheet.reading.sheet_facts import Facts
from feesheet.wording import known_words

CONTEXT = Context(key=b"run", words=known_words(["Testalloy"]), alloys=("Testalloy",))
"""A practice that knows the words of the trade and one alloy."""


def sheet(*rows: str, name: str = "Invoice", **facts: Any) -> Grid:
    """A sheet of text rows, cells split at `|`."""
    return Grid(name, [[cell.strip() for cell in row.split("|")] for row in rows], Facts(**facts))


def taken_by(*grids: Grid, context: Context = CONTEXT) -> list[InvoiceReader]:
    """The general layouts that take a file of those sheets."""
    return [reader for reader in (LAB_TABLE, LAB_STATEMENT) if reader.suits(grids, context)]


def read(*grids: Grid, context: Context = CONTEXT) -> list[Document]:
    """The documents of a file of those sheets, which exactly one general layout must take."""
    (reader,) = taken_by(*grids, context=context)
    return reader.read(grids, context)


def one(*rows: str, context: Context = CONTEXT, **facts: Any) -> Document:
    """The only document of a sheet of text rows."""
    (document,) = read(sheet(*rows, **facts), context=context)
    return document


def invoice(*lines: str, context: Context = CONTEXT) -> Document:
    """An invoice with the usual letterhead and headings over those lines."""
    return one(*HEAD, *lines, context=context)


HEAD = (
    "Invoice no | L-1",
    "Date | 2026-03-04",
    "Tooth | Description | Qty | Unit price | Amount",
)
"""Three rows: the first line of an `invoice` stands in row 4."""


def with_lab(**habits: str) -> Context:
    """A practice with one lab of those habits."""
    return Context(key=b"run", words=CONTEXT.words, labs=(LabKnown("lab A", **habits),))


def amounts(document: Document) -> list[float]:
    """The amounts of the document's lines."""
    return [line.amount for line in document.lines]


def said(document: Document, kind: str) -> list[tuple[str, str]]:
    """Cell and words of the document's problems of a kind."""
    return [(problem.cell, problem.what) for problem in document.problems if problem.kind == kind]
