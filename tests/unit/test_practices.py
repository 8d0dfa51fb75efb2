"""Random practices hold what their tables allow, agree with themselves, and repeat for the same seed."""

from datetime import date
from pathlib import Path

import openpyxl
import pytest
from practices import random_practice, write_practice

from feesheet import reference
from feesheet.schema import NUMERIC_KINDS, Field
from feesheet.tables import TABLES

SEEDS = range(20)


@pytest.mark.parametrize("seed", SEEDS)
def test_every_value_is_allowed(seed: int) -> None:
    """No random value is outside the limits and choices of its column, and no required one is missing."""
    rows = random_practice(seed, sites=1 + seed % 3, lines=20 * (seed % 5), plans=seed % 4)
    wrong = [
        (name, field.name, row[field.name])
        for name, table in TABLES.items()
        for row in rows.get(name, [])
        for field in table.fields
        if not _is_allowed(field, row[field.name])
    ]
    assert wrong == []
    assert len(rows["invoice_lines"]) in (0, 20 * (seed % 5))


@pytest.mark.parametrize("seed", SEEDS)
def test_tables_agree(seed: int) -> None:
    """Rows are told apart by their keys, names exist, and fractions add up."""
    rows = random_practice(seed)
    for name, table in TABLES.items():
        keys = [tuple(row[part] for part in table.key) for row in rows.get(name, []) if table.key]
        assert len(keys) == len(set(keys)), name
    assert sum(plan["plan_share"] for plan in rows["plans"]) <= 1 + 1e-12
    metals = [field.name for field in TABLES["alloys"].fields if field.kind == "fraction"]
    assert all(sum(alloy[metal] or 0 for metal in metals) == pytest.approx(1) for alloy in rows["alloys"])
    materials = {row["material"] for row in rows["materials"]}
    assert {row["material"] for row in rows["fees"]} - {""} == materials
    assert {row["lab"] for row in rows["invoice_lines"]} <= {row["lab"] for row in rows["labs"]}
    alloys = {row["alloy"] for row in rows["alloys"]}
    assert {row["alloy"] for row in rows["materials"]} - {"", None} <= alloys


def test_seeds_vary() -> None:
    """Sixty seeds show every kind of practice that a cost or fee has to stand."""
    drawn = [random_practice(seed) for seed in range(60)]
    seen = {
        "no alloys": any(not rows["alloys"] for rows in drawn),
        "a mill": any(rows["milling"] for rows in drawn),
        "a site without a ledger": any(rows["region_index"] for rows in drawn),
        "no minor unit": any(rows["practice"][0]["currency"] in ("JPY", "ISK") for rows in drawn),
        "three minor digits": any(rows["practice"][0]["currency"] == "KWD" for rows in drawn),
        "no full fee": any(_shares(rows) == pytest.approx(1) for rows in drawn),
        "no lines": any(not rows["invoice_lines"] for rows in drawn),
        "fees without plans": any(rows["practice"][0]["margin_basis"] == "full fee" for rows in drawn),
        "all-in labs": any(lab["alloy_billing"] == "all-in" for rows in drawn for lab in rows["labs"]),
        "a role of one site": any(role["site"] for rows in drawn for role in rows["staff"]),
        "steps of a region": any(step["tooth_region"] for rows in drawn for step in rows["chair_time"]),
    }
    lines = [line for rows in drawn for line in rows["invoice_lines"]]
    assert [what for what, is_seen in seen.items() if not is_seen] == []
    assert {line["weight_unit"] for line in lines} == {None, "g", "dwt", "troy ounce"}
    assert {"Something new", "Night guard"} <= {line["product"] for line in lines}
    assert any("-" in (line["teeth"] or "") for line in lines)
    assert {line["kind"] for line in lines} == {kind for kind, _, _ in reference.line_kinds().values()}


def _shares(rows: dict[str, list[dict]]) -> float:
    return sum(plan["plan_share"] for plan in rows["plans"])


def test_the_same_seed_is_the_same_practice() -> None:
    """A test that fails on a seed can be run again."""
    assert random_practice(7) == random_practice(7)
    assert random_practice(7) != random_practice(8)


def test_a_practice_is_written_in_the_template_layout(tmp_path: Path) -> None:
    """One workbook a template, one sheet a table that has rows."""
    rows = random_practice(3)
    write_practice(rows, tmp_path)
    sheets = {sheet for path in tmp_path.iterdir() for sheet in openpyxl.load_workbook(path).sheetnames}
    assert sheets == {TABLES[name].sheet for name, of_table in rows.items() if of_table}


def _is_allowed(field: Field, value: object) -> bool:
    if value in (None, ""):
        return not field.required
    if field.kind in NUMERIC_KINDS:
        low = float("-inf") if field.low is None else field.low
        high = float("inf") if field.high is None else field.high
        return isinstance(value, int | float) and low <= value <= high
    if field.kind == "date":
        return isinstance(value, date)
    if field.kind == "yes_no":
        return value in ("yes", "no")
    return isinstance(value, str) and (not field.choices or value in field.choices)
