"""Blank workbooks: current, repeatable, never written over a file, and filled in the same layout."""

from datetime import date
from pathlib import Path
from zipfile import ZipFile

import openpyxl
import pytest

from feesheet.paths import TEMPLATES
from feesheet.tables import TABLES
from feesheet.writing.blank import HEADING_ROW, write_templates, write_workbook


@pytest.fixture(scope="module")
def fresh(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder of templates written just now."""
    folder = tmp_path_factory.mktemp("templates")
    write_templates(folder)
    return folder


def test_the_templates_in_the_project_are_current(fresh: Path) -> None:
    """Each file of `templates/` holds the very bytes that a fresh write gives, and there is no other file.

    Workbooks are compared part by part: another zlib may pack the same parts into other bytes.
    """
    names = {path.name for path in fresh.iterdir()}
    assert names == {path.name for path in TEMPLATES.iterdir()}
    assert [name for name in sorted(names) if _parts(fresh / name) != _parts(TEMPLATES / name)] == []


def _parts(path: Path) -> dict[str, bytes]:
    if path.suffix != ".xlsx":
        return {path.name: path.read_bytes()}
    with ZipFile(path) as book:
        return {name: book.read(name) for name in book.namelist()}


def test_nothing_is_overwritten(tmp_path: Path) -> None:
    """One file in the way stops the whole write before it starts."""
    (tmp_path / "labs.xlsx").write_text("mine")
    with pytest.raises(FileExistsError, match=r"labs\.xlsx"):
        write_templates(tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["labs.xlsx"]


@pytest.mark.parametrize("table", [t for t in TABLES.values() if not t.vertical], ids=lambda t: t.name)
def test_a_sheet_has_every_heading_and_only_marked_rows(fresh: Path, table) -> None:
    """Title, headings of the declaration after "Note", then rows that say in front that they are no data."""
    sheet = openpyxl.load_workbook(fresh / f"{table.workbook}.xlsx")[table.sheet]
    rows = list(sheet.iter_rows(values_only=True))
    assert rows[0][0] == table.sheet and rows[1][0] == table.help
    assert list(rows[HEADING_ROW]) == ["Note", *(field.heading for field in table.fields)]
    assert [row[0] for row in rows[HEADING_ROW + 1 :] if any(row)] == ["unit", "help", "example"]


def test_no_setting_is_preset(fresh: Path) -> None:
    """The Value column of a blank Practice sheet is empty; examples stand beside it."""
    sheet = openpyxl.load_workbook(fresh / "practice.xlsx")["Practice"]
    rows = list(sheet.iter_rows(min_row=HEADING_ROW + 1, values_only=True))
    assert rows[0][1:3] == ("Setting", "Value") and rows[0][5] == "Example"
    assert {row[2] for row in rows[1:]} == {None}
    assert [row[1] for row in rows[1:]] == [field.heading for field in TABLES["practice"].fields]


def test_values_keep_their_kind(tmp_path: Path) -> None:
    """A code keeps its zeros, a day is a day, a fraction is stored as one, and a blank is no zero."""
    row = {"plan": "one", "code": "00417", "allowed": 980.5, "allowed_from": "2026-01-01"}
    rows = {"plan_fees": [row], "plans": [{"plan": "one", "plan_share": 0.3}]}
    write_workbook(tmp_path / "p.xlsx", rows, example=False)
    book = openpyxl.load_workbook(tmp_path / "p.xlsx")
    values = [cell.value for cell in book["Allowed amounts"][HEADING_ROW + 4]]
    assert values[1:4] == ["one", "00417", 980.5] and values[4].date() == date(2026, 1, 1)
    share = book["Plans"].cell(HEADING_ROW + 4, 3)
    assert (share.value, share.number_format) == (0.3, "0.0%")
    assert book["Plans"].cell(HEADING_ROW + 5, 3).value is None


def test_choices_and_limits_are_offered_while_typing(fresh: Path) -> None:
    """Yes/no columns have a drop-down, and a number column the limits of its declaration."""
    sheet = openpyxl.load_workbook(fresh / "materials.xlsx")["Materials"]
    checks = {check.promptTitle: check for check in sheet.data_validations.dataValidation}
    remake = checks["Starting remake rate"]
    assert (remake.type, remake.formula1, remake.formula2) == ("decimal", "0", "0.99")
    staff = openpyxl.load_workbook(fresh / "practice.xlsx")["Staff roles"]
    assert '"yes,no"' in {check.formula1 for check in staff.data_validations.dataValidation}
