"""What a sheet's own ways mean for its columns: decimal marks, merged cells, padded codes, currencies."""

from __future__ import annotations

from array import array
from typing import Any

from feesheet import number_words
from feesheet.problems import Problem
from feesheet.reading.faults import shortest
from feesheet.reading.find import Found
from feesheet.reading.gate import column_letters
from feesheet.reading.grids import Grid
from feesheet.schema import NUMERIC_KINDS, Table


def decimal_marks(table: Table, cells: dict[str, list[Any]]) -> dict[str, str]:
    """The decimal marks that the text numbers of all numeric columns show."""
    shown: dict[str, str] = {}
    for name, column in cells.items():
        if table.field(name).kind in NUMERIC_KINDS and str in set(map(type, column)):
            for mark, text in number_words.decimal_marks(
                c for c in set(column) if isinstance(c, str)
            ).items():
                shown.setdefault(mark, text)
    return shown


def fill_merged(
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


def pad_codes(grid: Grid, found: Found, rows: list[int], cells: dict[str, list[Any]]) -> None:
    """Give numbers in code columns the leading zeros that their format shows."""
    if not grid.facts.padded:
        return
    for name, at in found.columns.items():
        if found.table.field(name).kind in ("code", "text", "teeth"):
            column = cells[name]
            for number, row in enumerate(rows):
                width = grid.facts.padded.get((row, at))
                if width and isinstance(column[number], float):
                    column[number] = shortest(column[number]).zfill(width)


def currencies(
    found: Found,
    cells: dict[str, list[Any]],
    rows: array[int],
    formats: dict[tuple[int, int], str],
) -> dict[str, str]:
    """Each currency that an amount shows in words or by its format, with the first such cell."""
    shown: dict[str, str] = {}
    for name, at in found.columns.items():
        if found.table.field(name).kind != "money":
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
