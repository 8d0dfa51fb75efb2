"""The table of one sheet, cut out and typed: only the columns that the table knows leave this module."""

from __future__ import annotations

from array import array
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from feesheet.problems import Problem
from feesheet.reading import number_words, values
from feesheet.reading.find import Found, find, shape_problems
from feesheet.reading.gate import column_letters
from feesheet.reading.grids import Grid, Marked
from feesheet.reading.values import Column, Place
from feesheet.schema import NUMERIC_KINDS, Field, Table, plain

NOTES = ("example", "unit", "help", "limits")
"""What the notes beside a template's own rows begin with; such rows are never data."""


@dataclass(frozen=True)
class Piece:
    """The rows of one table on one sheet.

    `columns` gives each field's column letter, `rows` the sheet's row numbers, and `currencies` each
    currency that its amounts show, with a cell that shows it.
    """

    table: str
    sheet: str
    header_row: int
    columns: dict[str, str]
    rows: array[int]
    data: dict[str, Column]
    currencies: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Setting:
    """One row of the settings: its name, its value (None where nothing is known) and its cell."""

    name: str
    value: Any
    sheet: str
    cell: str


@dataclass(frozen=True)
class Seen:
    """One sheet as it was found: its name, the table it holds (None: none), and its rows."""

    sheet: str
    table: str | None
    rows: int


@dataclass
class FileContent:
    """What one file holds, in plain values that can travel between processes."""

    pieces: list[Piece] = field(default_factory=list)
    settings: list[Setting] = field(default_factory=list)
    seen: list[Seen] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)


def content(grids: Iterable[Grid], file: str, stem: str) -> FileContent:
    """Everything that the sheets of one file hold. `stem` names a sheet that has no name of its own."""
    result = FileContent()
    for grid in grids:
        _add_sheet(result, grid, file, stem)
    return result


def _add_sheet(result: FileContent, grid: Grid, file: str, stem: str) -> None:
    found = find(grid, grid.name or stem, file)
    if isinstance(found, Problem):
        result.problems.append(found)
        result.seen.append(Seen(grid.name, "", 0))
    elif found is None:
        _unread(result, grid, file)
    else:
        wrong = shape_problems(found, file, grid.name)
        result.problems += wrong
        if found.table.vertical:
            rows = 0 if wrong else _add_settings(result, grid, found, file)
        else:
            rows = 0 if wrong else _add_piece(result, grid, found, file)
        result.seen.append(Seen(grid.name, found.table.name, rows))


def _unread(result: FileContent, grid: Grid, file: str) -> None:
    filled = sum(1 for row in grid.rows if any(not values.is_blank(cell) for cell in row))
    if not filled and grid.name:
        return
    result.seen.append(Seen(grid.name, None, filled))
    if not filled:
        result.problems.append(
            Problem("empty table", "The file holds no lines.", "Leave it out, or fill it in.", file)
        )
    elif not grid.hidden:
        result.problems.append(
            Problem(
                "unread sheet",
                "This sheet has the headings of none of the tables.",
                "Nothing, if it is not meant to be read; else compare its headings with the template's.",
                file,
                grid.name,
            )
        )


def _add_piece(result: FileContent, grid: Grid, found: Found, file: str) -> int:
    table, facts = found.table, grid.facts
    rows = _data_rows(grid, found)
    if not rows:
        result.problems.append(
            Problem(
                "empty table",
                f'The table "{table.sheet}" has headings but no rows.',
                "Fill it in, or leave it out.",
                file,
                grid.name,
                f"row {found.header + 1}",
            )
        )
    numbers = array("l", [row + 1 for row in rows])
    cells = {name: _column(grid, at, rows) for name, at in found.columns.items()}
    result.problems += _fill_merged(grid, found, rows, cells, file)
    _pad_codes(grid, found, rows, cells)
    marks = _marks(table, cells)
    data: dict[str, Column] = {}
    for known in table.fields:
        at = found.columns.get(known.name)
        letter = column_letters(at + 1) if at is not None else ""
        raw = cells.get(known.name) or [""] * len(rows)
        data[known.name], problems = values.convert(
            known, raw, Place(file, grid.name, letter, numbers), marks
        )
        result.problems += problems
    letters = {name: column_letters(at + 1) for name, at in found.columns.items()}
    result.pieces.append(
        Piece(
            table.name,
            grid.name,
            found.header + 1,
            letters,
            numbers,
            data,
            _currencies(table, found, cells, numbers, facts.currency),
        )
    )
    return len(rows)


def _column(grid: Grid, at: int, rows: list[int]) -> list[Any]:
    lines = grid.rows
    try:
        return [lines[row][at] for row in rows]
    except IndexError:
        return [lines[row][at] if at < len(lines[row]) else "" for row in rows]


def _data_rows(grid: Grid, found: Found) -> list[int]:
    """Rows under the headings that hold data: not blank in every known column, no heading again, no note."""
    start, lines = found.header + 1, grid.rows
    rows = list(range(start, len(lines)))
    columns = sorted(found.columns.values())
    rows = [
        row
        for row, cell in zip(rows, _column(grid, columns[0], rows), strict=True)
        if (cell and cell != " ") or not _blank_row(lines[row], columns)
    ]
    head = lines[found.header]
    first = head[columns[0]] if columns[0] < len(head) else ""
    if first:
        rows = [
            row
            for row, cell in zip(rows, _column(grid, columns[0], rows), strict=True)
            if cell != first or not _same(lines[row], head, columns)
        ]
    if found.note is None:
        return rows
    notes = _column(grid, found.note, rows)
    if set(map(type, notes)) == {str} and not any(notes):
        return rows
    return [row for row, word in zip(rows, notes, strict=True) if not _is_note(word)]


