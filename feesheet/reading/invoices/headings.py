"""Where the headings of a sheet's tables stand, however many banners are above them, and what they name."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from feesheet.number_words import taken_apart
from feesheet.reading.grids import Grid, Marked
from feesheet.reading.invoices.vocabulary import Vocabulary

AMOUNTS = ("amount", "net", "gross", "charges", "credits", "alloy_amount")
"""Fields that hold money of a line."""
PEOPLE = ("patient", "person")
_THINGS = ("description", "invoice", "teeth", "date")
LONGEST = 60
"""A heading has no more letters."""


@dataclass(frozen=True)
class Heading:
    """The headings of one table: rows `top` to `bottom` (from 0), the column of each field.

    `unknown` are columns with a heading that no list knows, `blank` those without one, `people` those whose
    headings name persons: they are read for nothing. `doubles` are further columns of a field.
    """

    top: int
    bottom: int
    columns: dict[str, int]
    unknown: tuple[int, ...] = ()
    people: frozenset[int] = frozenset()
    doubles: tuple[tuple[str, int], ...] = ()

    @property
    def has_amount(self) -> bool:
        """Whether a column is for money."""
        return any(name in self.columns for name in (*AMOUNTS, "unit_price"))

    @property
    def of_lines(self) -> bool:
        """Whether the table may hold lines of an invoice, its products under a heading of any words or under none."""
        columns = self.columns
        named = "description" in columns or ("teeth" in columns and bool(self.unknown))
        priced = "quantity" in columns and "unit_price" in columns
        return (named or priced) and (self.has_amount or bool(self.unknown))

    @property
    def of_entries(self) -> bool:
        """Whether the table may list invoices, as statements do."""
        things = any(name in self.columns for name in ("invoice", "date", "description"))
        return things and any(name in self.columns for name in (*AMOUNTS, "balance"))


def find(grid: Grid, vocabulary: Vocabulary) -> list[Heading]:
    """All headings of the sheet from its top to its bottom, those that are repeated on every page among them."""
    found: list[Heading] = []
    known = vocabulary.heading
    done = -1
    for index, row in enumerate(grid.rows):
        if index <= done:
            continue
        hits = 0
        for cell in row:
            if type(cell) is str and cell and known(cell):
                hits += 1
        if hits:
            heading = _heading(grid, index, vocabulary, hits)
            if heading is not None:
                found.append(heading)
                done = heading.bottom
    return found


def _heading(grid: Grid, index: int, vocabulary: Vocabulary, hits: int) -> Heading | None:
    """The headings that start in that row, in one row or in two that belong together; None for other rows.

    A row of one hit alone is no sound heading without the row below.
    """
    if not _is_words(grid.rows[index]):
        return None
    one = _fit(index, index, [_texts(grid.rows[index])], vocabulary) if hits > 1 else None
    joined = _joined(grid, index)
    two = _fit(index, index + 1, joined, vocabulary) if joined and _belong(joined, vocabulary) else None
    if joined and two is not None:
        lower = _fit(index + 1, index + 1, [joined[1]], vocabulary)
        two = None if lower is not None and len(lower.columns) >= len(two.columns) else two
    fits = [fit for fit in (two, one) if fit is not None and _sound(fit)]
    return max(fits, key=lambda fit: len(fit.columns), default=None)


def _sound(heading: Heading) -> bool:
    return len(heading.columns) + len(heading.people) > 1 and (
        (heading.has_amount and any(name in heading.columns for name in _THINGS))
        or (
            "quantity" in heading.columns
            and ("description" in heading.columns or "unit_price" in heading.columns)
        )
    )


def _is_words(row: Sequence[Any]) -> bool:
    """Whether the row holds short texts alone, none of which is a number; cells without a value count as blank."""
    for cell in row:
        if isinstance(cell, str):
            if cell and (len(cell) > LONGEST or _is_number(cell)):
                return False
        elif cell is not None and not isinstance(cell, Marked | bool):
            return False
    return True


@lru_cache(maxsize=20_000)
def _is_number(text: str) -> bool:
    return taken_apart(text) is not None


def _texts(row: Sequence[Any]) -> list[str]:
    return [cell.strip() if isinstance(cell, str) else "" for cell in row]


def _joined(grid: Grid, index: int) -> list[list[str]] | None:
    """Each column's heading over two rows in three readings: both together, the lower, the upper."""
    if index + 1 >= len(grid.rows) or not _is_words(grid.rows[index + 1]):
        return None
    upper, lower = _texts(grid.rows[index]), _texts(grid.rows[index + 1])
    if not any(lower):
        return None
    width = max(len(upper), len(lower))
    upper += [""] * (width - len(upper))
    lower += [""] * (width - len(lower))
    above = _spread(grid, index, upper)
    both = [f"{up} {low}".strip() for up, low in zip(above, lower, strict=True)]
    return [both, lower, upper]


def _belong(readings: list[list[str]], vocabulary: Vocabulary) -> bool:
    """Whether the two rows are headings together.

    Every text of the lower row is one, alone or with the one above it; or most are, and headings of the upper
    row stand where the lower row is blank. A number or a date in the upper row is the value of a label.
    """
    both, lower, upper = readings
    if any(any(sign.isdigit() for sign in up) and not vocabulary.heading(up) for up in upper):
        return False
    known = [
        bool(vocabulary.heading(up) or vocabulary.heading(low))
        for up, low in zip(both, lower, strict=True)
        if low
    ]
    beside = [up for up, low in zip(upper, lower, strict=True) if not low and up and vocabulary.heading(up)]
    return all(known) or (len(beside) > 1 and sum(known) > 1 and 2 * sum(known) > len(known))


def _spread(grid: Grid, index: int, upper: list[str]) -> list[str]:
    """The upper headings, each carried over the columns that it is merged across or left blank after it."""
    above = list(upper)
    spans = [(left, right) for top, left, bottom, right in grid.facts.merged if top <= index <= bottom]
    for left, right in spans:
        for at in range(left, min(right + 1, len(above))):
            above[at] = upper[left]
    if not spans:
        for at in range(1, len(above)):
            above[at] = above[at] or above[at - 1]
    return above


def _fit(top: int, bottom: int, readings: list[list[str]], vocabulary: Vocabulary) -> Heading | None:
    """What the columns are, each after the first of its readings that is known."""
    columns: dict[str, int] = {}
    unknown, people, doubles = [], set(), []
    filled = 0
    for at in range(len(readings[0])):
        texts = [reading[at] for reading in readings]
        name = next((field for text in texts if text and (field := vocabulary.heading(text))), "")
        filled += any(texts)
        if name in PEOPLE:
            people.add(at)
            if name == "patient":
                columns.setdefault(name, at)
        elif not name:
            unknown.append(at)
        elif name in columns:
            doubles.append((name, at))
        elif name != "aside":
            columns[name] = at
    if 2 * sum(any(reading[at] for reading in readings) for at in unknown) > filled:
        return None
    return Heading(top, bottom, columns, tuple(unknown), frozenset(people), tuple(doubles))
