"""A scenario that is saved reads back as the very same scenario, and nothing is ever written over."""

from __future__ import annotations

import tempfile
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from reading_inputs import good, write_practice

from feesheet.pricing.what_if.moves import listed_scenarios
from feesheet.pricing.what_if.scenario import DRIVERS, Driver, Move, Scenario
from feesheet.pricing.what_if.subjects import SUBJECTS
from feesheet.reading.folder import read_folder
from feesheet.tables import SCENARIOS
from feesheet.writing.blank import HEADING_ROW
from feesheet.writing.scenario_file import write_scenario

NAMES: dict[str, tuple[str, ...]] = {
    "plans": ("plan one",),
    "materials": ("zirconia", "cast gold"),
    "staff": ("dentist", "assistant"),
    "sites": ("North", "South"),
}
LIMITS: dict[Driver, tuple[float, float]] = {
    "metal": (0.000001, 1e9), "lab fees": (1e-9, 1e6), "pay": (0, 1e8), "overhead": (0, 1e9), "supplies": (0, 1e5),
    "remake rate": (0, 0.99), "plan share": (0, 1), "target margin": (-1, 0.95), "collected share": (0.01, 1),
    "card cost": (0, 0.2),
}  # fmt: skip
"""What a new value of each driver may be."""


@st.composite
def moves(draw: st.DrawFn, driver: Driver) -> Move:
    """Any move of the driver that the small practice takes."""
    home = SUBJECTS[driver].home
    if driver == "alloy":
        return Move(driver, "cast gold", alloy="white")
    if driver == "metal":
        of = draw(st.sampled_from(["gold", "silver", "palladium"]))
    else:
        of = draw(st.sampled_from(("", *NAMES[home[0]]))) if home else ""
    of = "plan one" if driver == "plan share" else of
    needs_name = driver in ("pay", "overhead") and not of
    if driver == "minutes" or needs_name or draw(st.booleans()):
        highest = 0.01 if SUBJECTS[driver].sort == "share" else 10
        return Move(driver, of, draw(st.floats(-0.5, highest)), by_share=True)
    return Move(driver, of, draw(st.floats(*LIMITS[driver])))


WORDS = st.text(st.characters(codec="utf-8", categories=("L", "N", "P", "S")), min_size=1, max_size=30)
SENTENCES = st.lists(WORDS, min_size=1, max_size=4).map(" ".join)


@st.composite
def scenarios(draw: st.DrawFn) -> Scenario:
    """Any scenario: one to all drivers, a title, and now and then a reason, a source and a day."""
    drivers = draw(st.lists(st.sampled_from(DRIVERS), min_size=1, max_size=len(DRIVERS), unique=True))
    day = draw(st.one_of(st.just(""), st.dates(date(1990, 1, 1), date(2099, 12, 31)).map(str)))
    reason, source = (draw(st.one_of(st.just(""), SENTENCES)) for _ in range(2))
    return Scenario(draw(SENTENCES), tuple(draw(moves(driver)) for driver in drivers), reason, source, day)


@pytest.fixture(scope="module")
def practice_rows() -> dict[str, list[dict[str, Any]]]:
    """The small practice, with an alloy to change to."""
    tables = good()
    tables["alloys"].append({"alloy": "white", "gold": 0.4, "silver": 0.6})
    return tables


def read_back(folder: Path) -> list[Scenario]:
    """The scenarios as the what-if reads them, without where each move was found."""
    found, problems = listed_scenarios(read_folder(folder, scenarios=True)[0])
    assert problems == []
    return [
        replace(one, moves=tuple(replace(move, words="", place=("", "", "")) for move in one.moves))
        for one in found
    ]


@settings(max_examples=40, deadline=None)
@given(scenario=scenarios())
def test_a_saved_scenario_reads_back_equal(practice_rows: Any, scenario: Scenario) -> None:
    """Every driver, name, day and word; every number to its last digit."""
    with tempfile.TemporaryDirectory() as place:
        folder = write_practice(Path(place), practice_rows)
        write_scenario(folder / "Scenarios" / "one.xlsx", scenario)
        assert read_back(folder) == [scenario]


@pytest.mark.parametrize("driver", DRIVERS)
def test_each_driver_reads_back(tmp_path: Path, practice_rows: Any, driver: Driver) -> None:
    """One move of each driver alone; its number needs seventeen digits."""
    home = SUBJECTS[driver].home
    of = {"metal": "gold", "alloy": "cast gold"}.get(driver, NAMES[home[0]][0] if home else "")
    move = Move(driver, of, 0.1 * 1.1, by_share=driver == "minutes")
    move = Move(driver, of, alloy="white") if driver == "alloy" else move
    folder = write_practice(tmp_path, practice_rows)
    write_scenario(folder / "Scenarios" / "one.xlsx", Scenario("one", (move,)))
    assert read_back(folder) == [Scenario("one", (move,))]


def test_nothing_is_written_over(tmp_path: Path) -> None:
    """A second scenario of that name gets a number behind it; the first keeps its bytes; no draft stays."""
    path = tmp_path / "new" / "gold up.xlsx"
    scenario = Scenario("gold up", (Move("metal", "gold", 0.4, True),))
    assert write_scenario(path, scenario) == path
    first = path.read_bytes()
    assert write_scenario(path, replace(scenario, title="other")).name == "gold up (2).xlsx"
    assert write_scenario(path, scenario).read_bytes() == first == path.read_bytes()
    assert sorted(file.name for file in path.parent.iterdir()) == [
        "gold up (2).xlsx",
        "gold up (3).xlsx",
        "gold up.xlsx",
    ]


def test_a_write_that_is_stopped_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The file is there whole or not at all."""

    def stop(draft: Path, *_: Any) -> None:
        draft.write_bytes(b"half")
        raise KeyboardInterrupt

    monkeypatch.setattr("feesheet.writing.scenario_file.write_workbook", stop)
    with pytest.raises(KeyboardInterrupt):
        write_scenario(tmp_path / "gold up.xlsx", Scenario("gold up", (Move("pay", "", 0.1, True),)))
    assert list(tmp_path.iterdir()) == []


def test_it_looks_like_the_template(tmp_path: Path) -> None:
    """The template's title, headings and notes; a change is shown as a percentage, a day as a day."""
    scenario = Scenario("gold up", (Move("metal", "gold", 0.4, True),), "spring", "a talk", "2026-10-30")
    book = openpyxl.load_workbook(write_scenario(tmp_path / "one.xlsx", scenario))
    sheet = book["Scenarios"]
    rows = list(sheet.iter_rows(values_only=True))
    assert book.properties.title == "gold up"
    assert rows[0][0] == SCENARIOS.sheet and rows[1][0] == SCENARIOS.help
    assert list(rows[HEADING_ROW]) == ["Note", *(field.heading for field in SCENARIOS.fields)]
    values = rows[HEADING_ROW + 3]
    assert values[1:6] == ("gold up", "gold", None, None, 0.4) and values[9].date() == date(2026, 10, 30)
    assert sheet.cell(HEADING_ROW + 4, 6).number_format == "0.0%"
