"""The rows of one paper: which are lines, which go on with the line above, which are totals, labels or notes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from feesheet.reading.faults import shortest
from feesheet.reading.invoices import labels, odd_rows, words
from feesheet.reading.invoices.context import Context
from feesheet.reading.invoices.evidence import Evidence, Trouble
from feesheet.reading.invoices.headings import AMOUNTS, Heading
from feesheet.reading.invoices.sections import Part, is_empty, text_at, total_label
from feesheet.reading.invoices.total_rows import Check, TotalRows, ageing_rows, amount_in, is_product
from feesheet.reading.invoices.vocabulary import Vocabulary, label_words
from feesheet.schema import plain

_OWN = ("teeth", "quantity", "unit_price", "weight", "alloy_price")
"""Fields besides an amount that make a row a line of its own."""
_GOES_ON = (
    "-",
    ",",
    "/",
    "&",
    "+",
    "(",
    *(f" {word}" for word in ("and", "with", "mit", "und", "et", "con", "y", "e", "en", "met")),
)
"""Ends of a text that goes on in the next row."""


@dataclass(slots=True)
class Item:
    """A row that is a line: its row (from 0), its whole description, the heading and the labels above it.

    Rows of one `block` follow each other without a blank row, a label or a total between them.
    """

    row: int
    text: str
    heading: Heading
    case: str = ""
    patient: str = ""
    invoice: str = ""
    block: int = 0


@dataclass
class Walked:
    """All that the rows of a paper hold; `starts` are the numbers of lines at which a case begins.

    `unread` are cells of amounts in rows that are neither lines nor totals, with the reason; `crowns` rows that
    name a crown without an amount.
    """

    items: list[Item] = field(default_factory=list)
    checks: list[Check] = field(default_factory=list)
    starts: list[int] = field(default_factory=lambda: [0])
    unread: list[tuple[int, int, str]] = field(default_factory=list)
    crowns: list[tuple[int, int]] = field(default_factory=list)


def walk(part: Part, vocabulary: Vocabulary, evidence: Evidence, context: Context) -> Walked:
    """Look at every row of the part once."""
    walker = _Walker(part, vocabulary, evidence, context)
    walker.run()
    return walker.found


class _Walker:
    def __init__(self, part: Part, vocabulary: Vocabulary, evidence: Evidence, context: Context) -> None:
        self.part, self.vocabulary, self.evidence, self.context = part, vocabulary, evidence, context
        self.rows = part.grid.rows
        self.is_statement = part.kind == "statement"
        self.found = Walked()
        self.case = self.patient = self.invoice = self.waiting = ""
        self.open = False
        self.block = 0
        self.skip = -1
        self._under(part.heading)

    def _under(self, heading: Heading | None) -> None:
        self.heading = heading
        columns = heading.columns if heading else {}
        self.description = columns.get("description", -1)
        doubles = heading.doubles if heading else ()
        money = [*columns.items(), *doubles]
        self.money = [at for name, at in money if name in AMOUNTS or name == "balance"]
        self.own = [columns[name] for name in _OWN if name in columns]
        self.unknown = heading.unknown if heading else ()

    def run(self) -> None:
        """Every row, headings that are repeated on each page left out."""
        for index in range(self.part.start, self.part.end):
            heading = self.part.headings.get(index)
            if heading is not None:
                self._under(heading)
                self.skip = heading.bottom
            if index > self.skip:
                self._row(index, self.rows[index])

    def _row(self, index: int, row: Sequence[Any]) -> None:
        if is_empty(row):
            self._break()
            return
        said = self.part.said.get(index)
        if self.heading is None and self._is_above(index, row):
            return
        if said is not None and said.facts and self._labels(index, row, said):
            return
        ageing = ageing_rows(row, self._next(index), self.vocabulary)
        if ageing:
            self.skip = index + ageing - 1
            self.open = False
            return
        kind, at = total_label(row, self.vocabulary)
        if self.is_statement and self._are_charges(index, row):
            return
        if kind and not is_product(kind, row, at, self.heading, self.vocabulary, self.evidence):
            self._total(kind, index, at, row)
        elif self.heading is not None:
            self._line(index, row, self.heading)

    def _is_above(self, index: int, row: Sequence[Any]) -> bool:
        """Whether a row above the first headings looks like a line under them, which is told."""
        first = self.part.first_heading
        at = odd_rows.is_above(row, first, self.evidence, self.vocabulary) if first is not None else -1
        if at >= 0:
            self.found.unread.append((index, at, odd_rows.ABOVE))
        return at >= 0

    def _break(self) -> None:
        """What follows does not go on with what is above."""
        self.open, self.waiting = False, ""
        self.block += 1

    def _labels(self, index: int, row: Sequence[Any], said: labels.Said) -> bool:
        """Take case, patient and invoice from a row of labels; whether nothing else stands in the row."""
        values = set()
        for fact in said.facts:
            values.add(fact.column if fact.row == index else -1)
            if fact.field == "case":
                text = labels.code(fact.value, fact.row, fact.column, self.part.grid)
                self.case = self.context.hashed(text)
                self.found.starts.append(len(self.found.items))
            elif fact.field == "patient":
                self.patient = self.context.hashed(shortest(fact.value))
            elif fact.field == "invoice":
                self.invoice = labels.number(fact, self.part.grid)
        self._break()
        money = [at for at in self.money if at < len(row) and row[at] not in ("", None) and at not in values]
        if money and self.is_statement and self.heading is not None:
            self.found.items.append(Item(index, "", self.heading, self.case, self.patient, self.invoice))
        elif money and not math.isnan(self.evidence.plain_number(row[money[-1]])):
            self.found.unread.append((index, money[-1], odd_rows.NEITHER))
        return True

    def _total(self, kind: str, index: int, at: int, row: Sequence[Any]) -> None:
        """Keep a row of totals as a check; labels of totals side by side have their amounts in the row below."""
        self._break()
        reader = TotalRows(self.heading, self.vocabulary, self.evidence, len(self.found.items))
        checks = reader.beside(kind, index, at, row)
        if not checks:
            checks = reader.below(index, row, self._next(index))
            self.skip = index + 1 if checks else self.skip
        if not checks:
            odd = [one for one in self.money if one < len(row) and one != at and row[one] not in ("", None)]
            self.found.unread += [(index, one, odd_rows.NO_FIGURE) for one in odd[:1]]
        self.found.checks += checks

    def _next(self, index: int) -> Sequence[Any]:
        return self.rows[index + 1] if index + 1 < self.part.end else ()

    def _line(self, index: int, row: Sequence[Any], heading: Heading) -> None:
        width = len(row)
        text = text_at(row, self.description)
        has_money = any(at < width and row[at] not in ("", None) for at in self.money)
        if has_money or self._has_own(row):
            whole = text or self.waiting or odd_rows.charge_named(row, heading, self.context)
            if not whole and self._are_words(row):
                return
            self.found.items.append(
                Item(index, whole, heading, self.case, self.patient, self.invoice, self.block)
            )
            self.open, self.waiting = True, ""
        elif (at := odd_rows.unpaid(row, heading.columns, text, self.evidence)) >= 0:
            self.found.unread.append((index, at, odd_rows.NO_AMOUNT))
        elif text:
            self._words(index, text)
        else:
            self.open = False

    def _are_words(self, row: Sequence[Any]) -> bool:
        """Whether no amount, quantity or price stands in the row, only words such as "Page 2 of 4"."""
        cells = [row[at] for at in (*self.money, *self.own) if at < len(row) and row[at] not in ("", None)]
        return all(
            isinstance(cell, str) and self.evidence.number(cell) == Trouble("not a number") for cell in cells
        )

    def _has_own(self, row: Sequence[Any]) -> bool:
        """Whether the row has teeth, a quantity or a price, or a number under a heading that is not known."""
        width = len(row)
        return any(at < width and row[at] not in ("", None) for at in self.own) or any(
            at < width and isinstance(self.evidence.number(row[at]), float) for at in self.unknown
        )

    def _words(self, index: int, text: str) -> None:
        """A row of words alone: the line above goes on, or the next begins, or a crown has no amount, or a note."""
        last = self.found.items[-1] if self.open and self.found.items else None
        goes_on = last is not None and (
            last.text.endswith(_GOES_ON) or text[:1].islower() or text[:1] in "(&+,/-"
        )
        if last is not None and (goes_on or not self._is_second_crown(last.text, text)):
            last.text = f"{last.text} {text}".strip()
        elif last is None and self._begins(index):
            self.waiting = f"{self.waiting} {text}".strip()
        elif words.is_crown(text, self.context):
            self.found.crowns.append((index, self.description))

    def _is_second_crown(self, above: str, text: str) -> bool:
        return words.is_crown(text, self.context) and words.is_crown(above, self.context)

    def _begins(self, index: int) -> bool:
        """Whether the next row has an amount and no words, or more words before such a row."""
        for row in self.rows[index + 1 : min(index + 4, self.part.end)]:
            has_money = any(at < len(row) and row[at] not in ("", None) for at in self.money)
            if has_money or not text_at(row, self.description):
                return has_money and not text_at(row, self.description)
        return False

    def _are_charges(self, index: int, row: Sequence[Any]) -> bool:
        """Keep all charges of a statement that stand beside their word; whether the row holds them."""
        at = next((at for at, cell in enumerate(row) if isinstance(cell, str) and is_charges(cell)), -1)
        column, amount = amount_in(row, at, self.heading, self.evidence) if at >= 0 else (-1, math.nan)
        if not math.isnan(amount):
            self._break()
            self.found.checks.append(
                Check("charges", index, column, amount, "charges", len(self.found.items))
            )
        return not math.isnan(amount)


def is_charges(text: str) -> bool:
    """Whether the words mean all charges of a statement together."""
    return plain(text.partition(":")[0]) in label_words("charges")
