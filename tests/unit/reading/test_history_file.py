"""A price history is one file of quotes: read like any file, in any form, and held to the practice's currency."""

from __future__ import annotations

import csv
import subprocess
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from conftest import need_libreoffice
from reading_inputs import SETTINGS, good, grid, write_grids, write_practice

from feesheet.practice import Practice
from feesheet.problems import errors
from feesheet.reading.folder import read_folder
from feesheet.reading.history_file import read_history
from feesheet.reading.one_file import FORMS
from feesheet.tables import TABLES

QUOTES: list[dict[str, Any]] = [
    {"date": date(2024, 1, 2), "metal": "gold", "price": 2063.73, "unit": "troy ounce"},
    {"date": date(2024, 1, 3), "metal": "gold", "price": 2045.5, "unit": "troy ounce", "confirmed": "yes"},
    {"date": date(2024, 1, 2), "metal": "silver", "price": 0.77, "unit": "gram", "currency": "EUR"},
]


@pytest.fixture(scope="module")
def practice(tmp_path_factory: pytest.TempPathFactory) -> Practice:
    """The practice whose currency counts: EUR."""
    return read_folder(write_practice(tmp_path_factory.mktemp("practice")))[0]


def history(path: Path, rows: list[dict[str, Any]]) -> Path:
    """A file of quotes, as a workbook or as text."""
    cells = [["Quotes of two years"], *grid("metal_prices", rows)]
    if path.suffix != ".csv":
        write_grids(path, {"Quotes": cells})
        return path
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file, delimiter=";").writerows(cells)
    return path


def converted(path: Path, form: str) -> Path:
    """The workbook in another form, as LibreOffice saves it."""
    folder = path.parent / form
    command = [
        "soffice",
        f"-env:UserInstallation=file://{path.parent}/profile",
        "--headless",
        "--convert-to",
        form,
    ]
    subprocess.run(
        [*command, "--outdir", str(folder), str(path)], check=True, capture_output=True, timeout=120
    )
    return folder / f"{path.stem}.{form}"


@pytest.mark.parametrize("form", FORMS)
def test_quotes_read_the_same_in_every_form(practice: Practice, tmp_path: Path, form: str) -> None:
    """Days, metals, prices, units and what is confirmed, each with its file, sheet and cell."""
    if form in (".xls", ".ods"):
        need_libreoffice()
        path = converted(history(tmp_path / "quotes.xlsx", QUOTES), form.removeprefix("."))
    else:
        path = history(tmp_path / f"quotes{form}", QUOTES)
    read, problems = read_history(path, practice)
    quotes = read.tables["metal_prices"]
    assert errors(problems) == []
    assert list(quotes["date"].dt.date) == [row["date"] for row in QUOTES]
    assert list(quotes["metal"]) == ["gold", "gold", "silver"]
    assert list(quotes["price"]) == [2063.73, 2045.5, 0.77]
    assert list(quotes["confirmed"]) == [False, True, False]
    sheet = "" if form == ".csv" else "Quotes"
    assert read.place("metal_prices", 1, "price") == (path.name, sheet, "C4")
    assert [(file.name, dict(file.rows)) for file in read.files] == [(path.name, {"metal_prices": 3})]
    assert len(read.files[0].sha256) == 64
    assert read.settings == practice.settings


def test_what_else_the_file_holds_is_not_used_and_not_judged(practice: Practice, tmp_path: Path) -> None:
    """A broken table of another kind beside the quotes says nothing; no other table is missed; the practice stays as it is."""
    sites = grid("sites", [{**good()["sites"][0], "weeks": "many"}])
    path = tmp_path / "quotes.xlsx"
    write_grids(path, {"Quotes": grid("metal_prices", QUOTES), "Sites": sites, "Notes": [["by hand"]]})
    read, problems = read_history(path, practice)
    assert [(problem.kind, problem.sheet) for problem in problems] == [("unread sheet", "Notes")]
    assert len(read.tables["metal_prices"]) == 3 and read.tables["sites"].empty
    assert (
        len(practice.tables["metal_prices"]) == 3 and practice.tables["metal_prices"]["price"].max() == 4012.5
    )


