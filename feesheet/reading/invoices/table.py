"""One paper's rows -> one document, or one for each invoice number of a table that lists several invoices."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Sequence
from itertools import pairwise

from feesheet.problems import Problem
from feesheet.reading.gate import column_letters
from feesheet.reading.invoices import letterhead, odd_rows, totals
from feesheet.reading.invoices.amounts import missing
from feesheet.reading.invoices.columns import CENT, Columns, resolved
from feesheet.reading.invoices.document import Document, Line
from feesheet.reading.invoices.groups import Read, grouped
from feesheet.reading.invoices.headings import Heading
from feesheet.reading.invoices.lines import lines_of
from feesheet.reading.invoices.rows import Item, walk
from feesheet.reading.invoices.sections import Part, text_at
from feesheet.reading.invoices.vocabulary import Vocabulary
from feesheet.reading.invoices.wordings import Reading
from feesheet.reading.no_charge import told as told_free

_SHOWN = {
    "description": "product", "amount": "amount", "quantity": "units", "teeth": "teeth", "weight": "weight",
    "date": "date", "invoice": "invoice", "unit_price": "unit_price",
}  # fmt: skip

_OF_CASE = frozenset({"unit fee", "extra", "alloy", "alloy surcharge"})
"""Kinds of line that are of one case."""


def read_rows(part: Part, vocabulary: Vocabulary, reading: Reading, with_tax: bool) -> Read:
    """Walk the part's rows and read every line in them."""
    walked = walk(part, vocabulary, reading.evidence, reading.context)
    found = Read(walked)
    sums = [check.amount for check in walked.checks]
    for key, (heading, items) in _under_headings(walked.items).items():
        columns = resolved(part, heading, items, sums, reading.evidence, reading.context)
        columns.with_tax |= with_tax
        found.columns[key] = columns
    keys: dict[int, Columns] = {}
    for item in walked.items:
        columns_ = keys.get(id(item.heading))
        if columns_ is None:
            columns_ = keys[id(item.heading)] = found.columns[_key(item.heading)]
        found.by_row.append(lines_of(item, columns_, reading))
    _carry_cases(found)
    _unpaid(found, reading)
    _bare_headings(found, reading)
    for row, column in walked.crowns:
        missing(reading.told, row, column)
    for row, column, why in walked.unread:
        _unread(reading, row, column, why)
    return found


def _carry_cases(read: Read) -> None:
    """A row without a case belongs to that of the row above, unless it is a charge on the whole invoice."""
    above: Line | None = None
    block = -1
    for item, lines in zip(read.walked.items, read.by_row, strict=True):
        if not lines:
            continue
        line = lines[0]
        goes_on = above is not None and item.block == block and line.invoice in ("", above.invoice)
        if goes_on and above is not None and not line.case and line.kind in _OF_CASE:
            for one in lines:
                one.case = above.case
        above, block = line, item.block


def _key(heading: Heading) -> int:
    return hash(tuple(sorted(heading.columns.items())))


def _under_headings(items: Sequence[Item]) -> dict[int, tuple[Heading, list[Item]]]:
    """The items by their heading; one that is repeated on each page is one."""
    found: dict[int, tuple[Heading, list[Item]]] = {}
    last, some = None, []
    for item in items:
        if item.heading is not last:
            last = item.heading
            some = found.setdefault(_key(last), (last, []))[1]
        some.append(item)
    return found


def _unread(reading: Reading, row: int, column: int, why: str) -> None:
    do = "Look at it, and type what it is for if it was charged."
    reading.told.add("not understood", why, do, row, column)


def invoices(part: Part, vocabulary: Vocabulary, reading: Reading, with_tax: bool = False) -> list[Document]:
    """The invoices or credit notes of one paper."""
    reading.is_credit = part.kind == "credit note"
    read = read_rows(part, vocabulary, reading, with_tax)
    document = letterhead.document(part, reading, vocabulary)
    _unnamed(read, reading)
    describe(document, read, reading, part)
    return grouped(document, read, reading)


def _unpaid(read: Read, reading: Reading) -> None:
    """A row whose amount is blank, but that holds a price or another figure, is told."""
    rows = reading.part.grid.rows
    for item, lines in zip(read.walked.items, read.by_row, strict=True):
        if not lines or any(line.amount for line in lines):
            continue
        columns, row = read.columns[_key(item.heading)], rows[item.row]
        is_blank = text_at(row, columns.column("amount")) == "" and not columns.multiplies
        at = odd_rows.unpaid(row, columns.at, item.text, reading.evidence) if is_blank else -1
        if at >= 0:
            _unread(reading, item.row, at, odd_rows.NO_AMOUNT)


def _bare_headings(read: Read, reading: Reading) -> None:
    """Tell of headings on a further page below which no row stands."""
    walked = read.walked
    filled = sorted([item.row for item in walked.items] + [check.row for check in walked.checks])
    tops = [*reading.part.headings, reading.part.end]
    for top, end in pairwise(tops[1:]):
        at = bisect_left(filled, top)
        if at == len(filled) or filled[at] >= end:
            what = "No row stands below these headings: some may be missing."
            reading.told.add("not understood", what, "Compare the file with the lab's own paper.", top, -1)


def _unnamed(read: Read, reading: Reading) -> None:
    """A row with an amount and no words: a total without a name if it adds up, else told.

    In a table without a column of products, rows with a quantity or a price are lines.
    """
    sums, begun = totals.sums_of(read.by_row), 0
    for number, (item, lines) in enumerate(zip(read.walked.items, read.by_row, strict=True)):
        if not lines or item.text or lines[0].teeth or lines[0].product:
            continue
        columns = read.columns[_key(item.heading)]
        if "description" not in columns.at and not math.isnan(lines[0].units * lines[0].unit_price):
            continue
        fits = [one for first in (begun, 0) for one in sums.between(first, number)]
        if lines[0].amount == 0:
            read.by_row[number] = []
        elif number and any(abs(one - lines[0].amount) < CENT for one in fits):
            read.by_row[number] = []
            begun = number + 1
        else:
            lines[0].kind = "note"
            _unread(reading, item.row, columns.column("amount"), odd_rows.NEITHER)


def describe(document: Document, read: Read, reading: Reading, part: Part) -> None:
    """What columns are, what was assumed or must be asked, words for no charge."""
    for columns in read.columns.values():
        document.assumed += [words for words in columns.assumed if words not in document.assumed]
        if columns.asks:
            do = "Ask the lab for a table that has the column, or add one."
            place = ("", part.grid.name, f"row {document.header_row}")
            document.problems.append(Problem("missing column", columns.asks, do, *place))
        document.columns = {
            field_: column_letters(columns.at[name] + 1)
            for name, field_ in _SHOWN.items()
            if name in columns.at
        }
    if reading.free:
        cells = reading.free
        texts = [str(part.grid.rows[row][at]) for row, at in cells]
        place = ("", part.grid.name, f"{column_letters(cells[0][1] + 1)}{cells[0][0] + 1}")
        document.problems.append(told_free(list(dict.fromkeys(texts)), len(cells), place))
