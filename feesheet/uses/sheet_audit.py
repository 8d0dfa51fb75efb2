"""The audit of one sheet: its cells as they are now against its seals, its stored values against the engine's."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from feesheet.formula.excel import at_rows
from feesheet.uses.delivered import Delivered, Span, address
from feesheet.uses.engine import Engine, Grid, canonical, error_name
from feesheet.uses.findings import Finding, FindingKind, figure
from feesheet.uses.moved_rows import Step, origin, steps
from feesheet.writing.seals import BLANK, marked, seal_of_formula, seal_of_value

TOLERANCE = 1e-9
"""How far a stored figure may be from the engine's: a share of its size, or as it is where the size is under 1."""

_FIRST_DAY = date(1899, 12, 30)
_HEAD = {2: "the check line", 3: "the state line"}


def plain(value: Any) -> Any:
    """A value as it was sealed: days as numbers, truths as words, no value as an empty text."""
    if isinstance(value, datetime):
        return (value.date() - _FIRST_DAY).days + (
            value - datetime.combine(value.date(), datetime.min.time())
        ).seconds / 86400
    if isinstance(value, date):
        return (value - _FIRST_DAY).days
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    return "" if value is None else value


def alike(stored: Any, given: Any) -> bool:
    """Whether two values are the same: figures to the tolerance, words exactly, nothing and an empty text alike."""
    a, b = plain(stored), plain(given)
    if isinstance(a, (int, float)) and isinstance(b, (int, float)):
        return abs(a - b) <= TOLERANCE * max(1.0, abs(a), abs(b))
    return bool(a == b)


@dataclass
class Look:
    """A sheet as it is now, its rows put back where they were issued; `now[r - 1]` is where row r stands, 0 nowhere."""

    sheet: str
    steps: list[Step]
    now: list[int]
    known: dict[Any, str] = field(default_factory=dict)

    @classmethod
    def of(cls, book: Delivered, sheet: str) -> Look:
        """Look for rows put in or taken out."""
        rows, sealed = book.grid(sheet), book.seals[sheet]
        facts = _facts(book.spans, sheet)
        known: dict[Any, str] = {"": BLANK}

        def agrees(issued: int, now: int) -> bool:
            if not 1 <= now <= len(rows):
                return False
            here, text = rows[now - 1], sealed[issued]
            return all(
                _seal(here[c], known) == text[2 * c : 2 * c + 2] for c in facts[issued] if c < len(here)
            )

        found = steps([row for row in sorted(sealed) if facts.get(row)], agrees)
        last = max([*sealed, *(span.last_row for span in book.spans if span.sheet == sheet)])
        return cls(sheet, found, origin(last, found), known)


def _facts(spans: list[Span], sheet: str) -> dict[int, list[int]]:
    """The columns of facts by row."""
    found: dict[int, list[int]] = {}
    by_table: dict[tuple[int, int], list[int]] = {}
    for span in spans:
        if span.sheet == sheet:
            by_table.setdefault((span.first_row, span.last_row), []).extend(
                [] if span.calculated else [span.column]
            )
    for (first, last), columns in by_table.items():
        found.update(dict.fromkeys(range(first, last + 1), columns))
    return found


def _seal(value: Any, known: dict[Any, str]) -> str:
    """The seal of a value as it stands in a sheet; each value is sealed once."""
    if value.__class__ is bool:
        return seal_of_value(plain(value))
    found = known.get(value)
    if found is None:
        found = known[value] = seal_of_value(plain(value))
    return found


