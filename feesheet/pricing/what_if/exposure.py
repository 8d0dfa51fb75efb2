"""What each metal costs in each item, what a move of its price does, and the prices at which a margin is gone."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from feesheet.costing.roster import Roster, numbers_of
from feesheet.formula.model import Block, Model, figure
from feesheet.formula.numbers import Numbers
from feesheet.formula.operations import any_of, ratio, when
from feesheet.formula.tree import Traced
from feesheet.pricing.what_if.tornado import PRICES, UP, Driven, case_number
from feesheet.reference import fixed

SHEET = "Metal exposure"

NO_BREAK_EVEN = "no break-even"
HIDDEN, BY_WEIGHT = "hidden in unit fee: estimated from grams", "by weight"


@figure("Metal in one unit", "money")
def metal_cost(cost_up: Traced, unit_cost: Traced, driver_step: Traced) -> Traced:
    """What the metal in one unit costs at its present price, remakes included. Unit: money a unit.

    The unit cost is linear in the price: what a step of it adds, divided by the step, is the whole.
    """
    return (cost_up - unit_cost) / driver_step


@figure("+10 %", "money")
def per_tenth(metal_cost: Traced, tenth: Traced = fixed("tenth")) -> Traced:
    """What a rise of the price by 10 % adds to one unit. Unit: money a unit."""
    return metal_cost * tenth


@figure("+100 a troy ounce", "money")
def per_hundred(
    metal_cost: Traced,
    metal_price_per_g: Traced,
    hundred: Traced = fixed("hundred"),
    troy_ounce_g: Traced = fixed("troy_ounce_g"),
) -> Traced:
    """What a rise of the price by 100 a troy ounce adds to one unit. Unit: money a unit."""
    return ratio(metal_cost, metal_price_per_g, 0) * hundred / troy_ounce_g


@figure("A year", "money")
def in_a_year(money: Traced, year_units: Traced) -> Traced:
    """The same over last year's units. Unit: money a year."""
    return money * year_units


@figure("Room to target", "money")
def room_to_target(net_now: Traced, target: Traced, unit_cost: Traced) -> Traced:
    """What the cost may still rise until the margin at today's fee falls to its target. Unit: money a unit."""
    return net_now * (1 - target) - unit_cost


@figure("Room to floor", "money")
def room_to_floor(current_fee: Traced, unit_cost: Traced) -> Traced:
    """What the cost may still rise until it is over the full fee: the floor under every fee. Unit: money a unit."""
    return current_fee - unit_cost


@figure("Room to zero", "money")
def room_to_zero(net_now: Traced, unit_cost: Traced) -> Traced:
    """What the cost may still rise until nothing of the money that comes in is left. Unit: money a unit."""
    return net_now - unit_cost


@figure("Times the price now", "number")
def times_price(room: Traced, metal_cost: Traced) -> Traced:
    """How many times its present price the metal costs once the room is used up.

    Closed form: the unit cost rises by the metal's cost for every present price that is added to it.

    >>> times_price(50, 100)
    1.5
    """
    return 1 + ratio(room, metal_cost, 0)


@figure("Break-even", "needed")
def break_even(times_price: Traced, metal_cost: Traced, price: Traced, current_fee: Traced) -> Traced:
    """The price of the quoted unit at which the room is used up; words where there is none above nought."""
    none = any_of(metal_cost <= 0, times_price <= 0, current_fee <= 0)
    return when(none, NO_BREAK_EVEN, price * times_price)


def metal_rows(model: Model, who: Roster, metals: Sequence[str], numbers: Numbers) -> list[tuple[int, str]]:
    """The pairs of item (from 0) and priced metal in its alloy, in the order of the items."""
    alloy_no = np.concatenate([[0], np.asarray(numbers.of("pools", "alloy_no"), dtype=int)])
    pools = np.asarray(numbers.of("costs", "pool_no"), dtype=int)
    composition = zip(
        np.asarray(numbers.of("composition", "alloy_no"), dtype=int),
        model.blocks["composition"].labels("metal"),
        strict=True,
    )
    held = {(int(alloy), metal) for alloy, metal in composition}
    return [
        (item, metal)
        for item in range(len(who.items))
        for metal in metals
        if (int(alloy_no[pools[item]]), metal) in held
    ]


