"""How one lab lays out its invoices, said in about thirty lines; and the reader that comes of it.

A lab whose workbooks the general layouts misread gets a `Layout` of its own:

    MY_LAB = reader(Layout(
        name="my lab",
        marks=("quality dental work",),
        headings={"description": ("Leistungstext",), "amount": ("Zeile",)},
        labels={"invoice": ("Vorgang",)},
        lab="lab A",
        decimal=",",
    ))

and the entry point `feesheet.invoice_readers` with the name of that reader.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from feesheet.reading.grids import Grid
from feesheet.reading.invoices import letterhead, misfits
from feesheet.reading.invoices.context import Context, LabKnown
from feesheet.reading.invoices.document import Document
from feesheet.reading.invoices.door import Content, InvoiceReader
from feesheet.reading.invoices.evidence import Evidence, gathered
from feesheet.reading.invoices.sections import Part, parts
from feesheet.reading.invoices.statement import statement
from feesheet.reading.invoices.table import invoices
from feesheet.reading.invoices.told import Told
from feesheet.reading.invoices.vocabulary import Vocabulary, vocabulary
from feesheet.reading.invoices.wordings import Misfit, Reading, Wordings, wordings_of
from feesheet.schema import plain

_MARKED_ROWS = 200
"""Rows from the top of a sheet, and again from its end, in which a layout's marks may stand."""


@dataclass(frozen=True)
class Layout:
    """What is special about a lab's papers. The general words of `shared/` always count too.

    `headings` are words over columns by field ("description", "amount", "quantity", … as in
    `shared/invoice_headings.csv`), `labels` words before a value of the letterhead ("invoice", "date",
    "case", "account", … as in `shared/invoice_labels.csv`), `totals` words of the row that holds the whole.
    `marks` must all stand in a file for the layout to take it; without marks the layout is a general one.
    `statements` says whether a general layout takes the files that hold a statement, or the others.
    Habits that are always the same may be fixed: `decimal` ("." or ","), `date_order` ("day first" or
    "month first"), `weight_unit`, `amounts_with_tax`, and `lab`, its name on the sheet "Labs".
    """

    name: str
    headings: Mapping[str, Sequence[str]] = field(default_factory=dict)
    labels: Mapping[str, Sequence[str]] = field(default_factory=dict)
    marks: tuple[str, ...] = ()
    totals: tuple[str, ...] = ()
    statements: bool = False
    lab: str = ""
    decimal: str = ""
    date_order: str = ""
    weight_unit: str = ""
    amounts_with_tax: bool = False


def reader(layout: Layout) -> InvoiceReader:
    """The reader of a layout: 2 for a file with its marks, 1 for a file that a general layout fits, 0 for others."""

    def suits(content: Content, context: Context) -> int:
        if not isinstance(content, Sequence) or not _has_marks(content, layout.marks):
            return 0
        found = _looked(content, layout)[1]
        if layout.marks:
            return 2 if any(part.first_heading is not None for part in found) else 0
        listed = any(part.kind == "statement" for part in found)
        return int(bool(found) and listed == layout.statements)

    def read(content: Content, context: Context) -> list[Document]:
        return _documents(content, layout, context) if isinstance(content, Sequence) else []

    return InvoiceReader(layout.name, suits, read)


_LAST: list[tuple[Sequence[Grid], object, Vocabulary, list[Part]]] = []
"""The file looked at last and its papers: layouts with the same words, asked in turn, cut it up once."""


def _looked(grids: Sequence[Grid], layout: Layout) -> tuple[Vocabulary, list[Part]]:
    """The words of the layout, and the papers that they find in the file."""
    key = (layout.headings, layout.labels, layout.totals)
    if _LAST and _LAST[0][0] is grids and _LAST[0][1] == key:
        return _LAST[0][2:]
    words = _words_of(layout)
    found = [part for grid in grids if not grid.hidden for part in parts(grid, words)]
    _LAST[:] = [(grids, key, words, found)]
    return words, found


_WORDS: dict[str, Vocabulary] = {}
"""The words of each layout met so far, with what they remember of texts of other files."""


def _words_of(layout: Layout) -> Vocabulary:
    """The words of a layout, the same for those that add the same to the general ones."""
    key = repr((layout.headings, layout.labels, layout.totals))
    if key not in _WORDS:
        _WORDS[key] = vocabulary(layout.headings, layout.labels, layout.totals)
    return _WORDS[key]


def _has_marks(grids: Sequence[Grid], marks: Sequence[str]) -> bool:
    if not marks:
        return True
    ends = [row for grid in grids for row in (*grid.rows[:_MARKED_ROWS], *grid.rows[-_MARKED_ROWS:])]
    text = " | ".join(plain(cell) for row in ends for cell in row if isinstance(cell, str))
    return all(plain(mark) in text for mark in marks)


def _documents(grids: Sequence[Grid], layout: Layout, context: Context) -> list[Document]:
    words, found = _looked(grids, layout)
    _LAST.clear()
    labs = [letterhead.lab_known(part, words, context, layout.lab) for part in found]
    evidence = gathered(found, layout.decimal, layout.date_order, _order(labs, context))
    wordings = wordings_of(context, evidence.decimal)
    documents: list[Document] = []
    off: list[Misfit] = []
    for part, lab in zip(found, labs, strict=True):
        reading = _reading(part, evidence, wordings, layout, lab)
        reading.misfits = off
        if part.kind == "statement":
            documents.append(statement(part, words, reading))
        else:
            documents += invoices(part, words, reading, layout.amounts_with_tax)
    if documents:
        documents[0].problems += misfits.told(off)
    return [one for one in documents if one.lines or one.entries or one.problems or one.number] or documents[
        :1
    ]


def _order(labs: Sequence[LabKnown | None], context: Context) -> str:
    """The order of dates of the labs that the file names; of all labs if it names none and all have the same."""
    known = [lab for lab in labs if lab is not None] or list(context.labs)
    orders = {lab.date_order for lab in known}
    return orders.pop() if len(orders) == 1 else ""


def _reading(
    part: Part, evidence: Evidence, wordings: Wordings, layout: Layout, lab: LabKnown | None
) -> Reading:
    name = layout.lab or (lab.name if lab is not None else "")
    unit = layout.weight_unit or (lab.weight_unit if lab is not None else "")
    return Reading(part, evidence, wordings, Told(part.grid.name), name, unit)
