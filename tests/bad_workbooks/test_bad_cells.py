"""Cells that can't be taken as they stand: kind, file, sheet and cell of each, and what is said."""

from __future__ import annotations

import zipfile
from collections.abc import Sequence
from datetime import date, datetime
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from reading_inputs import GOOD, edited, good, grid, places, problems_of, write_grids, write_practice

from feesheet.problems import Problem
from feesheet.reading.folder import read_folder
from feesheet.tables import TABLES

SHEET = "xl/worksheets/sheet1.xml"
FIELDS = [field.name for field in TABLES["invoice_lines"].fields]
LETTER = dict(zip(FIELDS, "ABCDEFGHIJKLMNOPQRS", strict=False))


def with_lines(folder: Path, field: str, values: Sequence[Any], codes: Sequence[str] = ()) -> list[Problem]:
    """The problems of a practice whose file `lines.xlsx` has one line for each value of that field."""
    tables = good()
    first = tables.pop("invoice_lines")[0]
    write_practice(folder, tables)
    rows = [{**first, field: value} for value in values]
    formats = {("Invoice lines", n + 1, FIELDS.index(field)): code for n, code in enumerate(codes)}
    write_grids(folder / "lines.xlsx", {"Invoice lines": grid("invoice_lines", rows)}, formats)
    return problems_of(folder)


def at(field: str, *rows: int) -> list[str]:
    """Cells of that field in those rows of the sheet."""
    return [f"{LETTER[field]}{row}" for row in rows]


@pytest.mark.parametrize(
    ("field", "value", "kind"),
    [
        ("amount", "", "missing value"),
        ("amount", "N/C", "no charge"),
        ("amount", "—", "no charge"),
        ("amount", "incl.", "no charge"),
        ("amount", "n/a", "not a number"),
        ("units", "N/C", "not a number"),
        ("amount", "12,5O", "not a number"),
        ("amount", "14 15", "not a number"),
        ("amount", "18%", "not a number"),
        ("amount", "nan", "not a number"),
        ("amount", "inf", "not a number"),
        ("amount", True, "not a number"),
        ("amount", date(2026, 3, 4), "not a number"),
        ("amount", "1,234", "unclear number"),
        ("amount", "1.234", "unclear number"),
        ("amount", 1e12, "out of range"),
        ("amount", "#DIV/0!", "error cell"),
        ("units", -500, "out of range"),
        ("date", "", "missing value"),
        ("date", "soon", "not a date"),
        ("date", 46000, "not a date"),
        ("date", "31/02/2026", "not a date"),
        ("date", "2026-02-30", "not a date"),
        ("date", "03/04/2026", "unclear date"),
        ("date", "01/01/26", "unclear date"),
        ("date", date(1905, 1, 1), "out of range"),
        ("kind", "crownn", "not a choice"),
        ("kind", "", "missing value"),
        ("invoice", date(2026, 3, 5), "unclear number"),
        ("teeth", date(2026, 3, 5), "unclear tooth"),
        ("teeth", "99", "unclear tooth"),
        ("teeth", "3-5", "unclear tooth"),
        ("teeth", 14.15, "unclear tooth"),
        ("lab", "lab C", "unknown name"),
        ("site", "Nort", "unknown name"),
        ("currency", "USD", "mixed currency"),
        ("amount", "£5.00", "mixed currency"),
        ("amount", "5.00 USD", "mixed currency"),
    ],
)
def test_a_bad_cell_is_named(tmp_path: Path, field: str, value: Any, kind: str) -> None:
    """One bad cell is one problem, at that cell."""
    problems = with_lines(tmp_path, field, [value])
    assert places(problems) == [(kind, "lines.xlsx", "Invoice lines", at(field, 2)[0])]


def test_a_date_that_reads_both_ways_shows_both_days(tmp_path: Path) -> None:
    """A person sees what each reading would mean."""
    (problem,) = with_lines(tmp_path, "date", ["03/04/2026"])
    assert "2026-03-04 or 2026-04-03" in problem.what


@pytest.mark.parametrize(
    ("values", "days"),
    [
        (["03/04/2025", "25/04/2025"], ["2025-04-03", "2025-04-25"]),
        (["03/04/2025", "04/25/2025"], ["2025-03-04", "2025-04-25"]),
        (["03.04.25", "25.04.25"], ["2025-04-03", "2025-04-25"]),
        (["05/05/2025"], ["2025-05-05"]),
        ([20250403, "2025-04-25", "4 March 2025"], ["2025-04-03", "2025-04-25", "2025-03-04"]),
        ([date(2025, 4, 3), datetime(2025, 4, 25, 13, 30)], ["2025-04-03", "2025-04-25"]),
    ],
)
def test_one_clear_date_settles_the_column(tmp_path: Path, values: list[Any], days: list[str]) -> None:
    """25/04 can only be day first, so 03/04 above it is the 3rd of April."""
    assert with_lines(tmp_path, "date", values) == []
    frame = read_folder(tmp_path)[0].tables["invoice_lines"]
    assert list(frame["date"].dt.strftime("%Y-%m-%d")) == days


