"""What must hold of the fees of any practice, tried on random ones."""

from __future__ import annotations

import math
import random
import tempfile
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from items import Items, items_of
from practice_draw import CURRENCIES
from practices import random_practice
from priced import Rows, price_rows

from feesheet.formula.model import Model
from feesheet.formula.numbers import Numbers
from feesheet.reading.folder import read_folder
from feesheet.tables import TABLES
from feesheet.uses.annual_update import Priced, price
from feesheet.writing.blank import write_workbook

SEEDS = range(100, 120)
ORDERED = frozenset({"lab_prices", "practice"})
"""Tables whose order says something: the first lab listed, and the one row of settings."""
RATIOS = frozenset(
    {
        "n",
        "Z",
        "alloy_n",
        "alloy_Z",
        "alloy_g",
        "alloy_own_mean_g",
        "starting_g",
        "alloy_premium",
        "chair_min",
        "remake_rate",
        "margin",
        "markup",
    }
)
"""Figures that are no amounts of money."""


@cache
def drawn(seed: int) -> tuple[Rows, Priced]:
    """A random practice and its prices."""
    rows = random_practice(seed, sites=1 + seed % 3, lines=40, plans=seed % 3)
    return rows, price_rows(rows)


def changed(priced: Priced, block: str, column: str, change: Callable[[np.ndarray], np.ndarray]) -> Numbers:
    """The figures of the same practice with another given column."""
    home = priced.model.blocks[block]
    values = list(change(np.asarray(home.columns[column].values, dtype=float)))
    other = replace(home, columns={**home.columns, column: replace(home.columns[column], values=values)})
    return Numbers(Model(priced.model.settings, {**priced.model.blocks, block: other}))


def dearer_metal(priced: Priced, *metals: str) -> Numbers:
    """The figures with those metals half as dear again on the pricing date; all of them if none is named."""
    held = list(priced.model.blocks["metals"].columns["metal"].values or ())
    factors = np.array([1.5 if not metals or metal in metals else 1.0 for metal in held])
    return changed(priced, "metals", "price", lambda price: price * factors)


def never_less(now: np.ndarray, before: np.ndarray) -> bool:
    """Whether no figure fell, but for the blur of floats."""
    return bool((now >= before - 1e-9 * np.maximum(1, np.abs(before))).all())


@pytest.mark.parametrize("seed", SEEDS)
def test_dearer_gold_lowers_no_fee(seed: int) -> None:
    """Costs and needed fees don't fall with dearer gold, nor new fees, unless the rules then contradict each other."""
    _, priced = drawn(seed)
    before, now = priced.numbers, dearer_metal(priced, "gold")
    assert never_less(now.of("costs", "unit_cost"), before.of("costs", "unit_cost"))
    assert never_less(now.of("plan_items", "needed_fee"), before.of("plan_items", "needed_fee"))
    free = now.of("fee_rules", "kept") == before.of("fee_rules", "kept")
    if (now.of("fee_rules", "held_at_first") == before.of("fee_rules", "held_at_first")).all():
        assert never_less(now.of("fee_rules", "new_fee")[free], before.of("fee_rules", "new_fee")[free])


@pytest.mark.parametrize("seed", SEEDS)
def test_without_metal_no_move(seed: int) -> None:
    """What an item without an alloy costs does not hang on metal prices, nor, without ladders, does its fee."""
    rows, priced = drawn(seed)
    before, now = priced.numbers, dearer_metal(priced)
    alloys = np.append(before.of("pools", "alloy_no"), 0)[before.of("costs", "pool_no").astype(int) - 1]
    plain = alloys == 0
    fees = [] if any(rule["rule"] == "ladder" for rule in rows["rules"]) else [("fee_rules", "new_fee")]
    for block, column in (("costs", "unit_cost"), ("plan_items", "needed_fee"), *fees):
        assert (now.of(block, column)[plain] == before.of(block, column)[plain]).all()
    assert plain.any()


