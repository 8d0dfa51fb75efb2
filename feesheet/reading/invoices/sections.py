"""The sheets of a file cut into papers: each invoice, credit note or statement with its own rows and letterhead."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Literal

from feesheet.reading.faults import shortest
from feesheet.reading.grids import Grid
from feesheet.reading.invoices import headings, labels
from feesheet.reading.invoices.headings import AMOUNTS, Heading
from feesheet.reading.invoices.labels import Fact, Said
from feesheet.reading.invoices.vocabulary import Title, Vocabulary, is_reference

_THINGS = ("description", "extra_text", "kind")
"""Fields that say what a row is about."""

Kind = Literal["invoice", "credit note", "statement"]


@dataclass
class Part:
    """One paper: rows `start` to `end` (from 0, without the last) of a sheet, what they say outside tables.

    `heading` is the one above the part, for a paper that has none of its own; `own_number` is the number in
    its letterhead, `is_listed` whether its labels are those of a statement; `names` are the words that may name
    the lab, once they have been looked for.
    """

    grid: Grid
    start: int
    end: int
    heading: Heading | None
    headings: dict[int, Heading] = field(default_factory=dict)
    said: dict[int, Said] = field(default_factory=dict)
    heard: list[tuple[int, Title]] = field(default_factory=list)
    own_number: str = ""
    is_listed: bool = False
    ends: bool = False
    filled: bool = False
    names: list[str] | None = None

    def hear(self, index: int, said: Said) -> None:
        """Keep what a row outside the table says; the first number is the paper's own."""
        self.said[index] = said
        for fact in said.facts:
            self.is_listed |= fact.field.startswith("statement")
            if fact.field == "invoice" and not self.own_number:
                self.own_number = labels.number(fact, self.grid)

    @property
    def titles(self) -> list[Title]:
        """What the paper says that it is, from its top."""
        return [title for _, title in self.heard]

    @property
    def first_heading(self) -> Heading | None:
        """The heading that the part's first table stands under."""
        return next(iter(self.headings.values()), self.heading)

    @property
    def kind(self) -> Kind:
        """What the paper is: what its title says; without one, what its labels and its headings show."""
        for title in self.titles:
            if title.kind in ("invoice", "credit note", "statement"):
                return title.kind  # type: ignore[return-value]
        if self.is_listed:
            return "statement"
        first = self.first_heading
        return "statement" if first is not None and not first.of_lines and first.of_entries else "invoice"

    @property
    def repeats(self) -> bool:
        """Whether the paper says that it is a copy."""
        return any(title.copy for title in self.titles)

    @property
    def replaces(self) -> bool:
        """Whether the paper says that it corrects an invoice of the same number."""
        return any(title.corrects for title in self.titles)

    def facts(self) -> list[Fact]:
        """All labels of the part with their values, from its top."""
        return [fact for one in self.said.values() for fact in one.facts]


def parts(grid: Grid, vocabulary: Vocabulary) -> list[Part]:
    """The papers of one sheet from its top; rows that hold no paper make none."""
    found = headings.find(grid, vocabulary)
    if not found and not any(_counts(grid, index, vocabulary) for index in range(min(60, len(grid.rows)))):
        return []
    cutter = _Cutter(grid, vocabulary, {one.top: one for one in found})
    cutter.run()
    sound = [part for part in cutter.done if part.headings or part.filled]
    for part in sound:
        references_as_cases(part)
    named = vocabulary.title(grid.name) if grid.name else None
    if named and sound and not sound[0].titles:
        sound[0].heard.append((0, named))
    return sound


def references_as_cases(part: Part) -> None:
    """A column headed only "Ref" or the like is of jobs where the letterhead of an invoice has its number."""
    if part.own_number and part.kind != "statement":
        part.headings = {top: _as_cases(part, heading) for top, heading in part.headings.items()}
        part.heading = _as_cases(part, part.heading) if part.heading else None


def _as_cases(part: Part, heading: Heading) -> Heading:
    at = heading.columns.get("invoice", -1)
    rows = part.grid.rows
    texts = [text for row in rows[heading.top : heading.bottom + 1] if (text := text_at(row, at))]
    numbers = {text_at(row, at) for row in rows[max(part.start, heading.bottom + 1) : part.end]}
    if not texts or not all(map(is_reference, texts)) or part.own_number in numbers:
        return heading
    columns = {name: column for name, column in heading.columns.items() if name != "invoice"}
    columns.setdefault("case", at)
    return replace(heading, columns=columns)


def _counts(grid: Grid, index: int, vocabulary: Vocabulary) -> bool:
    """Whether the row is one of totals, which a statement without a table consists of."""
    return bool(total_label(grid.rows[index], vocabulary)[0])