def test_dates_of_both_orders_are_all_unclear(tmp_path: Path) -> None:
    """A column that holds both orders settles nothing."""
    problems = with_lines(tmp_path, "date", ["03/04/2025", "25/04/2025", "04/25/2025"])
    assert [(p.kind, p.cell) for p in problems] == [
        ("unclear date", "A2"),
        ("unclear date", "A3"),
        ("unclear date", "A4"),
    ]


@pytest.mark.parametrize(
    ("values", "numbers"),
    [
        (["(185.00)", "185.00-", "185.00 CR", "−185.00"], [-185.0] * 4),
        (["1.234,56 €", "1.234"], [1234.56, 1234.0]),
        (["1,234.56", "1,234", "EUR 5.00"], [1234.56, 1234.0, 5.0]),
        (["1\u00a0234,56", "12,5", 7], [1234.56, 12.5, 7.0]),
        (["1'234.50", "5.-"], [1234.5, 5.0]),
    ],
)
def test_text_numbers_are_read_by_the_sheets_own_habit(
    tmp_path: Path, values: list[Any], numbers: list[float]
) -> None:
    """Signs, currencies and thousands are understood; one clear decimal settles the unclear ones."""
    assert with_lines(tmp_path, "amount", values) == []
    assert list(read_folder(tmp_path)[0].tables["invoice_lines"]["amount"]) == numbers


def test_two_decimal_marks_in_one_sheet_are_unclear(tmp_path: Path) -> None:
    """A sheet that writes 1.234,56 and 1,234.56 is asked about, cell by cell."""
    problems = with_lines(tmp_path, "amount", ["1.234,56", "1,234.56"])
    assert [(p.kind, p.cell) for p in problems] == [("unclear number", "I2"), ("unclear number", "I3")]


def test_a_hundred_bad_cells_are_named_and_the_rest_counted(tmp_path: Path) -> None:
    """A column of nonsense does not bury the other problems."""
    problems = with_lines(tmp_path, "amount", ["n/a"] * 250)
    assert len(problems) == 101
    assert "150 more cells" in problems[-1].what


def test_zero_padded_numbers_keep_their_zeros(tmp_path: Path) -> None:
    """123 shown as 000123 is the code 000123; a plain number cell is its shortest text."""
    assert with_lines(tmp_path, "invoice", [123, 451, "00123"], ["000000"]) == []
    assert list(read_folder(tmp_path)[0].tables["invoice_lines"]["invoice"]) == ["000123", "451", "00123"]


def test_two_currencies_in_the_formats_are_told(tmp_path: Path) -> None:
    """Amounts shown as dollars among euros are never added up."""
    problems = with_lines(tmp_path, "amount", [5, 6], ["#,##0.00 [$EUR]", "[$USD] #,##0.00"])
    assert places(problems) == [("mixed currency", "lines.xlsx", "Invoice lines", "I3")]


def test_an_error_cell_is_never_a_blank(tmp_path: Path) -> None:
    """#N/A in a used column is told; in a column of one's own it is nobody's business."""
    tables = good()
    lines = grid("invoice_lines", tables.pop("invoice_lines"))
    write_practice(tmp_path, tables)
    fault = lambda sheet, row, column: sheet.write_formula(row, column, "=1/0", None, "#DIV/0!")  # noqa: E731
    lines[2][FIELDS.index("units")] = fault
    lines = [[*row, fault if n else "My own"] for n, row in enumerate(lines)]
    write_grids(tmp_path / "lines.xlsx", {"Invoice lines": lines})
    assert places(problems_of(tmp_path)) == [("error cell", "lines.xlsx", "Invoice lines", "H3")]


