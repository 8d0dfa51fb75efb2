"""Figures of many paths at once: each path is what the model gives with the path's values typed in."""

from __future__ import annotations

import copy
import random
from typing import Any

import numpy as np
import pytest
from practices import random_practice
from priced import price_rows
from typed_cases import put

from feesheet.formula.model import Block, Model
from feesheet.formula.numbers import Numbers
from feesheet.formula.operations import grand_total
from feesheet.formula.paths import CELLS_AT_ONCE, figures_of_paths
from feesheet.formula.tiling import Cases, Key, tile
from feesheet.formula.tree import Name, Whole

WANTED: list[Key] = [
    ("costs", "unit_cost"),
    ("costs", "variable_cost"),
    ("plan_items", "needed_fee"),
    ("margins", "margin_now"),
    ("margins", "net_now"),
    ("margins", "markup"),
    ("costs", "chair_min"),
]
SETTINGS: tuple[Key, ...] = (("", "target_margin"), ("", "collected"), ("", "plan_share_1"))

ALLOYED = (0, 3, 5, 6, 10)
"""Practices drawn with alloy in some of their items."""


def practice_model(seed: int) -> Model:
    """A drawn practice's model."""
    rng = random.Random(f"paths {seed}")
    return price_rows(random_practice(seed, materials=rng.randint(2, 5), plans=rng.randint(1, 3))).model


def drawn_paths(model: Model, seed: int, count: int, settings: tuple[Key, ...] = ()) -> dict[Key, Any]:
    """Metal prices that wander, all on every path, and settings a little beside what they are."""
    draw = np.random.default_rng(seed)
    price = np.asarray(model.blocks["metals"].columns["price"].values, dtype=float)
    moved = {("metals", "price"): price * np.exp(draw.normal(0, 0.4, (count, len(price))))}
    for key in settings:
        moved[key] = float(model.settings[key[1]].value) * draw.uniform(0.8, 1.0, (count, 1))
    return moved


def typed(model: Model, moved: dict[Key, Any], path: int) -> Numbers:
    """The figures of the model with one path's values typed in."""
    made = Model(dict(model.settings), copy.deepcopy(model.blocks))
    for key, values in moved.items():
        put(made, key, list(values[path]))
    return Numbers(made)


@pytest.mark.parametrize("settings", [(), SETTINGS], ids=["metals", "metals and settings"])
@pytest.mark.parametrize("seed", ALLOYED)
def test_each_path_is_the_typed_model(seed: int, settings: tuple[Key, ...]) -> None:
    """Every wanted figure of every path is, bit for bit, the model's with that path's prices and settings typed in."""
    model = practice_model(seed)
    moved = drawn_paths(model, seed, 6, settings)
    found = figures_of_paths(Numbers(model), moved, WANTED)
    for path in range(6):
        numbers = typed(model, moved, path)
        for key in WANTED:
            assert np.array_equal(
                found[key][path], np.asarray(numbers.of(*key), dtype=float), equal_nan=True
            ), key
    assert (np.ptp(found["costs", "unit_cost"], axis=0) > 0).any()
    assert (np.ptp(found["costs", "chair_min"], axis=0) == 0).all(), "no path moves the minutes"


@pytest.mark.parametrize("seed", ALLOYED)
def test_paths_are_the_tiled_rows(seed: int) -> None:
    """The same shares as tiled cases and as paths come to the same figures, bit for bit."""
    model = practice_model(seed)
    shares = np.array([0.6, 0.9, 1.0, 1.1, 1.7])
    changes = model.add(Block("changes", "Changes", "Changes", len(shares)))
    changes.given("factor", "Factor", list(shares), "number")
    changes.given("added", "Added", [0.0] * len(shares), "number")
    metals = model.blocks["metals"]
    rows = np.repeat(np.arange(1, 6)[:, None], metals.rows, axis=1)
    titles = [f"{share:g}" for share in shares]
    changed: dict[Key, Any] = {("metals", "price"): rows, ("", "target_margin"): rows[:, :1]}
    tile(model, Cases("case", "Cases", titles, "changes", changed), WANTED)
    numbers = Numbers(model)
    moved = {
        ("metals", "price"): shares[:, None] * np.asarray(metals.columns["price"].values),
        ("", "target_margin"): shares[:, None] * model.settings["target_margin"].value,
    }
    found = figures_of_paths(numbers, moved, WANTED)
    for block, column in WANTED:
        tiled = np.asarray(numbers.of(f"case_{block}", column), dtype=float)
        assert np.array_equal(found[block, column].ravel(), tiled, equal_nan=True), column


def test_more_paths_than_are_worked_out_together() -> None:
    """Paths are worked out a batch at a time; every batch comes out whole, in order, the last short one too."""
    model = practice_model(0)
    items = model.blocks["costs"].rows
    count = 2 * (CELLS_AT_ONCE // items) + 3
    moved = drawn_paths(model, 0, count, SETTINGS[:1])
    found = figures_of_paths(Numbers(model), moved, [("plan_items", "needed_fee")])[
        "plan_items", "needed_fee"
    ]
    assert found.shape == (count, items)
    some = [0, CELLS_AT_ONCE // items - 1, CELLS_AT_ONCE // items, count - 1]
    alone = {key: values[some] for key, values in moved.items()}
    again = figures_of_paths(Numbers(model), alone, [("plan_items", "needed_fee")])
    assert np.array_equal(found[some], again["plan_items", "needed_fee"])


def test_the_base_is_as_it_was() -> None:
    """Paths leave the base's figures alone."""
    model = practice_model(5)
    base = Numbers(model)
    before = {key: np.array(base.of(*key), dtype=float) for key in WANTED}
    figures_of_paths(base, drawn_paths(model, 5, 4, SETTINGS), WANTED)
    for key, figures in before.items():
        assert np.array_equal(np.asarray(base.of(*key), dtype=float), figures, equal_nan=True)


def test_a_sum_of_a_whole_column_is_refused() -> None:
    """One figure of a whole column can't be told path by path; it is refused, never summed over paths."""
    model = practice_model(3)
    model.blocks["costs"].tree("all", "All", "money", grand_total(Whole("costs", "unit_cost")), "")
    model.blocks["costs"].tree("part", "Part", "fraction", Name("unit_cost") / Name("all"), "")
    moved = drawn_paths(model, 3, 4)
    with pytest.raises(NotImplementedError, match="grand_total"):
        figures_of_paths(Numbers(model), moved, [("costs", "part")])
