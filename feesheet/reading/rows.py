"""Which rows of a sheet are a table's data, and its columns cut to them."""

from __future__ import annotations

from typing import Any

from feesheet.reading.cells import is_blank
from feesheet.reading.find import Found
from feesheet.reading.grids import Grid

NOTES = ("example", "unit", "help", "limits")
"""What the notes beside a template's own rows begin with; such rows are never data."""


def column(grid: Grid, at: int, rows: list[int]) -> list[Any]:
    """The cells of one column in those rows, blanks where a row is too short."""
    lines = grid.rows
    try:
        return [lines[row][at] for row in rows]
    except IndexError:
        return [lines[row][at] if at < len(lines[row]) else "" for row in rows]


def data_rows(grid: Grid, found: Found) -> list[int]:
    """Rows under the headings that hold data: not blank in every known column, no heading again, no note."""
    start, lines = found.header + 1, grid.rows
    rows = list(range(start, len(lines)))
    columns = sorted(found.columns.values())
    rows = [
        row
        for row, cell in zip(rows, column(grid, columns[0], rows), strict=True)
        if (cell and cell != " ") or not _blank_row(lines[row], columns)
    ]
    head = lines[found.header]
    first = head[columns[0]] if columns[0] < len(head) else ""
    if first:
        rows = [
            row
            for row, cell in zip(rows, column(grid, columns[0], rows), strict=True)
            if cell != first or not _same(lines[row], head, columns)
        ]
    if found.note is None:
        return rows
    notes = column(grid, found.note, rows)
    if set(map(type, notes)) == {str} and not any(notes):
        return rows
    return [row for row, word in zip(rows, notes, strict=True) if not _is_note(word)]


def _blank_row(line: list[Any], columns: list[int]) -> bool:
    return all(at >= len(line) or is_blank(line[at]) for at in columns)


def _same(line: list[Any], head: list[Any], columns: list[int]) -> bool:
    """Whether a row repeats the headings."""
    pairs = [(line[at], head[at]) for at in columns if at < len(line) and at < len(head)]
    return sum(1 for left, right in pairs if left == right) * 2 > len(columns)


def _is_note(word: Any) -> bool:
    return isinstance(word, str) and word.strip().lower().startswith(NOTES)
