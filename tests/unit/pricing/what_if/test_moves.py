"""What a person types, and what the Scenarios table lists, becomes scenarios, or a plain message that says what to do."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest
from reading_inputs import good, write_practice

from feesheet.practice import Practice
from feesheet.pricing.what_if.moves import listed_scenarios, scenario_of, title_of, typed_move
from feesheet.pricing.what_if.scenario import DRIVERS, Move
from feesheet.pricing.what_if.subjects import SUBJECTS
from feesheet.problems import Problem, errors
from feesheet.reading.folder import read_folder

Row = dict[str, Any]


def practice_with(folder: Path, scenarios: list[Row] | None = None) -> tuple[Practice, list[Problem]]:
    """The small practice with a second alloy, twin materials, two plans, older and later gold quotes, and scenarios."""
    tables = good()
    tables["alloys"].append({"alloy": "white", "gold": 0.4, "silver": 0.5, "copper": 0.1})
    twin = {**tables["materials"][0], "material": "ceramic (layered)"}
    tables["materials"] += [twin, {**twin, "material": "ceramic (pressed)"}]
    tables["plans"] += [{"plan": "plan two", "plan_share": 0.5}]
    quote = tables["metal_prices"][0]
    for day, price in ((date(2026, 12, 1), 9000.0), (date(2026, 1, 5), 100.0)):
        tables["metal_prices"].append({**quote, "date": day, "price": price, "unit": "30 g"})
    if scenarios:
        tables["scenarios"] = scenarios
    return read_folder(write_practice(folder, tables), scenarios=True)


@pytest.fixture(scope="module")
def practice(tmp_path_factory: pytest.TempPathFactory) -> Practice:
    """One practice for all that is only typed."""
    read, problems = practice_with(tmp_path_factory.mktemp("practice"))
    assert errors(problems) == []
    return read


ACCEPTED = {
    "gold=4500": ("metal", "gold", 4500.0, False),
    "gold=4,500": ("metal", "gold", 4500.0, False),
    "gold=4,500.50": ("metal", "gold", 4500.5, False),
    "gold=4512,5": ("metal", "gold", 4512.5, False),
    "gold=4 500": ("metal", "gold", 4500.0, False),
    "gold=+40%": ("metal", "gold", 0.4, True),
    "gold=-30%": ("metal", "gold", -0.3, True),
    " Au = − 30 % ": ("metal", "gold", -0.3, True),
    "gold=-99%": ("metal", "gold", -0.99, True),
    "lab fees=+5%": ("lab fees", "", 0.05, True),
    "lab fees of Zirconia=+5%": ("lab fees", "zirconia", 0.05, True),
    "lab fees of ceramic (PRESSED)=120": ("lab fees", "ceramic (pressed)", 120.0, False),
    "minutes=-10%": ("minutes", "", -0.1, True),
    "Minutes of cast gold=+10%": ("minutes", "cast gold", 0.1, True),
    "pay=+4%": ("pay", "", 0.04, True),
    "pay of assistant=50000": ("pay", "assistant", 50000.0, False),
    "overhead=+8%": ("overhead", "", 0.08, True),
    "overhead of north=260000": ("overhead", "North", 260000.0, False),
    "supplies of zirconia=12": ("supplies", "zirconia", 12.0, False),
    "supplies=0": ("supplies", "", 0.0, False),
    "remake rate=4%": ("remake rate", "", 0.04, False),
    "remake rate=+4%": ("remake rate", "", 0.04, True),
    "remake_rate of zirconia=0.04": ("remake rate", "zirconia", 0.04, False),
    "target margin=42%": ("target margin", "", 0.42, False),
    "plan share of PLAN ONE=35%": ("plan share", "plan one", 0.35, False),
    "collected share=96%": ("collected share", "", 0.96, False),
    "collected share=1": ("collected share", "", 1.0, False),
    "card cost=1.5%": ("card cost", "", 0.015, False),
}  # fmt: skip


@pytest.mark.parametrize("words", ACCEPTED)
def test_words_become_a_move(practice: Practice, words: str) -> None:
    """Names come out as the practice spells them; a signed percentage is a change, anything else the new value."""
    move, problems = typed_move(words, practice)
    assert problems == []
    assert move == Move(*ACCEPTED[words], words=words.strip())


def test_every_driver_can_be_typed(practice: Practice) -> None:
    """No driver is left without words, and each has its subject."""
    typed = {driver for driver, *_ in ACCEPTED.values()} | {"alloy"}
    assert typed == set(DRIVERS) == set(SUBJECTS)


def test_a_price_in_another_unit_is_converted_to_the_unit_of_the_latest_quote(practice: Practice) -> None:
    """145 a gram is 31.1034768 times as much a troy ounce (NIST SP 811); quotes after the pricing date don't count."""
    for words in ("gold = 145 per gram", "gold=145/g", "gold=145000 per kilogram", "gold=4350 per 30 g"):
        move, _ = typed_move(words, practice)
        assert move is not None
        assert move.value == pytest.approx(145 * 31.1034768, rel=1e-14)
        assert not move.by_share
    same, _ = typed_move("gold=4500.1 per troy ounce", practice)
    assert same is not None and same.value == 4500.1


