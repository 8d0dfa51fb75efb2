"""The comparison period's figures, worked out in the period's own model, are those of the practice priced as of that period."""

from __future__ import annotations

import random
from datetime import date, timedelta
from functools import cache
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from opened_book import OpenedBook
from practices import random_practice
from priced import read_rows
from recalculated.engines import by_formualizer, poisoned
from recalculated.expected import differing, expected
from workbook.lint import lint
from written_books import EXAMPLE, written

from feesheet.formula.model import Block
from feesheet.formula.numbers import Numbers
from feesheet.practice import Practice
from feesheet.pricing.review.period import Period, as_of
from feesheet.pricing.review.then_items import (
    SHEET,
    WORKINGS,
    collections_block,
    then_items_block,
    then_sites_block,
    then_totals_block,
)
from feesheet.pricing.review.then_period import add_then
from feesheet.reading.folder import read_folder
from feesheet.uses.annual_update import Priced, price
from feesheet.writing.book import Schedule, layout_of

CLOSE = 1e-9
SHEETS = (WORKINGS, SHEET)

MUST_HAVE = {
    "lines": ("used_amount", "units_counted", "units_remade"),
    "lab_fees": ("n", "money", "blended_lab_fee"),
    "costs": (
        *("lab_fee", "alloy_g", "alloy_price_per_g", "supplies", "people_cost", "chair_min"),
        *("overhead_per_chair_min", "remake_cost", "variable_cost", "unit_cost"),
    ),
}


def both(practice: Practice, now: Period, then: Period) -> tuple[Priced, Priced]:
    """The practice priced as of now with the twins of then, and priced as of then."""
    restated = as_of(practice, now)
    priced, _ = price(restated)
    add_then(priced.model, restated, priced.who, priced.parts, then)
    return priced, price(as_of(practice, then))[0]


def moved(priced: Priced, apart: Priced) -> int:
    """Hold every figure of every twin against the model of then; gives the number of items whose unit cost is not that of now."""
    figures = Numbers(priced.model)
    for name, column in ((block, column) for block, columns in MUST_HAVE.items() for column in columns):
        assert column in priced.model.blocks[f"then_{name}"].columns
    for name, block in priced.model.blocks.items():
        base = apart.model.blocks.get(name.removeprefix("then_"))
        if not name.startswith("then_") or base is None:
            continue
        assert (block.sheet, block.rows) == (WORKINGS, base.rows), name
        for column in block.columns:
            if column in base.columns and column not in base.label and not column.endswith("_no"):
                found = np.asarray(figures.of(name, column), dtype=float)
                wanted = np.asarray(apart.numbers.of(base.name, column), dtype=float)
                np.testing.assert_allclose(found, wanted, CLOSE, CLOSE, err_msg=f"{name}.{column}")
    found, before = (figures.of(name, "unit_cost") for name in ("then_costs", "costs"))
    return int((np.abs(found - before) > CLOSE).sum())


@cache
def example() -> Practice:
    """The example practice as read."""
    return read_folder(EXAMPLE)[0]


NOW = Period(date(2026, 10, 31), 6)


def test_the_example_six_months_before() -> None:
    """Half a year against the half before: every figure of then is that of the practice priced then, and most unit costs moved."""
    priced, apart = both(example(), NOW, NOW.before)
    assert moved(priced, apart) > 100
    assert priced.model.blocks["then_invoices"].rows != priced.model.blocks["invoices"].rows
    assert priced.model.blocks["then_all_in"].rows != priced.model.blocks["all_in"].rows


@pytest.mark.parametrize(
    "then",
    [Period(date(2026, 4, 15), 3), Period(date(2025, 10, 31), 6), NOW, Period(date(2023, 1, 31), 6)],
    ids=["other length", "no invoices", "the same", "before any quote"],
)
def test_other_periods_of_the_example(then: Period) -> None:
    """A comparison of another length, without invoices or without any metal quote is worked out alike; the same period moves nothing."""
    priced, apart = both(example(), NOW, then)
    assert (moved(priced, apart) == 0) == (then == NOW)
    figures = Numbers(priced.model)
    if then.last.year == 2023:
        assert not figures.of("then_costs", "alloy_price_per_g").any(), (
            "a metal without a quote counts nought"
        )


