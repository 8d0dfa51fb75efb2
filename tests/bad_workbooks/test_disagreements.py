"""Tables that disagree with each other: each kind of disagreement, at its cell."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from reading_inputs import Rows, broken, places

from feesheet.reading.folder import read_folder

Tables = dict[str, Rows]


def put(table: str, row: int, **values: Any) -> Callable[[Tables], None]:
    """Change some cells of one row."""
    return lambda tables: tables[table][row].update(values)


def add(table: str, row: int, **values: Any) -> Callable[[Tables], None]:
    """Repeat one row with some cells changed."""
    return lambda tables: tables[table].append({**tables[table][row], **values})


@pytest.mark.parametrize(
    ("change", "kind", "sheet", "cell", "what"),
    [
        (put("overhead", 0, site="Nroth"), "unknown name", "Overhead ledger", "A2", '"Nroth"'),
        (put("materials", 1, alloy="red"), "unknown name", "Materials", "B3", '"red"'),
        (put("lab_prices", 0, lab="lab Z"), "unknown name", "Lab prices", "A2", '"lab Z"'),
        (put("invoice_lines", 2, alloy="red"), "unknown name", "Invoice lines", "J4", '"red"'),
        (put("milling", 0, role="nurse"), "unknown name", "In-house milling", "H2", '"nurse"'),
        (put("chair_time", 0, roles="dentist + nurse"), "unknown name", "Chair time", "F2", '"nurse"'),
        (put("chair_time", 0, code="C-9", material=""), "unknown name", "Chair time", "A2", '"C-9"'),
        (put("plan_fees", 0, plan="plan two"), "unknown name", "Allowed amounts", "A2", '"plan two"'),
        (put("product_map", 0, material="wood"), "unknown name", "Product names", "B2", '"wood"'),
        (put("fees", 0, site="East"), "unknown name", "Current fees", "E2", '"East"'),
        (put("region_index", 1, region="Plain"), "unknown name", "Region index", "A3", '"Plain"'),
        (
            put("staff", 1, site="South"),
            "missing value",
            "Chair time",
            "F2",
            '"assistant" has no pay at North',
        ),
        (put("chair_time", 0, material=""), "missing value", "Chair time", "B2", "no code and no material"),
        (put("chair_time", 0, low_min=40), "missing value", "Chair time", "I2", "two of the three"),
        (put("chair_time", 0, likely_min=""), "missing value", "Chair time", "H2", "No time"),
        (put("chair_time", 1, likely_min=30), "out of range", "Chair time", "H3", "40, 30, 80"),
        (put("alloys", 0, gold=0.7), "does not add up", "Alloys", "A2", "0.93"),
        (put("plans", 0, plan_share=0.6), None, "", "", ""),
        (add("plans", 0, plan="plan two", plan_share=0.7), "does not add up", "Plans", "B3", "1.05"),
        (put("sites", 1, weeks=0), "out of range", "Sites", "D3", '"South"'),
        (put("staff", 0, productive_hours=0), "out of range", "Staff roles", "D2", "0 productive hours"),
        (put("milling", 0, units_month=0), "out of range", "In-house milling", "E2", "0 units"),
        (
            put("starting_grams", 0, tooth_region="premolar"),
            "nothing to start from",
            "Current fees",
            "C3",
            '"molar"',
        ),
        (put("metal_prices", 0, unit="oz"), "unclear unit", "Metal prices", "D2", "28.35"),
        (put("metal_prices", 0, unit="gr"), "unclear unit", "Metal prices", "D2", "grain"),
        (put("metal_prices", 0, unit="stone"), "unclear unit", "Metal prices", "D2", '"stone"'),
        (put("invoice_lines", 2, weight_unit="ounce"), "unclear unit", "Invoice lines", "L4", "31.10"),
        (put("invoice_lines", 2, weight_unit=""), "missing value", "Invoice lines", "L4", "no unit"),
        (put("invoice_lines", 3, teeth="38"), "unclear tooth", "Invoice lines", "E5", "universal"),
        (put("invoice_lines", 0, teeth="9"), "unclear tooth", "Invoice lines", "E2", "ISO"),
        (put("metal_prices", 1, currency="USD"), "mixed currency", "Metal prices", "E3", "USD"),
        (put("alloys", 0, gold=0.7, indium=0.07), "no price", "Alloys", "O2", "indium"),
        (put("alloys", 0, gold=0.7, other=0.07), None, "", "", ""),
        (add("sites", 0, site="north "), "duplicate", "Sites", "A4", "A2"),
        (add("metal_prices", 0), "duplicate", "Metal prices", "A5", "A2"),
        (add("invoice_lines", 0), None, "", "", ""),
        (add("fees", 0, site="Hills"), None, "", "", ""),
        (add("fees", 0), "duplicate", "Current fees", "A4", "A2"),
        (put("overhead", 1, site="North", account="Power"), None, "", "", ""),
    ],
)
def test_a_disagreement_is_told_at_its_cell(
    tmp_path: Path, change: Callable[[Tables], None], kind: str | None, sheet: str, cell: str, what: str
) -> None:
    """One change is one problem, or none where the change is harmless."""
    problems = broken(tmp_path, change)
    assert places(problems) == ([(kind, "all.xlsx", sheet, cell)] if kind else [])
    assert all(what in problem.what for problem in problems)


def test_the_nearest_name_is_offered(tmp_path: Path) -> None:
    """A slip of the pen is answered with the name that was likely meant."""
    (problem,) = broken(tmp_path, put("overhead", 0, site="Nroth"))
    assert problem.do.startswith('Did you mean "North"?')


def test_names_are_compared_without_case_and_come_out_as_listed(tmp_path: Path) -> None:
    """ "NORTH" and "lab a" are the North and lab A of their own tables."""

    def change(tables: Tables) -> None:
        tables["invoice_lines"][0].update(site="NORTH", lab="lab  a")
        tables["chair_time"][0].update(roles="Dentist+ASSISTANT", material="Zirconia")
        tables["fees"][1].update(site="coast")

    assert broken(tmp_path, change) == []
    practice, _ = read_folder(tmp_path)
    assert list(practice.tables["invoice_lines"][["site", "lab"]].iloc[0]) == ["North", "lab A"]
    assert list(practice.tables["chair_time"][["roles", "material"]].iloc[0]) == [
        "dentist + assistant",
        "zirconia",
    ]
    assert practice.tables["fees"]["site"].iloc[1] == "Coast"


@pytest.mark.parametrize(
    ("settings", "change", "kind", "what"),
    [
        (
            {"base_site": ""},
            put("overhead", 1, site="North", account="Power"),
            "nothing to start from",
            "no base site",
        ),
        (
            {"base_site": "South"},
            put("overhead", 1, site="North", account="Power"),
            "nothing to start from",
            "has none either",
        ),
        (
            {},
            lambda t: (t["overhead"].pop(), t["region_index"].pop()),
            "nothing to start from",
            '"Hills" has no price index',
        ),
        (
            {},
            lambda t: (t["overhead"].pop(), t["region_index"][1].update(year=2024)),
            "does not add up",
            "different years",
        ),
    ],
)
def test_a_site_without_a_ledger_needs_a_base_and_indexes_of_one_year(
    tmp_path: Path, settings: dict[str, Any], change: Callable[[Tables], None], kind: str, what: str
) -> None:
    """What stands in for a ledger must itself be there."""
    (problem,) = broken(tmp_path, change, **settings)
    assert (problem.kind, problem.sheet, problem.cell[1:]) == (kind, "Sites", "3")
    assert what in problem.what


def test_an_unknown_base_site_is_told_at_its_setting(tmp_path: Path) -> None:
    """It must be one of the sites."""
    assert places(broken(tmp_path, lambda tables: None, base_site="Nrth")) == [
        ("unknown name", "all.xlsx", "Practice", "B9")
    ]


def test_a_cell_that_can_not_be_read_is_told_once(tmp_path: Path) -> None:
    """Checks that depend on it stay silent: no sum, no order, no unit is complained of besides."""

    def change(tables: Tables) -> None:
        tables["alloys"][0]["gold"] = "N/C"
        tables["sites"][0]["weeks"] = "some"
        tables["invoice_lines"][0]["date"] = "soon"
        tables["metal_prices"][0]["unit"] = ""

    found = places(broken(tmp_path, change))
    assert [(kind, sheet) for kind, _, sheet, _ in found] == [
        ("not a number", "Sites"),
        ("not a number", "Alloys"),
        ("missing value", "Metal prices"),
        ("not a date", "Invoice lines"),
    ]


def test_all_problems_are_told_at_once(tmp_path: Path) -> None:
    """A bad cell, an unknown name and a sum that fails come in one list."""

    def change(tables: Tables) -> None:
        tables["sites"][0]["weeks"] = 99
        tables["alloys"][0]["gold"] = 0.5
        tables["plan_fees"][0]["code"] = "C-9"
        tables["metal_prices"][0]["date"] = date(1950, 1, 1)

    assert {problem.kind for problem in broken(tmp_path, change)} == {
        "out of range",
        "does not add up",
        "unknown name",
    }


def test_no_problem_quotes_the_words_of_an_invoice_line(tmp_path: Path) -> None:
    """A product's wording may hold a patient's name; it stays in its cell."""

    def change(tables: Tables) -> None:
        for line in tables["invoice_lines"]:
            line.update(
                product="crown for Jane Roe",
                teeth="99",
                weight_unit="oz",
                amount="N/C",
                weight=1,
                site="Nowhere",
            )

    problems = broken(tmp_path, change)
    assert len(problems) >= 12
    assert not any("Roe" in f"{problem}" for problem in problems)
