"""The independent engine that works a delivered workbook out again; nothing else here knows which one it is.

Give it only files that the gate has let through.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from feesheet.reading import gate
from feesheet.reading.gate import Refusal

Grid = list[list[Any]]

_LIMITS = {
    "max_input_bytes": gate.MOST_BYTES,
    "max_expanded_bytes": gate.MOST_BYTES,
    "max_part_bytes": gate.MOST_BYTES,
}


@contextmanager
def panics_refused() -> Iterator[None]:
    """Turn whatever a compiled reader raises, its panics too, into the `Refusal` of a damaged workbook."""
    try:
        yield
    except (KeyboardInterrupt, SystemExit):
        raise
    except BaseException as fault:  # panics are no Exceptions
        raise Refusal(
            "not a workbook", "The workbook is damaged.", "Take the copy that was delivered."
        ) from fault


class Engine:
    """A workbook held by the engine. Rows and columns count from 1."""

    def __init__(self, path: Path) -> None:
        """Load the workbook; nothing is worked out yet. Raises `Refusal`."""
        import formualizer  # heavy, and only two commands need it

        self._range = formualizer.RangeAddress
        with panics_refused():
            self._book = formualizer.load_workbook(str(path), load_limits=_LIMITS)

    def recalculate(self) -> None:
        """Work out every formula from the typed cells, whatever values are stored."""
        with panics_refused():
            self._book.evaluate_all()

    def formula(self, sheet: str, row: int, column: int) -> str:
        """The formula of a cell without its "=", or nothing."""
        return self._book.get_formula(sheet, row, column) or ""

    def names(self) -> dict[str, tuple[str, int, int]]:
        """The cell that each name stands for: sheet, row and column."""
        found = self._book.get_named_ranges()
        return {one["name"]: (one["sheet"], one["start_row"], one["start_col"]) for one in found}

    def formulas(self, sheet: str, rows: int, columns: int) -> Grid:
        """The formulas of a sheet from A1 on, without "="; an empty text where there is none."""
        found: Grid = self._book.sheet(sheet).get_formulas(self._range(sheet, 1, 1, rows, columns))
        return found

    def values(self, sheet: str, rows: int, columns: int) -> Grid:
        """The figures and words of a sheet from A1 on; an error is a dictionary that names it."""
        found: Grid = self._book.sheet(sheet).get_values(self._range(sheet, 1, 1, rows, columns))
        return found


def canonical(formula: str) -> str:
    """A formula as `Engine.formulas` spells it, without needless brackets; nothing where it is no formula."""
    import formualizer

    try:
        text: str = formualizer.parse(formula).to_formula()
    except formualizer.ParserError:
        return ""
    return text.removeprefix("=")


def error_name(value: Any) -> str:
    """What a spreadsheet shows for the engine's error value; nothing for any other value."""
    if not isinstance(value, dict) or value.get("type") != "Error":
        return ""
    return _SHOWN.get(str(value.get("kind")), "an error")


_SHOWN = {
    "Div": "#DIV/0!",
    "Na": "#N/A",
    "Name": "#NAME?",
    "Null": "#NULL!",
    "Num": "#NUM!",
    "Ref": "#REF!",
    "Value": "#VALUE!",
}
