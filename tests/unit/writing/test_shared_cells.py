"""Cells that are equal are kept once while a workbook is written, which changes nothing in it."""

from __future__ import annotations

from pathlib import Path

import openpyxl
import xlsxwriter

from feesheet.writing.sheet import PlainWorksheet

VALUES = [0.0, 1.0, 0.0, 2.5, 1.0, "crown", "crown", ""]


def written(path: Path, share: bool) -> PlainWorksheet:
    """A sheet with the values in its second column, from its third row on."""
    with xlsxwriter.Workbook(str(path)) as book:
        sheet = book.add_worksheet(worksheet_class=PlainWorksheet)
        look = book.add_format({"bold": True})
        for row, value in enumerate(VALUES, start=2):
            sheet.write(row, 1, value, look)
        if share:
            sheet.share_cells(2, len(VALUES), 1)
    return sheet


def test_equal_cells_are_one(tmp_path: Path) -> None:
    """Two noughts, two ones, two crowns, 2.5 and a blank: five different cells are left of eight."""
    sheet = written(tmp_path / "a.xlsx", share=True)
    assert len({id(sheet.table[row][1]) for row in range(2, 2 + len(VALUES))}) == 5


def test_the_workbook_is_the_same(tmp_path: Path) -> None:
    """Every cell holds what was written, with its looks."""
    written(tmp_path / "a.xlsx", share=True)
    written(tmp_path / "b.xlsx", share=False)
    one, other = (openpyxl.load_workbook(tmp_path / name).active for name in ("a.xlsx", "b.xlsx"))
    cells = [
        [(cell.value, cell.font.bold) for row in sheet.iter_rows() for cell in row] for sheet in (one, other)
    ]
    assert cells[0] == cells[1]
    assert [value for value, _ in cells[0][5::2]] == [*VALUES[:-1], None]
