"""Ten thousand price paths over the whole schedule: what a year might leave if metals move as they did before.

A path is put together from hold windows of the history, drawn with replacement, all metals from the same days, so that
metals that moved together do so here. The figures are worked out by the model's own calculations with the paths' prices;
a workbook can't draw paths, so they stand in it as facts.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from feesheet.costing.components import item_facts
from feesheet.costing.roster import Roster
from feesheet.formula.model import Block, Model
from feesheet.formula.numbers import Numbers
from feesheet.formula.paths import figures_of_paths
from feesheet.pricing.what_if.history import History
from feesheet.pricing.what_if.year import LEFT_YEAR

Array = np.ndarray[Any, Any]

SHEET = "Price paths"
PATHS = 10_000
SEED = 1
"""The paths are drawn anew from the same seed on each run: the same inputs give the same figures."""

AT_ONCE = 1_000
"""Paths whose figures are kept together, so that a long schedule stays in memory."""

HORIZON_DAYS = 365

SHARES = (0.05, 0.25, 0.5, 0.75, 0.95)
"""The places in the order of the paths that are told: one in twenty, one in four, the middle."""

NOTE = "10,000 paths of a year, drawn at random from moves of the price history, its trend included: facts, no formulas."


@dataclass(frozen=True)
class Outcome:
    """What the paths bring: prices (one row a path, one column a metal), the money left in a year (one a path), and for
    each item the share of paths on which its margin at today's fee is under its target, and under nought."""

    metals: tuple[str, ...]
    prices: Array
    left: Array
    under_target: Array
    under_nought: Array


def moves_together(histories: Sequence[History]) -> Array:
    """The rises over the hold from each day on which every metal has a window: one row a day, one column a metal."""
    rises = []
    for history in histories:
        starts = np.flatnonzero(history.windows.end > 0)
        ends = history.windows.end[starts] - 1
        days = history.days[starts].astype("datetime64[D]")
        rises.append(dict(zip(days.tolist(), history.prices[ends] / history.prices[starts], strict=True)))
    shared = sorted(set(rises[0]).intersection(*rises[1:]))
    return np.array([[one[day] for one in rises] for day in shared], dtype=float).reshape(-1, len(rises))


def drawn(moves: Array, hold_days: int, count: int = PATHS) -> Array:
    """What a year multiplies each metal's price by, one row a path."""
    rng = np.random.default_rng(SEED)
    turns = math.ceil(HORIZON_DAYS / hold_days)
    picked = rng.integers(0, len(moves), size=(count, turns))
    return np.asarray(np.exp(np.log(moves)[picked].sum(axis=1)))


def outcome(numbers: Numbers, metals: Sequence[str], multiples: Array) -> Outcome:
    """The schedule on every path, by the model's own calculations."""
    model = numbers.model
    names = model.blocks["metals"].labels("metal")
    at = [names.index(metal) for metal in metals]
    present = np.asarray(numbers.of("metals", "price"), dtype=float)
    target = np.asarray(numbers.of("plan_items", "target"), dtype=float)
    margin, left = ("margins", "margin_now"), []
    target_count, nought_count = np.zeros(len(target)), np.zeros(len(target))
    for first in range(0, len(multiples), AT_ONCE):
        prices = np.tile(present, (len(multiples[first : first + AT_ONCE]), 1))
        prices[:, at] *= multiples[first : first + AT_ONCE]
        figures = figures_of_paths(numbers, {("metals", "price"): prices}, [margin, LEFT_YEAR])
        left.append(figures[LEFT_YEAR].sum(axis=1))
        target_count += (figures[margin] < target).sum(axis=0)
        nought_count += (figures[margin] < 0).sum(axis=0)
    count = len(multiples)
    return Outcome(
        tuple(metals),
        present[at] * multiples,
        np.concatenate(left),
        target_count / count,
        nought_count / count,
    )


def add_price_paths(model: Model, who: Roster, histories: Sequence[History], hold_days: int) -> None:
    """Add the paths' outcome where the histories share enough windows; needs the year's block."""
    moves = moves_together(histories)
    if not len(moves):
        return
    found = outcome(Numbers(model), [history.metal for history in histories], drawn(moves, hold_days))
    model.add(_year_block(found))
    model.add(_items_block(who, found))


def _year_block(found: Outcome) -> Block:
    """The year over all paths: the prices and the money left, from the worst to the best."""
    rows = [f"Price of {metal} in a year" for metal in found.metals] + ["Left in a year"]
    figures = np.column_stack([found.prices, found.left])
    block = Block("path_year", SHEET, "A year over all paths", len(rows), NOTE, label=("what",))
    block.given("what", "What", rows, width=30)
    for share in SHARES:
        words = "the middle" if share == 0.5 else f"{share:.0%} of paths are under"
        block.given(
            f"at_{round(share * 100)}",
            words.capitalize(),
            list(np.quantile(figures, share, axis=0, method="inverted_cdf")),
            "money",
            meaning="A figure of the paths in their order, smallest first.",
        )
    return block


def _items_block(who: Roster, found: Outcome) -> Block:
    """Each item: how often its margin at today's fee is under its target, and under nought."""
    block = Block(
        "path_items",
        SHEET,
        "Each item over all paths",
        len(who.items),
        aligned="items",
        label=("code", "site"),
    )
    item_facts(block, who)
    for name, heading, shares in (
        ("paths_under_target", "Paths under its target", found.under_target),
        ("paths_under_nought", "Paths with nothing left", found.under_nought),
    ):
        block.given(name, heading, list(shares), "fraction", meaning="Share of all paths, at today's fee.")
    return block
