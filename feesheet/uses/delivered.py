"""A delivered workbook opened again: the values of its sheets, its method list and its seals.

Only what stands in the workbook is used: it may be audited and explained without the practice's files.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from python_calamine import CalamineWorkbook

from feesheet.problems import Problem
from feesheet.reading import gate
from feesheet.reading.gate import Refusal
from feesheet.uses.engine import panics_refused
from feesheet.writing import seals
from feesheet.writing.prose import AS_TYPED, COUNTER, EACH_ROW, FIRST_ROW, METHOD_HEADINGS

METHOD = "Method"
_CELLS = re.compile(r"([A-Z]{1,3})(\d+):[A-Z]{1,3}(\d+)")


@dataclass(frozen=True)
class Span:
    """One column of one table, as the method list has it. `column` counts from 0, rows from 1."""

    sheet: str
    table: str
    heading: str
    unit: str
    meaning: str
    words: str
    formula: str
    key: str
    column: int
    first_row: int
    last_row: int

    @property
    def block(self) -> str:
        """The name of the table in the program, the same in every workbook."""
        return self.key.partition(".")[0]

    @property
    def calculated(self) -> bool:
        """Whether its cells were issued as formulas."""
        return bool(self.formula) or self.words == EACH_ROW

    @property
    def counter(self) -> bool:
        """Whether it only numbers rows."""
        return self.words == COUNTER

    @property
    def entry(self) -> bool:
        """Whether its cells read what is typed on the Inputs sheet."""
        return self.words == AS_TYPED


@dataclass
class Delivered:
    """The workbook. `grid(sheet)[0][0]` is A1; `seals[sheet][row]` holds two characters a column."""

    path: Path
    sheets: list[str]
    spans: list[Span]
    seals: dict[str, dict[int, str]]
    book: Any
    _grids: dict[str, list[list[Any]]] = field(default_factory=dict)
    _by_column: dict[tuple[str, int], list[Span]] = field(default_factory=dict)

    def grid(self, sheet: str) -> list[list[Any]]:
        """The values stored in a sheet, as rows of equal length; a blank is an empty text."""
        if sheet not in self._grids:
            self._grids[sheet] = _rows(self.book, sheet)
        return self._grids[sheet]

    def forget(self, sheet: str) -> None:
        """Give the memory of a sheet's values back."""
        self._grids.pop(sheet, None)

    def value(self, sheet: str, row: int, column: int) -> Any:
        """The value of one cell (row from 1, column from 0); an empty text outside the sheet."""
        rows = self.grid(sheet)
        return rows[row - 1][column] if row <= len(rows) and column < len(rows[row - 1]) else ""

    def span(self, sheet: str, row: int, column: int) -> Span | None:
        """The table's column that a cell belongs to."""
        if not self._by_column:
            for span in self.spans:
                self._by_column.setdefault((span.sheet, span.column), []).append(span)
        found = self._by_column.get((sheet, column), ())
        return next((span for span in found if span.first_row <= row <= span.last_row), None)

    def block(self, name: str) -> dict[str, Span]:
        """The columns of a table by their names in the program."""
        return {span.key.partition(".")[2]: span for span in self.spans if span.block == name}


def address(row: int, column: int) -> str:
    """A cell's address; the column counts from 0.

    >>> address(12, 27)
    'AB12'
    """
    return f"{gate.column_letters(column + 1)}{row}"


def open_delivered(path: Path) -> tuple[Delivered | None, list[Problem]]:
    """The workbook, or the one problem that says why it is not a fee schedule that can be read."""
    try:
        _look_over(path)
        return _opened(path), []
    except Refusal as refusal:
        return None, [refusal.problem(path.name)]
    except FileNotFoundError:
        what = "There is no such file."
        return None, [
            Problem("not a workbook", what, "Give the path of a delivered fee schedule.", path.name)
        ]
    except OSError:
        what = "The file can't be opened for reading."
        return None, [
            Problem("in use", what, "Close it in other programs, or ask for the right to read it.", path.name)
        ]


def _look_over(path: Path) -> None:
    """Inflate every part with a cut-off before any reader sees it. Raises `Refusal`."""
    if path.suffix.lower() not in (".xlsx", ".xlsm"):
        raise _not_ours("A fee schedule is an .xlsx workbook.")
    archive = gate.check(path)
    if archive is None:
        raise _not_ours("A fee schedule is an .xlsx workbook.")
    with archive:
        for name in archive.namelist():
            if name.endswith((".xml", ".rels")):
                xml = gate.part(archive, name)
                if name.startswith("xl/worksheets/"):
                    gate.check_reach(name.rpartition("/")[2], xml)


def _opened(path: Path) -> Delivered:
    with panics_refused():
        book = CalamineWorkbook.from_path(str(path))
    names = list(book.sheet_names)
    missing = [name for name in (METHOD, seals.SHEET) if name not in names]
    if len(missing) == 2:
        raise _not_ours("The workbook is not a fee schedule that feesheet wrote.")
    if missing:
        raise _not_ours(f'The sheet "{missing[0]}" is missing, by which this workbook is read.')
    method, sealed = _rows(book, METHOD), _rows(book, seals.SHEET)
    spans = list(_spans(method))
    if not spans:
        raise _not_ours('The sheet "Method" has lost its list of columns.')
    return Delivered(path, names, spans, _seals(sealed), book)


def _rows(book: Any, sheet: str) -> list[list[Any]]:
    with panics_refused():
        rows: list[list[Any]] = book.get_sheet_by_name(sheet).to_python(skip_empty_area=False)
    return rows


def _not_ours(what: str) -> Refusal:
    return Refusal("not a workbook", what, "Take the workbook as it was delivered.")


def _spans(rows: list[list[Any]]) -> Iterator[Span]:
    """The columns that the method list names with their cells."""
    wide = len(METHOD_HEADINGS)
    heads = [number for number, row in enumerate(rows) if tuple(row[:wide]) == METHOD_HEADINGS]
    for row in rows[heads[0] + 1 :] if heads else ():
        sheet, table, heading, unit, meaning, words, formula, cells, key = (str(cell) for cell in row[:wide])
        place = _CELLS.fullmatch(cells)
        if place:
            column = gate.column_number(place[1]) - 1
            yield Span(
                sheet,
                table,
                heading,
                unit,
                meaning,
                words,
                formula,
                key,
                column,
                int(place[2]),
                int(place[3]),
            )


def _seals(rows: list[list[Any]]) -> dict[str, dict[int, str]]:
    """The seals by sheet and row; see `writing.prose.write_seals`."""
    found: dict[str, dict[int, str]] = {}
    for column, name in enumerate(rows[FIRST_ROW - 2] if len(rows) > FIRST_ROW - 2 else ()):
        if name:
            texts = enumerate((row[column] for row in rows[FIRST_ROW:]), start=1)
            found[str(name)] = {row: str(text) for row, text in texts if text}
    return found
