"""Chair minutes and overhead of a period: everything supplied is assigned, of other work, or unused on a line of its own."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from practices import random_practice
from priced import read_rows
from workbook.lint import lint

from feesheet.costing.roster import Roster
from feesheet.formula.model import Block, Model
from feesheet.formula.numbers import Numbers
from feesheet.formula.tree import Name
from feesheet.practice import Practice
from feesheet.pricing import checks, inputs
from feesheet.pricing.review.bridge import add_bridge, bridge_checks
from feesheet.pricing.review.capacity import OTHER_OR_IDLE, add_capacity
from feesheet.pricing.review.capacity_figures import OVER
from feesheet.uses.annual_update import price
from feesheet.writing.book import Schedule, layout_of, write_book

SEED, MONTHS = 5, 6


@dataclass
class Drawn:
    """A random practice priced, with what was earned made up."""

    practice: Practice
    who: Roster
    model: Model


def drawn(other_hours: list[float | None], units: float = 3.0) -> Drawn:
    """The practice with those hours of other work a year; every item has its units twice over, in two rows."""
    rows = random_practice(SEED, sites=2, materials=3, lines=60)
    for site, hours in zip(rows["sites"], other_hours, strict=True):
        site["other_chair_hours"] = hours
    practice = read_rows(rows)
    priced = price(practice)[0]
    count = len(priced.who.items)
    block = priced.model.add(
        Block("earned", "Earned", "What each crown earned", 2 * count, label=("code", "site", "payer"))
    )
    for column in ("code", "site"):
        block.given(column, column.capitalize(), list(priced.who.items[column]) * 2)
    block.given("payer", "Payer", ["full fee"] * count + ["a plan"] * count)
    numbers = [*range(1, count + 1)] * 2
    block.counter("item_no", "Item no.", numbers, "Row in the cost build-up.")
    block.given("units", "Units", [units + at % 4 for at in range(count)] * 2, "units")
    block.given("received", "Received", [900.0 + at for at in range(2 * count)], "money")
    for name, heading, unit in (
        ("unit_cost", "Unit cost", "money"),
        ("chair_min", "Chair minutes", "minutes"),
        ("site_no", "Site no.", "whole"),
    ):
        block.fetch(name, heading, unit, f"costs.{name}", "item_no")
    block.tree("left", "Left", "money", Name("received") - Name("units") * Name("unit_cost"), "What is left.")
    hours = Name("units") * Name("chair_min") / Name("minutes_per_hour")
    block.tree("chair_hours", "Chair hours", "number", hours, "Hours of chairs.")
    return Drawn(practice, priced.who, priced.model)


def with_then(case: Drawn, dearer: float = 0.9) -> Drawn:
    """The same with figures of then: half the units, every cost by a factor, and other capacity."""
    model, who = case.model, case.who
    numbers, count = Numbers(model), len(who.items)
    was = {
        name: np.asarray(numbers.of("costs", name), dtype=float)
        for name in (
            "lab_fee",
            "alloy_g",
            "alloy_price_per_g",
            "supplies",
            "people_cost",
            "chair_min",
            "remake_cost",
        )
    }
    sites = {name: np.asarray(numbers.of("sites", name)) for name in ("yearly_overhead", "usable_chair_min")}
    block = model.add(
        Block("then_items", "Changes by item", "Then", count, aligned="items", label=("code", "site"))
    )
    block.given("code", "Code", list(who.items["code"]), "code")
    block.given("site", "Site", list(who.items["site"]))
    block.counter("then_known", "There then", [1] * count, "1 if it was there.")
    block.given("then_units", "Units then", [2.0 + at % 3 for at in range(count)], "units")
    block.given("then_received", "Received a unit then", [310.0 + at for at in range(count)], "money")
    for name, values in was.items():
        block.given(f"then_{name}", f"{name} then", list(values * dearer), "money")
    site_no = np.asarray(numbers.of("costs", "site_no"), dtype=int) - 1
    rates = dearer * sites["yearly_overhead"] / (1.1 * sites["usable_chair_min"])
    block.given("then_overhead_rate", "Overhead rate then", list(rates[site_no]), "money_per_min")
    block.given("then_other_cost", "Other costs then", [0.0] * count, "money")
    alloy = was["alloy_g"] * was["alloy_price_per_g"] * dearer**2
    parts = dearer * (was["lab_fee"] + was["supplies"] + was["people_cost"] + was["remake_cost"]) + alloy
    unit_cost = parts + dearer * was["chair_min"] * rates[site_no]
    block.given("then_unit_cost", "Unit cost then", list(unit_cost), "money")
    block.given("people_at_then_pay", "People at then's pay", list(was["people_cost"] * 0.95), "money")
    then = model.add(Block("then_sites", "Overhead then", "Sites then", len(who.sites), label=("site",)))
    then.given("site", "Site", list(who.sites))
    then.given("then_yearly_overhead", "Overhead then", list(sites["yearly_overhead"] * dearer), "money")
    then.given("then_usable_min", "Minutes then", list(sites["usable_chair_min"] * 1.1), "number")
    return case


def column(model: Model, block: str, name: str) -> Any:
    """The figures of one column."""
    return np.asarray(Numbers(model).of(block, name))


def test_everything_supplied_is_somewhere() -> None:
    """By site, minutes and overhead of this work, of other work and unused add up to the period's share of a year's."""
    case = drawn([300.0, 0.0])
    add_capacity(case.model, case.practice, case.who, MONTHS)
    usable, overhead = (column(case.model, "sites", name) for name in ("usable_chair_min", "yearly_overhead"))
    minutes = sum(
        column(case.model, "capacity", name) for name in ("minutes_used", "other_min", "unused_min")
    )
    money = sum(column(case.model, "capacity", name) for name in ("assigned", "other_cost", "unused_cost"))
    assert minutes == pytest.approx(usable / 2)
    assert money == pytest.approx(overhead / 2)
    assert column(case.model, "capacity", "other_min") == pytest.approx([300 * 60 / 2, 0])


def test_what_is_used_is_what_the_unit_costs_carry() -> None:
    """Minutes of visits and of remakes, worked out apart item by item, times the rate: the overhead in all units' costs."""
    case = drawn([None, None])
    add_capacity(case.model, case.practice, case.who, MONTHS)
    costs = {
        name: column(case.model, "costs", name) for name in ("chair_min", "remake_odds", "repeated_chair_min")
    }
    units = np.array([2 * (3.0 + at % 4) for at in range(len(case.who.items))])
    minutes = units * (costs["chair_min"] + costs["remake_odds"] * costs["repeated_chair_min"])
    rates = column(case.model, "costs", "overhead_per_chair_min")
    site_no = column(case.model, "costs", "site_no")
    for site in (1, 2):
        here = site_no == site
        assert column(case.model, "capacity", "minutes_used")[site - 1] == pytest.approx(minutes[here].sum())
        assert column(case.model, "capacity", "assigned")[site - 1] == pytest.approx(
            (minutes * rates)[here].sum()
        )
    assert costs["remake_odds"].max() > 0 and costs["repeated_chair_min"].max() > 0


