"""Every driver moved up and down by the same share: what it does to the year, and to each item."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from feesheet.formula.cases import Cases
from feesheet.formula.model import Block, Model, Setting, figure
from feesheet.formula.numbers import Numbers
from feesheet.formula.operations import grand_total, larger, size, when
from feesheet.formula.tiling import tile
from feesheet.formula.tree import Traced, Whole, figure_in
from feesheet.pricing.what_if.compared import case_totals
from feesheet.pricing.what_if.drivers import change_numbers
from feesheet.pricing.what_if.scenario import Move
from feesheet.pricing.what_if.shares import (
    driver_share,
    most_of,
    nothing_added,
    present_of,
    room,
    share_factor,
)
from feesheet.pricing.what_if.year import COST_YEAR, LEFT_YEAR, OVER_YEAR, difference
from feesheet.problems import Problem

SHEET = "Drivers"
WORKINGS = "Driver cases"
STEP = 0.1

UP, DOWN = 0, 1

WHOLE, HELD = "the whole step", "held to its limit"
"""How far a driver is moved up: a share of patients, a target or a remake rate can't be more than it can be."""

MOST_ROWS = 900_000
"""Rows of a sheet that one table of cases may take: a sheet has 1,048,576, and the cases of one set stand in several tables."""

PRICES = "price"
SETS = {
    PRICES: "metal prices",
    "lab": "lab fees",
    "time": "minutes",
    "pay": "pay",
    "rooms": "overhead",
    "stock": "supplies and remakes",
    "terms": "plans and target",
}
"""Sets of cases: drivers that move the same columns stand together, so that no row holds columns that only others move."""


@dataclass(frozen=True)
class Driven:
    """A driver that is moved: what it is called, the move that stands for it, and its set of cases."""

    title: str
    move: Move
    cases: str


@figure("Step up is", "text")
def step_said(step_up: Traced, driver_step: Traced) -> Traced:
    """Whether the step up is the whole step, or was held to the limit of what the share can be."""
    return when(step_up < driver_step, HELD, WHOLE)


@figure("Swing", "money")
def swing(change_up: Traced, change_down: Traced) -> Traced:
    """The larger of the two changes, without its sign. Unit: money a year."""
    return larger(size(change_up), size(change_down))


def priced_metals(model: Model, numbers: Numbers) -> list[str]:
    """The metals that some item's alloy holds and that have a price, in the order of the metal prices."""
    names, prices = model.blocks["metals"].labels("metal"), numbers.of("metals", "price")
    used = set(np.asarray(numbers.of("pools", "alloy_no"), dtype=int))
    held = {
        metal
        for metal, alloy in zip(
            model.blocks["composition"].labels("metal"), numbers.of("composition", "alloy_no"), strict=True
        )
        if int(alloy) in used
    }
    return [name for name, price in zip(names, prices, strict=True) if price > 0 and name in held]


def drivers_moved(metals: Sequence[str]) -> list[Driven]:
    """The drivers of the tornado: each priced metal, then everything else that a fee depends on."""
    rest = [
        ("Lab fees", "lab fees", "lab"),
        ("Minutes", "minutes", "time"),
        ("Pay", "pay", "pay"),
        ("Overhead", "overhead", "rooms"),
        ("Supplies", "supplies", "stock"),
        ("Remake rate", "remake rate", "stock"),
        ("Patients on plans", "plan share", "terms"),
        ("Target margin", "target margin", "terms"),
    ]
    return [
        *(Driven(f"Price of {metal}", Move("metal", metal, STEP, by_share=True), PRICES) for metal in metals),
        *(Driven(title, Move(driver, "", STEP, by_share=True), cases) for title, driver, cases in rest),  # type: ignore[arg-type]
    ]


def add_drivers(model: Model, driven: Sequence[Driven]) -> None:
    """Add the moves up and down, their cases and their totals; `add_tornado` then puts them in order."""
    model.settings["driver_step"] = Setting(
        "driver_step", "Step of every driver, up and down", "fraction", STEP, "a round share", 0.001, 0.5
    )
    model.add(_moves_block(model, driven))
    for name in dict.fromkeys(one.cases for one in driven):
        mine = [number for number, one in enumerate(driven) if one.cases == name]
        moves = [(2 * number + way, driven[number]) for number in mine for way in (UP, DOWN)]
        changed, counters = change_numbers(model, [[(row + 1, one.move)] for row, one in moves])
        titles = [f"{one.title} {'down' if row % 2 else 'up'}" for row, one in moves]
        cases = Cases(name, WORKINGS, titles, "driver_moves", changed, counters)
        tile(model, cases, [("costs", "unit_cost"), COST_YEAR, LEFT_YEAR, OVER_YEAR])
        totals = Block(
            f"{name}_totals",
            WORKINGS,
            f"The year of each case: {SETS[name]}",
            len(moves),
            label=("driver_case",),
        )
        totals.number()
        totals.given("driver_case", "Case", titles, width=26)
        case_totals(totals, name, "no")
        model.add(totals)


