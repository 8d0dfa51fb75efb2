"""Documents as read -> pieces of the table of invoice lines, under the practice's own names for labs and sites."""

from __future__ import annotations

import math
from array import array
from collections.abc import Iterable, Sequence
from dataclasses import replace

from feesheet.problems import Problem
from feesheet.reading.invoice_numbers import discreet_number
from feesheet.reading.invoices.context import Context
from feesheet.reading.invoices.document import Document, Entry, Line
from feesheet.reading.invoices.parties import NO_CHARGES, lab_of, site_of
from feesheet.reading.messages import DocumentFact, EntryFact, FileContent, MadeFact, Piece, Seen
from feesheet.reading.values import Column, Words
from feesheet.schema import NUMERIC_KINDS, Field
from feesheet.tables import INVOICE_LINES

_CENT = 0.005
_MADE = frozenset({"unit fee", "remake"})


def settled(result: FileContent, documents: Sequence[Document], file: str, context: Context) -> None:
    """Add what the documents hold to the file's content, each under its lab and site."""
    rows: dict[str, list[tuple[Line, Document]]] = {}
    labs: dict[str, str] = {}
    for document in documents:
        _without_carried(document)
        _without_names(document, context)
        result.problems += [replace(problem, file=file) for problem in document.problems]
        result.problems += _assumed(document, file)
        doubts = lab_of(document, file, context, labs.get(document.sheet, ""))
        labs[document.sheet] = document.lab
        doubts += [*site_of(document, file, context), *_identify(document, file)]
        empty = not document.lines and not document.entries
        result.problems += [_no_lines(document, file)] if empty else doubts
        rows.setdefault(document.sheet, []).extend((line, document) for line in document.lines)
        _add_facts(result, document)
    for sheet, lines in rows.items():
        first = next(document for document in documents if document.sheet == sheet)
        result.pieces.append(_piece(sheet, first, lines))
        result.seen.append(Seen(sheet, INVOICE_LINES.name, len(lines)))
    _drop_doubts(result.problems)


def _without_names(document: Document, context: Context) -> None:
    """Every invoice number without words that may be a patient's name."""
    named: list[Line | Entry] = [*document.lines, *document.entries]
    numbers = {document.number, *(one.invoice for one in named)}
    known = {number: discreet_number(number, context) for number in numbers}
    document.number = known[document.number]
    for one in named:
        one.invoice = known[one.invoice]


def _without_carried(document: Document) -> None:
    """Payments as what they take off, and an invoice's total without what was carried over to it from others."""
    carried = [line for line in document.lines if line.kind == "balance" and not math.isnan(line.amount)]
    for line in carried:
        line.amount = -abs(line.amount) if line.product == "payment" else line.amount
    if document.kind == "statement" or not carried or math.isnan(document.total):
        return
    over = math.fsum(line.amount for line in carried)
    charged = math.fsum(
        line.amount for line in document.lines if line.kind != "balance" and not math.isnan(line.amount)
    )
    if abs(charged + over - document.total) < _CENT <= abs(charged - document.total):
        document.total -= over


def _assumed(document: Document, file: str) -> list[Problem]:
    """What was taken from the evidence, as notices at the headings."""
    do = 'Nothing, if it is right; else set it for the lab on the sheet "Labs", or correct the file.'
    place = (file, document.sheet, f"row {document.header_row}")
    return [Problem("assumed", words, do, *place) for words in document.assumed]


def _identify(document: Document, file: str) -> list[Problem]:
    """Give every line its invoice and its day; a paper without a number is called by its file and sheet."""
    name = document.number or " ".join(
        filter(None, (file.rpartition("/")[2].rpartition(".")[0], document.sheet))
    )
    place = (file, document.sheet, f"row {document.header_row}")
    problems = []
    if (
        not document.number
        and document.kind != "statement"
        and not all(line.invoice for line in document.lines)
    ):
        what = f'The invoice shows no number; it is called "{name}" here.'
        problems.append(Problem("assumed", what, "Nothing, if no other file holds it too.", *place))
    for line in document.lines:
        line.invoice = line.invoice or name
    document.number = name
    return problems + _date(document, file)


