"""The review as a whole: what it writes and touches, its list and figures for machines, and every odd practice."""

from __future__ import annotations

import csv
import hashlib
import json
import subprocess
import sys
from pathlib import Path

import pytest
from earned_cuts import with_seated
from practices import random_practice, write_practice
from priced import Rows, read_rows

from feesheet.practice import Practice
from feesheet.problems import errors
from feesheet.reading.folder import input_files, read_folder
from feesheet.tables import FINDINGS_HEADINGS
from feesheet.uses.review import Examined, Review, examine, review
from feesheet.uses.review_asked import ReviewAsked, periods

FAULTY = 5
"""The seed of a random practice with alloys whose labs give the audit five kinds of findings."""

UNCAST, YEN = 1, 7
"""Seeds of a practice without alloys, and of one in yen."""


def rows_of(seed: int = FAULTY, *, sites: int = 1, lines: int = 60, plans: int = 1) -> Rows:
    """A random practice's rows."""
    return random_practice(seed, sites=sites, materials=3, lines=lines, plans=plans)


def without(rows: Rows, *tables: str) -> Rows:
    """The rows without those tables."""
    return {name: [] if name in tables else made for name, made in rows.items()}


def prints(folder: Path) -> dict[str, str]:
    """The SHA-256 of every file of a folder, by its name in it."""
    files = (path for path in folder.rglob("*") if path.is_file())
    return {
        path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest() for path in files
    }


def examined_of(practice: Practice, asked: ReviewAsked) -> Examined:
    """The practice examined; a refusal, and a check that fails, are failures."""
    now, then, more = periods(practice, asked)
    assert now is not None and errors(more) == []
    examined, problems = examine(practice, now, then, asked)
    assert examined is not None and errors(problems) == []
    assert list(examined.schedule.numbers.of("state", "number")) == [0, 0]
    return examined