def total_label(row: Sequence[Any], vocabulary: Vocabulary) -> tuple[str, int]:
    """What sort of totals row a row is, and the column of the words that say so; ("", -1) for other rows."""
    for at, cell in enumerate(row):
        if type(cell) is str and cell:
            kind = vocabulary.total(cell)
            if kind:
                return kind, at
    return "", -1


def is_empty(row: Sequence[Any]) -> bool:
    """Whether a row has no cell with anything in it."""
    return not any(row) and row.count("") + row.count(None) == len(row)


def text_at(row: Sequence[Any], column: int) -> str:
    """The words of a cell, "" for a blank and where the row is shorter."""
    cell = row[column] if 0 <= column < len(row) else ""
    if type(cell) is str:
        return cell.strip()
    return "" if cell is None else shortest(cell)


class _Cutter:
    """Walks a sheet once and starts a new part where a new paper begins."""

    def __init__(self, grid: Grid, vocabulary: Vocabulary, found: dict[int, Heading]) -> None:
        self.grid, self.vocabulary, self.found = grid, vocabulary, found
        self.done = [Part(grid, 0, len(grid.rows), None)]
        self.last = -1
        self.heading: Heading | None = None
        self.money: list[int] = []
        self.things: frozenset[int] = frozenset()

    def run(self) -> None:
        """Look at every row."""
        skip = -1
        for index, row in enumerate(self.grid.rows):
            if index <= skip:
                continue
            heading = self.found.get(index)
            if heading is not None and (heading.of_lines or not self.is_invoice):
                self._enter(index, heading)
                skip = heading.bottom
                continue
            if not is_empty(row):
                self._row(index, row)

    @property
    def is_invoice(self) -> bool:
        """Whether the present part is known to be no statement, so that a list of invoices is only a letterhead."""
        part = self.done[-1]
        return any(title.kind in ("invoice", "credit note") for title in part.titles)

    def _enter(self, index: int, heading: Heading) -> None:
        self.heading = heading
        self.money = [
            at for name, at in heading.columns.items() if name in (*AMOUNTS, "unit_price", "balance")
        ]
        self.things = frozenset(heading.columns[name] for name in _THINGS if name in heading.columns)
        self.done[-1].headings[index] = heading
        self.last = heading.bottom

    def _row(self, index: int, row: Sequence[Any]) -> None:
        has_money = any(at < len(row) and row[at] not in ("", None) for at in self.money)
        said = labels.said(self.grid, index, self.vocabulary, self.things if has_money else frozenset())
        if said is not None and self._is_line(index, said, has_money):
            said = None
        if said is not None:
            self._hear(index, said)
        ends = False
        if has_money or not self.money:
            kind, _ = total_label(row, self.vocabulary)
            ends = kind in ("total", "due")
        if (has_money and said is None) or ends:
            self.last = index
            self.done[-1].filled = True
            self.done[-1].ends |= ends

    def _is_line(self, index: int, said: Said, has_money: bool) -> bool:
        """Whether a row that seems to hold a label is a line of the table: it has an amount and a product."""
        row = self.grid.rows[index]
        at = self.heading.columns.get("description", -1) if self.heading else -1
        if not has_money or not 0 <= at < len(row) or row[at] in ("", None):
            return False
        values = {fact.column for fact in said.facts if fact.row == index}
        is_value = at in values or any(column in values for column in self.money)
        return not is_value and self.vocabulary.label(str(row[at])) is None

    def _hear(self, index: int, said: Said) -> None:
        part = self.done[-1]
        if part.filled and self._begins(part, said):
            part = self._cut(index)
        part.hear(index, said)
        if said.title and (said.title.copy or not part.filled):
            part.heard.append((index, said.title))

    def _begins(self, part: Part, said: Said) -> bool:
        """Whether a row with labels, under a table, starts another paper."""
        if part.kind == "statement":
            return bool(part.ends and said.title and said.title.kind in ("invoice", "credit note"))
        if said.title and said.title.kind and (part.ends or said.title.kind == "statement"):
            return True
        number = next((labels.number(fact, self.grid) for fact in said.facts if fact.field == "invoice"), "")
        return bool(number) and (part.ends or number != part.own_number) and bool(part.own_number)

    def _cut(self, index: int) -> Part:
        """A new part, from the blank row after the last row of the old one."""
        between = range(self.last + 1, index)
        blank = next((at for at in between if is_empty(self.grid.rows[at])), None)
        start = blank if blank is not None else next(iter(between), index) if self.done[-1].ends else index
        self.done[-1].end = start
        part = Part(self.grid, start, len(self.grid.rows), self.heading)
        for at in [at for at in range(start, index) if at in self.done[-1].said]:
            part.hear(at, self.done[-1].said.pop(at))
        part.heard = [one for one in self.done[-1].heard if one[0] >= start]
        self.done[-1].heard = [one for one in self.done[-1].heard if one[0] < start]
        self.done.append(part)
        return part
