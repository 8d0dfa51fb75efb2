"""What stands in a letterhead: labels with their values, titles, and words that may name the lab."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

from feesheet.reading import date_words
from feesheet.reading.faults import shortest
from feesheet.reading.grids import Grid
from feesheet.reading.invoices.vocabulary import Title, Vocabulary, copied
from feesheet.schema import plain

REACH = 4
"""How many cells to the right of a label its value may stand."""
LONGEST = 80
"""A label with its value and a date has no more signs."""
_DATED = re.compile(
    r"(?:^|[\s,]+)(?:vom|of|du|dated|date|datum|del|van|dd)[\s:.]+(?=\S*\d|\w+\.? \d)", re.IGNORECASE
)
"""Words that stand before an invoice's date in one cell with its number."""
NAMES = 8
"""How many texts of a letterhead are kept as words that may name the lab."""
PEOPLE = ("patient", "person")


class Fact(NamedTuple):
    """One label and its value, with the row and column (from 0) where the value stands."""

    field: str
    value: Any
    row: int
    column: int


@dataclass(frozen=True)
class Said:
    """What one row of a sheet says outside a table: its facts, and a title if it holds one."""

    facts: tuple[Fact, ...] = ()
    title: Title | None = None


def said(grid: Grid, index: int, vocabulary: Vocabulary, things: frozenset[int] = frozenset()) -> Said | None:
    """The labels and the title in a row, None for a row that has neither.

    `things` are columns in which "Invoice" is what the row is about and no label.
    """
    row = grid.rows[index]
    facts = []
    title = None
    filled = len(row) - row.count("") - row.count(None)
    if not filled:
        return None
    for at, cell in enumerate(row):
        if type(cell) is str and cell:
            label = vocabulary.label(cell)
            if label is not None and (label.value or at not in things or not _is_bare(cell, vocabulary)):
                fact = _fact(grid, index, at, label.field, label.value, vocabulary)
                facts += [fact] if fact else []
    if filled <= 3:
        titles = [one for cell in row if isinstance(cell, str) and cell and (one := vocabulary.title(cell))]
        title = next((one for one in titles if one.kind), None) or next(iter(titles), None)
        title = title._replace(copy=any(one.copy for one in titles)) if title else None
    facts = [one for fact in facts for one in _with_date(fact, row)] + _title_date(title, index, row, facts)
    return Said(tuple(facts), title) if facts or title else None


def _with_date(fact: Fact, row: Sequence[Any]) -> list[Fact]:
    """An invoice's number, and its date where that stands behind it in the same cell ("12 of 3 March 2026")."""
    text = row[fact.column] if fact.column < len(row) else fact.value
    text = (
        text if isinstance(fact.value, str) and isinstance(text, str) and fact.value in text else fact.value
    )
    if fact.field != "invoice" or not isinstance(text, str) or not (day := _date_behind(text)):
        return [fact]
    number = _DATED.split(fact.value)[0].strip()
    return [fact._replace(value=number), Fact("date", day, fact.row, fact.column)]


def _title_date(title: Title | None, index: int, row: Sequence[Any], facts: Sequence[Fact]) -> list[Fact]:
    """The date in a title without a number, such as "Invoice dated 3 March 2026" or "Rechnung vom 26.03.2026"."""
    if title is None or facts:
        return []
    cells = [(at, cell) for at, cell in enumerate(row) if isinstance(cell, str)]
    return [Fact("date", day, index, at) for at, cell in cells if (day := _date_behind(cell))][:1]


def _date_behind(text: str) -> str:
    """The date behind a word such as "dated" or "vom" at the end of a text, "" where none is."""
    if len(text) > LONGEST or not _DATED.search(text):
        return ""
    day = _DATED.split(text)[-1].strip()
    return day if date_words.plain_date(day) or date_words.three_numbers(day) else ""


def _is_bare(text: str, vocabulary: Vocabulary) -> bool:
    """Whether a label without a value is only what the paper is called, as in a column of "Invoice" and "Payment"."""
    return plain(text) in vocabulary.titles and not text.rstrip().endswith(":")


def _fact(grid: Grid, index: int, at: int, name: str, value: str, vocabulary: Vocabulary) -> Fact | None:
    """The label's fact: its value in the same cell, in one to the right, or in the one below."""
    if value:
        return Fact(name, value, index, at)
    row = grid.rows[index]
    for right in range(at + 1, min(at + 1 + REACH, len(row))):
        cell = row[right]
        if cell == "" or cell is None:
            continue
        if isinstance(cell, str) and (vocabulary.label(cell) or vocabulary.heading(cell)):
            break
        return Fact(name, cell, index, right)
    below = grid.rows[index + 1] if index + 1 < len(grid.rows) else ()
    cell = below[at] if at < len(below) else ""
    if cell in ("", None) or (isinstance(cell, str) and vocabulary.label(cell)):
        return None
    return Fact(name, cell, index + 1, at)


def number(fact: Fact, grid: Grid) -> str:
    """The number that a fact names, with the zeros that its cell shows before it; "" if it is none."""
    text = code(fact.value, fact.row, fact.column, grid)
    text = copied().sub("", text.lstrip("#").strip()).strip()
    return text if any(sign.isdigit() for sign in text) and len(text) <= 40 else ""


def code(cell: Any, row: int, column: int, grid: Grid) -> str:
    """A cell's content as a code: 1042 for 1042.0, with the leading zeros that its format shows."""
    text = shortest(cell).strip()
    width = grid.facts.padded.get((row, column), 0)
    return text.zfill(width) if width and text.isdigit() else text


def names(rows: Sequence[Sequence[Any]], vocabulary: Vocabulary) -> list[str]:
    """Texts on top of a paper that may name the lab: no labels, no titles, no headings. They stay in this process."""
    found: list[str] = []
    for row in rows:
        for cell in row:
            if type(cell) is str and cell and vocabulary.may_name(text := cell.strip()):
                found.append(text)
        if len(found) >= NAMES:
            break
    return found[:NAMES]