def _date(document: Document, file: str) -> list[Problem]:
    """Give every line its day: its invoice's; on statements, and where the paper has none, its own, else the last line's."""
    own = [line.day for line in document.lines if not math.isnan(line.day)]
    keep = document.kind == "statement" or math.isnan(document.day)
    if math.isnan(document.day) and own:
        document.day = max(own)
    told = []
    if keep and len(set(own)) > 1 and document.kind != "statement":
        what = "The invoices have no date of their own: their lines keep theirs, and those without take the last."
        told = [
            Problem("assumed", what, "Nothing, if that is near enough for the month's metal prices.", file)
        ]
    return told + _days(document, file, keep)


def _days(document: Document, file: str, keep: bool) -> list[Problem]:
    undated = []
    for line in document.lines:
        line.day = line.day if keep and not math.isnan(line.day) else document.day
        if math.isnan(line.day) and line.kind not in NO_CHARGES:
            undated.append(line.row)
    if not undated or any(problem.kind in ("unclear date", "not a date") for problem in document.problems):
        return []
    what = f"{len(undated)} line(s), the first here, have no date, nor has their invoice."
    return [
        Problem("missing value", what, "Type the invoice date.", file, document.sheet, f"row {undated[0]}")
    ]


def _no_lines(document: Document, file: str) -> Problem:
    what = "No lines were found in this invoice."
    do = "If it has lines, the headings over them are not known here: rename them, or give the lab a reader of its own."
    return Problem("empty table", what, do, file, document.sheet, f"row {document.header_row}")


def _add_facts(result: FileContent, document: Document) -> None:
    """What the paper says of itself and of other papers, and what it says was made for whom."""
    cell = document.total_cell
    result.documents.append(
        DocumentFact(
            document.kind,
            document.lab,
            document.number,
            document.day,
            document.currency,
            document.total,
            document.repeats,
            document.replaces,
            document.sheet,
            cell or f"row {document.header_row}",
        )
    )
    result.entries += [
        EntryFact(document.lab, one.invoice, one.day, document.currency, one.amount, document.sheet, one.row)
        for one in document.entries
    ]
    result.made += [
        MadeFact(line.patient, document.lab, line.teeth, line.day, document.sheet, line.row)
        for line in document.lines
        if line.patient and line.teeth and line.kind in _MADE
    ]


def _piece(sheet: str, document: Document, lines: Sequence[tuple[Line, Document]]) -> Piece:
    """The lines of one sheet as columns of the table of invoice lines."""
    data = {field.name: _column(field, lines) for field in INVOICE_LINES.fields}
    rows = array("l", [line.row for line, _ in lines])
    return Piece(INVOICE_LINES.name, sheet, document.header_row, document.columns, rows, data)


_OF_DOCUMENT = frozenset({"lab", "site", "currency"})
_NAMES = {"date": "day"}


def _column(field: Field, lines: Iterable[tuple[Line, Document]]) -> Column:
    name = _NAMES.get(field.name, field.name)
    if name in _OF_DOCUMENT:
        return _words([getattr(document, name) for _, document in lines])
    values = [getattr(line, name) for line, _ in lines]
    return array("d", values) if field.kind in NUMERIC_KINDS or field.kind == "date" else _words(values)


def _words(values: Sequence[str]) -> Words:
    index: dict[str, int] = {}
    codes = array("i", [index.setdefault(value, len(index)) for value in values])
    return Words(list(index), codes)


def _drop_doubts(problems: list[Problem]) -> None:
    """Equal problems of one file once: many papers of one layout share what was taken from the evidence."""
    problems[:] = list(dict.fromkeys(problems))
