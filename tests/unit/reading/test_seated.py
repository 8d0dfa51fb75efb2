"""Work seated and collections as they are read: in every form, typed and checked, and without a patient's words."""

from __future__ import annotations

import csv
import io
import shutil
import subprocess
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import planted
import pytest
from reading_inputs import good, grid, places, write_grids, write_practice

from feesheet.practice import Practice
from feesheet.problems import Problem, as_text, errors
from feesheet.reading.find import Found, find
from feesheet.reading.folder import read_folder
from feesheet.reading.grids import Grid
from feesheet.reading.seated import MOST_YEARS
from feesheet.tables import COLLECTIONS, SEATED, TABLES

WORK: list[dict[str, Any]] = [
    {"seated_on": date(2026, 3, 20), "code": "C-1", "site": "North", "plan": "plan one", "dentist": "dentist 1",
     "units": 1, "billed": 1240, "received": 980, "received_on": date(2026, 4, 10), "case": "0417"},
    {"seated_on": date(2026, 3, 31), "code": "C-1", "site": "South", "units": 4},
]  # fmt: skip
MONTHS: list[dict[str, Any]] = [
    {"month_end": date(2026, 3, 31), "site": "North", "collected_money": 84000},
    {"month_end": date(2026, 3, 31), "site": "South", "collected_money": 21000.5},
]
TABLE_ROWS = {"seated": WORK, "collections": MONTHS}


def read_with(folder: Path, **tables: Any) -> tuple[Practice, list[Problem]]:
    """The small practice with rows of those tables in a workbook beside it."""
    write_practice(folder)
    write_grids(folder / "work.xlsx", {TABLES[name].sheet: grid(name, rows) for name, rows in tables.items()})
    return read_folder(folder)


def as_csv(folder: Path) -> None:
    """Each table in a text file of its own, named after it."""
    for name, rows in TABLE_ROWS.items():
        with (folder / f"{TABLES[name].sheet}.csv").open("w", encoding="utf-8", newline="") as file:
            csv.writer(file).writerows(grid(name, rows))


def as_xlsx(folder: Path) -> None:
    """Both in one workbook."""
    write_grids(
        folder / "work.xlsx", {TABLES[name].sheet: grid(name, rows) for name, rows in TABLE_ROWS.items()}
    )


def as_ods(folder: Path) -> None:
    """The workbook as an open document, saved by LibreOffice."""
    office = shutil.which("soffice")
    if office is None:
        pytest.skip("LibreOffice is not here")
    as_xlsx(folder)
    command = [office, f"-env:UserInstallation={(folder.parent / 'office').as_uri()}", "--headless"]
    command += ["--convert-to", "ods", "--outdir", str(folder), str(folder / "work.xlsx")]
    subprocess.run(command, check=True, capture_output=True, timeout=120)
    (folder / "work.xlsx").unlink()


@pytest.mark.parametrize("write", [as_xlsx, as_csv, as_ods])
def test_both_tables_are_read_in_every_form(tmp_path: Path, write: Callable[[Path], None]) -> None:
    """Each figure and word arrives as its kind; a receipt that is not known stays unknown."""
    folder = write_practice(tmp_path / "practice")
    write(folder)
    practice, problems = read_folder(folder)
    assert problems == []
    work, months = practice.tables["seated"], practice.tables["collections"]
    assert list(work["seated_on"].dt.date) == [date(2026, 3, 20), date(2026, 3, 31)]
    assert list(work["units"]) == [1, 4]
    assert list(work["received"].fillna(-1)) == [980, -1]
    assert [str(word) for word in work["plan"]] == ["plan one", ""]
    assert [str(word) for word in work["dentist"]] == ["dentist 1", ""]
    assert work["received_on"].isna().tolist() == [False, True]
    assert list(months["collected_money"]) == [84000, 21000.5]


def test_without_the_tables_they_are_empty(tmp_path: Path) -> None:
    """A practice that types neither reads as before, and the new columns of others hold nothing."""
    practice, problems = read_folder(write_practice(tmp_path))
    assert problems == []
    assert [len(practice.tables[name]) for name in TABLE_ROWS] == [0, 0]
    assert practice.tables["sites"]["other_chair_hours"].isna().all()
    assert practice.tables["labs"]["agreed_premium"].isna().all()
    assert set(practice.tables["invoice_lines"]["remake_cause"].astype(str)) == {""}


