"""Last year's workbook beside the present schedule: figures of then, pay of then, and what came and went."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from opened_book import OpenedBook
from priced import price_rows, read_rows
from recalculated.engines import as_saved, by_formualizer, poisoned
from two_years import GONE, LAST_YEAR, NEW, as_then, this_year
from written_books import written

from feesheet.costing.roster import Roster
from feesheet.formula.model import Model
from feesheet.formula.numbers import Numbers
from feesheet.practice import Practice
from feesheet.pricing.review.last_year import Found, LastYear, ThenRow, roles_then, rows_then
from feesheet.pricing.review.then_book import add_then_book
from feesheet.pricing.review.then_book_facts import SHEET, WORKINGS
from feesheet.uses.annual_update import Priced, price
from feesheet.uses.sheet_audit import alike
from feesheet.writing.book import Schedule

UNIT_COSTS = {
    "then_lab_fee": "lab_fee",
    "then_alloy_g": "alloy_g",
    "then_alloy_price_per_g": "alloy_price_per_g",
    "then_supplies": "supplies",
    "then_people_cost": "people_cost",
    "then_chair_min": "chair_min",
    "then_overhead_rate": "overhead_per_chair_min",
    "then_remake_cost": "remake_cost",
    "then_unit_cost": "unit_cost",
}
"""Columns of then and the columns of the cost build-up that they are."""


def last_year_of(priced: Priced, months: int = 12) -> LastYear:
    """What a workbook of that pricing would be read as."""

    def rows(block: str, labels: tuple[str, ...], **columns: str) -> tuple[ThenRow, ...]:
        table = priced.model.blocks[block]
        figures = {
            name: (source.partition(".")[0], priced.numbers.of(*source.split(".")))
            for name, source in columns.items()
        }
        return tuple(
            ThenRow(
                tuple(table.labels(label)[row] for label in labels),
                {name: Found(float(of[row]), sheet, f"A{row + 8}") for name, (sheet, of) in figures.items()},
            )
            for row in range(table.rows)
        )

    costs = {name: f"costs.{name}" for name in UNIT_COSTS.values()}
    sold = {"year_units": "margins.year_units", "cash_now": "margins.cash_now"}
    room = {name: f"sites.{name}" for name in ("yearly_overhead", "usable_chair_min")}
    pay = {name: f"staff.{name}" for name in ("yearly_cost", "productive_hours")}
    return LastYear(
        "last.xlsx",
        "0" * 64,
        "Random practice",
        "KWD",
        date(2025, 6, 10),
        months,
        rows("costs", ("code", "site"), **costs, **sold),
        rows("sites", ("site",), **room),
        rows("staff", ("role", "site"), **pay),
        {"lab": Found(1200.0, "Invoice lines", "A8:A9"), "alloy": Found(600.0, "Invoice lines", "A8:A9")},
    )


@pytest.fixture(scope="module")
def then() -> Priced:
    """Last year's pricing."""
    return price_rows(LAST_YEAR)


@pytest.fixture(scope="module")
def practice() -> Practice:
    """This year's practice."""
    return read_rows(this_year())


def compared(practice: Practice, last_year: LastYear) -> tuple[Model, Roster, Numbers]:
    """This year's model with last year's workbook beside it."""
    priced = price(practice)[0]
    add_then_book(priced.model, practice, priced.who, last_year)
    return priced.model, priced.who, Numbers(priced.model)


@pytest.fixture(scope="module")
def both(practice: Practice, then: Priced) -> tuple[Model, Roster, Numbers]:
    """The same, for a review of twelve months."""
    return compared(practice, last_year_of(then))


def pairs(now: Roster, then: Roster) -> list[tuple[int, int]]:
    """Rows, counted from 0, of each item that is there in both years."""
    old = {key: row for row, key in enumerate(zip(then.items["code"], then.items["site"], strict=True))}
    new = zip(now.items["code"], now.items["site"], strict=True)
    return [(row, old[key]) for row, key in enumerate(new) if key in old]