def metal_items_block(
    model: Model, who: Roster, driven: Sequence[Driven], metals: Sequence[str], numbers: Numbers
) -> Block:
    """Each item and each metal in it: its cost, what a move does, and the break-even prices."""
    rows, items = metal_rows(model, who, metals, numbers), len(who.items)
    block = Block(
        "metal_items",
        SHEET,
        "Each metal in each item",
        len(rows),
        "Prices are of the quoted unit, other metals as they are. Floor: the full fee covers the unit cost. Zero: nothing is left.",
        label=("code", "site", "metal"),
    )
    names = model.blocks["metals"].labels("metal")
    by_metal = {one.move.of: case_number(driven, one, UP) for one in driven if one.move.driver == "metal"}
    for column in ("code", "site", "material"):
        words = [str(who.items[column].iloc[item]) for item, _ in rows]
        block.given(column, column.capitalize(), words, "code" if column == "code" else "text")
    block.given("metal", "Metal", [metal for _, metal in rows])
    hidden = _hidden(numbers)
    block.given("billed", "Alloy billed", [HIDDEN if hidden[item] else BY_WEIGHT for item, _ in rows])
    block.counter("item_no", "Item no.", [item + 1 for item, _ in rows], "Row in the cost build-up.")
    metal_numbers = numbers_of([metal for _, metal in rows], names)
    block.counter("metal_no", "Metal no.", metal_numbers, "Row in the metal prices.")
    ups = [(by_metal[metal] - 1) * items + item + 1 for item, metal in rows]
    block.counter(
        "up_no", "Case row", ups, "Row of the item in the drivers' cases, with the price a step up."
    )
    _metal_columns(block)
    _break_even_columns(block)
    return block


def _hidden(numbers: Numbers) -> np.ndarray:
    """Whether each item's lab bills one price with the alloy inside it, on its lines or in its quoted price."""
    inside = (np.asarray(numbers.of("lab_fees", "metal_out")) != 0) | (
        np.asarray(numbers.of("lab_fees", "all_in_share")) > 0
    )
    places = np.asarray(numbers.of("costs", "lab_no"), dtype=int)
    return np.asarray(np.concatenate([[False], inside])[places])


def _metal_columns(block: Block) -> None:
    """The metal's cost in one unit and what a move of its price does, a unit and a year."""
    for name, heading, unit, source, by in (
        ("price", "Price", "money", "metals.price", "metal_no"),
        ("metal_price_per_g", "Price per g", "money_per_g", "metals.metal_price_per_g", "metal_no"),
        ("unit_cost", "Unit cost", "money", "costs.unit_cost", "item_no"),
        ("cost_up", "Unit cost, price a step up", "money", f"{PRICES}_costs.unit_cost", "up_no"),
        ("year_units", "Units of a year", "units", "margins.year_units", "item_no"),
        ("weight", "Weight", "units", "margins.summary_weight", "item_no"),
    ):
        block.fetch(name, heading, unit, source, by)
    block.worked(metal_cost)
    block.worked(per_tenth)
    block.worked(per_hundred)
    for money, heading in (
        ("metal_cost", "Metal"),
        ("per_tenth", "+10 %"),
        ("per_hundred", "+100 a troy ounce"),
    ):
        block.worked(in_a_year, name=f"{money}_year", heading=f"{heading}, a year", money=money)


def _break_even_columns(block: Block) -> None:
    """What the cost may rise until a margin is gone, and the price at which that is so."""
    for name, heading, unit, source in (
        ("current_fee", "Today's fee", "fee", "fee_rules.current_fee"),
        ("net_now", "Net at today's fee", "money", "margins.net_now"),
        ("target", "Target margin", "fraction", "plan_items.target"),
    ):
        block.fetch(name, heading, unit, source, "item_no")
    for function, column, heading in (
        (room_to_target, "price_at_target", "Price at which the target is missed"),
        (room_to_floor, "price_at_floor", "Price at the floor"),
        (room_to_zero, "price_at_zero", "Price at which nothing is left"),
    ):
        block.worked(function)
        times = f"times_{column.removeprefix('price_at_')}"
        said = f"Times the price now: {function.__name__.removeprefix('room_to_')}"
        block.worked(times_price, name=times, heading=said, room=function.__name__)
        block.worked(break_even, name=column, heading=heading, times_price=times)