@pytest.fixture(scope="module")
def practice(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A practice with faults of its labs; one lab and its invoices begin like a formula."""
    rows = random_practice(FAULTY, sites=2, materials=3, lines=120, plans=2)
    lab = rows["labs"][0]["lab"]
    renamed = {
        name: [{field: "=x" if value == lab else value for field, value in row.items()} for row in made]
        for name, made in rows.items()
    }
    return write_practice(renamed, tmp_path_factory.mktemp("review") / "My practice")


@pytest.fixture(scope="module")
def made(practice: Path) -> tuple[dict[str, str], Review, Review]:
    """The files before, and the review made twice."""
    before, asked = prints(practice), ReviewAsked(months=6)
    first, second = (review(practice, asked, practice / "Reviews") for _ in range(2))
    return before, first, second


def test_one_workbook_and_one_list_and_nothing_touched(
    practice: Path, made: tuple[dict[str, str], Review, Review]
) -> None:
    """Named by the last day; a second time "(2)", with the same bytes; no input changes by a byte."""
    before, first, _ = made
    after = prints(practice)
    assert first.workbook is not None
    stem = f"Reviews/{first.workbook.stem}"
    names = [f"{stem}{end}" for end in (" (2).csv", " (2).xlsx", ".csv", ".xlsx")]
    assert sorted(set(after) - set(before)) == names
    assert {file: after[file] for file in before} == before
    assert (after[names[0]], after[names[1]]) == (after[names[2]], after[names[3]])


def test_a_list_alone_takes_the_name_too(tmp_path: Path) -> None:
    """Where only the list of an earlier review is left, the next pair gets another name; answers are told before both."""
    rows, out, seen = rows_of(UNCAST, lines=20, plans=0), tmp_path / "out", []
    name = f"Review to {rows['practice'][0]['pricing_date']}"
    out.mkdir()
    (out / f"{name}.csv").write_text("mine", encoding="utf-8")

    def tell(told: Review) -> None:
        seen.append((bool(told.lines), len(list(out.iterdir()))))

    again = review(write_practice(rows, tmp_path / "practice"), ReviewAsked(), out, tell=tell)
    assert again.workbook is not None and again.workbook.name == f"{name} (2).xlsx"
    assert (out / f"{name}.csv").read_text(encoding="utf-8") == "mine"
    assert seen == [(True, 1)]


def test_nothing_of_the_list_runs(made: tuple[dict[str, str], Review, Review]) -> None:
    """A lab named like a formula stands behind a quote; the headings are those that mark a result."""
    _, first, _ = made
    assert first.export is not None
    with first.export.open(encoding="utf-8-sig", newline="") as file:
        headings, *rows = list(csv.reader(file))
    assert tuple(headings) == FINDINGS_HEADINGS
    assert rows and any(row[0] == "'=x" for row in rows)
    assert not [cell for row in rows for cell in row if cell.startswith(("=", "@", "+"))]


def test_what_the_labs_bills_would_leave_is_told(made: tuple[dict[str, str], Review, Review]) -> None:
    """Left at the costs of the fees, less the charges that were used in place of those costs, on one line."""
    _, first, _ = made
    (by_bills,) = (row["amount"] for row in first.figures["left_by_bills"][-1:])
    charged, in_cost = (first.figures["bills_to_cost"][at]["in_all"] for at in (0, -1))
    left = first.figures["changes_told"][-1]["amount"]
    assert by_bills == pytest.approx(left + in_cost - charged, abs=1e-6) and charged != pytest.approx(in_cost)
    (told,) = (line for line in first.lines if line.startswith("Left at the costs"))
    assert f"on {left:,.0f}, at the labs' own bills {by_bills:,.0f} (" in told


def test_machines_get_figures_findings_and_the_list_s_rows(
    made: tuple[dict[str, str], Review, Review],
) -> None:
    """Five figures, every check passed, and as many findings as the list has rows; all of it is json."""
    _, first, _ = made
    figures = json.loads(json.dumps(first.figures))
    assert len(figures["review_figures"]) >= 5 and figures["changes_told"] and figures["cut_material"]
    assert {row["result"] for row in figures["checks"]} == {"pass"}
    assert first.export is not None
    assert len(figures["findings"]) == len(first.export.read_text(encoding="utf-8-sig").splitlines()) - 1 > 4
    kinds = sum(row["kind_money"] for row in figures["findings_by_kind"])
    assert kinds == pytest.approx(sum(row["money"] for row in figures["findings"]))


def test_money_of_different_meaning_is_never_added_up(made: tuple[dict[str, str], Review, Review]) -> None:
    """By lab, what was charged too much, what should come back and what is only asked about stand in rows of their own."""
    _, first, _ = made
    by_hand: dict[tuple[str, str], float] = {}
    for row in first.figures["findings"]:
        of = (row["lab"], row["its money"])
        by_hand[of] = by_hand.get(of, 0) + row["money"]
    told = {
        (row["found_lab"], row["lab_means"]): row["lab_money"] for row in first.figures["findings_by_lab"]
    }
    assert len(by_hand) > len({lab for lab, _ in by_hand})
    assert told == pytest.approx(by_hand)


def test_what_it_wrote_is_no_input(practice: Path, made: tuple[dict[str, str], Review, Review]) -> None:
    """Not in its folder, and the list not even where somebody moved it among the inputs."""
    _, first, _ = made
    assert first.export is not None
    before = read_folder(practice)[0].tables["invoice_lines"]
    assert not [path for path in input_files(practice) if "Reviews" in path.parts]
    moved = practice / "findings of the labs.csv"
    moved.write_bytes(first.export.read_bytes())
    try:
        after, problems = read_folder(practice)
        assert len(after.tables["invoice_lines"]) == len(before)
        assert not errors(problems)
    finally:
        moved.unlink()


def test_a_folder_with_errors_writes_nothing(practice: Path, tmp_path: Path) -> None:
    """Nor does a question that can't be asked; what is wrong is told."""
    broken = write_practice(without(rows_of(), "labs"), tmp_path / "broken")
    for folder, asked in ((broken, ReviewAsked()), (practice, ReviewAsked(to="soon"))):
        before = prints(folder)
        done = review(folder, asked, folder / "Results")
        assert done.workbook is None and errors(done.problems) and done.lines == []
        assert prints(folder) == before and not (folder / "Results").exists()


@pytest.mark.parametrize(
    ("book", "words"),
    [("nothing.xlsx", "There is no such file"), ("words.txt", "is an .xlsx workbook"), ("", "is an .xlsx")],
)
def test_last_years_workbook_that_is_none_is_told(
    book: str, words: str, practice: Path, tmp_path: Path
) -> None:
    """A file that is not there, one of another kind, and a folder."""
    (tmp_path / "words.txt").write_text("no workbook", encoding="utf-8")
    done = review(practice, ReviewAsked(last_year=tmp_path / book), tmp_path / "out")
    assert done.workbook is None
    assert any(words in one.what + one.do for one in errors(done.problems))


def in_force(rows: Rows) -> Rows:
    """Nothing is charged yet: no fee row has a current fee."""
    return {**rows, "fees": [{**fee, "current_fee": None} for fee in rows["fees"]]}


def one_item(rows: Rows) -> Rows:
    """One site, one fee, and no step or plan of another."""
    fee = next(row for row in rows["fees"] if row["material"])
    kept = {
        name: [row for row in made if row.get("code") in (None, "", fee["code"])]
        for name, made in rows.items()
    }
    return {**kept, "fees": [fee], "rules": []}


ODD: dict[str, tuple[Rows, ReviewAsked]] = {
    "no invoices": (without(rows_of(), "invoice_lines"), ReviewAsked()),
    "no invoices but work seated": (without(with_seated(rows_of(), 5), "invoice_lines"), ReviewAsked()),
    "no fees in force": (in_force(rows_of()), ReviewAsked()),
    "no alloys and no plans": (rows_of(UNCAST, plans=0), ReviewAsked(months=6)),
    "nothing inside the period": (rows_of(), ReviewAsked(to="2010-06-30")),
    "work seated, none inside": (with_seated(rows_of(), 5), ReviewAsked(to="2010-06-30")),
    "a period to come": (rows_of(), ReviewAsked(to="2031-12-31")),
    "one month": (with_seated(rows_of(), 5), ReviewAsked(months=1)),
    "five years": (with_seated(rows_of(), 5), ReviewAsked(months=60)),
    "one site and one item": (one_item(rows_of()), ReviewAsked(months=6)),
    "no smallest money": (rows_of(), ReviewAsked(least=0.0)),
}


@pytest.mark.parametrize("name", ODD)
def test_odd_practices_are_reviewed(name: str) -> None:
    """Each is examined, every check passes, and there are answers to tell."""
    rows, asked = ODD[name]
    examined = examined_of(read_rows(rows), asked)
    assert examined.schedule.model.blocks["review_figures"].rows >= 5


@pytest.mark.parametrize("name", ["no invoices", "nothing inside the period"])
def test_an_odd_practice_s_workbook_is_written(name: str, tmp_path: Path) -> None:
    """Tables without rows keep their place; an empty period is noticed."""
    rows, asked = ODD[name]
    done = review(write_practice(rows, tmp_path / "practice"), asked, tmp_path / "out")
    assert done.workbook is not None and done.workbook.stat().st_size > 50_000
    assert any("its crowns are not known" in one.what for one in done.noticed)
    assert done.lines[-1].startswith("All ")


def test_yen_have_no_decimals(tmp_path: Path) -> None:
    """Money is told without them, on the screen and in the letters to the labs."""
    rows = with_seated(random_practice(YEN, sites=1, materials=3, lines=120, plans=1), YEN)
    done = review(write_practice(rows, tmp_path / "practice"), ReviewAsked(months=6), tmp_path / "out")
    assert done.workbook is not None and done.figures["findings"]
    assert "(JPY)" in done.lines[0]
    for said in done.figures["findings"]:
        words = said["what to ask the lab"]
        assert said["currency"] == "JPY" and not [w for w in words.split() if w.rstrip(".,").endswith(".00")]


def test_the_command_prints_json(
    practice: Path, made: tuple[dict[str, str], Review, Review], tmp_path: Path
) -> None:
    """With --json one object: workbook, list, the figures, the findings and the problems."""
    del made
    command = [sys.executable, "-m", "feesheet", "review", str(practice), "--months", "6", "--json"]
    done = subprocess.run(
        [*command, "--out", str(tmp_path)], capture_output=True, encoding="utf-8", check=False
    )
    assert done.returncode == 0, done.stderr
    told = json.loads(done.stdout)
    assert {"workbook", "list", "review_figures", "changes_told", "findings", "checks", "problems"} <= set(
        told
    )
    assert Path(told["workbook"]).exists() and Path(told["list"]).exists()
