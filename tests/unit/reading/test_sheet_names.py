"""A lab may name its sheets after patients: such a sheet is called by its place, wherever it is spoken of."""

from __future__ import annotations

import pickle
from pathlib import Path

import pytest
from golden_practice import write_tables
from openpyxl import Workbook

from feesheet.reading.folder import read_folder

PAPER = [
    ["B Crown and Bridge Works"],
    ["Invoice no:", "B-1"],
    ["Clinic:", "North"],
    ["Date:", "03/14/2026"],
    ["Tooth", "Description", "Qty", "Unit price", "Amount"],
    ["14", "FCZ crown", 1, 139, 139],
    ["", "Total", "", "", 139],
]


@pytest.mark.parametrize(
    ("name", "shown"),
    [("Quillfeather Fern", "sheet 2"), ("March 2026", "March 2026"), ("Sheet1", "Sheet1"), ("1042", "1042")],
)
def test_a_name_that_nobody_knows_is_not_shown(tmp_path: Path, name: str, shown: str) -> None:
    """Neither where its lines come from nor in a complaint about it."""
    for rows in (PAPER, [["What is this"], ["no", "invoice"]]):
        folder = tmp_path / str(len(rows))
        folder.mkdir()
        write_tables(folder)
        book = Workbook()
        book.create_sheet(name)
        for row in rows:
            book[name].append(row)
        book.save(folder / "paper.xlsx")
        practice, problems = read_folder(folder)
        told = [problem for problem in problems if problem.file == "paper.xlsx" and problem.sheet]
        places = [source.sheet for source in practice.sources if source.file == "paper.xlsx"]
        assert {*places, *(problem.sheet for problem in told)} == {shown}
        assert (b"Quillfeather" in pickle.dumps((practice, problems))) is False