def test_an_alloy_is_changed_for_another(practice: Practice) -> None:
    """The move carries the new alloy's name and no value."""
    move, problems = typed_move("alloy of Cast Gold=WHITE", practice)
    assert problems == []
    assert move == Move("alloy", "cast gold", alloy="white", words="alloy of Cast Gold=WHITE")


REFUSED = {
    "gold=0": ("out of range", "a price must be more than 0"),
    "lab fees of zirconia=0": ("out of range", "a price must be more than 0"),
    "gold=-4500": ("out of range", "a price can't be negative"),
    "supplies of zirconia=-3": ("unclear number", "a change or a new value. For a change type -3%"),
    "gold=-100%": ("out of range", "a fall of 100 % or more leaves nothing"),
    "minutes=-150%": ("out of range", "a fall of 100 % or more leaves nothing"),
    "gold=-99.5%": ("out of range", "outside -99 % to 1000 %"),
    "gold=+4000%": ("out of range", "outside -99 % to 1000 %"),
    "gold=cheap": ("not a number", '"cheap" is not a number. Type a new value in digits'),
    "gold=4500 or so": ("not a number", "is not a number"),
    "gold=1e9": ("not a number", "is not a number"),
    "gold=2,000,000,000": ("out of range", "outside 1e-06 to 1,000,000,000"),
    "gold=4.500": ("unclear number", "can be 4,500 or 4.5. Type 4500, or 4.5."),
    "gold=45,00,5": ("unclear number", "not in groups of three"),
    "gold=€4500": ("mixed currency", "all amounts are in EUR"),
    "gold=40%": ("unclear number", "For a change type +40% or -40%"),
    "gold=+40": ("unclear number", "For a change type +40%; for a new value 40"),
    "remake rate=+0.04": ("unclear number", "For a change type +4%; for a new value 4%"),
    "gold=145 per oz": ("unclear unit", "names two masses"),
    "gold=145 per bar": ("unclear unit", "no unit of mass"),
    "gold=+10% per gram": ("unclear unit", "only a new price"),
    "pay of assistant=30 per hour": ("unclear unit", "only a new price of a metal"),
    "rhodium=5000": ("unknown name", "no alloy of the practice holds rhodium"),
    "copper=10": ("nothing to start from", 'no price of copper is quoted on or before the pricing date. Add a quote'),
    "other=10": ("unknown name", "nothing that a scenario can change"),
    "lab fee=+5%": ("unknown name", 'Did you mean "lab fees"'),
    "rent=+5%": ("unknown name", "Type a metal, or one of: lab fees, minutes, pay"),
    "lab fees of zirconya=+5%": ("unknown name", 'Did you mean "zirconia"'),
    "lab fees of ceramic=+5%": ("unknown name", 'can be "ceramic (layered)" or "ceramic (pressed)"'),
    "pay of asistant=+5%": ("unknown name", 'Did you mean "assistant"'),
    "overhead of Norht=+5%": ("unknown name", 'Did you mean "North"'),
    "plan share of plan oen=20%": ("unknown name", 'Did you mean "plan one"'),
    "alloy of cast gold=whit": ("unknown name", 'Did you mean "white"'),
    "alloy of zirconia=white": ("nothing to start from", "is cast from no alloy"),
    "alloy of cast gold=yellow": ("not a choice", "already"),
    "alloy=white": ("missing value", "names no material"),
    "plan share=20%": ("missing value", 'names no plan. Type "plan share of" and a name'),
    "lab fees of=+5%": ("missing value", "names no material"),
    "gold of zirconia=+5%": ("unknown name", "one for all"),
    "target margin of zirconia=30%": ("unknown name", "one for the whole practice"),
    "minutes=50": ("unclear number", "minutes take a change in %"),
    "minutes of zirconia=10%": ("unclear number", "minutes take a change in %"),
    "pay=50000": ("missing value", "a new pay is for one role"),
    "overhead=260000": ("missing value", "a new overhead is for one site"),
    "remake rate=4": ("unclear number", '"4" can be 4 % or 400 %. For 4 % type 4%.'),
    "collected share=98": ("unclear number", '"98" can be 98 % or 9800 %'),
    "remake rate=100%": ("out of range", "100 % is outside 0 % to 99 %"),
    "plan share of plan one=120%": ("out of range", "120 % is outside 0 % to 100 %"),
    "target margin=100%": ("out of range", "no fee leaves a margin of 100 %"),
    "target margin=250%": ("out of range", "outside -100 % to 95 %"),
    "collected share=+5%": ("out of range", "98 % changed by 5 % of itself is 102.9 %"),
    "gold": ("missing value", "says no new value"),
    "gold=": ("missing value", "says no new value"),
    "=4500": ("missing value", "does not say what changes"),
    "": ("missing value", "does not say what changes"),
}  # fmt: skip
"""Prices of nought, below it, falls of all of it and words among them (hard case 111)."""


