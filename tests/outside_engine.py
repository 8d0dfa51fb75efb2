"""A small workbook made of a model's blocks and worked out by an outside spreadsheet engine.

Every block gets a sheet of its own, headings in row 1; settings stand in column B of the sheet Settings.
"""

from __future__ import annotations

from typing import Any

import formualizer
import numpy as np

from feesheet.formula.excel import at_rows, formula, row_mark
from feesheet.formula.model import Block, Column, Model

FIRST_ROW = 2


def letters(number: int) -> str:
    """The letters of the column with this number, counted from 1."""
    more, last = divmod(number - 1, 26)
    return (letters(more) if more else "") + chr(ord("A") + last)


class Sheets:
    """A layout: each block on the sheet of its name, one column after the other."""

    def __init__(self, model: Model) -> None:
        """For this model."""
        self.model = model

    def _letter(self, block: Block, name: str) -> str:
        return letters(list(block.columns).index(name) + 1)

    def reference(self, name: str, block: Block) -> str:
        """The cell or the plans' cells of the row, or the setting's cell."""
        home = self.model.home(name, block)
        if home is None:
            return f"Settings!$B${list(self.model.settings).index(name) + 1}"
        if name in home.columns:
            return f"{home.name}!{self._letter(home, name)}{row_mark(0)}"
        first, last = home.groups[name][0], home.groups[name][-1]
        return f"{home.name}!{self._letter(home, first)}{row_mark(0)}:{self._letter(home, last)}{row_mark(0)}"

    def above(self, name: str, block: Block) -> str:
        """The cell one row up."""
        return f"{block.name}!{self._letter(block, name)}{row_mark(-1)}"

    def whole(self, block: str, column: str) -> str:
        """The column's cells without its heading."""
        home = self.model.blocks[block]
        letter = self._letter(home, column)
        return f"{block}!${letter}${FIRST_ROW}:${letter}${FIRST_ROW + home.rows - 1}"


def recalculated(model: Model, block: str, column: str) -> list[Any]:
    """The figures of one column as the outside engine works them out, one a row."""
    book = formualizer.Workbook()
    book.add_sheet("Settings")
    for row, setting in enumerate(model.settings.values(), start=1):
        book.set_value("Settings", row, 2, setting.value)
    for each in model.blocks.values():
        book.add_sheet(each.name)
        for number, one in enumerate(each.columns.values(), start=1):
            _fill(book, model, each, one, number)
    book.evaluate_all()
    wanted = list(model.blocks[block].columns).index(column) + 1
    return [book.get_value(block, FIRST_ROW + row, wanted) for row in range(model.blocks[block].rows)]


def _fill(book: Any, model: Model, block: Block, column: Column, number: int) -> None:
    """One column's heading and its values or formulas; a NaN stays an empty cell."""
    book.set_value(block.name, 1, number, column.heading)
    for row in range(block.rows):
        place = (block.name, FIRST_ROW + row, number)
        if column.values is None:
            tree = column.trees[row] if column.trees else column.tree
            book.set_formula(*place, at_rows(formula(tree, block, Sheets(model)))(FIRST_ROW + row))
        elif (value := column.values[row]) == value:
            book.set_value(*place, value.item() if isinstance(value, np.generic) else value)
