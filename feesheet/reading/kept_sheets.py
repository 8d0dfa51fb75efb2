"""Sheets of the first reading kept for the second, so that a file is opened once; as far as memory allows."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from feesheet.reading.grids import Grid

MOST = 192 * 2**20
"""Bytes, about, that the kept sheets of all files take together."""
LARGE = 8 * 2**20
"""Bytes of a file that is read with nothing else in memory."""


class KeptSheets:
    """Sheets by the path of their file. What is not here is read from the file again."""

    def __init__(self) -> None:
        """Nothing is kept yet."""
        self._sheets: dict[str, list[Grid]] = {}
        self._free = MOST

    def make_room(self, path: str) -> None:
        """Forget everything before a large file is opened."""
        if self._sheets and Path(path).stat().st_size > LARGE:
            self._sheets, self._free = {}, MOST

    def keep(self, path: str, grids: Sequence[Grid], names: Sequence[str]) -> None:
        """Keep the sheets of those names, if there is room for them."""
        chosen = [grid for grid in grids if grid.name in names]
        weight = sum(map(_weight, chosen))
        if chosen and weight <= self._free:
            self._sheets[path] = chosen
            self._free -= weight

    def take(self, path: str) -> list[Grid] | None:
        """The sheets kept of a file, which are then forgotten here; None where none are."""
        found = self._sheets.pop(path, None)
        if found is not None:
            self._free += sum(map(_weight, found))
        return found


def _weight(grid: Grid) -> int:
    """About how many bytes a sheet takes."""
    rows = sum(64 + 8 * len(row) for row in grid.rows)
    if rows > MOST:
        return rows
    words = [len(cell) for row in grid.rows for cell in row if type(cell) is str and cell]
    others = sum(len(row) - row.count("") for row in grid.rows) - len(words)
    return rows + sum(words) + 50 * len(words) + 32 * others