def _moves_block(model: Model, driven: Sequence[Driven]) -> Block:
    """The step up and down of every driver, each held to the limit of its share."""
    block = Block("driver_moves", WORKINGS, "Moves of the drivers", 2 * len(driven), label=("driver",))
    block.number()
    block.given("driver", "Driver", [one.title for one in driven for _ in (UP, DOWN)], width=22)
    block.counter("up", "Up", [1, 0] * len(driven), "1 up, 0 down.")
    moves = [one.move for one in driven for _ in (UP, DOWN)]
    limits = [most_of(move) for move in moves]
    block.given("most", "Limit", limits, "fraction", meaning="The most that the share may be; 0: no limit.")
    present = [present_of(move, model) for move in moves]
    block.listed("present", "Share now", "fraction", present, "The share that is moved; 0: it is none.")
    block.worked(room)
    block.worked(driver_share)
    block.worked(share_factor, name="factor", share="driver_share")
    block.worked(nothing_added, name="added", share="driver_share")
    return block


def too_many_items(model: Model, driven: Sequence[Driven]) -> list[Problem]:
    """Why the drivers' cases do not fit a sheet: every item stands there once for each case of a set."""
    items = model.blocks["costs"].rows
    largest_set = max(Counter(one.cases for one in driven).values(), default=0) * len((UP, DOWN))
    if items * largest_set <= MOST_ROWS:
        return []
    what = f"{items:,} items in {largest_set} cases are more rows than a sheet of a what-if's workbook holds ({MOST_ROWS:,})."
    return [Problem("too large", what, "Ask of a practice with fewer sites or fewer codes.")]


def case_number(driven: Sequence[Driven], driver: Driven, way: int) -> int:
    """The number of a driver's case in its set of cases, counted from 1."""
    mine = [one for one in driven if one.cases == driver.cases]
    return 2 * mine.index(driver) + way + 1


def add_tornado(model: Model, driven: Sequence[Driven], numbers: Numbers) -> None:
    """Add the drivers with their effect on the year, the largest first (as the workbook is issued)."""
    left = float(np.sum(numbers.of(*LEFT_YEAR)))
    found = [
        np.asarray(numbers.of(f"{one.cases}_totals", "left_year"))[case_number(driven, one, way) - 1]
        for one in driven
        for way in (UP, DOWN)
    ]
    swings = np.abs(np.array(found) - left).reshape(-1, 2).max(axis=1)
    order = [driven[at] for at in np.argsort(-swings, kind="stable")]
    block = Block(
        "tornado",
        SHEET,
        "What a step of each driver does to a year",
        len(order),
        "At last year's units and today's fees; each driver is moved alone. In order of the effect when this was issued.",
        label=("driver",),
    )
    block.given("driver", "Driver", [one.title for one in order], width=22)
    for way, word in ((UP, "up"), (DOWN, "down")):
        _effect_columns(block, driven, order, way, word)
    steps = [figure_in("driver_moves", "driver_share", 2 * driven.index(one) + 1) for one in order]
    block.listed("step_up", "Step up", "change", steps, "The step up, held to the limit of a share.")
    block.worked(step_said)
    block.worked(swing, change_up="left_change_up", change_down="left_change_down")
    model.add(block)


def _effect_columns(
    block: Block, driven: Sequence[Driven], order: Sequence[Driven], way: int, word: str
) -> None:
    """What the step in one direction does to the money left and to the money over the target."""
    for column, heading in (("left_year", "Left in a year"), ("over_year", "Over the target")):
        base = grand_total(Whole("year_items", column))
        trees = [
            difference(
                figure_in(f"{one.cases}_totals", column, case_number(driven, one, way)),
                base,
            )
            for one in order
        ]
        name = f"{column.removesuffix('_year')}_change_{word}"
        block.listed(
            name,
            f"{heading}, step {word}",
            "change_money",
            trees,
            "Change against the baseline. Unit: money a year.",
        )