@pytest.mark.parametrize(("hours", "named"), [([10.0, 0.0], "idle chairs"), ([10.0, None], OTHER_OR_IDLE)])
def test_the_rest_is_named_for_what_is_known(hours: list[float | None], named: str) -> None:
    """Where a site's hours of other work are not typed, the rest is not called idle."""
    case = drawn(hours)
    add_capacity(case.model, case.practice, case.who, MONTHS)
    block = case.model.blocks["capacity"]
    assert block.columns["unused_cost"].heading == f"Cost of {named}"
    assert named in block.note and named in case.model.blocks["left_after_idle"].title
    assert block.labels("rest")[1] == named
    assert block.labels("other_from")[0] != "not typed"


def test_more_used_than_supplied_is_said() -> None:
    """Such a site's unused minutes are negative, and its row says that the capacity is set too low."""
    case = drawn([None, None], units=90_000.0)
    add_capacity(case.model, case.practice, case.who, MONTHS)
    assert (column(case.model, "capacity", "unused_min") < 0).all()
    assert list(column(case.model, "capacity", "remark")) == [OVER, OVER]
    few = drawn([None, 5.0], units=0.0)
    add_capacity(few.model, few.practice, few.who, MONTHS)
    assert list(column(few.model, "capacity", "remark")) == [
        f"Unused: {OTHER_OR_IDLE}.",
        "Unused: idle chairs.",
    ]


def test_left_after_idle_without_a_comparison() -> None:
    """Left of the items less what unused minutes cost, for now alone."""
    case = drawn([None, None])
    add_capacity(case.model, case.practice, case.who, MONTHS)
    left, idle, after = column(case.model, "left_after_idle", "line_now")
    assert left == pytest.approx(column(case.model, "earned", "left").sum())
    assert idle == pytest.approx(-column(case.model, "capacity", "unused_cost").sum())
    assert after == pytest.approx(left + idle)
    assert "line_then" not in case.model.blocks["left_after_idle"].columns