@pytest.mark.parametrize("words", REFUSED)
def test_what_can_not_be_meant_is_refused_with_what_to_do(practice: Practice, words: str) -> None:
    """One error that names the words typed, what is wrong with them and what to type."""
    kind, said = REFUSED[words]
    move, (problem,) = typed_move(words, practice)
    assert move is None
    assert problem.kind == kind and problem.severity == "error"
    assert said in f"{problem.what} {problem.do}"
    assert problem.what.startswith(f'"{words}": ') and problem.do.endswith((".", "?", "…"))
    assert problem.place == ""


def test_a_scenario_keeps_its_moves_in_order_and_makes_its_title(practice: Practice) -> None:
    """The title says each change shortly; reason, source and day are kept as given."""
    words = ["gold=4,500", "lab fees=+5%", "remake rate of zirconia=4%", "alloy of cast gold=white"]
    scenario, problems = scenario_of(words, practice, reason=" a hunch ", source="a talk", day="2026-10-30")
    assert problems == [] and scenario is not None
    assert (
        scenario.title == "gold 4,500; lab fees +5 %; remake rate of zirconia 4 %; alloy of cast gold: white"
    )
    assert [move.words for move in scenario.moves] == words
    assert (scenario.reason, scenario.source, scenario.day) == ("a hunch", "a talk", "2026-10-30")
    named, _ = scenario_of(words, practice, title=" my own ")
    assert named is not None and named.title == "my own"
    assert title_of([Move("metal", "gold", -0.3, True)]) == "gold -30 %"