class SheetAudit:
    """One sheet while it is audited. With `loose`, formulas are not held against seals: moved rows change them all."""

    def __init__(self, book: Delivered, look: Look, engine: Engine, loose: bool) -> None:
        """Take the sheet's values, formulas and the engine's figures."""
        self.book, self.look, self.loose, self.sheet = book, look, loose, look.sheet
        self.formulas = self.sealed = self.stored = 0
        self._values: Grid = []
        self._made: Grid = []
        self._given: Grid = []
        self._engine = engine
        self._texts = book.seals[self.sheet]

    def findings(self) -> list[Finding]:
        """All that is found on the sheet, from the top down."""
        self._take()
        found = [*self._moves(), *self._loose_cells()]
        for spans in self._tables():
            off = self._headings(spans)
            found += off
            if not any(finding.kind == "columns moved" for finding in off):
                for span in spans:
                    found += self._formulas(span) if span.calculated else self._facts(span)
        self._values, self._made, self._given = [], [], []
        self.book.forget(self.sheet)
        return found

    def _take(self) -> None:
        values = self.book.grid(self.sheet)
        wide = max(len(values[0]) if values else 1, max(len(text) // 2 for text in self._texts.values()))
        made = self._engine.formulas(self.sheet, max(len(values), 1), wide)
        given = self._engine.values(self.sheet, max(len(values), 1), wide)
        self._values = self._put_back(values, wide)
        self._made, self._given = self._put_back(made, wide), self._put_back(given, wide)

    def _put_back(self, rows: Grid, wide: int) -> Grid:
        """The rows where they were issued; those not there are blank."""
        blank: list[Any] = [""] * wide
        if rows and len(rows[0]) < wide:
            rows = [[*row, *blank[len(row) :]] for row in rows]
        return [rows[at - 1] if 0 < at <= len(rows) else blank for at in self.look.now]

    def _tables(self) -> list[list[Span]]:
        tables: dict[str, list[Span]] = {}
        for span in self.book.spans:
            if span.sheet == self.sheet:
                tables.setdefault(span.block, []).append(span)
        return list(tables.values())

    def _moves(self) -> Iterator[Finding]:
        for step in self.look.steps:
            many = f"{abs(step.by)} row{'s were' if abs(step.by) > 1 else ' was'}"
            at = f"row {step.row}"
            what = f"{many} put in here." if step.by > 0 else f"{many} taken out here."
            yield Finding(self.sheet, at, "", what, "rows moved")

    def _headings(self, spans: list[Span]) -> list[Finding]:
        """Headings that are not where they were issued; more than one means that the columns moved."""
        row = spans[0].first_row - 1
        off = [
            span
            for span in spans
            if not str(self._at(self._values, row, span.column)).startswith(span.heading)
        ]
        if len(off) > 1:
            first = off[0]
            what = f"the headings from “{first.heading}” on do not stand where they were issued; the table is not audited further."
            return [self._finding(row, first.column, spans[0].table, what, "columns moved")]
        return [
            self._finding(
                row,
                span.column,
                span.heading,
                f"the heading was typed over with {figure(self._at(self._values, row, span.column))}.",
                "typed over",
            )
            for span in off
        ]

    def _at(self, grid: Grid, row: int, column: int) -> Any:
        return grid[row - 1][column] if row <= len(grid) else ""

    def _finding(self, row: int, column: int, heading: str, what: str, kind: FindingKind) -> Finding:
        return Finding(self.sheet, address(self.look.now[row - 1] or row, column), heading, what, kind)

    def _rows(self, span: Span) -> Iterator[tuple[int, str]]:
        """The sealed rows of a column that are still there, each with the column's seal."""
        now, texts, at = self.look.now, self._texts, 2 * span.column
        for row in range(span.first_row, span.last_row + 1):
            if row in texts and now[row - 1]:
                yield row, texts[row][at : at + 2]

    def _facts(self, span: Span) -> Iterator[Finding]:
        column, values, made, known = span.column, self._values, self._made, self.look.known
        for row, issued in self._rows(span):
            self.sealed += 1
            value = values[row - 1][column]
            if made[row - 1][column]:
                yield self._typed(
                    row, span, f"typed over with the formula ={made[row - 1][column]}; issued as typed."
                )
            elif _seal(value, known) != issued:
                yield self._typed(row, span, f"typed over with {figure(value)}{self._issued(span, row)}.")

    def _issued(self, span: Span, row: int) -> str:
        """What the Inputs sheet says a figure was; no other fact is kept twice."""
        names = {"inputs.value": "as_issued", "choices.basis": "basis_issued"}
        if span.key not in names:
            return ""
        twin = self.book.block(span.block)[names[span.key]]
        which = self._values[row - 1][0]
        return f"; issued as {figure(self._values[row - 1][twin.column])}. It is {figure(which)}"

    def _formulas(self, span: Span) -> Iterator[Finding]:
        column, values, made, given = span.column, self._values, self._made, self._given
        known_seal, expected = self._as_issued(span)
        for row, issued in self._rows(span):
            self.sealed += 1
            text, stored, now = made[row - 1][column], values[row - 1][column], given[row - 1][column]
            if expected is None or issued != known_seal or text != expected(row):
                if not text:
                    yield self._typed(row, span, f"typed over with {figure(stored)}; issued as a formula.")
                    continue
                if not self.loose:
                    if seal_of_formula(text, row) != issued:
                        yield self._typed(
                            row, span, f"typed over with the formula ={text}; issued as another one."
                        )
                    else:
                        known_seal, expected = issued, at_rows(marked(text, row))
            yield from self._recalculated(row, span.column, span.heading, stored, now)

    def _as_issued(self, span: Span) -> tuple[str, Callable[[int], str] | None]:
        """The seal of the method list's formula and the formula of every row, spelled as the engine spells it."""
        if not span.formula or self.loose:
            return "", None
        text = canonical(span.formula)
        return seal_of_formula(span.formula, span.first_row), at_rows(
            marked(text, span.first_row)
        ) if text else None

    def _recalculated(
        self, row: int, column: int, heading: str, stored: Any, given: Any
    ) -> Iterator[Finding]:
        self.formulas += 1
        if stored != "":
            self.stored += 1
        if stored == given or alike(stored, given):
            return
        if error := error_name(given):
            yield self._finding(row, column, heading, f"the formula gives {error}.", "error")
        else:
            what = f"the stored value is {figure(stored)}; the formula gives {figure(given)}."
            yield self._finding(row, column, heading, what, "differs")

    def _typed(self, row: int, span: Span, what: str) -> Finding:
        return self._finding(row, span.column, span.heading, what, "typed over")

    def _loose_cells(self) -> Iterator[Finding]:
        """The sealed cells outside the tables: the first lines of the sheet and the tiles, all formulas."""
        inside = {
            row
            for span in self.book.spans
            if span.sheet == self.sheet
            for row in (span.first_row, span.last_row)
        }
        first = min(inside, default=0)
        for row in sorted(row for row in self._texts if row < first):
            for column in range(len(self._texts[row]) // 2):
                issued = self._texts[row][2 * column : 2 * column + 2]
                if issued != BLANK:
                    yield from self._loose_cell(row, column, issued)

    def _loose_cell(self, row: int, column: int, issued: str) -> Iterator[Finding]:
        self.sealed += 1
        text, stored = self._made[row - 1][column], self._values[row - 1][column]
        heading = _HEAD.get(row) or self._label(row, column)
        if not text:
            yield self._finding(
                row, column, heading, f"typed over with {figure(stored)}; issued as a formula.", "typed over"
            )
            return
        if not self.loose and seal_of_formula(text, row) != issued:
            what = f"typed over with the formula ={text}; issued as another one."
            yield self._finding(row, column, heading, what, "typed over")
        yield from self._recalculated(row, column, heading, stored, self._given[row - 1][column])

    def _label(self, row: int, column: int) -> str:
        """The nearest words above that were no formula."""
        above = ((self._values[at - 1][column], self._made[at - 1][column]) for at in range(row - 1, 0, -1))
        return next((str(value) for value, made in above if value and not made), "")
