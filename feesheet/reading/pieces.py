"""The table of one sheet, cut out and typed: only the columns that the table knows leave this module."""

from __future__ import annotations

from array import array
from collections.abc import Iterable
from typing import Any

from feesheet.problems import Problem, Sort
from feesheet.reading.cells import is_blank
from feesheet.reading.discreet import discreet
from feesheet.reading.find import Found, find, shape_problems
from feesheet.reading.gate import column_letters
from feesheet.reading.grids import Grid
from feesheet.reading.invoice_numbers import discreet_number
from feesheet.reading.invoices.context import Context
from feesheet.reading.messages import FileContent, Job, Piece, Seen
from feesheet.reading.rows import column, data_rows
from feesheet.reading.run_together import run_together
from feesheet.reading.setting_rows import add_settings
from feesheet.reading.sheet_habits import currencies, decimal_marks, fill_merged, pad_codes
from feesheet.reading.values import Column, Place, Words, convert
from feesheet.tables import INVOICE_LINES, SEATED

KIND = INVOICE_LINES.field("kind").heading
"""The column that no paper of a lab has: a sheet without it is left to the invoice readers."""


def content(grids: Iterable[Grid], job: Job, stem: str) -> FileContent:
    """Every table that the sheets of one file hold. `stem` names a sheet that has no name of its own."""
    result = FileContent()
    is_sheet = False
    for grid in grids:
        _add_sheet(result, grid, job.name, stem, job.context)
        is_sheet = True
    if is_sheet and not result.seen:
        result.problems.append(_nothing(job.name))
    return result


def _add_sheet(result: FileContent, grid: Grid, file: str, stem: str, context: Context) -> None:
    found = find(grid, grid.name or stem, file)
    if found is None:
        _unread(result, grid, file)
        return
    if isinstance(found, Problem):
        result.problems.append(found)
        result.seen.append(Seen(grid.name, "", 0))
        return
    result.problems += run_together(grid, file)
    wrong = shape_problems(found, file, grid.name)
    if wrong and grid.hidden:
        result.problems.append(_left_hidden(found, file, grid.name))
        result.seen.append(Seen(grid.name, None, 0))
        return
    result.problems += wrong
    if any(found.table is INVOICE_LINES and heading == KIND for heading in found.missing):
        result.open_sheets.append(grid.name)
    rows = 0
    if not wrong and found.table.vertical:
        rows = add_settings(result, grid, found, file)
    elif not wrong:
        rows = _add_piece(result, grid, found, file, context)
    result.seen.append(Seen(grid.name, found.table.name, rows))


def _left_hidden(found: Found, file: str, sheet: str) -> Problem:
    what = f'A hidden sheet has some headings of the table "{found.table.sheet}" and is not read.'
    return Problem("unread sheet", what, "Show the sheet if it should be read, or delete it.", file, sheet)


def _unread(result: FileContent, grid: Grid, file: str) -> None:
    filled = sum(1 for row in grid.rows if any(not is_blank(cell) for cell in row))
    if filled or not grid.name:
        result.seen.append(Seen(grid.name, None, filled))
    if not filled and not grid.name:
        result.problems.append(_nothing(file))
    elif filled and not grid.hidden:
        result.open_sheets.append(grid.name)
        what = "This sheet has the headings of none of the tables."
        do = "Nothing, if it is not meant to be read; else compare its headings with the template's."
        result.problems.append(Problem("unread sheet", what, do, file, grid.name))


def _nothing(file: str) -> Problem:
    return Problem("empty table", "The file holds no lines.", "Leave it out, or fill it in.", file)


def _add_piece(result: FileContent, grid: Grid, found: Found, file: str, context: Context) -> int:
    """Add the sheet's rows as a piece of its table; how many there are."""
    rows = data_rows(grid, found)
    if not rows:
        result.problems.append(_no_rows(grid, found, file))
    numbers = array("l", [row + 1 for row in rows])
    cells = {name: column(grid, at, rows) for name, at in found.columns.items()}
    result.problems += fill_merged(grid, found, rows, cells, file)
    pad_codes(grid, found, rows, cells)
    letters = {name: column_letters(at + 1) for name, at in found.columns.items()}
    shown = currencies(found, cells, numbers, grid.facts.currency)
    data, problems = _typed(found, cells, Place(file, grid.name, "", numbers), letters)
    result.problems += problems
    if "case" in data:
        data["case"] = _hashed(data["case"], context)
    if found.table is INVOICE_LINES:
        data["invoice"] = _discreet(data["invoice"], context)
    piece = Piece(found.table.name, grid.name, found.header + 1, letters, numbers, data, shown)
    result.pieces.append(piece)
    return len(rows)


def _typed(
    found: Found, cells: dict[str, list[Any]], place: Place, letters: dict[str, str]
) -> tuple[dict[str, Column], list[Problem]]:
    """Every field's column; a field without a column has its default in each row."""
    marks = decimal_marks(found.table, cells)
    data: dict[str, Column] = {}
    problems: list[Problem] = []
    for field in found.table.fields:
        raw = cells.get(field.name) or [""] * len(place.rows)
        here = Place(place.file, place.sheet, letters.get(field.name, ""), place.rows)
        data[field.name], faults = convert(field, raw, here, marks)
        problems += discreet(field, faults) if found.table in (INVOICE_LINES, SEATED) else faults
    return data, problems


def _hashed(cases: Column, context: Context) -> Column:
    """Case numbers as keyed hashes: no number itself leaves the reading process."""
    return (
        Words([context.hashed(word) for word in cases.distinct], cases.codes)
        if isinstance(cases, Words)
        else cases
    )


def _discreet(numbers: Column, context: Context) -> Column:
    """Invoice numbers without words that may be a patient's name."""
    return (
        Words([discreet_number(word, context) for word in numbers.distinct], numbers.codes)
        if isinstance(numbers, Words)
        else numbers
    )


def _no_rows(grid: Grid, found: Found, file: str) -> Problem:
    what = f'The table "{found.table.sheet}" has headings but no rows.'
    place = (file, grid.name, f"row {found.header + 1}")
    alike = Sort("sheets have headings but no rows", "Fill them in, or leave them out.")
    return Problem("empty table", what, "Fill it in, or leave it out.", *place, alike)
