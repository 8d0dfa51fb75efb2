"""What a move changes: the columns and rows of the practice's model, or a setting."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from feesheet.formula.cases import CaseRows, Key
from feesheet.formula.model import Block, Model
from feesheet.pricing.what_if.scenario import Driver, Move

STEPS: dict[str, tuple[Driver, ...]] = {
    "metal": ("metal", "alloy"),
    "lab": ("lab fees",),
    "time": ("minutes", "pay"),
    "overhead": ("overhead", "supplies", "remake rate"),
    "rules": ("plan share", "target margin", "collected share", "card cost"),
}
"""The steps in which a difference is explained, in order, and the drivers of each."""

_COLUMNS: dict[Driver, tuple[str, str, tuple[str, ...]]] = {
    "metal": ("metals", "metal", ("price",)),
    "lab fees": ("lab_fees", "material", ("blended_lab_fee",)),
    "minutes": (
        "costs",
        "material",
        (
            "chair_min",
            "repeated_chair_min",
            "all_pay",
            "dentist_cost",
            "repeated_people",
            "repeated_dentist",
        ),
    ),
    "pay": ("staff", "role", ("yearly_cost",)),
    "overhead": ("sites", "site", ("yearly_overhead",)),
    "supplies": ("materials", "material", ("supplies", "remake_supplies")),
    "remake rate": ("materials", "material", ("remake_rate",)),
}
"""The block of a driver, the column by which its rows are chosen, and the columns that it changes."""

_SETTINGS: dict[Driver, str] = {
    "target margin": "target_margin",
    "collected share": "collected",
    "card cost": "card_cost",
}

ALLOY: Key = ("pools", "alloy_no")
GRAMS: Key = ("costs", "alloy_g")
"""An alloy swap gives the alloy grams another alloy, and an item other grams where the densities differ."""


def changed_by(move: Move, model: Model) -> dict[Key, np.ndarray]:
    """The columns and settings that a move changes, each with a mark for every row that it is for (a setting: one)."""
    if move.driver in _SETTINGS:
        return {("", _SETTINGS[move.driver]): np.array([True])}
    if move.driver == "plan share":
        return {("", name): np.array([True]) for name in _plan_shares(model, move.of)}
    if move.driver == "alloy":
        return {GRAMS: rows_of(model.blocks["costs"], "material", move.of)}
    block, label, columns = _COLUMNS[move.driver]
    marks = rows_of(model.blocks[block], label, move.of)
    if move.driver == "supplies" and not move.by_share:
        columns = columns[:1]
    return {(block, column): marks for column in columns}


def _plan_shares(model: Model, plan: str) -> list[str]:
    """The settings of the plans' shares of patients: that plan's, or all of them where none is named."""
    shares = [name for name in model.settings if name.startswith("plan_share_")]
    heading = f"Share of patients, {plan}"
    return [name for name in shares if not plan or model.settings[name].heading.strip() == heading.strip()]


def rows_of(block: Block, label: str, name: str) -> np.ndarray:
    """A mark for every row of the block whose label is that name; all of them where no name is given.

    A move has the practice's own spelling, brackets and all: "zirconia (layered)" is not "zirconia (monolithic)".
    """
    marks = [not name or word.strip() == name.strip() for word in block.labels(label)]
    return np.array(marks, dtype=bool)


def change_numbers(
    model: Model, cases: Sequence[Sequence[tuple[int, Move]]]
) -> tuple[dict[Key, CaseRows], dict[Key, CaseRows]]:
    """What the cases change, and the counters that they replace (see `formula.tiling.Cases`).

    Each case is a list of moves, each with the number of its row in the block of changed values.
    """
    changed: dict[Key, CaseRows] = {}
    counters: dict[Key, CaseRows] = {}
    for case, moves in enumerate(cases):
        for number, move in moves:
            for key, marks in changed_by(move, model).items():
                rows = changed.setdefault(key, np.zeros((len(cases), len(marks)), dtype=np.int64))
                rows[case, marks] = number
            if move.driver == "alloy":
                _swap(model, counters, len(cases), case, move)
    return changed, counters


def _swap(model: Model, counters: dict[Key, CaseRows], count: int, case: int, move: Move) -> None:
    """Give a material's alloy grams the number of another alloy in one case."""
    pools = model.blocks[ALLOY[0]]
    present = np.asarray(pools.columns[ALLOY[1]].values, dtype=np.int64)
    rows = counters.setdefault(ALLOY, np.tile(present, (count, 1)))
    names = [name.strip() for name in model.blocks["alloys"].labels("alloy")]
    rows[case, rows_of(pools, "material", move.of)] = names.index(move.alloy.strip()) + 1
