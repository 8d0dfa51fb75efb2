"""Ten thousand price paths over the whole schedule: what a year might leave if metals move as they did before.

A path is put together from hold windows of the history, drawn with replacement, all metals from the same days, so that
metals that moved together do so here; the trend of the history is taken out, as quote safety takes none. The figures are worked out by the model's own calculations with the paths' prices;
a workbook can't draw paths, so they stand in it as facts.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from feesheet import reference
from feesheet.costing.components import item_facts
from feesheet.costing.roster import Roster
from feesheet.formula.model import Block, Model
from feesheet.formula.numbers import Numbers
from feesheet.formula.paths import figures_of_paths
from feesheet.pricing.what_if.history import History
from feesheet.pricing.what_if.year import LEFT_YEAR, UNDER_TARGET
from feesheet.problems import Problem

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

DIGITS = 12
"""Digits of a figure of the paths: as many as a workbook keeps of a fact, and far more than the paths tell."""

PLACES = tuple(f"at_{round(share * 100)}" for share in SHARES)
"""The columns of those places."""

NOTE = (
    f"{PATHS:,} paths drawn from moves of the price history, its trend taken out: facts, no formulas. All of last year's units "
    "at the prices that a path has reached after a year, and at today's fees."
)


@dataclass(frozen=True)
class Outcome:
    """What the paths bring: prices after a year (one row a path, one column a metal), the money left in a year (one a path),
    and for each item with a current fee the share of paths on which its margin is under its target, and under nought."""

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
    """What a year multiplies each metal's price by, one row a path; of the last move only the share that the year still takes."""
    rng = np.random.default_rng(SEED)
    turns = HORIZON_DAYS / hold_days
    shares = np.minimum(turns - np.arange(math.ceil(turns)), 1.0)
    picked = rng.integers(0, len(moves), size=(count, len(shares)))
    logs = np.log(moves) - np.log(moves).mean(axis=0)
    return np.asarray(np.exp((logs[picked] * shares[:, None]).sum(axis=1)))


def outcome(numbers: Numbers, metals: Sequence[str], multiples: Array) -> Outcome:
    """The schedule on every path, by the model's own calculations."""
    model = numbers.model
    names = model.blocks["metals"].labels("metal")
    at = [names.index(metal) for metal in metals]
    present = np.asarray(numbers.of("metals", "price"), dtype=float)
    fee = np.asarray(numbers.of("fee_rules", "current_fee"), dtype=float)
    margin, left = ("margins", "margin_now"), []
    target_count, nought_count = np.zeros(len(fee)), np.zeros(len(fee))
    for first in range(0, len(multiples), AT_ONCE):
        prices = np.tile(present, (len(multiples[first : first + AT_ONCE]), 1))
        prices[:, at] *= multiples[first : first + AT_ONCE]
        figures = figures_of_paths(numbers, {("metals", "price"): prices}, [margin, UNDER_TARGET, LEFT_YEAR])
        left.append(figures[LEFT_YEAR].sum(axis=1))
        target_count += figures[UNDER_TARGET].sum(axis=0)
        nought_count += ((figures[margin] < 0) & (fee > 0)).sum(axis=0)
    count = len(multiples)
    return Outcome(
        tuple(metals),
        present[at] * multiples,
        np.concatenate(left),
        target_count / count,
        nought_count / count,
    )


def add_price_paths(
    model: Model, who: Roster, histories: Sequence[History], still: Sequence[str], hold_days: int
) -> list[Problem]:
    """Add the paths' outcome, and say what stands in the way; needs the year's block.

    `still` are the metals without a history, whose prices stay as they are.
    """
    moves, least = moves_together(histories), int(reference.fixed("least_windows"))
    metals = [history.metal for history in histories]
    if len(moves) < least:
        what = (
            f"The histories of {' and '.join(metals)} have {len(moves)} holds of {hold_days} days that begin on the same day, "
            f"and {least} are needed, so there are no price paths of a year."
        )
        return [Problem("short history", what, "Give histories of the same days.")]
    found = outcome(Numbers(model), metals, drawn(moves, hold_days))
    model.add(_year_block(found, still))
    model.add(_items_block(who, found))
    return []


def _year_block(found: Outcome, still: Sequence[str]) -> Block:
    """The year over all paths: the prices and the money left, from the worst to the best."""
    rows = [f"Price of {metal} after a year" for metal in found.metals] + ["Left in a year"]
    figures = np.column_stack([found.prices, found.left])
    note = NOTE + (f" Without a history, at today's price: {', '.join(still)}." if still else "")
    block = Block("path_year", SHEET, "A year over all paths", len(rows), note, label=("what",))
    block.given("what", "What", rows, width=30)
    for share, place in zip(SHARES, PLACES, strict=True):
        words = "the middle" if share == 0.5 else f"{share:.0%} of paths are under"
        block.given(
            place,
            words.capitalize(),
            [
                float(f"{one:.{DIGITS}g}")
                for one in np.quantile(figures, share, axis=0, method="inverted_cdf")
            ],
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
