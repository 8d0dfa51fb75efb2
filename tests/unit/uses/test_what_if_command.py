"""The what-if as a person meets it: changes in words, answers on the screen, a workbook beside the others, nothing touched."""

from __future__ import annotations

import hashlib
import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from feesheet.paths import EXAMPLE

HISTORY = Path("What-if") / "metal prices by day.csv"


def whatif(*words: str, cwd: Path) -> subprocess.CompletedProcess[str]:
    """The command as a person runs it."""
    command = [sys.executable, "-m", "feesheet", "whatif", *words]
    return subprocess.run(command, cwd=cwd, capture_output=True, encoding="utf-8", check=False)


def prints(folder: Path) -> dict[str, str]:
    """The SHA-256 of every file of a folder, by its name in it."""
    files = (path for path in folder.rglob("*") if path.is_file())
    return {
        path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest() for path in files
    }


@pytest.fixture
def practice(tmp_path: Path) -> Path:
    """A fresh copy of the example practice."""
    folder = tmp_path / "Example practice"
    shutil.copytree(EXAMPLE, folder, ignore=shutil.ignore_patterns("Fee schedules", "What if *.xlsx"))
    return folder


def test_changes_in_words_make_one_workbook_and_touch_nothing(practice: Path) -> None:
    """One new file, beside the others; no input and no fee schedule changes by a byte, and the name is never taken twice."""
    before = prints(practice)
    first = whatif("gold=4500", "lab fees=+5%", cwd=practice)
    second = whatif("gold=4500", "lab fees=+5%", cwd=practice)
    after = prints(practice)
    name = "What-if/What if gold 4,500; lab fees +5 %"

    assert (first.returncode, second.returncode) == (0, 0), first.stderr
    assert "Workbook:" in first.stdout and "gold 4,500; lab fees +5 %" in first.stdout
    assert sorted(set(after) - set(before)) == [f"{name} (2).xlsx", f"{name}.xlsx"]
    assert {file: after[file] for file in before} == before
    assert after[f"{name}.xlsx"] == after[f"{name} (2).xlsx"]


def test_the_folder_may_be_named_and_the_metal_given_as_an_option(practice: Path) -> None:
    """`whatif FOLDER --metal gold=+40%` is the same question as the change alone in the folder."""
    named = whatif(str(practice), "--metal", "gold=+40%", "--screen", "--json", cwd=practice.parent)
    alone = whatif("gold=+40%", "--screen", "--json", cwd=practice)

    assert json.loads(named.stdout) == json.loads(alone.stdout)
    year = json.loads(named.stdout)["answers"]["scenario_years"][0]
    assert year["left_year"] == pytest.approx(year["left_year_before"] - year["cost_year_change"])


def test_saved_scenarios_are_compared_where_nothing_is_typed(practice: Path) -> None:
    """A scenario kept with --save stands beside the others the next time."""
    kept = whatif("palladium=900", "--save", "--title", "cheap palladium", "--screen", cwd=practice)
    shown = whatif("--screen", "--json", cwd=practice)
    titles = [row["scenario"] for row in json.loads(shown.stdout)["answers"]["scenario_years"]]

    assert kept.returncode == 0 and "cheap palladium.xlsx" in kept.stdout
    assert sorted(titles) == ["a dear year", "cheap palladium", "gold at 4,500"]


def test_a_scenario_file_from_elsewhere_takes_the_place_of_the_saved_ones(practice: Path) -> None:
    """--scenario FILE compares the scenarios of that file; a change that is typed stands before them."""
    kept = practice.parent / "sent by mail.csv"
    kept.write_text("Scenario,What,Change by\ngold down,gold,-0.3\n", encoding="utf-8")
    shown = whatif("gold=+30%", "--scenario", str(kept), "--screen", "--json", cwd=practice)
    years = json.loads(shown.stdout)["answers"]["scenario_years"]

    assert [row["scenario"] for row in years] == ["gold +30 %", "gold down"]
    assert years[0]["cost_year_change"] == pytest.approx(-years[1]["cost_year_change"])


def test_a_scenario_file_that_holds_none_says_so(practice: Path) -> None:
    """A wrong cell or a missing table stops the run with its place."""
    empty, wrong = practice.parent / "empty.csv", practice.parent / "wrong.csv"
    empty.write_text("Name,Value\na,1\n", encoding="utf-8")
    wrong.write_text("Scenario,What,New value\ndear,gold,much\n", encoding="utf-8")

    done = whatif("--scenario", str(empty), "--screen", cwd=practice)
    assert (done.returncode, "does not hold the table" in done.stdout) == (1, True), done.stdout
    done = whatif("--scenario", str(wrong), "--screen", cwd=practice)
    assert (done.returncode, "wrong.csv, C2" in done.stdout) == (1, True), done.stdout


def test_a_title_that_is_saved_already_is_asked_about(practice: Path) -> None:
    """Rows of one title are one scenario, so a second one of that title would change the first."""
    again = whatif("lab fees=+3%", "--title", "gold at 4,500", "--save", "--screen", cwd=practice)
    first = whatif("palladium=900", "--save", "--screen", cwd=practice)
    second = whatif("palladium=900", "--save", "--screen", cwd=practice)

    assert (again.returncode, first.returncode, second.returncode) == (1, 0, 1)
    assert 'A scenario "gold at 4,500" is saved already.' in again.stdout
    assert 'A scenario "palladium 900" is saved already.' in second.stdout
    assert whatif("--screen", cwd=practice).returncode == 0


