"""Numbers for thousands of paths at once: the same trees, with one more axis where a path moves a figure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from feesheet.formula.cases import Key
from feesheet.formula.following import following
from feesheet.formula.model import Block
from feesheet.formula.numbers import Numbers
from feesheet.formula.operations import COLUMN_OPERATIONS
from feesheet.formula.tiling import LOOK_UPS, TOTALS
from feesheet.formula.tree import Call, Node, Whole

Array = np.ndarray[Any, Any]

CELLS_AT_ONCE = 16_000
"""Figures of one column that are worked out together: few enough to stay in a processor's cache."""

_LARGE = 30 * 1024 * 1024
"""Bytes of a block whose freeing raises malloc's limits: just under the most that they are raised to, 32 MiB."""

_WHOLE_COLUMNS = frozenset(COLUMN_OPERATIONS) - {*LOOK_UPS, *TOTALS}


def figures_of_paths(base: Numbers, moved: Mapping[Key, Array], wanted: Sequence[Key]) -> dict[Key, Array]:
    """The wanted columns for every path: one row a path, one column a row of the block.

    `moved` has the columns that the paths move, with one row a path and one column a row of the block, and settings
    (under the block "") with one row a path and one column. A wanted column that no path moves is the same on each.
    """
    count = len(next(iter(moved.values())))
    moving = following(base.model, set(moved))
    rows = {key: base.model.blocks[key[0]].rows for key in wanted}
    results = {key: np.empty((count, size)) for key, size in rows.items()}
    step = max(1, CELLS_AT_ONCE // max(1, *rows.values()))
    _keep_freed_memory()
    for first in range(0, count, step):
        here = slice(first, first + step)
        figures = _PathNumbers(base, {key: values[here] for key, values in moved.items()}, moving)
        for block, column in wanted:
            results[block, column][here] = figures.of(block, column)
        del figures  # its memory is the next run's
    return results


def _keep_freed_memory() -> None:
    """Have what a run frees kept for the next one, where the C library would give it back to the system each time.

    Freeing one large block raises the limits of glibc's malloc (mallopt(3), M_MMAP_THRESHOLD: dynamic adjustment);
    other libraries take no notice. Fresh memory is ten times as slow to write to as memory that was used before.
    """
    block = np.empty(_LARGE, dtype=np.uint8)
    block[:] = 0


class _PathNumbers(Numbers):
    """The figures of some paths: a column that moves has one row a path, any other is the base's."""

    def __init__(self, base: Numbers, moved: Mapping[Key, Array], moving: set[Key]) -> None:
        super().__init__(base.model)
        self._base, self._moving, self._moved = base, moving, moved
        self._done.update({key: values for key, values in moved.items() if key[0]})

    def of(self, block: str, column: str) -> Any:
        if (block, column) in self._moving:
            return super().of(block, column)
        return self._base.of(block, column)

    def evaluate(self, tree: Node, block: Block) -> Any:
        """As the base; NotImplementedError for one figure of a whole column that moves."""
        if isinstance(tree, Call) and tree.operation in _WHOLE_COLUMNS:
            wholes = [part for part in tree.parts if isinstance(part, Whole)]
            if any((part.block, part.column) in self._moving for part in wholes):
                raise NotImplementedError(
                    f"{block.name}: {tree.operation} of a column is not one figure a path"
                )
        return super().evaluate(tree, block)

    def group(self, block: str, name: str) -> Any:
        """One plan along the first axis, paths along the second, rows along the third."""
        columns = [
            np.atleast_2d(np.asarray(self.of(block, column), dtype=float))
            for column in self.model.blocks[block].groups[name]
        ]
        return np.stack(np.broadcast_arrays(*columns))

    def _named(self, name: str, block: Block) -> Any:
        if ("", name) in self._moved and self.model.home(name, block) is None:
            return self._moved["", name]
        return super()._named(name, block)