@pytest.mark.parametrize("seed", SEEDS)
def test_dearer_places_cost_no_less(seed: int) -> None:
    """More overhead in a ledger, or a dearer region, makes no item cheaper; a ledger of one's own ignores the region."""
    _, priced = drawn(seed)
    before = priced.numbers.of("costs", "unit_cost")
    more = changed(priced, "ledger", "amount", lambda amounts: amounts + 1000.0)
    assert never_less(more.of("costs", "unit_cost"), before)
    own = priced.numbers.of("sites", "has_ledger")
    dearer = changed(priced, "sites", "price_index", lambda index: np.where(own == 1, index, index * 1.2))
    moved = dearer.of("costs", "unit_cost") > before
    assert never_less(dearer.of("costs", "unit_cost"), before)
    assert not moved[own[priced.numbers.of("costs", "site_no").astype(int) - 1] == 1].any()


@pytest.mark.parametrize("seed", SEEDS)
def test_no_fee_under_its_floor(seed: int) -> None:
    """Wherever a floor stands among the rules, a fee is at least the cost, unless it is kept."""
    rows, priced = drawn(seed)
    if any(rule["rule"] == "floor" and not rule["applies_to"] for rule in rows["rules"]):
        free = priced.numbers.of("fee_rules", "kept") == 0
        assert never_less(
            priced.numbers.of("fee_rules", "new_fee")[free], priced.numbers.of("costs", "unit_cost")[free]
        )


def test_floors_are_tried() -> None:
    """Among these practices some rounded fee stands at its floor, and some fee is free."""
    at_floor, free = False, False
    for seed in SEEDS:
        rules = drawn(seed)[1].numbers
        free = free or bool((rules.of("fee_rules", "kept") == 0).any())
        at_floor = at_floor or any("floor" in str(reason) for reason in rules.of("fee_rules", "reason"))
    assert at_floor and free


@pytest.mark.parametrize("seed", SEEDS)
def test_order_does_not_matter(seed: int) -> None:
    """Rows in another order, in other files under other names, give the same figures."""
    rows, priced = drawn(seed)
    rng = random.Random(seed)
    mixed = {
        name: table if name in ORDERED else rng.sample(table, len(table)) for name, table in rows.items()
    }
    with tempfile.TemporaryDirectory() as folder:
        _write_apart(mixed, Path(folder), rng)
        again = price(read_folder(Path(folder))[0])[0]
    assert _differences(items_of(again), items_of(priced), 1.0) == []


def _write_apart(rows: Rows, folder: Path, rng: random.Random) -> None:
    """A workbook a table, in any order of names; the invoices in two."""
    names = rng.sample(range(100), 2 * len(rows))
    for table, of_table in rows.items():
        late = [row for row in of_table if table == "invoice_lines" and len(str(row["invoice"])) % 2]
        for part in (late, [row for row in of_table if row not in late]):
            if part:
                write_workbook(folder / f"{names.pop()}.xlsx", {table: part}, example=False)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_currency_does_not_matter(seed: int) -> None:
    """With every amount ten times as large, rounding steps too, all that is money is ten times as large."""
    rows, priced = drawn(seed)
    if CURRENCIES[rows["practice"][0]["currency"]] > 1:
        return
    larger = {name: [_ten_times(name, row) for row in table] for name, table in rows.items()}
    assert _differences(items_of(price_rows(larger)), items_of(priced), 10.0) == []


def _ten_times(table: str, row: dict[str, Any]) -> dict[str, Any]:
    """The row with its money ten times as large."""
    money = {field.name for field in TABLES[table].fields if field.kind == "money"}
    if row.get("rule") == "rounding":
        money.add("value")
    return {name: value * 10 if name in money and value is not None else value for name, value in row.items()}


def _differences(items: Items, expected: Items, factor: float) -> list[str]:
    """Figures that are not the expected ones, money times the factor."""
    found = [f"{key}: only in one of the two" for key in items.keys() ^ expected.keys()]
    for key in items.keys() & expected.keys():
        for figure, value in items[key].items():
            wanted = expected[key][figure]
            if isinstance(wanted, float) and not isinstance(value, str):
                times = 1.0 if figure in RATIOS else factor
                same = math.isclose(value, times * wanted, rel_tol=1e-9, abs_tol=1e-9)
            else:
                same = value == wanted
            if not same:
                found.append(f"{key} {figure}: {value!r}, not {wanted!r}")
    return found
