"""The settings: a vertical table, one row each, every value of its own kind."""

from __future__ import annotations

from typing import Any

from feesheet import number_words
from feesheet.problems import Problem
from feesheet.reading.cells import day, is_blank
from feesheet.reading.faults import shortest
from feesheet.reading.find import Found
from feesheet.reading.gate import column_letters
from feesheet.reading.grids import Grid, Marked
from feesheet.reading.messages import FileContent, Setting
from feesheet.reading.rows import column, data_rows
from feesheet.reading.values import Place, Words, convert
from feesheet.schema import NUMERIC_KINDS, Field, plain


def add_settings(result: FileContent, grid: Grid, found: Found, file: str) -> int:
    """One setting a row; a row that no field answers to is kept under its own name."""
    by_name = {name: known for known in found.table.fields for name in known.names}
    rows = data_rows(grid, found)
    names, raw = (column(grid, found.columns[word], rows) for word in ("setting", "value"))
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
        elif plain(name) and not is_blank(cell):
            setting, problems = _own_setting(name, cell, place, marks)
            result.problems += problems
            result.settings.append(setting)
    return len(rows)


def _numeric(known: Field | None) -> bool:
    return known is None or known.kind in NUMERIC_KINDS


def _setting(known: Field, cell: Any, place: Place, marks: dict[str, str]) -> tuple[Any, list[Problem]]:
    """The value of one setting, None where nothing is known."""
    values, problems = convert(known, [cell], place, marks)
    if isinstance(values, Words):
        return values.distinct[0] or None, problems
    number = values[0]
    if number != number:
        return None, problems
    return (
        day(number) if known.kind == "date" else bool(number) if known.kind == "yes_no" else number
    ), problems


def _own_setting(name: Any, cell: Any, place: Place, marks: dict[str, str]) -> tuple[Setting, list[Problem]]:
    """A setting that a plug-in may ask for: a number if it is one, else the text."""
    anything = Field("own", str(name), "number", "", 0)
    values, problems = convert(anything, [cell], place, marks)
    value = shortest(cell) if problems or isinstance(values, Words) else values[0]
    setting = Setting(plain(name).replace(" ", "_"), value, place.sheet, f"{place.letter}{place.rows[0]}")
    return setting, problems if isinstance(cell, Marked) else []
