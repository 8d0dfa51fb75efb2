"""A stranger's cost component and pricing rule: found, traced, priced, explained; refused with a plain line where broken."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import openpyxl
import pytest
from written_books import EXAMPLE, written

from feesheet.practice import Practice
from feesheet.problems import errors
from feesheet.reading.folder import read_folder
from feesheet.uses.annual_update import Priced, price
from feesheet.writing.book import Schedule

COPIED = EXAMPLE.parent / "own_component"
SETTING = "infection_control_per_chair_min"
COMPONENTS, RULES = "feesheet.cost_components", "feesheet.pricing_rules"
IMPORTS = """
from feesheet.costing.components import Component
from feesheet.formula.model import figure
from feesheet.pricing.rules import Rule
"""
COMPONENT = """
@figure("Broken", "money")
def broken_cost({arguments}):
    return {work}

PART = Component(broken_cost, variable=True)
"""
RULE = """
@figure("Broken", "money")
def broken_bound({arguments}):
    return {work}

PART = Rule("broken", broken_bound, "at_least", "Broken. ")
"""
IN_WORDS = {
    "fails to import": (COMPONENTS, "import no_such_library", "No module named 'no_such_library'"),
    "leaves the program": (COMPONENTS, "raise SystemExit('good-bye')", "good-bye"),
    "has no such object": (COMPONENTS, "", "has no attribute 'PART'"),
    "is no component": (COMPONENTS, "PART = 7", "is no Component"),
    "uses if": (COMPONENTS, COMPONENT.format(arguments="chair_min", work="1 if chair_min > 0 else 0"), "write when"),
    "has a bare number": (COMPONENTS, COMPONENT.format(arguments="chair_min", work="chair_min * 3"), "give it a name"),
    "names nothing": (COMPONENTS, COMPONENT.format(arguments="chair_hours", work="chair_hours"), "broken_cost needs chair_hours"),
    "is a second": (COMPONENTS, COMPONENT.replace("broken_cost", "lab_fee").format(arguments="", work="0"), "a second lab_fee"),
    "is in no layer": (COMPONENTS, "PART = Component(figure('a', 'money')(lambda: 0), True, 'sand')", "must be one of metal"),
    "has no unit": (COMPONENTS, "PART = Component(lambda: 0, True)", "figure(heading, unit)"),
    "is no function": (COMPONENTS, "PART = Component(print, True)", "must be a plain function"),
    "is no rule": (RULES, "PART = 7", "is no Rule"),
    "bounds by if": (RULES, RULE.format(arguments="fee", work="max(fee, 0)"), "write when"),
    "bounds by nothing": (RULES, RULE.format(arguments="old_fee", work="old_fee"), "rule broken needs old_fee"),
    "acts in no way": (RULES, "PART = Rule('a', figure('a', 'money')(lambda: 0), 'sideways', '')", "must be one of hold"),
}  # fmt: skip


def plug_in(folder: Path, monkeypatch: pytest.MonkeyPatch, module: Path, points: dict[str, str]) -> None:
    """Make a module known as an installed package would be: a folder on the path that declares its entry points."""
    name = "stranger" if module.name == "own_component" else module.name
    info = folder / f"{name}-1.0.dist-info"
    info.mkdir(parents=True)
    (info / "METADATA").write_text(f"Metadata-Version: 2.1\nName: {name}\nVersion: 1.0\n", encoding="utf-8")
    declared = "".join(f"[{group}]\n{line}\n" for group, line in points.items())
    (info / "entry_points.txt").write_text(declared, encoding="utf-8")
    monkeypatch.syspath_prepend(str(module))
    monkeypatch.syspath_prepend(str(folder))


@pytest.fixture(scope="module")
def example() -> Practice:
    """The example practice, read once."""
    practice, problems = read_folder(EXAMPLE)
    assert not errors(problems)
    return practice


@pytest.fixture
def own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The package that a stranger is told to copy, as if it were installed."""
    points = {
        COMPONENTS: "infection_control_cost = own_component:INFECTION_CONTROL",
        RULES: "inflation = own_component:INFLATION",
    }
    declared = (COPIED / "pyproject.toml").read_text(encoding="utf-8")
    assert all(line.replace("= ", '= "') + '"' in declared for line in points.values())
    plug_in(tmp_path / "site", monkeypatch, COPIED, points)


def with_setting(practice: Practice, value: object) -> Practice:
    """The practice with the row that the component asks for."""
    cells = {**practice.setting_cells, SETTING: ("practice.xlsx", "Practice", "C30")}
    return replace(practice, settings={**practice.settings, SETTING: value}, setting_cells=cells)


def with_rule(practice: Practice, value: float) -> Practice:
    """The practice whose only rule is the stranger's."""
    rules = practice.tables["rules"].head(1).assign(rule="inflation", value=value)
    return replace(practice, tables={**practice.tables, "rules": rules})


