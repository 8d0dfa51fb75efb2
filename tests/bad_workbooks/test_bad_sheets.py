"""Sheets that can't be told apart, lack something or hold nothing: what is said, and where."""

from __future__ import annotations

from pathlib import Path

import openpyxl
import pytest
from reading_inputs import (
    SETTINGS,
    broken,
    good,
    grid,
    places,
    problems_of,
    settings_grid,
    write_grids,
    write_practice,
)

from feesheet.reading.folder import read_folder, survey
from feesheet.tables import TABLES


@pytest.mark.parametrize("table", ["sites", "staff", "chair_time", "materials", "fees"])
def test_a_missing_table_says_its_headings_and_how_to_get_it(tmp_path: Path, table: str) -> None:
    """A required table that is nowhere is one problem; what depends on it stays silent."""
    problems = broken(tmp_path, lambda tables: tables.pop(table))
    (problem,) = [p for p in problems if p.kind == "missing table"]
    assert [p.kind for p in problems] == ["missing table"]
    assert "feesheet templates DIR" in problem.do
    assert all(field.heading in problem.do for field in TABLES[table].required_fields)


def test_missing_settings_are_a_missing_table(tmp_path: Path) -> None:
    """The settings' headings are Setting and Value."""
    write_grids(tmp_path / "all.xlsx", {"x": [["nothing"]]})
    (problem,) = [p for p in problems_of(tmp_path, "missing table") if '"Practice"' in p.what]
    assert "Setting, Value" in problem.do


def test_a_sheet_named_like_a_table_without_a_heading_lacks_a_column(tmp_path: Path) -> None:
    """The heading that is missing is named, with the row where it should stand."""
    tables = good()
    write_practice(tmp_path, {name: rows for name, rows in tables.items() if name != "sites"})
    rows = [[row[0], *row[2:]] for row in grid("sites", tables["sites"])]
    write_grids(tmp_path / "sites.xlsx", {"Sites": [["Our clinics"], [], *rows]})
    (problem,) = problems_of(tmp_path)
    assert (problem.kind, problem.file, problem.sheet, problem.cell) == (
        "missing column",
        "sites.xlsx",
        "Sites",
        "row 3",
    )
    assert '"Region"' in problem.what


def test_two_columns_for_one_field_are_both_named(tmp_path: Path) -> None:
    """Site and Clinic mean the same; both cells are shown."""
    tables = good()
    rows = [
        [*row, "Clinic" if n == 0 else "North"] for n, row in enumerate(grid("sites", tables.pop("sites")))
    ]
    write_practice(tmp_path, tables)
    write_grids(tmp_path / "sites.xlsx", {"Sites": rows})
    assert places(problems_of(tmp_path)) == [("two columns fit", "sites.xlsx", "Sites", "A1 and H1")]


def test_a_sheet_that_fits_two_tables_is_asked_about(tmp_path: Path) -> None:
    """Headings of region index and plans in one sheet of another name: both tables are named."""
    write_practice(tmp_path)
    headings = [*grid("region_index", [])[0], "Plan", "Code", "Allowed amount"]
    write_grids(tmp_path / "more.xlsx", {"Something": [headings, ["Coast", 1, 2025, "plan one", "C-1", 5]]})
    (problem,) = problems_of(tmp_path)
    assert (problem.kind, problem.file, problem.sheet, problem.cell) == (
        "two tables fit",
        "more.xlsx",
        "Something",
        "row 1",
    )
    assert '"Region index" and "Allowed amounts"' in problem.what


def test_its_name_decides_between_two_tables(tmp_path: Path) -> None:
    """The same sheet, named after one of them, is that one."""
    tables = good()
    tables.pop("region_index")
    write_practice(tmp_path, tables)
    headings = [*grid("region_index", [])[0], "Plan", "Code", "Allowed amount"]
    rows = [headings, ["Coast", 104.2, 2025, "", "", ""], ["Hills", 96.5, 2025, "", "", ""]]
    write_grids(tmp_path / "more.xlsx", {"Region index": rows})
    assert problems_of(tmp_path) == []


def test_a_table_in_two_places_names_both(tmp_path: Path) -> None:
    """Two Sites sheets in two files: only one can be meant."""
    write_practice(tmp_path)
    write_grids(tmp_path / "old.xlsx", {"Clinics of 2019": grid("sites", good()["sites"])})
    (problem,) = problems_of(tmp_path)
    assert (problem.kind, problem.file, problem.sheet) == ("two tables fit", "old.xlsx", "Clinics of 2019")
    assert "all.xlsx, Sites and old.xlsx, Clinics of 2019" in problem.what


