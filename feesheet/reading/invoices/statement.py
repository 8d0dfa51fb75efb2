"""A lab's statement: what was carried over and paid, the invoices it lists or repeats, and what is due."""

from __future__ import annotations

import math

from feesheet.reading.gate import column_letters
from feesheet.reading.invoices import letterhead, totals
from feesheet.reading.invoices.columns import CENT
from feesheet.reading.invoices.document import Document, Entry, Line
from feesheet.reading.invoices.groups import Read, carried_line, shown_currency
from feesheet.reading.invoices.rows import Item
from feesheet.reading.invoices.sections import Part
from feesheet.reading.invoices.table import describe, read_rows
from feesheet.reading.invoices.total_rows import Check
from feesheet.reading.invoices.vocabulary import Vocabulary
from feesheet.reading.invoices.wordings import Reading

_CARRIED = frozenset({"balance", "payment"})


def statement(part: Part, vocabulary: Vocabulary, reading: Reading) -> Document:
    """The statement of one part. Its amount due becomes the document's total, a control and never a cost."""
    read = read_rows(part, vocabulary, reading, False)
    document = letterhead.document(part, reading, vocabulary)
    document.kind = "statement"
    for item, lines in zip(read.walked.items, read.by_row, strict=True):
        if lines:
            _take(document, item, lines, vocabulary)
    charges = [check.amount for check in read.walked.checks if check.kind == "charges"]
    document.lines += [carried_line(check) for check in read.walked.checks if check.kind in _CARRIED]
    _unlisted(document, charges, read)
    due = _due(read)
    if due is not None:
        document.total, document.total_cell = due.amount, f"{column_letters(due.column + 1)}{due.row + 1}"
    _hold(document, read, due, reading)
    describe(document, read, reading, part)
    document.problems += reading.told.problems()
    document.currency = document.currency or shown_currency(reading)
    return document


def _take(
    document: Document,
    item: Item,
    lines: list[Line],
    vocabulary: Vocabulary,
) -> None:
    """A row of a statement: an invoice that it lists, all charges together, or a line of its own."""
    number = lines[0].invoice or _number_in(item, vocabulary)
    if number and _lists(item, lines[0], vocabulary):
        document.entries.append(Entry(number, lines[0].amount, lines[0].row, lines[0].day))
        return
    document.lines += lines


def _number_in(item: Item, vocabulary: Vocabulary) -> str:
    label = vocabulary.label(item.text) if item.text else None
    return label.value if label is not None and label.field == "invoice" else ""


def _lists(item: Item, line: Line, vocabulary: Vocabulary) -> bool:
    """Whether the row stands for a whole invoice: it names no product and no teeth, and is no charge of another kind."""
    if line.teeth or line.kind in ("finance charge", "deposit"):
        return False
    label = vocabulary.label(item.text) if item.text else None
    title = vocabulary.title(item.text) if item.text else None
    is_named = label is not None and label.field == "invoice"
    has_product = "description" in item.heading.columns and bool(item.text)
    return not has_product or is_named or bool(title and title.kind) or line.kind in ("credit", "note")


def _unlisted(document: Document, charges: list[float], read: Read) -> None:
    """Charges that no listed invoice and no line stand for become one line, so that they are not lost."""
    listed = document.entries or any(
        line.kind not in ("balance", "finance charge") for line in document.lines
    )
    if charges and not listed:
        row = (
            next((check.row for check in read.walked.checks if check.kind == "charges"), document.header_row)
            + 1
        )
        document.lines.append(Line(row, "extra", "charges", math.fsum(charges)))


def _due(read: Read) -> Check | None:
    """The amount due; without one, the last total."""
    for kind in ("due", "total"):
        found = [check for check in read.walked.checks if check.kind == kind]
        if found:
            return found[-1]
    return None


def _hold(document: Document, read: Read, due: Check | None, reading: Reading) -> None:
    """Whether what was carried over, paid and charged adds up to what is due."""
    if due is None:
        return
    listed = {entry.invoice for entry in document.entries}
    lines = [line.amount for line in document.lines if line.invoice not in listed or not line.invoice]
    charged = math.fsum([*lines, *(entry.amount for entry in document.entries)])
    payments = math.fsum(
        line.amount for line in document.lines if line.product == "payment" and line.amount > 0
    )
    fits = (charged, charged - 2 * payments, charged - math.fsum(_carried(document)))
    if min(abs(due.amount - one) for one in fits) > CENT:
        totals.differs(due, charged, reading.told)


def _carried(document: Document) -> list[float]:
    return [line.amount for line in document.lines if line.kind == "balance"]
