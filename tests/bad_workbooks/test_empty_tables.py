"""A required table with headings alone is no table: it is said, and nothing falls over."""

from __future__ import annotations

import shutil
from pathlib import Path

import openpyxl
import pytest

from feesheet.paths import EXAMPLE
from feesheet.problems import errors
from feesheet.tables import TABLES
from feesheet.uses.annual_update import update
from feesheet.writing.blank import write_templates

REQUIRED = [table for table in TABLES.values() if table.required and not table.vertical]


@pytest.mark.parametrize("table", REQUIRED, ids=lambda table: table.name)
def test_a_required_table_without_rows_is_an_error(table: object, tmp_path: Path) -> None:
    """The message names the table, its file and sheet; nothing is written."""
    folder = tmp_path / "practice"
    shutil.copytree(EXAMPLE, folder, ignore=shutil.ignore_patterns("Fee schedules"))
    path = folder / f"{table.workbook}.xlsx"
    book = openpyxl.load_workbook(path)
    book[table.sheet].delete_rows(5, book[table.sheet].max_row)
    book.save(path)
    outcome = update(folder, tmp_path / "out")
    told = [problem for problem in errors(outcome.problems) if problem.kind == "missing table"]

    assert [(problem.file, problem.sheet) for problem in told] == [(path.name, table.sheet)]
    assert table.sheet in told[0].what
    assert outcome.workbook is None
    assert not (tmp_path / "out").exists()


def test_settings_alone_are_not_enough(tmp_path: Path) -> None:
    """With blank templates and every setting filled in, each required table is asked for."""
    write_templates(tmp_path)
    shutil.copy(EXAMPLE / "practice.xlsx", tmp_path / "practice.xlsx")
    book = openpyxl.load_workbook(tmp_path / "practice.xlsx")
    for sheet in book.worksheets[1:]:
        sheet.delete_rows(5, sheet.max_row)
    book.save(tmp_path / "practice.xlsx")
    outcome = update(tmp_path, tmp_path / "out")
    told = {problem.sheet for problem in errors(outcome.problems) if problem.kind == "missing table"}

    assert told == {table.sheet for table in REQUIRED}