def test_an_error_in_a_workbook_of_the_strict_kind_is_told_too(tmp_path: Path) -> None:
    """The Strict namespace loses neither values nor errors."""
    tables = good()
    lines = grid("invoice_lines", tables.pop("invoice_lines"))
    write_practice(tmp_path, tables)
    lines[2][FIELDS.index("amount")] = lambda s, r, c: s.write_formula(r, c, "=1/0", None, "#REF!")
    path = tmp_path / "lines.xlsx"
    write_grids(path, {"Invoice lines": lines})
    old, new = (
        b"http://schemas.openxmlformats.org/spreadsheetml/2006/main",
        b"http://purl.oclc.org/ooxml/spreadsheetml/main",
    )
    for part in (SHEET, "xl/workbook.xml", "xl/sharedStrings.xml", "xl/styles.xml"):
        edited(path, part, lambda data: data.replace(old, new))
    practice, problems = read_folder(tmp_path)
    assert places(problems) == [("error cell", "lines.xlsx", "Invoice lines", "I3")]
    assert len(practice.tables["invoice_lines"]) == 4


def test_a_formula_without_a_value_is_told(tmp_path: Path) -> None:
    """A workbook that a script wrote and nothing calculated holds no figures."""
    tables = good()
    lines = grid("invoice_lines", tables.pop("invoice_lines"))
    write_practice(tmp_path, tables)
    lines[1][0] = lines[2][0] = lines[3][0] = lines[4][0] = "2026-03-04"
    book = openpyxl.Workbook()
    for row in lines:
        book.active.append(row)
    book.active.title = "Invoice lines"
    book.active["I3"] = "=100+42"
    book.save(tmp_path / "lines.xlsx")
    book.close()
    assert places(problems_of(tmp_path)) == [("formula without value", "lines.xlsx", "Invoice lines", "I3")]


def test_iso_dates_of_their_own_cell_type_are_read(tmp_path: Path) -> None:
    """A cell of type "d" holds a day as text."""
    assert with_lines(tmp_path, "date", [date(2026, 3, 4)]) == []
    edited(
        tmp_path / "lines.xlsx",
        SHEET,
        lambda data: data.replace(b'<c r="A2" s="1"><v>46085</v>', b'<c r="A2" t="d"><v>2026-03-04</v>'),
    )
    assert b't="d"' in zip_part(tmp_path / "lines.xlsx")
    practice, problems = read_folder(tmp_path)
    assert problems == []
    assert str(practice.tables["invoice_lines"]["date"].iloc[0].date()) == "2026-03-04"


def zip_part(path: Path) -> bytes:
    """The first sheet's XML."""
    with zipfile.ZipFile(path) as book:
        return book.read(SHEET)


def test_a_wrong_dimension_loses_nothing(tmp_path: Path) -> None:
    """The size that a sheet declares is not believed."""
    assert with_lines(tmp_path, "amount", [1, 2, 3]) == []
    edited(
        tmp_path / "lines.xlsx",
        SHEET,
        lambda data: data.replace(b'<dimension ref="A1:M4"/>', b'<dimension ref="A1:B2"/>'),
    )
    assert list(read_folder(tmp_path)[0].tables["invoice_lines"]["amount"]) == [1, 2, 3]


def test_a_merged_word_holds_for_its_rows_and_is_told(tmp_path: Path) -> None:
    """A site merged over two lines is the site of both; a merged amount is not doubled."""
    tables = good()
    lines = grid("invoice_lines", tables.pop("invoice_lines"))
    write_practice(tmp_path, tables)
    site, amount = FIELDS.index("site"), FIELDS.index("amount")
    lines[1][site] = lambda s, r, c: s.merge_range(r, c, r + 1, c, "South")
    lines[1][amount] = lambda s, r, c: s.merge_range(r, c, r + 1, c, 50)
    lines[2][site] = lines[2][amount] = ""
    write_grids(tmp_path / "lines.xlsx", {"Invoice lines": lines})
    practice, problems = read_folder(tmp_path)
    assert places(problems) == [
        ("merged cells", "lines.xlsx", "Invoice lines", "D2"),
        ("missing value", "lines.xlsx", "Invoice lines", "I3"),
    ]
    assert list(practice.tables["invoice_lines"]["site"])[:2] == ["South", "South"]


@pytest.mark.parametrize(
    ("share", "what"), [(18, "18 was typed."), ("4.5", "4.5 was typed."), (-0.1, '"-0.1" is outside 0 to 1')]
)
def test_a_percentage_is_not_taken_for_a_fraction(tmp_path: Path, share: Any, what: str) -> None:
    """18 in a column of fractions is asked about, with both ways to write it."""
    tables = good()
    tables["plans"][0]["plan_share"] = share
    write_practice(tmp_path, tables)
    (problem,) = problems_of(tmp_path)
    assert (problem.kind, problem.sheet, problem.cell) == ("out of range", "Plans", "B2")
    assert problem.what.startswith(what)


