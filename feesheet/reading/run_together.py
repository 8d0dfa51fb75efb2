"""Cells of a text file that hold whole rows of it, because a quotation mark stands where none belongs."""

from __future__ import annotations

from collections.abc import Iterator

from feesheet.problems import Problem
from feesheet.reading.gate import column_letters
from feesheet.reading.grids import Grid
from feesheet.reading.text_files import DELIMITERS

_MOST_MARKS = 5
"""Marks between columns that a cell may hold beside its line breaks; with more it holds rows."""


def run_together(grid: Grid, file: str) -> Iterator[Problem]:
    """Each cell of a text file that holds rows of it, as a notice; nothing for the sheets of workbooks."""
    for index, row in enumerate(grid.rows if not grid.name else ()):
        for at, cell in enumerate(row):
            if (
                type(cell) is str
                and "\n" in cell
                and any(cell.count(mark) > _MOST_MARKS for mark in DELIMITERS)
            ):
                what = f"The cell holds {cell.count(chr(10)) + 1} rows of the file: a quotation mark stands where none belongs."
                do = "Take the quotation mark out, or export the file again."
                yield Problem("not understood", what, do, file, "", f"{column_letters(at + 1)}{index + 1}")