def test_the_new_columns_of_other_tables_are_read(tmp_path: Path) -> None:
    """Other chair hours, an agreed premium and the cause of a remake, whatever their column is called."""
    tables = good()
    tables["sites"][0]["other_chair_hours"] = 3100.5
    tables["labs"][0]["agreed_premium"] = 0.2
    tables["invoice_lines"][0].update(kind="remake", remake_cause="lab")
    practice, problems = read_folder(write_practice(tmp_path, tables))
    assert problems == []
    assert practice.tables["sites"]["other_chair_hours"].fillna(-1).tolist() == [3100.5, -1]
    assert practice.tables["labs"]["agreed_premium"].fillna(-1).tolist() == [0.2, -1]
    assert [str(word) for word in practice.tables["invoice_lines"]["remake_cause"]] == ["lab", "", "", ""]


@pytest.mark.parametrize(
    ("change", "kind", "cell", "what"),
    [
        ({"code": "C-9"}, "unknown name", "B2", "The code in this cell"),
        ({"site": "Nroth"}, "unknown name", "C2", "The site in this cell"),
        ({"plan": "plan two"}, "unknown name", "D2", "The plan in this cell"),
        ({"code": "C-2", "site": "South"}, "unknown name", "B2", 'The code "C-2" has no fee at South.'),
        ({"units": 0}, "out of range", "F2", "0 units"),
        ({"seated_on": date(1996, 3, 20)}, "out of range", "A2", f"more than {MOST_YEARS} years"),
        ({"received_on": date(2062, 3, 20)}, "out of range", "I2", f"more than {MOST_YEARS} years"),
        ({"seated_on": ""}, "missing value", "A2", ""),
        ({"units": "two"}, "not a number", "F2", ""),
    ],
)
def test_what_is_wrong_with_work_seated_is_told_at_its_cell(
    tmp_path: Path, change: dict[str, Any], kind: str, cell: str, what: str
) -> None:
    """One problem, and nothing else is said."""
    (problem,) = read_with(tmp_path, seated=[{**WORK[0], **change}])[1]
    assert places([problem]) == [(kind, "work.xlsx", "Work seated", cell)]
    assert what in problem.what


def test_what_is_unusual_but_sound_is_no_problem(tmp_path: Path) -> None:
    """Money before the work, the same row twice, units taken back, and money given back."""
    early = {**WORK[0], "received_on": date(2026, 2, 1)}
    back = {**WORK[0], "units": -1, "billed": -1240, "received": -980}
    practice, problems = read_with(tmp_path, seated=[early, early, back])
    assert problems == []
    assert list(practice.tables["seated"]["units"]) == [1, 1, -1]


@pytest.mark.parametrize(("day", "cell"), [(date(2026, 3, 31), "A3"), (date(2026, 3, 1), "A3")])
def test_a_month_of_a_site_has_one_row(tmp_path: Path, day: date, cell: str) -> None:
    """Whatever day of the month was typed, the later row is named; another site is another row."""
    again = {**MONTHS[0], "month_end": day}
    _, problems = read_with(tmp_path, collections=[MONTHS[0], again, MONTHS[1]])
    assert places(problems) == [("duplicate", "work.xlsx", "Collections", cell)]


def test_an_unknown_site_of_collections_is_told(tmp_path: Path) -> None:
    """It would be nobody's money."""
    _, problems = read_with(tmp_path, collections=[{**MONTHS[0], "site": "East"}])
    assert places(problems) == [("unknown name", "work.xlsx", "Collections", "B2")]