def test_options_that_would_do_nothing_are_refused(practice: Path) -> None:
    """A title without a change, and a site without a code."""
    done = whatif("--title", "dear", "--save", "--site", "North", "--screen", cwd=practice)

    assert done.returncode == 1
    assert "--title and --save say something of a change, and none is typed." in done.stdout
    assert "--site names no item by itself." in done.stdout


def test_a_grid_of_one_driver_twice_is_refused(practice: Path) -> None:
    """Nor can a driver stand beside a part of itself: only one of both would act."""
    twice = whatif("--grid", "gold", "--grid", "Au", "--screen", cwd=practice)
    part = whatif("--grid", "lab fees", "--grid", "lab fees of zirconia, layered", "--screen", cwd=practice)

    assert (twice.returncode, part.returncode) == (1, 1)
    assert '"Au": it changes the same as "gold"' in twice.stdout
    assert "overlaps with" in part.stdout


def test_the_screen_alone_writes_nothing(practice: Path) -> None:
    """With --screen every question is answered and no file is made."""
    before = prints(practice)
    done = whatif("gold=4500", "--history", str(HISTORY), "--hold", "60", "--screen", cwd=practice)

    assert done.returncode == 0
    assert prints(practice) == before
    for words in (
        "The year at last year's units",
        "Materials on the mean",
        "items that it moves",
        "Metal in a year",
        "hidden in unit fees and estimated from grams",
        "under target  fee under cost  nothing left",
        "leave the same of a chair hour",
        "What 10% of each driver does",
        "A quote held for 60 days should withstand",
        "Bands of the gold price",
        "the choice of material is the dentist's",
    ):
        assert words in done.stdout, words


def test_everything_that_cannot_be_asked_is_told_in_one_go(practice: Path) -> None:
    """Every change that can't be read and every option that can't be met has its line; nothing is written."""
    before = prints(practice)
    wrong = ("gold=0", "silver=cheap", "palladium=-100%", "--watch", "tin", "--level", "2", "--hold", "0")
    done = whatif(*wrong, "--grid", "gold", "--code", "NO-SUCH", cwd=practice)

    assert done.returncode == 1
    assert "8 problem(s) to mend" in done.stdout
    assert prints(practice) == before


def test_a_driver_of_the_grid_that_is_none_is_told(practice: Path) -> None:
    """It stops the answer, with what could be named, and nothing is written."""
    done = whatif("--grid", "gold", "--grid", "rent", cwd=practice)

    assert done.returncode == 1
    assert '"rent": "rent" is nothing that a scenario can change' in done.stdout
    assert "The year" not in done.stdout and not list((practice / "What-if").glob("*.xlsx"))


def test_what_is_no_folder_and_no_change_is_a_wrong_command(practice: Path) -> None:
    """A first word without "=" must be a folder."""
    done = whatif("gold", cwd=practice)

    assert done.returncode == 2
    assert "gold is no folder" in done.stderr


def test_a_history_that_is_too_short_says_so_and_leaves_the_rest(practice: Path) -> None:
    """Month-end quotes are too few for a buffer: that part is left out with its reason."""
    done = whatif("gold=4500", "--screen", cwd=practice)

    assert done.returncode == 0
    assert "own quotes are too few to say how long a quote is safe, for 3 metals. Name a file" in done.stdout
    assert "A quote held for" not in done.stdout


def test_a_practice_without_alloy_still_gets_its_drivers(practice: Path) -> None:
    """Where no item holds a priced metal, scenarios and drivers are there, metals and bands are not."""
    (practice / "metal prices.xlsx").unlink()
    for path in (practice / "Scenarios").iterdir():
        path.unlink()
    done = whatif("lab fees=+5%", cwd=practice)

    assert done.returncode == 0, done.stdout
    assert "What 10% of each driver does" in done.stdout
    assert "Metal in a year" not in done.stdout and "Bands of" not in done.stdout


def test_a_place_that_cannot_be_written_is_told_in_a_line(practice: Path) -> None:
    """The answers are there all the same; what can't be written is named with what to do."""
    taken = practice.parent / "taken"
    taken.write_text("a file, no folder", encoding="utf-8")
    done = whatif("gold=4500", "--out", str(taken / "inside"), cwd=practice)

    assert done.returncode == 1
    assert "The year at last year's units" in done.stdout
    assert done.stderr.count("\n") == 1 and "Name another folder with --out" in done.stderr


def test_an_item_without_a_fee_is_counted_and_shows_none(practice: Path) -> None:
    """It is in no margin and no year, and that is said."""
    from openpyxl import load_workbook

    path = practice / "fees and plans.xlsx"
    book = load_workbook(path)
    sheet = book["Current fees"]
    headings = {cell.value: cell.column for row in sheet.iter_rows(max_row=8) for cell in row if cell.value}
    code, fee = headings["Code"], headings["Current fee"]
    row = next(row for row in range(1, 60) if sheet.cell(row, code).value == "CR-CHN-M")
    sheet.cell(row, fee).value = None
    book.save(path)
    done = whatif("gold=4500", "--screen", cwd=practice)

    assert done.returncode == 0, done.stdout
    assert "3 item(s) have no fee in force: they are in no margin, mean or year." in done.stdout
    line = next(line for line in done.stdout.splitlines() if line.strip().startswith("CR-CHN-M  North"))
    assert line.split()[2] == "none" and "%" not in line
