"""What every formula of a written workbook should come to: the program's own figures, cell by cell."""

from __future__ import annotations

import math
import sys
from collections.abc import Mapping
from typing import Any

from opened_book import OpenedBook, letters
from recalculated.engines import Figures

from feesheet import reference
from feesheet.formula.model import Block
from feesheet.formula.numbers import Numbers
from feesheet.writing.book import TILE_COLUMNS, TILES_ROW, Schedule, layout_of
from feesheet.writing.layout import TILES
from feesheet.writing.sheet import ISSUED, PASS, plain_values

CLOSE = 1e-9
"""Relative, and absolute near nought."""

NO_LIMIT = reference.fixed_numbers()["no_limit"].value
"""Stands for no cap at all, and is no figure that sums are made of."""

MOST_NAMED = 20


def expected(schedule: Schedule, opened: OpenedBook, numbers: Numbers | None = None) -> Figures:
    """The program's figure for every formula that the model asks for, and the two lines on top of each sheet."""
    numbers, layout = numbers or schedule.numbers, layout_of(schedule)
    figures: Figures = {}
    for name, block in schedule.model.blocks.items():
        place = layout.places[name]
        for column in _worked_out(block):
            for offset, value in enumerate(plain_values(numbers.of(name, column))):
                figures[_cell(name, column, offset, place)] = value
    failing, changed = (int(figure) for figure in numbers.of("state", "number"))
    top = PASS if not failing else f"{failing} check(s) fail: see the Checks sheet"
    top += str(numbers.of("said", "money_understood")[0])
    for sheet in opened.sheets:
        figures[sheet, 2, 1] = top
        figures[sheet, 3, 1] = (
            ISSUED if not changed else f"{changed} figure(s) typed over since issue: see the Inputs sheet"
        )
    return figures


def _worked_out(block: Block) -> list[str]:
    """The columns that stand as formulas."""
    return [name for name, column in block.columns.items() if column.values is None or column.entry]


def _cell(block: str, column: str, offset: int, place: Any) -> tuple[str, int, int]:
    """Sheet, row and column of a figure; the tiles of a first page stand side by side."""
    if block in TILES:
        return place.sheet, TILES_ROW + {"value": 1, "remark": 2}[column], TILE_COLUMNS[offset] + 1
    return place.sheet, place.first_row + offset, place.columns[column] + 1


def alike(ours: Any, theirs: Any, noise: float = CLOSE) -> bool:
    """Numbers to nine digits or, near nought, to the noise; words exactly; no words are the same as nothing."""
    if isinstance(ours, (int, float)) and isinstance(theirs, (int, float)):
        return math.isclose(ours, theirs, rel_tol=CLOSE, abs_tol=noise)
    return bool(ours == theirs) or (ours in ("", None) and theirs in ("", None))


def differing(
    ours: Mapping[tuple[str, int, int], Any], theirs: Mapping[tuple[str, int, int], Any]
) -> list[tuple[str, int, int]]:
    """The cells where an engine finds something else than the program."""
    noise = noise_of(ours)
    return [cell for cell, value in ours.items() if not alike(value, theirs.get(cell), noise)]


def noise_of(figures: Mapping[tuple[str, int, int], Any]) -> float:
    """What may be left of sums that cancel: two last binary digits of the largest figure, and never under 1e-9."""
    sizes = (abs(figure) for figure in figures.values() if isinstance(figure, float) and figure != NO_LIMIT)
    return max(CLOSE, 2 * sys.float_info.epsilon * max(sizes, default=0.0))


def message(cells: list[tuple[str, int, int]], ours: Figures, theirs: Figures, opened: OpenedBook) -> str:
    """How many cells differ, and the first of them with sheet, cell, heading and formula."""
    lines = [f"{len(cells)} of {len(ours)} formulas in {opened.path.name} come to something else:"]
    for sheet, row, column in cells[:MOST_NAMED]:
        cell = opened.sheets[sheet].cells.get((row, column))
        found = f"{theirs.get((sheet, row, column))!r} instead of {ours[sheet, row, column]!r}"
        formula = f"={cell.formula}" if cell is not None else "no cell"
        lines.append(
            f"  {sheet}!{letters(column)}{row} ({heading(opened, sheet, row, column)}): {found}, {formula}"
        )
    return "\n".join(lines)


def heading(opened: OpenedBook, sheet: str, row: int, column: int) -> str:
    """The words nearest above the cell that are no formula."""
    cells = opened.sheets[sheet].cells
    above = (cells.get((higher, column)) for higher in range(row - 1, 0, -1))
    return next(
        (
            str(cell.value)
            for cell in above
            if cell is not None and isinstance(cell.value, str) and not cell.formula
        ),
        "",
    )


def agree(schedule: Schedule, opened: OpenedBook, theirs: Figures) -> None:
    """Every formula cell is one that the program knows, and comes to the program's figure."""
    ours = expected(schedule, opened)
    places = {(cell.sheet, cell.row, cell.column) for cell in opened.formulas()}
    unknown = sorted(places ^ set(ours))
    if unknown:
        raise AssertionError(
            f"formulas without a figure, or figures without a formula: {unknown[:MOST_NAMED]}"
        )
    cells = differing(ours, theirs)
    if cells:
        raise AssertionError(message(cells, ours, theirs, opened))