@pytest.mark.usefixtures("own")
def test_component_is_a_part_of_the_unit_cost(example: Practice) -> None:
    """It costs its rate a chair minute, in the unit cost, in the variable cost and under the chart's last layer."""
    plain, problems = price(with_setting(example, 0))
    more, more_problems = price(with_setting(example, 0.35))
    extra = 0.35 * more.numbers.of("costs", "chair_min")

    assert errors(problems + more_problems) == []
    assert extra.max() > 10
    for column in ("unit_cost", "variable_cost", "stack_other"):
        grown = figures(more, "costs", column) - figures(plain, "costs", column)
        np.testing.assert_allclose(grown, extra, rtol=0, atol=1e-9)


@pytest.mark.usefixtures("own")
def test_component_is_in_the_workbook(example: Practice, tmp_path: Path) -> None:
    """It has a formula column, its words on the Method sheet, a row among the checks and a figure to type over; all checks pass."""
    practice = with_setting(example, 0.35)
    priced, problems = price(practice)
    path = written(
        Schedule(practice, priced.model, priced.numbers, priced.inputs, problems), tmp_path / "book.xlsx"
    )
    book = openpyxl.load_workbook(path, data_only=False)
    method = {row[8]: row for row in book["Method"].iter_rows(values_only=True) if row[8]}
    said = method["costs.infection_control_cost"]
    column = said[7].split(":")[0].rstrip("0123456789")
    first = int(said[7].split(":")[0].removeprefix(column))
    costs = book["Cost build-up"]
    words = [
        [cell.value for cell in row] for row in (*book["Inputs"].iter_rows(), *book["Checks"].iter_rows())
    ]

    assert costs[f"{column}{first - 1}"].value.startswith("Infection control")
    assert (
        costs[f"{column}{first}"].value
        == said[6].replace("'", "")
        == f"={method['costs.chair_min'][7].split(':')[0]}*{SETTING}"
    )
    assert said[4].startswith("Barriers, instrument packs")
    assert said[5] == "Chair minutes × Infection control a chair minute"
    assert f"{column}{first}" in costs[method["costs.unit_cost"][7].split(":")[0]].value.split("+")
    assert any(row[0] == "Infection control a chair minute" and row[1] == 0.35 for row in words)
    assert any("Infection control" in row for row in words)
    assert priced.numbers.of("state", "number")[0] == 0


@pytest.mark.usefixtures("own")
@pytest.mark.parametrize(
    ("typed", "cure"), [(None, "Add a row"), ("much", "Correct it"), (-1.0, "Correct it")]
)
def test_missing_setting_is_a_problem_with_its_cure(example: Practice, typed: object, cure: str) -> None:
    """Without its figure the component is left out, and one line says what to add or correct; the rest is worked out."""
    priced, problems = price(example if typed is None else with_setting(example, typed))
    found = errors(problems)

    assert [problem.kind for problem in found] == ["missing value"]
    assert "Infection control a chair minute" in found[0].what
    assert found[0].do.startswith(cure)
    assert "infection_control_cost" not in priced.model.blocks["costs"].columns
    assert is_priced(priced)


@pytest.mark.usefixtures("own")
def test_rule_lifts_the_fees(example: Practice) -> None:
    """Under the rule no fee is below the current one with inflation, and those that it lifted say so."""
    priced, problems = price(with_rule(with_setting(example, 0.35), 0.9))
    fees = {
        name: priced.numbers.of("fee_rules", name)
        for name in ("current_fee", "new_fee", "held_at_first", "reason")
    }
    free = fees["held_at_first"] == 0

    assert errors(problems) == []
    assert (fees["new_fee"][free] >= 1.9 * fees["current_fee"][free] - 1e-9).all()
    assert any("Kept up with inflation" in reason for reason in fees["reason"])


@pytest.mark.parametrize("case", IN_WORDS)
def test_broken_plug_in_is_one_problem(
    case: str, example: Practice, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A plug-in that can't be used is named once, with what is wrong with it, and everything else is worked out without it."""
    group, source, said = IN_WORDS[case]
    module = f"broken_{list(IN_WORDS).index(case)}"
    (tmp_path / module).mkdir()
    (tmp_path / module / f"{module}.py").write_text(IMPORTS + source, encoding="utf-8")
    plug_in(tmp_path / "site", monkeypatch, tmp_path / module, {group: f"broken = {module}:PART"})
    priced, problems = price(example)
    found = errors(problems)

    assert [problem.kind for problem in found] == ["plug-in failed"]
    assert said in found[0].what
    assert "Remove it" in found[0].do
    assert is_priced(priced)


def is_priced(priced: Priced) -> bool:
    """Whether every new fee is a figure and all checks pass."""
    return bool(
        np.isfinite(figures(priced, "fee_rules", "new_fee")).all()
        and not priced.numbers.of("state", "number")[0]
    )


def figures(priced: Priced, block: str, column: str) -> np.ndarray:
    """The figures of one column, as numbers."""
    return np.asarray(priced.numbers.of(block, column), dtype=float)