def test_figures_of_then_are_those_of_the_first_pricing(
    both: tuple[Model, Roster, Numbers], then: Priced
) -> None:
    """Every cost of a unit, units and money a unit, for every item of both years; and they are not those of now."""
    _, who, numbers = both
    now, old = (list(rows) for rows in zip(*pairs(who, then.who), strict=True))
    sources = {name: ("costs", column) for name, column in UNIT_COSTS.items()}
    sources |= {"then_units": ("margins", "year_units"), "then_received": ("margins", "cash_now")}

    assert len(now) > 15
    for name, source in sources.items():
        found, first = numbers.of("then_items", name)[now], then.numbers.of(*source)[old]
        np.testing.assert_allclose(found, first, rtol=1e-9, atol=1e-9, err_msg=name)
    np.testing.assert_allclose(numbers.of("then_items", "then_other_cost"), 0, atol=1e-9)
    for changed in ("then_people_cost", "then_overhead_rate", "then_alloy_price_per_g", "then_lab_fee"):
        present = numbers.of("costs", UNIT_COSTS[changed])[now]
        assert np.abs(numbers.of("then_items", changed)[now] - present).max() > 0.001, changed


def test_an_item_that_is_new_has_the_costs_of_now_and_no_units(both: tuple[Model, Roster, Numbers]) -> None:
    """So that no cost of it has changed, and all of it is new."""
    _, who, numbers = both
    new = np.array(who.items["code"] == NEW)

    assert new.any()
    assert (numbers.of("then_items", "then_known") == 1 - new).all()
    for name, column in {**UNIT_COSTS, "people_at_then_pay": "people_cost"}.items():
        assert (numbers.of("then_items", name)[new] == numbers.of("costs", column)[new]).all(), name
    assert (numbers.of("then_items", "then_units")[new] == 0).all()
    assert (numbers.of("then_items", "then_received")[new] == 0).all()


def test_people_at_pay_of_then_are_the_practice_priced_with_that_pay(
    both: tuple[Model, Roster, Numbers],
) -> None:
    """The present minutes at last year's pay and hours: to 1e-9 what pricing with that pay gives; a new role keeps its pay."""
    _, who, numbers = both
    expected = price_rows(as_then(this_year())).numbers.of("costs", "people_cost")
    known = numbers.of("then_items", "then_known") == 1

    found = numbers.of("then_items", "people_at_then_pay")
    np.testing.assert_allclose(found[known], expected[known], rtol=1e-9)
    assert (found[known] < numbers.of("costs", "people_cost")[known]).any()
    assert len(who.items) == len(found)


def test_every_role_of_then_stands_with_its_pay_and_its_cell(both: tuple[Model, Roster, Numbers]) -> None:
    """Two figures a role, each with its place; the role that is new has none."""
    model, _, numbers = both
    pay = model.blocks["then_pay"]

    assert pay.labels("role") == [role["role"] for role in LAST_YEAR["staff"] for _ in range(2)]
    figures = [role[name] for role in LAST_YEAR["staff"] for name in ("yearly_cost", "productive_hours")]
    assert list(numbers.of("then_pay", "added")) == figures
    assert pay.labels("read_from")[0] == "last.xlsx: staff, A8"


def test_an_outside_engine_gives_the_same_figures(practice: Practice, then: Priced, tmp_path: Path) -> None:
    """The workbook with last year's figures and the twins, its stored values spoiled: every formula gives what was stored."""
    priced = price(practice)[0]
    add_then_book(priced.model, practice, priced.who, last_year_of(then))
    schedule = Schedule(practice, priced.model, Numbers(priced.model), priced.inputs, [])
    book = written(schedule, tmp_path / "book.xlsx")
    stored, opened = as_saved(book), OpenedBook(book)
    spoiled, _ = poisoned(book, tmp_path / "spoiled.xlsx")
    found = {
        place: value
        for place, value in by_formualizer(spoiled, opened).items()
        if place[0] in (SHEET, WORKINGS)
    }

    assert len(found) > 500
    wrong = {
        place: (value, stored.get(place))
        for place, value in found.items()
        if not alike(value, stored.get(place))
    }
    assert not wrong


def test_what_is_gone_stands_apart_and_counts_in_the_revenue(
    both: tuple[Model, Roster, Numbers], then: Priced
) -> None:
    """Each item that is no longer on the schedule, and the revenue of then is that of the first pricing, whole."""
    model, _, numbers = both
    gone = model.blocks["gone_items"]
    old = np.array(then.who.items["code"] == GONE)
    money = then.numbers.of("margins", "cash_now_year")
    cost = then.numbers.of("margins", "year_units") * then.numbers.of("costs", "unit_cost")

    assert set(gone.labels("code")) == {GONE} and gone.rows == old.sum() > 0
    np.testing.assert_allclose(numbers.of("gone_items", "received"), money[old], rtol=1e-9)
    np.testing.assert_allclose(numbers.of("gone_items", "cost"), cost[old], rtol=1e-9)
    assert money[old].sum() > 0
    np.testing.assert_allclose(numbers.of("then_totals", "crown_revenue_then"), money.sum(), rtol=1e-9)
    assert np.isnan(numbers.of("then_totals", "collections_then")).all()