@pytest.mark.parametrize("seed", range(10))
def test_random_practices(seed: int) -> None:
    """Drawn practices, drawn periods: the figures of then are those of the practice priced then."""
    rng = random.Random(f"then {seed}")
    practice = read_rows(random_practice(seed, sites=rng.randint(1, 3), lines=rng.choice((60, 120))))
    now = Period(practice.day("pricing_date"), rng.choice((3, 6, 6, 12)))
    then = rng.choice((now.before, now.before, Period(now.last - timedelta(days=rng.randint(20, 400)), 6)))
    moved(*both(practice, now, then))


def test_a_credit_that_came_later_pays_nothing_back_then() -> None:
    """A credit of now for a charged remake of then stands among the lines of then as nothing: its invoice is outside the window."""
    practice = example()
    priced, _ = both(practice, NOW, NOW.before)
    used, dates = Numbers(priced.model).of("then_lines", "used_amount"), priced.parts["date"]
    late = (dates > pd.Timestamp(NOW.before.last)).to_numpy()
    assert late.any() and not used[late].any()
    assert used[~late].any()


def earned(priced: Priced) -> Block:
    """A small table of what was earned, two rows an item: 3 and 1 units at 100 and 50 more with each item; the first item none."""
    items = len(priced.who.items)
    numbers = np.repeat(np.arange(1, items + 1), 2)
    block = Block("earned", "Earned", "Earned", items * 2)
    block.counter("item_no", "Item no.", numbers, "Row in the cost build-up.")
    materials = np.asarray(priced.model.blocks["costs"].columns["material_no"].values)
    block.counter("material_no", "Material no.", np.repeat(materials, 2), "Row in the materials; 0: none.")
    there = np.repeat(np.arange(items) > 0, 2)
    units = np.where(there, np.tile([3.0, 1.0], items), 0.0)
    block.given("units_then", "Units then", units, "units")
    block.given("received_then", "Received then", units * (100 + 50 * (numbers - 1)), "money")
    return block


def with_items(practice: Practice, then: Period) -> tuple[Priced, Numbers]:
    """The example with the comparison period's items, sites and totals."""
    priced, _ = price(as_of(practice, NOW))
    add_then(priced.model, as_of(practice, NOW), priced.who, priced.parts, then)
    priced.model.add(earned(priced))
    for block in (
        then_items_block(priced.model, priced.who),
        then_sites_block(priced.model, priced.who),
        then_totals_block(priced.model),
    ):
        priced.model.add(block)
    return priced, Numbers(priced.model)


def test_each_item_then() -> None:
    """Units and money of then come from what was earned, costs from the twins; an item without units then has the costs of now."""
    priced, figures = with_items(example(), NOW.before)
    of = {name: figures.of("then_items", name) for name in priced.model.blocks["then_items"].columns}
    assert list(of["then_units"][:3]) == [0, 4, 4]
    assert list(of["then_received"][:3]) == pytest.approx([0, 150, 200])
    assert list(of["then_known"][:2]) == [0, 1] and of["then_known"].sum() == len(priced.who.items) - 1
    for column, source in (
        ("then_lab_fee", "lab_fee"),
        ("then_overhead_rate", "overhead_per_chair_min"),
        ("then_remake_cost", "remake_cost"),
        ("then_unit_cost", "unit_cost"),
    ):
        was, now = figures.of("then_costs", source), figures.of("costs", source)
        assert (of[column][1:] == was[1:]).all() and of[column][0] == now[0]
    assert figures.of("then_costs", "unit_cost")[0] != figures.of("costs", "unit_cost")[0]
    assert (of["people_at_then_pay"] == figures.of("costs", "people_cost")).all()
    assert not of["then_other_cost"].any()
    parts = of["then_lab_fee"] + of["then_alloy_g"] * of["then_alloy_price_per_g"] + of["then_supplies"]
    parts = parts + of["then_people_cost"] + of["then_chair_min"] * of["then_overhead_rate"]
    assert parts + of["then_remake_cost"] + of["then_other_cost"] == pytest.approx(of["then_unit_cost"])