def test_invoices_may_stand_on_many_sheets_in_many_files(tmp_path: Path) -> None:
    """Lines of all sheets come together in the order of files, sheets and rows."""
    tables = good()
    lines = tables.pop("invoice_lines")
    write_practice(tmp_path, tables)
    write_grids(
        tmp_path / "b.xlsx",
        {"May": grid("invoice_lines", lines[2:3]), "June": grid("invoice_lines", lines[3:])},
    )
    write_grids(tmp_path / "sub" / "a.xlsx", {"Lines": grid("invoice_lines", lines[:2])})
    practice, problems = read_folder(tmp_path)
    assert places(problems) == [("copy", "sub/a.xlsx", "Lines", "B2")]
    frame = practice.tables["invoice_lines"]
    assert list(frame["amount"]) == [310, 99, 142.5, 120]
    assert [practice.place("invoice_lines", n, "amount") for n in range(4)] == [
        ("b.xlsx", "May", "I2"),
        ("b.xlsx", "June", "I2"),
        ("sub/a.xlsx", "Lines", "I2"),
        ("sub/a.xlsx", "Lines", "I3"),
    ]


def test_a_sheet_of_something_else_is_told_and_an_empty_one_is_not(tmp_path: Path) -> None:
    """A notice, so that a misnamed heading is found; nothing for a blank sheet. A word that nobody knows may be a name."""
    write_practice(tmp_path)
    write_grids(tmp_path / "notes.xlsx", {"Holidays": [["Who", "When"], ["A", "B"]], "Sheet2": []})
    (problem,) = problems_of(tmp_path)
    assert (problem.kind, problem.file, problem.sheet, problem.severity) == (
        "unread sheet",
        "notes.xlsx",
        "sheet 1",
        "notice",
    )


@pytest.mark.parametrize("data", ["", "\n\n", "\ufeff"])
def test_an_empty_file_has_no_lines(tmp_path: Path, data: str) -> None:
    """Nothing in it is said, and is not a cost of nothing."""
    write_practice(tmp_path)
    (tmp_path / "lines.csv").write_text(data, encoding="utf-8")
    assert places(problems_of(tmp_path)) == [("empty table", "lines.csv", "", "")]


def test_a_workbook_of_empty_sheets_has_no_lines(tmp_path: Path) -> None:
    """A damaged sheet opens as an empty one: the file is named, unless another of its sheets holds something."""
    write_practice(tmp_path)
    write_grids(tmp_path / "may.xlsx", {"Sheet1": [], "Sheet2": [[" "]]})
    assert places(problems_of(tmp_path)) == [("empty table", "may.xlsx", "", "")]


@pytest.mark.parametrize("heading", ["Lab,Name on invoices", "Description,Amount"])
def test_rows_in_one_cell_are_told(tmp_path: Path, heading: str) -> None:
    """A quotation mark that nothing closes swallows the rows below it, in a table and on a lab's paper."""
    write_practice(tmp_path)
    (tmp_path / "may.csv").write_text(
        f'{heading}\nFCZ crown,145.00\nx,"y,,\na,b,c\nd,e,f\n', encoding="utf-8"
    )
    told = problems_of(tmp_path, "not understood")
    assert [problem.cell for problem in told if "quotation mark" in problem.what] == ["B3"]


def test_headings_alone_are_no_lines(tmp_path: Path) -> None:
    """Other files are not affected."""
    write_practice(tmp_path)
    write_grids(tmp_path / "may.xlsx", {"Invoice lines": grid("invoice_lines", [])})
    assert places(problems_of(tmp_path)) == [("empty table", "may.xlsx", "Invoice lines", "row 1")]


def test_headings_repeated_on_a_page_break_are_no_line(tmp_path: Path) -> None:
    """A heading row again within the data is passed over, and so is a row of blanks."""
    tables = good()
    rows = grid("invoice_lines", tables.pop("invoice_lines"))
    write_practice(tmp_path, tables)
    write_grids(
        tmp_path / "may.xlsx", {"May": [["Lab A, statement"], [], *rows[:3], [" "], rows[0], *rows[3:]]}
    )
    practice, problems = read_folder(tmp_path)
    assert problems == []
    assert list(practice.tables["invoice_lines"]["row"]) == [4, 5, 8, 9]


def test_headings_over_two_rows_are_joined(tmp_path: Path) -> None:
    """ "Quoted" over "price", and one word merged over both rows, under a banner of six rows."""
    tables = good()
    tables.pop("lab_prices")
    write_practice(tmp_path, tables)
    top = [
        lambda s, r, c: s.merge_range(r, c, r + 1, c, "Laboratory"),
        "",
        "Quoted",
        lambda s, r, c: s.merge_range(r, c, r, c + 1, "Own"),
    ]
    banner = [[f"Line {n}"] for n in range(6)]
    write_grids(
        tmp_path / "list.xlsx",
        {
            "2026": [
                *banner,
                top,
                ["", "Material", "price", "note", "mark"],
                ["lab A", "zirconia", 142, "", 1],
            ]
        },
    )
    practice, problems = read_folder(tmp_path)
    assert problems == []
    assert practice.place("lab_prices", 0, "quoted_price") == ("list.xlsx", "2026", "C9")
    assert practice.tables["lab_prices"]["quoted_price"].iloc[0] == 142