def test_quotes_in_another_currency_are_an_error(practice: Practice, tmp_path: Path) -> None:
    """Whether a column names it or the amounts show it; the cure speaks of quotes, not of exchange rates."""
    named = history(
        tmp_path / "named.xlsx", [*QUOTES, {**QUOTES[0], "date": date(2024, 2, 1), "currency": "USD"}]
    )
    _, (problem,) = read_history(named, practice)
    assert (problem.kind, problem.severity, problem.cell) == ("mixed currency", "error", "E6")
    assert "EUR" in problem.what and "convert every quote" in problem.do
    shown = history(tmp_path / "shown.csv", [{**QUOTES[0], "price": "£2063.73"}])
    _, (problem,) = read_history(shown, practice)
    assert (problem.kind, problem.file, problem.cell) == ("mixed currency", "shown.csv", "C3")


@pytest.mark.parametrize(
    ("change", "kind", "cell"),
    [
        ({"price": 0}, "out of range", "C3"),
        ({"price": -3}, "out of range", "C3"),
        ({"price": "dear"}, "not a number", "C3"),
        ({"metal": "unobtainium"}, "not a choice", "B3"),
        ({"unit": "oz"}, "unclear unit", "D3"),
        ({"date": "soon"}, "not a date", "A3"),
        ({"confirmed": "maybe"}, "not a choice", "F3"),
        ({"date": date(2024, 1, 3)}, "duplicate", "A4"),
    ],
)
def test_a_bad_quote_is_told_with_its_cell(
    practice: Practice, tmp_path: Path, change: dict[str, Any], kind: str, cell: str
) -> None:
    """One error a bad cell; two quotes of a metal on one day are told too."""
    path = history(tmp_path / "q.xlsx", [{**QUOTES[0], **change}, *QUOTES[1:]])
    _, (problem,) = read_history(path, practice)
    assert (problem.kind, problem.severity, problem.file, problem.cell) == (kind, "error", "q.xlsx", cell)


def test_a_file_without_quotes_is_an_error(practice: Practice, tmp_path: Path) -> None:
    """Another table alone, headings alone, or a text of something else: the table is asked for by its headings."""
    other, bare = tmp_path / "other.xlsx", history(tmp_path / "bare.xlsx", [])
    write_grids(other, {"Sites": grid("sites", good()["sites"])})
    text = tmp_path / "text.csv"
    text.write_text("a,b\n1,2\n")
    for path in (other, bare, text):
        read, problems = read_history(path, practice)
        (problem,) = errors(problems)
        assert (
            problem.kind == "missing table"
            and '"Metal prices"' in problem.what
            and "Date, Metal" in problem.do
        )
        assert problem.file == path.name and read.tables["metal_prices"].empty
    assert "has no rows" in errors(read_history(bare, practice)[1])[0].what


def test_a_column_that_is_missing_is_told_once(practice: Practice, tmp_path: Path) -> None:
    """The sheet is named as quotes but has no price: that column is asked for, and not the whole table."""
    path = tmp_path / "q.xlsx"
    write_grids(path, {"Metal prices": [["Date", "Metal", "Unit"], [date(2024, 1, 2), "gold", "gram"]]})
    _, (problem,) = read_history(path, practice)
    assert problem.kind == "missing column" and '"Price"' in problem.what


def test_a_file_that_can_not_be_opened_is_one_error(practice: Practice, tmp_path: Path) -> None:
    """Not there, of another form, or not what its name says: one line each, and no quotes."""
    lie = tmp_path / "lie.xlsx"
    lie.write_bytes(b"%PDF-1.7")
    (tmp_path / "quotes.pdf").write_bytes(b"%PDF-1.7")
    kinds = {"gone.xlsx": "missing table", "quotes.pdf": "not a workbook", "lie.xlsx": "not a workbook"}
    for name, kind in kinds.items():
        read, (problem,) = read_history(tmp_path / name, practice)
        assert (problem.kind, problem.severity, problem.file) == (kind, "error", name)
        assert read.tables["metal_prices"].empty


def test_a_double_in_the_practices_own_quotes_is_told_whether_confirmed_or_not(tmp_path: Path) -> None:
    """A quote counts without being confirmed, unlike a product's name, so its double is an error."""
    tables = good()
    tables["metal_prices"].append({**tables["metal_prices"][0], "confirmed": "no"})
    _, problems = read_folder(write_practice(tmp_path, tables, SETTINGS))
    (problem,) = errors(problems)
    assert problem.kind == "duplicate" and problem.sheet == TABLES["metal_prices"].sheet