def _blank_row(line: list[Any], columns: list[int]) -> bool:
    return all(at >= len(line) or values.is_blank(line[at]) for at in columns)


def _same(line: list[Any], head: list[Any], columns: list[int]) -> bool:
    """Whether a row repeats the headings."""
    pairs = [(line[at], head[at]) for at in columns if at < len(line) and at < len(head)]
    return sum(1 for left, right in pairs if left == right) * 2 > len(columns)


def _is_note(word: Any) -> bool:
    return isinstance(word, str) and word.strip().lower().startswith(NOTES)


def _marks(table: Table, cells: dict[str, list[Any]]) -> dict[str, str]:
    """The decimal marks that the text numbers of all numeric columns show."""
    shown: dict[str, str] = {}
    for name, column in cells.items():
        if table.field(name).kind in NUMERIC_KINDS and str in set(map(type, column)):
            for mark, text in number_words.decimal_marks(
                c for c in set(column) if isinstance(c, str)
            ).items():
                shown.setdefault(mark, text)
    return shown


def _fill_merged(
    grid: Grid, found: Found, rows: list[int], cells: dict[str, list[Any]], file: str
) -> list[Problem]:
    """A word or day merged over several rows holds for each of them; said in a notice."""
    fields = {at: name for name, at in found.columns.items()}
    problems = []
    index = {row: number for number, row in enumerate(rows)} if grid.facts.merged else {}
    for top, left, bottom, _ in grid.facts.merged:
        name = fields.get(left)
        if name is None or bottom == top or top not in index:
            continue
        if found.table.field(name).kind in NUMERIC_KINDS:
            continue
        for row in range(top + 1, bottom + 1):
            if row in index:
                cells[name][index[row]] = cells[name][index[top]]
        problems.append(
            Problem(
                "merged cells",
                "The merged cell is taken to hold for each of its rows.",
                "Unmerge it and fill in each row if that is not so.",
                file,
                grid.name,
                f"{column_letters(left + 1)}{top + 1}",
            )
        )
    return problems


def _pad_codes(grid: Grid, found: Found, rows: list[int], cells: dict[str, list[Any]]) -> None:
    """Give numbers in code columns the leading zeros that their format shows."""
    if not grid.facts.padded:
        return
    for name, at in found.columns.items():
        if found.table.field(name).kind in ("code", "text", "teeth"):
            column = cells[name]
            for number, row in enumerate(rows):
                width = grid.facts.padded.get((row, at))
                if width and isinstance(column[number], float):
                    column[number] = values.shortest(column[number]).zfill(width)


def _currencies(
    table: Table,
    found: Found,
    cells: dict[str, list[Any]],
    rows: array[int],
    formats: dict[tuple[int, int], str],
) -> dict[str, str]:
    """Each currency that an amount shows in words or by its format, with the first such cell."""
    shown: dict[str, str] = {}
    for name, at in found.columns.items():
        if table.field(name).kind != "money":
            continue
        column, letter = cells[name], column_letters(at + 1)
        if str in set(map(type, column)):
            for row, cell in zip(rows, column, strict=True):
                word = number_words.taken_apart(cell) if isinstance(cell, str) and cell else None
                if word and word.currency:
                    shown.setdefault(word.currency, f"{letter}{row}")
        for row in rows if formats else ():
            sign = formats.get((row - 1, at))
            if sign:
                shown.setdefault(sign, f"{letter}{row}")
    return shown


def _add_settings(result: FileContent, grid: Grid, found: Found, file: str) -> int:
    """One setting a row; a row that no field answers to is kept under its own name."""
    by_name = {name: known for known in found.table.fields for name in known.names}
    rows = _data_rows(grid, found)
    names, raw = (_column(grid, found.columns[word], rows) for word in ("setting", "value"))
    letter = column_letters(found.columns["value"] + 1)
    numeric = {row for row, name in zip(rows, names, strict=True) if _numeric(by_name.get(plain(name)))}
    texts = [cell for row, cell in zip(rows, raw, strict=True) if isinstance(cell, str) and row in numeric]
    marks = number_words.decimal_marks(texts)
    for row, name, cell in zip(rows, names, raw, strict=True):
        place = Place(file, grid.name, letter, [row + 1])
        known = by_name.get(plain(name))
        if known:
            value, problems = _setting(known, cell, place, marks)
            result.problems += problems
            result.settings.append(Setting(known.name, value, grid.name, f"{letter}{row + 1}"))
        elif plain(name) and not values.is_blank(cell):
            setting, problems = _own_setting(name, cell, place, marks)
            result.problems += problems
            result.settings.append(setting)
    return len(rows)


def _numeric(known: Field | None) -> bool:
    return known is None or known.kind in NUMERIC_KINDS


def _setting(known: Field, cell: Any, place: Place, marks: dict[str, str]) -> tuple[Any, list[Problem]]:
    """The value of one setting, None where nothing is known."""
    column, problems = values.convert(known, [cell], place, marks)
    if isinstance(column, values.Words):
        return column.distinct[0] or None, problems
    number = column[0]
    if number != number:
        return None, problems
    return (
        values.day(number) if known.kind == "date" else bool(number) if known.kind == "yes_no" else number
    ), problems


def _own_setting(name: Any, cell: Any, place: Place, marks: dict[str, str]) -> tuple[Setting, list[Problem]]:
    """A setting that a plug-in may ask for: a number if it is one, else the text."""
    anything = Field("own", str(name), "number", "", 0)
    column, problems = values.convert(anything, [cell], place, marks)
    value = values.shortest(cell) if problems or isinstance(column, values.Words) else column[0]
    setting = Setting(plain(name).replace(" ", "_"), value, place.sheet, f"{place.letter}{place.rows[0]}")
    return setting, problems if isinstance(cell, Marked) else []
