"""The first reading of a tree: numbers over whole columns."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from feesheet.formula.model import CARRIED, Block, Column, Model
from feesheet.formula.operations import ALL_OPERATIONS
from feesheet.formula.tree import Above, Call, Name, Node, Value, Whole


class Numbers:
    """The figures of a model, each column worked out when first asked for and kept.

    `of(block, column)` is an array of one figure a row; `group(block, name)` one row a plan.
    """

    def __init__(self, model: Model) -> None:
        """Nothing is worked out yet."""
        self.model = model
        self._done: dict[tuple[str, str], Any] = {}
        self._busy: list[tuple[str, str]] = []

    def of(self, block: str, column: str) -> Any:
        """The figures of one column."""
        key = (block, column)
        if key not in self._done:
            if key in self._busy:
                raise RecursionError(f"{block}.{column} depends on itself: {self._busy}")
            self._busy.append(key)
            self._done[key] = self._work_out(
                self.model.blocks[block], self.model.blocks[block].columns[column]
            )
            self._busy.pop()
        return self._done[key]

    def group(self, block: str, name: str) -> Any:
        """The figures of neighbouring columns, side by side."""
        columns = [
            np.asarray(self.of(block, column), dtype=float)
            for column in self.model.blocks[block].groups[name]
        ]
        return np.stack(columns)

    def _work_out(self, block: Block, column: Column) -> Any:
        if column.values is not None:
            return _array(column.values, column.unit)
        if column.running is not None:
            amounts, key = (self._named(name, block) for name in column.running)
            runs = np.cumsum(np.concatenate([[True], np.diff(key) != 0])[: len(key)])
            return getattr(pd.Series(amounts).groupby(runs), CARRIED[column.carried])().to_numpy()
        if column.trees:
            found = [np.asarray(self.evaluate(tree, block)).item() for tree in column.trees]
            return _array(found, "mixed" if any(isinstance(one, str) for one in found) else column.unit)
        if column.tree is None and not block.rows:
            return _array([], column.unit)
        if column.tree is None:
            raise ValueError(f"{block.name}.{column.name} is neither given nor worked out")
        figures = np.asarray(self.evaluate(column.tree, block))
        if figures.dtype.kind == "b":
            figures = figures.astype(float)
        return np.broadcast_to(figures, (block.rows,)) if figures.ndim == 0 else figures

    def _named(self, name: str, block: Block) -> Any:
        home = self.model.home(name, block)
        if home is None:
            return np.asarray(self.model.settings[name].value)
        return self.of(home.name, name) if name in home.columns else self.group(home.name, name)

    def evaluate(self, tree: Node, block: Block) -> Any:
        """The figures of a tree whose names are columns of the block, or settings."""
        match tree:
            case Name(name):
                return self._named(name, block)
            case Value(value):
                return value
            case Whole(other, column):
                return self.of(other, column)
            case Call(operation, parts):
                return ALL_OPERATIONS[operation].number(*(self.evaluate(part, block) for part in parts))
            case Above():
                raise TypeError("The row above is read in running totals only.")
        raise TypeError(f"{tree!r} is not part of a calculation")


WORD_UNITS = frozenset({"text", "code", "mixed", "unit", "choice", "change"})
"""Units of columns that hold words, or words among numbers."""


def _array(values: Any, unit: str) -> Any:
    if unit in WORD_UNITS:
        return values if isinstance(values, pd.Categorical) else np.asarray(values, dtype=object)
    if unit == "date":
        return np.asarray(values)
    return np.asarray(values, dtype=float)
