"""Saved scenarios lie beside the practice's inputs and never move the fees in force."""

from __future__ import annotations

from pathlib import Path

import pytest
from reading_inputs import good, grid, write_grids, write_practice

from feesheet.pricing.what_if.moves import listed_scenarios
from feesheet.pricing.what_if.scenario import Move, Scenario
from feesheet.problems import errors
from feesheet.reading.folder import input_files, read_folder, survey
from feesheet.uses.annual_update import update
from feesheet.writing.scenario_file import write_scenario

GOLD_UP = Scenario("gold up", (Move("metal", "gold", 0.4, True), Move("lab fees", "", 0.05, True)))


def results(folder: Path, out: Path) -> dict[str, bytes]:
    """The bytes of everything that an update writes."""
    outcome = update(folder, out)
    assert outcome.workbook is not None, outcome.problems
    return {path.name: path.read_bytes() for path in out.iterdir()}


@pytest.mark.parametrize("name", ["Scenarios", "scenarios", "What-if", "Scenarios/2026"])
def test_an_update_is_the_same_to_the_byte_with_saved_scenarios_and_what_ifs(
    tmp_path: Path, name: str
) -> None:
    """Even where the saved file holds other tables: nothing in those folders is read."""
    folder = write_practice(tmp_path / "practice")
    before = results(folder, tmp_path / "before")
    write_scenario(folder / name / "gold up.xlsx", GOLD_UP)
    write_grids(folder / name / "quotes.xlsx", {"Metal prices": grid("metal_prices", good()["metal_prices"])})
    (folder / name / "broken.xlsx").write_bytes(b"no workbook")
    assert results(folder, tmp_path / "after") == before
    assert [path.name for path in input_files(folder)] == ["all.xlsx"]
    assert {found.file for found in survey(folder)} == {"all.xlsx"}


def test_a_what_if_reads_the_saved_scenarios(tmp_path: Path) -> None:
    """Those of the folder "Scenarios" and those of the practice's own files; what-if results are never inputs."""
    tables = {**good(), "scenarios": [{"scenario": "own", "what": "pay", "change_share": 0.04}]}
    folder = write_practice(tmp_path, tables)
    for place in ("SCENARIOS", "what-if", "Scenarios/what-if"):
        write_scenario(folder / place / "gold up.xlsx", GOLD_UP)
    practice, problems = read_folder(folder, scenarios=True)
    scenarios, more = listed_scenarios(practice)
    assert errors(problems) == [] and more == []
    assert [scenario.title for scenario in scenarios] == ["gold up", "own"]
    assert scenarios[0].moves[0].place == ("SCENARIOS/gold up.xlsx", "Scenarios", "C7")
    assert len(read_folder(folder)[0].tables["scenarios"]) == 1


def test_other_tables_among_saved_scenarios_are_told_and_not_used(tmp_path: Path) -> None:
    """Quotes and bad cells of such a sheet count nothing; a paper of a lab or an e-invoice there is no invoice."""
    folder = write_practice(tmp_path)
    write_scenario(folder / "Scenarios" / "gold up.xlsx", GOLD_UP)
    quotes = grid("metal_prices", [{**good()["metal_prices"][0], "price": "dear"}])
    paper = [["Invoice no", "A-9"], ["Description", "Units", "Amount"], ["FCZ crown", 1, 100]]
    write_grids(
        folder / "Scenarios" / "more.xlsx",
        {"Metal prices": quotes, "Sites": grid("sites", good()["sites"]), "Paper": paper},
    )
    (folder / "Scenarios" / "paper.xml").write_text("<Invoice/>")
    clean, _ = read_folder(folder)
    practice, problems = read_folder(folder, scenarios=True)
    told = [(problem.kind, problem.file, problem.sheet) for problem in problems]
    assert told == [
        ("unread sheet", "Scenarios/more.xlsx", name) for name in ("Paper", "Metal prices", "Sites")
    ]
    assert "is not used" in problems[1].what and "is not used" in problems[2].what
    for name in ("metal_prices", "invoice_lines", "sites"):
        assert len(practice.tables[name]) == len(clean.tables[name])


def test_a_slip_in_a_scenario_stops_no_update(tmp_path: Path) -> None:
    """It is told to the what-if, with its cell; the fees in force are worked out without a word."""
    tables = {**good(), "scenarios": [{"scenario": "own", "what": "pay", "new_value": "dear"}]}
    folder = write_practice(tmp_path, tables)
    assert errors(read_folder(folder)[1]) == []
    (problem,) = errors(read_folder(folder, scenarios=True)[1])
    assert (problem.kind, problem.sheet, problem.cell) == ("not a number", "Scenarios", "D2")


def test_a_saved_scenario_that_can_not_be_opened_is_an_error_of_the_what_if(tmp_path: Path) -> None:
    """Asked for what was saved, it is not passed over."""
    folder = write_practice(tmp_path)
    (folder / "Scenarios").mkdir()
    (folder / "Scenarios" / "broken.xlsx").write_bytes(b"no workbook")
    (problem,) = errors(read_folder(folder, scenarios=True)[1])
    assert (problem.kind, problem.file) == ("not a workbook", "Scenarios/broken.xlsx")