@pytest.mark.parametrize(("typed", "share"), [("18%", 0.18), ("18 %", 0.18), (0.18, 0.18), ("0,18", 0.18)])
def test_a_fraction_may_be_typed_with_a_percent_sign(tmp_path: Path, typed: Any, share: float) -> None:
    """18 % and 0.18 are the same."""
    tables = good()
    tables["plans"][0]["plan_share"] = typed
    write_practice(tmp_path, tables)
    practice, problems = read_folder(tmp_path)
    assert problems == []
    assert practice.tables["plans"]["plan_share"].iloc[0] == share


@pytest.mark.parametrize("words", ["=HYPERLINK(1)", "+1", "-x", "@x", "クラウン", "تاج", "a\u00a0b"])
def test_words_stay_words(tmp_path: Path, words: str) -> None:
    """Text that looks like a formula, or is in any script, is kept as it is typed."""
    assert with_lines(tmp_path, "product", [f"  {words}\x07 "]) == []
    assert list(read_folder(tmp_path)[0].tables["invoice_lines"]["product"]) == [words]


def test_yes_and_no_in_many_words(tmp_path: Path) -> None:
    """x, y, 1 and TRUE are yes; anything else is asked about."""
    tables = good()
    fees = tables["fees"][0]
    tables["fees"] = [
        {**fees, "code": f"C-{n}", "hold": word}
        for n, word in enumerate(["x", "Y", 1, True, "no", "", 0, "maybe"])
    ]
    tables["plan_fees"] = []
    write_practice(tmp_path, tables)
    practice, problems = read_folder(tmp_path)
    assert [p.cell for p in problems if p.kind == "not a choice"] == ["I9"]
    assert list(practice.tables["fees"]["hold"])[:7] == [True, True, True, True, False, False, False]


def test_the_good_practice_is_typed_as_promised(tmp_path: Path) -> None:
    """Numbers are floats, days days, words categories with "" for a blank."""
    practice, _ = read_folder(write_practice(tmp_path))
    lines = practice.tables["invoice_lines"]
    assert len(lines) == len(GOOD["invoice_lines"])
    assert str(lines["date"].dtype) == "datetime64[s]"
    assert lines["amount"].dtype == float
    assert "" in lines["alloy"].cat.categories
    assert practice.place("invoice_lines", 2, "weight") == ("all.xlsx", "Invoice lines", "K4")


ODS_ROW = "<table:table-row{}>{}</table:table-row>"


def ods(path: Path, rows: Sequence[str]) -> None:
    """An ods file with one sheet of invoice lines made of those row elements."""
    spaces = " ".join(
        f'xmlns:{name}="urn:oasis:names:tc:opendocument:xmlns:{name}:1.0"'
        for name in ("office", "table", "text")
    )
    content = (
        f'<?xml version="1.0"?><office:document-content {spaces} xmlns:calcext="urn:org:calcext">'
        '<office:body><office:spreadsheet><table:table table:name="Invoice lines">'
        + "".join(rows)
        + "</table:table></office:spreadsheet></office:body></office:document-content>"
    )
    with zipfile.ZipFile(path, "w") as book:
        book.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        book.writestr("META-INF/manifest.xml", "<manifest/>")
        book.writestr("content.xml", content)


def ods_cell(value: Any) -> str:
    """One cell element, text unless it is a number; "#N/A" is an error as LibreOffice writes it."""
    if value == "#N/A":
        return (
            '<table:table-cell office:value-type="string" office:string-value="" calcext:value-type="error"/>'
        )
    if isinstance(value, int | float):
        return f'<table:table-cell office:value-type="float" office:value="{value}"/>'
    return f'<table:table-cell office:value-type="string"><text:p>{value}</text:p></table:table-cell>'


def test_an_error_in_an_open_document_is_told_too(tmp_path: Path) -> None:
    """Its place is counted over repeated rows, and an optional figure is not taken for a blank."""
    tables = good()
    lines = [
        [str(c) if isinstance(c, date) else c for c in row]
        for row in grid("invoice_lines", tables.pop("invoice_lines"))
    ]
    write_practice(tmp_path, tables)
    lines[2][FIELDS.index("units")] = "#N/A"
    rows = [ODS_ROW.format("", "".join(map(ods_cell, line))) for line in lines]
    blank = ODS_ROW.format(' table:number-rows-repeated="3"', "<table:table-cell/>")
    ods(tmp_path / "lines.ods", [rows[0], blank, *rows[1:]])
    practice, problems = read_folder(tmp_path)
    assert places(problems) == [("error cell", "lines.ods", "Invoice lines", "H6")]
    assert list(practice.tables["invoice_lines"]["amount"]) == [142.5, 120, 310, 99]