def test_without_losses_there_is_no_table_of_what_is_gone(then: Priced) -> None:
    """The same schedule: nothing is gone, everything is known, and people cost what they cost."""
    model, _, numbers = compared(read_rows(LAST_YEAR), last_year_of(then))

    assert "gone_items" not in model.blocks
    assert (numbers.of("then_items", "then_known") == 1).all()
    found = numbers.of("then_items", "people_at_then_pay")
    np.testing.assert_allclose(found, numbers.of("costs", "people_cost"), rtol=1e-9)


def test_sites_are_those_of_then_and_a_new_site_has_the_figures_of_now(
    then: Priced, practice: Practice
) -> None:
    """Overhead and usable minutes of a year, as they were, at the sites of now."""
    last_year = last_year_of(then)
    one = replace(last_year, sites=last_year.sites[1:])
    _, _, numbers = compared(practice, one)

    for name, column in (
        ("then_yearly_overhead", "yearly_overhead"),
        ("then_usable_min", "usable_chair_min"),
    ):
        found = numbers.of("then_sites", name)
        assert found[0] == numbers.of("sites", column)[0]
        assert found[1] == then.numbers.of("sites", column)[1]
    assert numbers.of("sites", "yearly_overhead")[1] != then.numbers.of("sites", "yearly_overhead")[1]


def test_units_and_money_are_for_as_many_months_as_the_review(then: Priced, practice: Practice) -> None:
    """A review of six months: half of a year's units, and of a window of 24 months a quarter of its money."""
    half = replace(practice, settings={**practice.settings, "invoice_months": 6})
    _, _, whole = compared(practice, last_year_of(then))
    _, _, numbers = compared(half, last_year_of(then, months=24))

    np.testing.assert_allclose(
        numbers.of("then_items", "then_units"), whole.of("then_items", "then_units") / 2, rtol=1e-12
    )
    revenue = whole.of("then_totals", "crown_revenue_then")
    np.testing.assert_allclose(numbers.of("then_totals", "crown_revenue_then"), revenue / 2, rtol=1e-12)
    assert numbers.of("then_totals", "lab_spend_then")[0] == pytest.approx(300)
    assert numbers.of("then_totals", "alloy_spend_then")[0] == pytest.approx(150)
    assert (whole.of("then_totals", "lab_spend_then")[0], whole.of("then_totals", "alloy_spend_then")[0]) == (
        1200,
        600,
    )


def test_what_a_practice_s_own_parts_cost_is_left_over(then: Priced, practice: Practice) -> None:
    """A unit cost of then that is more than its built-in parts leaves the difference as other cost."""
    last_year = last_year_of(then)
    dearer = tuple(
        replace(
            row,
            figures={
                **row.figures,
                "unit_cost": replace(row.figures["unit_cost"], value=row.of("unit_cost") + 7),
            },
        )
        for row in last_year.items
    )
    _, _, numbers = compared(practice, replace(last_year, items=dearer))
    known = numbers.of("then_items", "then_known") == 1

    np.testing.assert_allclose(numbers.of("then_items", "then_other_cost")[known], 7, atol=1e-9)


def rows_of(*labels: tuple[str, ...]) -> tuple[ThenRow, ...]:
    """Rows with these labels and no figures."""
    return tuple(ThenRow(label, {}) for label in labels)


def test_names_are_compared_without_case_and_spaces() -> None:
    """Case, spaces and marks do not matter; brackets do where they tell two apart."""
    then = rows_of(("C-1", "North"), ("C-2 (a)", "North"), ("C-2 (b)", "North"), ("C-3 (old)", "North"))
    now = [(" c-1 ", "NORTH"), ("C 1", "South"), ("C-2 (b)", "north"), ("C-2", "North"), ("c_3", "North")]

    assert rows_then(now, then) == [1, 0, 3, 0, 4]


def test_a_site_without_pay_of_its_own_then_takes_that_of_all_sites() -> None:
    """As the costing rules do; a site's own pay of then is not everybody's."""
    then = rows_of(("dentist", "all"), ("dentist", "Hill"), ("assistant", "Hill"))
    now = [
        ("Dentist", "Hill"),
        ("dentist", "North"),
        ("dentist", "all"),
        ("assistant", "all"),
        ("assistant", "Hill"),
    ]

    assert roles_then(now, then) == [2, 1, 1, 0, 3]