def test_capacity_then_and_its_change() -> None:
    """Then's minutes are then's units at then's minutes; the change of the unused cost stands below the items' change."""
    case = with_then(drawn([120.0, 60.0]))
    model = case.model
    add_capacity(model, case.practice, case.who, MONTHS)
    add_bridge(model, case.who)
    site_no = column(model, "costs", "site_no")
    units, minutes = (column(model, "then_items", name) for name in ("then_units", "then_chair_min"))
    again = units * column(model, "costs", "remake_odds") * column(model, "costs", "repeated_chair_min")
    used = np.array([(units * minutes + again)[site_no == site].sum() for site in (1, 2)])
    supplied = column(model, "then_sites", "then_usable_min") / 2
    other = column(model, "capacity", "other_min")
    unused = supplied - used - other
    rate = column(model, "then_sites", "then_yearly_overhead") / column(
        model, "then_sites", "then_usable_min"
    )
    assert column(model, "capacity_then", "unused_min") == pytest.approx(unused)
    assert column(model, "capacity_then", "unused_cost") == pytest.approx(unused * rate)
    then, now, change = (column(model, "left_after_idle", f) for f in ("line_then", "line_now", "change_of"))
    assert then[1] == pytest.approx(-(unused * rate).sum())
    assert change == pytest.approx(now - then)
    assert then[0] == pytest.approx(
        (
            units
            * (column(model, "then_items", "then_received") - column(model, "then_items", "then_unit_cost"))
        ).sum()
    )


def test_remakes_then_are_thens_own_where_known() -> None:
    """Where the model has the cost build-up of then, its remakes count; else now's, and the note says so."""
    known, unknown = with_then(drawn([None, None])), with_then(drawn([None, None]))
    twin = known.model.add(Block("then_costs", "Then", "Then", len(known.who.items)))
    twin.given("remake_odds", "Odds", [0.5] * twin.rows, "number")
    for case in (known, unknown):
        add_capacity(case.model, case.practice, case.who, MONTHS)
    again = (
        column(known.model, "then_items", "then_units")
        * 0.5
        * column(known.model, "costs", "repeated_chair_min")
    )
    assert column(known.model, "capacity_then", "again_min").sum() == pytest.approx(again.sum())
    assert "at now's rate" in unknown.model.blocks["capacity_then"].note
    assert "at now's rate" not in known.model.blocks["capacity_then"].note


def finished(case: Drawn) -> Schedule:
    """The workbook's model with its checks and inputs."""
    model = case.model
    model.blocks["checks"] = checks.checks_block(model, bridge_checks(model))
    typed = inputs.input_rows(model)
    inputs.add_inputs(model, typed)
    return Schedule(case.practice, model, Numbers(model), typed, [])


@pytest.fixture(scope="module")
def compared() -> Schedule:
    """A review with a comparison."""
    case = with_then(drawn([120.0, None]))
    add_capacity(case.model, case.practice, case.who, MONTHS)
    add_bridge(case.model, case.who)
    return finished(case)


def test_every_check_passes(compared: Schedule) -> None:
    """Sums by item, by material and by site agree to half a coin, and a broken sum is found."""
    assert set(compared.numbers.of("checks", "result")) == {"pass"}
    model = replace(compared.model, blocks=dict(compared.model.blocks))
    broken = replace(model.blocks["then_items"], columns=dict(model.blocks["then_items"].columns))
    cost = broken.columns["then_unit_cost"]
    values = [1.0 + one for one in cost.values or ()]
    broken.columns["then_unit_cost"] = replace(cost, values=values)
    model.blocks["then_items"] = broken
    failed = np.asarray(Numbers(model).of("checks", "result")) == "FAIL"
    said = np.array(model.blocks["checks"].labels("check"))[failed]
    assert "Items whose steps add up to their change" in said


def test_the_workbook_breaks_no_rule(compared: Schedule, tmp_path: Path) -> None:
    """Short plain formulas, one a column, left to right, and an outside engine finds every figure."""
    path = tmp_path / "book.xlsx"
    write_book(path, compared)
    found = lint(path, compared.model, layout_of(compared))
    assert [one for one in found if one.sheet in ("Why it changed", "Changes by item", "Capacity", "")] == []