def test_sites_and_totals_then() -> None:
    """Overhead and chairs are those of now; spends are the lines' money by use; crowns' money leaves other items out."""
    priced, figures = with_items(example(), NOW.before)
    for column, source in (
        ("then_yearly_overhead", "yearly_overhead"),
        ("then_usable_min", "usable_chair_min"),
    ):
        assert (figures.of("then_sites", column) == figures.of("sites", source)).all()
    apart, _ = price(as_of(example(), NOW.before))
    used, use = apart.numbers.of("lines", "used_amount"), apart.parts["use"]
    found = {name: figures.of("then_totals", name)[0] for name in ("lab_spend_then", "alloy_spend_then")}
    alloy = used[(use == "alloy").to_numpy()].sum()
    assert found["alloy_spend_then"] == pytest.approx(alloy, rel=CLOSE) and alloy > 0
    assert found["lab_spend_then"] == pytest.approx(used.sum() - alloy, rel=CLOSE)
    block = priced.model.blocks["earned"]
    money, materials = (np.asarray(block.columns[name].values) for name in ("received_then", "material_no"))
    revenue = figures.of("then_totals", "crown_revenue_then")[0]
    assert revenue == pytest.approx(money[materials > 0].sum()) and revenue < money.sum()
    table = example().tables["collections"]
    money = table.loc[NOW.before.holds(table["month_end"]), "collected_money"].sum()
    assert figures.of("then_totals", "collections_then")[0] == pytest.approx(money) and money > 0
    unknown = with_items(example(), Period(date(2023, 1, 31), 6))[1]
    assert np.isnan(unknown.of("then_totals", "collections_then")[0])


def test_collections_then() -> None:
    """A month's collections are of the period that the month's last day is in, whatever day of the month was typed."""
    rows = random_practice(3)
    last = Period(rows["practice"][0]["pricing_date"].replace(day=1) - timedelta(days=1), 2)
    site = rows["sites"][0]["site"]
    rows["collections"] = [
        {"month_end": day, "site": site, "collected_money": money}
        for day, money in (
            (last.last.replace(day=1), 100.0),
            (last.first, 20.0),
            (last.last + timedelta(days=1), 3.0),
            (last.first - timedelta(days=1), 4.0),
        )
    ]
    block = collections_block(read_rows(rows), last, "then")
    assert sorted(block.columns["collected_then"].values) == [20.0, 100.0]
    assert all("collections" in words.lower() for words in block.labels("read_from"))


def test_collections_of_a_month_that_a_period_cuts() -> None:
    """From the 16th to the 15th: the month that has begun is of the next period, the one that ends in it is of this, whatever day is typed."""
    rows = random_practice(3)
    site = rows["sites"][0]["site"]
    rows["collections"] = [
        {"month_end": day, "site": site, "collected_money": money}
        for day, money in ((date(2026, 4, 1), 5.0), (date(2026, 3, 1), 70.0), (date(2026, 2, 1), 600.0))
    ]
    block = collections_block(read_rows(rows), Period(date(2026, 4, 15), 1), "then")
    assert list(block.columns["collected_then"].values) == [70.0]


def test_the_workbook_worked_out_again(tmp_path: Path) -> None:
    """The example's workbook with the twins: no rule of good models is broken on their sheets, and another engine finds every figure."""
    priced, figures = with_items(example(), NOW.before)
    schedule = Schedule(as_of(example(), NOW), priced.model, figures, priced.inputs, [])
    book = written(schedule, tmp_path / "book.xlsx")
    broken = lint(book, priced.model, layout_of(schedule))
    assert not [found for found in broken if any(sheet in str(found) for sheet in SHEETS)]
    opened = OpenedBook(book)
    spoiled, _ = poisoned(book, tmp_path / "spoiled.xlsx")
    found = by_formualizer(spoiled, opened)
    ours = {place: value for place, value in expected(schedule, opened).items() if place[0] in SHEETS}
    assert len(ours) > 10000
    assert not differing(ours, found)


@pytest.mark.parametrize("seed", [4, 8])
def test_small_workbooks_worked_out_again(seed: int, tmp_path: Path) -> None:
    """The same of drawn practices, without alloy lines or invoices too."""
    practice = read_rows(random_practice(seed, sites=1, materials=3, lines=40, plans=1))
    now = Period(practice.day("pricing_date"), 6)
    restated = as_of(practice, now)
    priced, _ = price(restated)
    add_then(priced.model, restated, priced.who, priced.parts, now.before)
    schedule = Schedule(restated, priced.model, Numbers(priced.model), priced.inputs, [])
    book = written(schedule, tmp_path / "book.xlsx")
    opened = OpenedBook(book)
    spoiled, _ = poisoned(book, tmp_path / "spoiled.xlsx")
    assert not differing(expected(schedule, opened), by_formualizer(spoiled, opened))