def test_all_that_is_wrong_is_told_at_once(practice: Practice) -> None:
    """A bad price, an unknown name, a double and a bad day: four problems, no scenario."""
    words = ["gold=0", "silver=+10%", "Ag=50", "lab fees of gold=+5%"]
    scenario, problems = scenario_of(words, practice, day="30.10.2026")
    assert scenario is None
    assert [problem.kind for problem in problems] == [
        "out of range",
        "unknown name",
        "duplicate",
        "not a date",
    ]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["gold=4500", "Au=+10%"], 'changes the same as "gold=4500"'),
        (["lab fees=+5%", "lab fees of zirconia=+9%"], 'overlaps with "lab fees=+5%"'),
        (["pay of dentist=+1%", "pay=+2%"], 'overlaps with "pay of dentist=+1%"'),
    ],
)
def test_one_thing_is_changed_once(practice: Practice, words: list[str], said: str) -> None:
    """The later of two moves that meet is told, with the earlier one's words."""
    scenario, (problem,) = scenario_of(words, practice)
    assert scenario is None and problem.kind == "duplicate"
    assert problem.what.startswith(f'"{words[1]}": it {said}')


def test_different_things_do_not_meet(practice: Practice) -> None:
    """Two materials' lab fees, two metals, and two settings stand side by side."""
    words = ["lab fees of zirconia=+5%", "lab fees of cast gold=+9%", "gold=+1%", "silver=+1%", "pay=+1%"]
    scenario, problems = scenario_of(words, practice)
    assert problems == [] and scenario is not None and len(scenario.moves) == 5


def test_plans_never_take_more_patients_than_there_are(practice: Practice) -> None:
    """Shares of 35 % and 50 %: one alone may rise to 50 %, not to 60 %; with the other lowered it may."""
    assert scenario_of(["plan share of plan one=50%"], practice)[1] == []
    assert scenario_of(["plan share of plan one=60%", "plan share of plan two=-50%"], practice)[1] == []
    for words, total in (("plan share of plan one=60%", "110 %"), ("plan share of plan one=+50%", "102.5 %")):
        _, (problem,) = scenario_of(["gold=+1%", words], practice)
        assert problem.kind == "does not add up" and total in problem.what
        assert problem.what.startswith(f'"{words}"')
    _, (problem,) = scenario_of(["plan share of plan one=60%", "plan share of plan two=45%"], practice)
    assert problem.what.startswith('"plan share of plan two=45%"') and "105 %" in problem.what


def test_an_empty_scenario_is_refused(practice: Practice) -> None:
    """Nothing typed changes nothing."""
    scenario, (problem,) = scenario_of([], practice)
    assert scenario is None and problem.kind == "missing value"


def test_the_table_gives_scenarios_by_title(tmp_path: Path) -> None:
    """Rows of one title make one scenario, in order of first appearance; words and places say where each move is from."""
    rows = [
        {"scenario": "Gold up", "what": "Au", "change_share": 0.4, "reason": "spring", "date": date(2026, 10, 30)},
        {"scenario": "terms", "what": "collected share", "new_value": 0.96},
        {"scenario": "gold  up", "what": "lab fees", "of_whom": "ZIRCONIA", "change_share": "5%", "reason": "letter"},
        {"scenario": "gold up", "what": "alloy", "of_whom": "cast gold", "new_alloy": "White", "reason": "spring"},
        {"scenario": "terms", "what": "minutes of cast gold", "change_share": -0.1, "taken_from": "a watch"},
    ]  # fmt: skip
    practice, read_problems = practice_with(tmp_path, rows)
    (first, second), problems = listed_scenarios(practice)
    assert errors(read_problems) == [] and problems == []
    assert (first.title, first.reason, first.source, first.day) == (
        "Gold up",
        "spring; letter",
        "",
        "2026-10-30",
    )
    assert [(move.driver, move.of, move.value, move.by_share, move.alloy) for move in first.moves] == [
        ("metal", "gold", 0.4, True, ""),
        ("lab fees", "zirconia", 0.05, True, ""),
        ("alloy", "cast gold", 0.0, False, "white"),
    ]
    assert [move.words for move in first.moves][:2] == ["gold +40 %", "lab fees of zirconia +5 %"]
    assert [move.place for move in first.moves] == [("all.xlsx", "Scenarios", f"B{row}") for row in (2, 4, 5)]
    assert (second.title, second.source, len(second.moves)) == ("terms", "a watch", 2)