def test_a_case_is_the_same_case_on_the_labs_invoice(tmp_path: Path) -> None:
    """Its number becomes the same hash in both tables, spaces and case of letters aside, and no number is left."""
    tables = good()
    tables["invoice_lines"][0]["case"] = "k 0417"
    tables["seated"] = [{**WORK[0], "case": "K0417"}, WORK[1]]
    practice, problems = read_folder(write_practice(tmp_path, tables))
    assert problems == []
    ours, theirs = (practice.tables[name]["case"].astype(str)[0] for name in ("seated", "invoice_lines"))
    assert ours == theirs and len(ours) == 16 and "0417" not in ours
    assert practice.tables["seated"]["case"].astype(str)[1] == ""


def held(words: str) -> set[str]:
    """The identifiers that stand in the words."""
    return {word for word in planted.ALL if word.casefold() in words.casefold()}


def test_no_patient_leaves_the_work_that_was_seated(tmp_path: Path) -> None:
    """Identifiers in columns of their own are not read, a case is a hash, and one in place of a code, plan, day or figure is not repeated.

    A word in place of a code, site or plan stays in its table, where it stops the run before anything is written.
    """
    head, sound = grid("seated", WORK[:1])
    case = head.index("Case")
    rows = [[word, *(word if at == case else cell for at, cell in enumerate(sound))] for word in planted.ALL]
    rows += [
        ["", *(word if at == here else cell for at, cell in enumerate(sound))]
        for word in planted.ALL
        for here, name in enumerate(head)
        if name != "Dentist"
    ]
    write_practice(tmp_path)
    write_grids(tmp_path / "work.xlsx", {"Work seated": [["Patient", *head], *rows]})
    practice, problems = read_folder(tmp_path)
    work, left = practice.tables["seated"], io.StringIO()
    figures = ["billed", "received"]  # digits typed there are an amount, whatever they were meant to be
    work.drop(columns=["code", "site", "plan", *figures]).to_csv(left)

    assert len(work) == len(rows) and errors(problems)
    assert held(as_text(problems, 10_000)) == set()
    assert held(left.getvalue()) == set()


def table_of(*headings: str, name: str = "Sheet1") -> str:
    """The table that a sheet under those headings holds, "" for none."""
    found = find(Grid(name, [list(headings), ["x"] * len(headings)]), name, "a.xlsx")
    return found.table.name if isinstance(found, Found) else ""


PRACTICES = [
    ("Seated on", "Code", "Clinic", "Units"),
    ("Date of service", "Patient", "Code", "Description", "Tooth", "Clinic", "Plan", "Units", "Billed", "Received"),
    tuple(field.heading for field in SEATED.fields),
]  # fmt: skip
LABS = [
    ("Date", "Code", "Clinic", "Case no", "Units", "Price"),
    ("Account", "Clinic", "Received", "Work", "Price"),
    ("Account", "Clinic", "Billed", "Month"),
    ("Date", "Case", "Clinic", "Description", "Units", "Billed", "Amount"),
]


@pytest.mark.parametrize("headings", PRACTICES)
def test_work_seated_is_found_by_its_headings(headings: tuple[str, ...]) -> None:
    """Also beside columns of one's own, and never as invoice lines or fees."""
    assert table_of(*headings) == "seated"


@pytest.mark.parametrize("headings", LABS)
def test_a_labs_paper_is_not_work_seated(headings: tuple[str, ...]) -> None:
    """Nor does a word of the review's tables make its headings another table: it is left to the invoice readers."""
    assert table_of(*headings) == ""


def test_the_other_tables_are_found_as_before() -> None:
    """Invoice lines, fees and collections by their own headings, on a sheet of any name."""
    for name in ("invoice_lines", "fees", "plan_fees", "collections"):
        assert table_of(*(field.heading for field in TABLES[name].fields)) == name
    assert table_of("Month", "Clinic", "Money collected") == COLLECTIONS.name


def test_a_sheet_named_work_seated_asks_for_its_day(tmp_path: Path) -> None:
    """Under the heading "Date" alone it is not guessed which day is meant."""
    write_practice(tmp_path)
    rows = [["Date", "Code", "Site", "Units"], [date(2026, 3, 20), "C-1", "North", 1]]
    write_grids(tmp_path / "work.xlsx", {"Work seated": rows})
    assert places(read_folder(tmp_path)[1]) == [("missing column", "work.xlsx", "Work seated", "row 1")]
