"""Tables of a model's figures on the screen, their words left and their figures right."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from feesheet.formula.model import Model
from feesheet.formula.numbers import Numbers
from feesheet.uses.text_table import aligned

MOST_ROWS = 16
"""Rows of a table on the screen; the workbook has them all."""


def plain_figures(values: Any) -> list[Any]:
    """Python's own numbers and words."""
    return [value.item() if isinstance(value, np.generic) else value for value in np.asarray(values).tolist()]


def change_of(figure: float) -> str:
    """A change in whole money, with its sign; one that is nought has none.

    >>> change_of(1234.5), change_of(-0.3)
    ('+1,234', '0')
    """
    return f"{round(figure):+,}" if round(figure) else "0"


@dataclass(frozen=True)
class Tables:
    """A model's figures as tables; a table that the model does not have tells nothing."""

    model: Model
    numbers: Numbers
    currency: str
    digits: int

    def rows(self, block: str, *columns: str) -> list[tuple[Any, ...]]:
        """The rows of a block's columns, as plain values; none where the block is not there."""
        if block not in self.model.blocks:
            return []
        return list(zip(*(plain_figures(self.numbers.of(block, column)) for column in columns), strict=True))

    def money(self, figure: Any) -> str:
        """Money with the currency's decimals; words as they are."""
        if isinstance(figure, str):
            return figure
        return f"{figure:,.{self.digits}f}"

    def table(
        self, title: str, headings: Sequence[str], rows: Sequence[Sequence[str]], words: int
    ) -> list[str]:
        """A table under its title, with a line that says how many rows are left out; nothing without rows."""
        if not rows:
            return []
        shown = [f"  {line}" for line in aligned([headings, *rows[:MOST_ROWS]], words)]
        left = len(rows) - MOST_ROWS
        return [title, *shown, *([f"  … and {left} more in the workbook"] if left > 0 else []), ""]

    def setting(self, name: str) -> float:
        """A setting's value."""
        return float(self.model.settings[name].value)