def test_titles_that_differ_in_a_sign_or_in_brackets_are_two_scenarios(tmp_path: Path) -> None:
    """Only case and spaces don't count: a rise and a fall of one metal stay apart."""
    titles = ["gold +10 %", "gold -10 %", "gold (lab A)", "gold (lab B)"]
    rows = [{"scenario": title, "what": "gold", "change_share": 0.1} for title in titles]
    scenarios, problems = listed_scenarios(practice_with(tmp_path, rows)[0])
    assert problems == [] and [scenario.title for scenario in scenarios] == titles


BAD_ROWS: list[tuple[Row, str, str, str]] = [
    ({"what": "gold"}, "D2", "missing value", "the row says no new value"),
    ({"what": "gold", "new_value": 4500, "change_share": 0.1}, "E2", "two columns fit", '"New value" and "Change by"'),
    ({"what": "gold", "new_value": 0}, "D2", "out of range", "a price must be more than 0"),
    ({"what": "supplies", "new_value": -1}, "D2", "out of range", "it can't be negative"),
    ({"what": "gold", "new_alloy": "white"}, "F2", "not a choice", "by its name, and gold is none"),
    ({"what": "alloy", "of_whom": "cast gold", "new_value": 3}, "D2", "not a choice", "for another by its name"),
    ({"what": "alloy", "of_whom": "cast gold", "new_alloy": "wite"}, "F2", "unknown name", "the practice's alloys"),
    ({"what": "goldd", "new_value": 3}, "B2", "unknown name", "nothing that a scenario can change"),
    ({"what": "pay", "of_whom": "nurse", "change_share": 0.1}, "C2", "unknown name", "the practice's roles"),
    ({"what": "minutes", "new_value": 10}, "D2", "unclear number", "minutes take a change in %"),
    ({"what": "card cost", "new_value": 1.5}, "D2", "out of range", "150 % is outside 0 % to 20 %"),
    ({"what": "overhead", "new_value": 260000}, "C2", "missing value", "for one site"),
]  # fmt: skip


@pytest.mark.parametrize(("row", "cell", "kind", "said"), BAD_ROWS)
def test_a_bad_row_is_told_with_its_cell(tmp_path: Path, row: Row, cell: str, kind: str, said: str) -> None:
    """File, sheet and cell stand before it; its scenario is left out, another one stays."""
    rows = [{"scenario": "bad", **row}, {"scenario": "good", "what": "gold", "change_share": 0.1}]
    practice, _ = practice_with(tmp_path, rows)
    scenarios, (problem,) = listed_scenarios(practice)
    assert [scenario.title for scenario in scenarios] == ["good"]
    assert (problem.file, problem.sheet, problem.cell) == ("all.xlsx", "Scenarios", cell)
    assert problem.kind == kind and said.lower() in problem.what.lower()


def test_rows_of_one_scenario_that_meet_or_differ_are_told(tmp_path: Path) -> None:
    """The second row of a double and the second of two dates, each with its cell."""
    rows = [
        {"scenario": "s", "what": "gold", "new_value": 4500, "date": date(2026, 1, 1)},
        {"scenario": "s", "what": "gold", "change_share": 0.1, "date": date(2026, 1, 2)},
    ]
    practice, _ = practice_with(tmp_path, rows)
    scenarios, problems = listed_scenarios(practice)
    assert scenarios == []
    assert [(problem.kind, problem.cell) for problem in problems] == [
        ("duplicate", "B3"),
        ("duplicate", "I3"),
    ]
    assert '"gold 4,500"' in problems[0].what


@pytest.mark.parametrize(
    ("row", "cell"),
    [
        ({"what": "gold", "new_value": "cheap"}, "D2"),
        ({"what": "gold", "change_share": -1}, "E2"),
        ({"what": "gold", "change_share": 40}, "E2"),
        ({"new_value": 4}, "B2"),
    ],
)
def test_a_cell_that_can_not_be_read_is_told_by_the_reading(tmp_path: Path, row: Row, cell: str) -> None:
    """The reading names the cell, and the scenario is not taken without it."""
    practice, problems = practice_with(tmp_path, [{"scenario": "s", **row}])
    assert [problem.cell for problem in errors(problems)] == [cell]
    assert listed_scenarios(practice)[0] == []
