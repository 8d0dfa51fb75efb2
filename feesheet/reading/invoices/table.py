"""One paper's rows -> one document, or one for each invoice number of a table that lists several invoices."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from feesheet.problems import Problem
from feesheet.reading.gate import column_letters
from feesheet.reading.invoices import letterhead, totals
from feesheet.reading.invoices.columns import CENT, Columns, resolved
from feesheet.reading.invoices.document import Document, Line
from feesheet.reading.invoices.headings import Heading
from feesheet.reading.invoices.lines import Reading, lines_of, missing
from feesheet.reading.invoices.rows import Check, Item, Walked, walk
from feesheet.reading.invoices.sections import Part
from feesheet.reading.invoices.vocabulary import Vocabulary
from feesheet.reading.no_charge import told as told_free

_SHOWN = {
    "description": "product", "amount": "amount", "quantity": "units", "teeth": "teeth", "weight": "weight",
    "date": "date", "invoice": "invoice", "unit_price": "unit_price",
}  # fmt: skip


@dataclass
class Read:
    """The rows of one paper as lines: `by_row[n]` are those of the walk's item n."""

    walked: Walked
    by_row: list[list[Line]] = field(default_factory=list)
    columns: dict[int, Columns] = field(default_factory=dict)

    @property
    def lines(self) -> list[Line]:
        """All lines in the order of their rows."""
        return [line for some in self.by_row for line in some]

    @property
    def with_tax(self) -> bool:
        """Whether the amounts hold tax that can't be taken out row by row."""
        return any(columns.with_tax for columns in self.columns.values())


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
    for row, column in walked.crowns:
        missing(reading.told, row, column)
    for row, column in walked.unread:
        _unread(reading, row, column)
    return found


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


def _unread(reading: Reading, row: int, column: int) -> None:
    what = "This row holds an amount, but neither a product nor a total."
    reading.told.add(
        "not understood", what, "Look at it, and type what it is for if it was charged.", row, column
    )


def invoices(part: Part, vocabulary: Vocabulary, reading: Reading, with_tax: bool = False) -> list[Document]:
    """The invoices or credit notes of one paper."""
    read = read_rows(part, vocabulary, reading, with_tax)
    document = letterhead.document(part, reading, vocabulary)
    _own_numbers(read, document.number)
    _unnamed(read, reading)
    describe(document, read, reading, part)
    numbers = dict.fromkeys(line.invoice for line in read.lines)
    if len([number for number in numbers if number]) > 1 or (
        set(numbers) - {"", document.number} and not document.number
    ):
        return _several(document, read, reading)
    document.lines = read.lines
    _finish(document, read.walked.checks, read, reading)
    return [document]


def _own_numbers(read: Read, number: str) -> None:
    """Lines need not repeat the number of their own paper."""
    for line in read.lines:
        line.invoice = "" if line.invoice == number else line.invoice


def _unnamed(read: Read, reading: Reading) -> None:
    """A row with an amount and no words: a total without a name if it adds up, else told."""
    begun = 0
    for number, (item, lines) in enumerate(zip(read.walked.items, read.by_row, strict=True)):
        if not lines or item.text or lines[0].teeth or lines[0].product:
            continue
        sums = totals.sums_of(read.by_row[:number])
        fits = [one for first in (begun, 0) for one in sums.between(first, number)]
        amount, columns = lines[0].amount, read.columns[_key(item.heading)]
        if number and any(abs(one - amount) < CENT for one in fits):
            read.by_row[number] = []
            begun = number
        else:
            lines[0].kind = "note"
            _unread(reading, item.row, columns.column("amount"))


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


def _finish(document: Document, checks: Sequence[Check], read: Read, reading: Reading) -> None:
    """Hold the totals to the lines, and make a credit note's amounts negative."""
    sums = totals.sums_of(read.by_row)
    carried = [check for check in checks if check.kind in ("balance", "payment")]
    document.lines += [carried_line(check) for check in carried]
    totals.settle(document, checks, sums, read.walked.starts, reading.told, read.with_tax)
    if document.kind == "credit note" and math.fsum(_charges(document)) > 0:
        for line in document.lines:
            line.amount = -line.amount
        document.total, document.net = -document.total, -document.net
    document.problems += reading.told.problems()
    document.currency = document.currency or shown_currency(reading)


def carried_line(check: Check) -> Line:
    """What was carried over or paid, as a line that is no cost."""
    return Line(
        check.row + 1, "balance", "payment" if check.kind == "payment" else "previous balance", check.amount
    )


def _charges(document: Document) -> list[float]:
    return [line.amount for line in document.lines if line.kind != "balance"]


def shown_currency(reading: Reading) -> str:
    """The currency of the cells, where they all show one; several of one paper are for the reader of the problems."""
    shown = reading.currencies or reading.evidence.currencies
    return next(iter(shown)) if len(shown) == 1 else ""


def _several(document: Document, read: Read, reading: Reading) -> list[Document]:
    """A table of several invoices by their numbers; its totals hold all of them together."""
    found: dict[str, Document] = {}
    rows: dict[str, list[list[Line]]] = {}
    for lines in read.by_row:
        number = (lines[0].invoice or document.number) if lines else ""
        if lines:
            rows.setdefault(number, []).append(lines)
    for number, some in rows.items():
        one = replace(document, number=number, lines=[], assumed=[], problems=[], columns=document.columns)
        one.lines = [line for lines in some for line in lines]
        days = [line.day for line in one.lines if not math.isnan(line.day)]
        one.day = days[0] if days else document.day
        one.currency = document.currency or shown_currency(reading)
        found[number] = one
    first = next(iter(found.values()))
    first.assumed = document.assumed
    whole = replace(document, lines=[], assumed=[], problems=[])
    totals.settle(
        whole,
        read.walked.checks,
        totals.sums_of(read.by_row),
        read.walked.starts,
        reading.told,
        read.with_tax,
    )
    first.lines += [
        *whole.lines,
        *(carried_line(c) for c in read.walked.checks if c.kind in ("balance", "payment")),
    ]
    _hold_all(whole, read, reading)
    first.problems = document.problems + reading.told.problems()
    return list(found.values())


def _hold_all(whole: Document, read: Read, reading: Reading) -> None:
    """The total of a table of several invoices, held to all of its lines."""
    check = next((one for one in reversed(read.walked.checks) if one.kind == "total"), None)
    if check is not None:
        sums = totals.sums_of([*read.by_row, whole.lines])
        fits = sums.between(0, len(sums.amounts))
        if min(abs(check.amount - one) for one in fits) > CENT:
            totals.differs(check, fits[1], reading.told)