def test_the_templates_own_rows_are_never_data(tmp_path: Path) -> None:
    """Rows that the note beside them calls example, unit, help or limits are passed over, others are not."""
    tables = good()
    rows = grid("sites", tables.pop("sites"))
    write_practice(tmp_path, tables)
    notes = ["Note", "Example row: delete", "units", "Help", "limits", "moved in May", ""]
    body = [rows[0], *[["x"] * 6] * 4, *rows[1:]]
    write_grids(
        tmp_path / "sites.xlsx", {"Sites": [[note, *row] for note, row in zip(notes, body, strict=True)]}
    )
    assert problems_of(tmp_path) == []


def test_settings_that_are_missing_are_named(tmp_path: Path) -> None:
    """A required setting without a row, and one whose value is blank."""
    settings = {**SETTINGS, "collected": ""}
    del settings["currency"]
    write_practice(tmp_path, settings=settings)
    assert places(problems_of(tmp_path)) == [
        ("missing value", "all.xlsx", "Practice", "B7"),
        ("missing value", "all.xlsx", "Practice", ""),
    ]


def test_an_own_setting_is_kept_and_an_optional_one_has_its_default(tmp_path: Path) -> None:
    """A plug-in finds its setting under the plain name, a number where it is one."""
    rows = [
        *settings_grid(SETTINGS),
        ["Sterilisation per Unit (EUR)", 7],
        ["Scanner lease", "12.50"],
        ["Remark", "soon"],
    ]
    write_practice(tmp_path)
    (tmp_path / "all.xlsx").unlink()
    write_grids(tmp_path / "practice.xlsx", {"Practice": rows})
    practice, _ = read_folder(tmp_path)
    assert practice.settings["sterilisation_per_unit"] == 7
    assert practice.settings["scanner_lease"] == 12.5
    assert practice.settings["remark"] == "soon"
    assert practice.settings["credibility_units"] == 5
    assert practice.settings["fees_set_on"] is None
    assert practice.setting_cells["sterilisation_per_unit"] == ("practice.xlsx", "Practice", "B10")


def test_a_setting_listed_twice_is_told(tmp_path: Path) -> None:
    """Only one of two values can be meant."""
    write_practice(tmp_path, settings={**SETTINGS, "Invoice  Months": 6})
    assert places(problems_of(tmp_path)) == [("duplicate", "all.xlsx", "Practice", "B10")]


def test_what_was_found_can_be_listed(tmp_path: Path) -> None:
    """File, sheet, table and rows, for a person to compare."""
    write_practice(tmp_path, {"sites": good()["sites"]})
    write_grids(tmp_path / "z.xlsx", {"Other": [["x"]]})
    assert [(s.file, s.sheet, s.table, s.rows) for s in survey(tmp_path)] == [
        ("all.xlsx", "Practice", "practice", 8),
        ("all.xlsx", "Sites", "sites", 2),
        ("z.xlsx", "Other", None, 1),
    ]


def test_progress_is_told_file_by_file(tmp_path: Path) -> None:
    """Each file by its name, with how many are done and how many there are."""
    write_practice(tmp_path)
    write_grids(tmp_path / "z.xlsx", {"Other": []})
    told: list[tuple[str, int, int]] = []
    read_folder(tmp_path, lambda *step: told.append(step))
    assert told == [("all.xlsx", 1, 2), ("z.xlsx", 2, 2)]


@pytest.mark.parametrize(
    ("codec", "mark"), [("utf-8", ";"), ("utf-8-sig", ","), ("cp1252", ";"), ("utf-16", "\t"), ("utf-8", "|")]
)
def test_text_files_of_any_make_are_read(tmp_path: Path, codec: str, mark: str) -> None:
    """Encoding and delimiter are found from the file; a decimal comma from its numbers."""
    write_practice(tmp_path)
    comma = "1234.50" if mark == "," else "1.234,50"
    rows = [
        ["Date", "Lab", "Invoice", "Site", "Product", "Line kind", "Amount"],
        ["2026-03-04", "lab A", "00123", "North", "Münch crown", "unit fee", comma],
    ]
    (tmp_path / "z.csv").write_bytes("\r\n".join(mark.join(row) for row in rows).encode(codec))
    practice, problems = read_folder(tmp_path)
    last = practice.tables["invoice_lines"].iloc[-1]
    assert problems == []
    assert (last["invoice"], last["product"], last["amount"]) == ("00123", "Münch crown", 1234.5)
    assert practice.place("invoice_lines", 4, "amount") == ("z.csv", "", "G2")


def test_a_hidden_sheet_with_some_of_a_tables_headings_stops_no_run(tmp_path: Path) -> None:
    """It is told as not read; its missing columns are nobody's mistake."""
    write_practice(tmp_path, good())
    book = openpyxl.load_workbook(tmp_path / "all.xlsx")
    sheet = book.create_sheet("Invoices")
    sheet.append(["Date", "Description", "Line kind"])
    sheet.append(["2026-03-04", "FCZ crown", "unit fee"])
    sheet.sheet_state = "hidden"
    book.save(tmp_path / "all.xlsx")
    (problem,) = problems_of(tmp_path)
    assert (problem.kind, problem.sheet) == ("unread sheet", "Invoices")
    assert problem.severity == "notice"
