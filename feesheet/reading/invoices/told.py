"""What is wrong or worth knowing about one paper, gathered cell by cell without repeating itself."""

from __future__ import annotations

from dataclasses import dataclass, field

from feesheet.problems import Problem
from feesheet.reading.gate import column_letters

MOST = 50
"""Cells with one and the same fault that are named one by one; the rest are counted."""


@dataclass
class Told:
    """The faults of one sheet's paper by their words, each with its cells (row and column from 0)."""

    sheet: str
    cells: dict[tuple[str, str, str], list[tuple[int, int]]] = field(default_factory=dict)

    def add(self, kind: str, what: str, do: str, row: int, column: int) -> None:
        """One more fault at a cell."""
        self.cells.setdefault((kind, what, do), []).append((row, column))

    def problems(self) -> list[Problem]:
        """The faults as problems; of very many alike the last says how many more there are."""
        found = []
        for (kind, what, do), cells in self.cells.items():
            found += [self._problem(kind, what, do, *cell) for cell in cells[:MOST]]
            if len(cells) > MOST:
                more = f"{what} So it is in {len(cells) - MOST:,} more cells."
                found.append(self._problem(kind, more, do, *cells[MOST]))
        return found

    def _problem(self, kind: str, what: str, do: str, row: int, column: int) -> Problem:
        cell = f"{column_letters(column + 1)}{row + 1}" if column >= 0 else f"row {row + 1}"
        return Problem(kind, what, do, "", self.sheet, cell)
