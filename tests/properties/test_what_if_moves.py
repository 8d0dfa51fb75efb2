"""What must hold of any what-if: thresholds that hold when priced, straight lines, sums, mirrors, and a baseline that stays."""

from __future__ import annotations

import shutil
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from practices import random_practice
from priced import read_rows
from typed_cases import put
from what_ifs import Asking, asked, typed_scenario
from written_books import EXAMPLE

from feesheet.formula.model import Model
from feesheet.formula.numbers import Numbers
from feesheet.formula.paths import figures_of_paths
from feesheet.formula.tiling import Key
from feesheet.pricing.what_if.exposure import NO_BREAK_EVEN
from feesheet.pricing.what_if.overtakes import NEVER
from feesheet.reading.folder import read_folder
from feesheet.uses.annual_update import update
from feesheet.uses.what_if import what_if
from feesheet.uses.what_if_asked import Asked

SEEDS = (None, 0, 3, 5, 6, 10)
"""The example, and random practices with alloy in some of their items."""

COST: Key = ("costs", "unit_cost")
CLOSE = 1e-9


@cache
def asking(seed: int | None) -> Asking:
    """A practice with its metals' exposure, its drivers, and two scenarios."""
    practice = read_folder(EXAMPLE)[0] if seed is None else read_rows(random_practice(seed, plans=2))
    metal = asked(practice).metals[0]
    words = (
        (f"{metal}=+30%",),
        (f"{metal}=-30%",),
        (
            f"{metal}=+40%",
            "lab fees=+5%",
            "minutes=-10%",
            "pay=+3%",
            "remake rate=+20%",
            "collected share=-1%",
        ),
    )
    return asked(practice, [typed_scenario(practice, *one) for one in words], watched=metal)


def metal_prices(found: Asking) -> np.ndarray[Any, Any]:
    """Today's prices, in the rows of the metal prices."""
    return np.asarray(found.numbers.of("metals", "price"), dtype=float)


def costs_at(found: Asking, prices: np.ndarray[Any, Any]) -> np.ndarray[Any, Any]:
    """The unit cost of every item, for each row of metal prices."""
    return figures_of_paths(found.numbers, {("metals", "price"): prices}, [COST])[COST]


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("column", ["price_at_target", "price_at_floor", "price_at_zero"])
def test_thresholds_hold_when_priced(seed: int | None, column: str) -> None:
    """Priced at the break-even, an item's margin is its target, its cost its fee, or nothing is left."""
    found = asking(seed)
    of = found.numbers.of
    rows = [
        (row, float(value)) for row, value in enumerate(of("metal_items", column)) if value != NO_BREAK_EVEN
    ]
    prices = np.tile(metal_prices(found), (len(rows), 1))
    for path, (row, value) in enumerate(rows):
        prices[path, int(of("metal_items", "metal_no")[row]) - 1] = value
    items = np.array([int(of("metal_items", "item_no")[row]) - 1 for row, _ in rows])
    costs = costs_at(found, prices)[np.arange(len(rows)), items] if rows else np.empty(0)
    net, fee = (
        np.asarray(of(*key))[items] if rows else costs
        for key in (("margins", "net_now"), ("fee_rules", "current_fee"))
    )
    if column == "price_at_target":
        target = np.asarray(of("plan_items", "target"))[items] if rows else costs
        assert (net - costs) / net == pytest.approx(target, abs=CLOSE)
    else:
        assert costs == pytest.approx(fee if column == "price_at_floor" else net, rel=CLOSE)
    assert rows or seed is not None


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize(
    ("column", "room"),
    [
        ("price_at_target", "room_to_target"),
        ("price_at_floor", "room_to_floor"),
        ("price_at_zero", "room_to_zero"),
    ],
)
def test_where_there_is_no_break_even(seed: int | None, column: str, room: str) -> None:
    """ "no break-even" stands where the metal costs nothing, no fee is in force, or even metal for nothing would leave the item short; nowhere else."""
    found = asking(seed)
    of = found.numbers.of
    metal, left, fee = (np.asarray(of("metal_items", name)) for name in ("metal_cost", room, "current_fee"))
    none = (metal <= 0) | (left + metal <= metal * 1e-12) | (fee <= 0)
    said = np.array([value == NO_BREAK_EVEN for value in of("metal_items", column)])
    assert (said == none).all()


@pytest.mark.parametrize("seed", SEEDS)
def test_metal_rows_are_the_metals_of_the_items(seed: int | None) -> None:
    """An item has a row for each priced metal whose price moves its cost, and none for another."""
    found = asking(seed)
    of = found.numbers.of
    names = found.model.blocks["metals"].labels("metal")
    pairs = set(zip(of("metal_items", "item_no"), of("metal_items", "metal_no"), strict=True))
    base = np.asarray(of(*COST))
    for metal, name in enumerate(names, start=1):
        prices = np.array([metal_prices(found)])
        prices[0, metal - 1] *= 2
        moved = {int(row) + 1 for row in np.flatnonzero(costs_at(found, prices)[0] != base)}
        assert moved <= {int(item) for item, no in pairs if no == metal}, name
        assert not moved or name in found.metals


@pytest.mark.parametrize("seed", SEEDS)
def test_materials_are_level_where_it_is_said(seed: int | None) -> None:
    """Priced at the level price, both materials leave the same of a chair hour; "at no price" is said of no pair that crosses."""
    found = asking(seed)
    of = found.numbers.of
    metals = metal_prices(found)
    metal = int(of("hours", "metal_no")[0]) - 1 if found.model.blocks["hours"].rows else 0
    crossed = 0
    for row, level in enumerate(of("overtakes", "level_price")):
        first, second = (int(of("overtakes", name)[row]) - 1 for name in ("a_no", "b_no"))
        at = metals[metal] if level == NEVER else float(level)
        before, here = hours_at(found, metal, 0.0), hours_at(found, metal, at)
        if level == NEVER:
            dear = hours_at(found, metal, metals[metal] * 1e6)
            gaps = [one[first] - one[second] for one in (before, dear)]
            assert gaps[0] * gaps[1] >= -1e-6 * abs(gaps[1]), (first, second)
        else:
            assert here[first] == pytest.approx(here[second], rel=CLOSE, abs=1e-7)
            crossed += 1
    assert crossed or seed is not None


def hours_at(found: Asking, metal: int, price: float) -> list[float]:
    """What a chair hour of each material leaves at a price of the metal, priced from scratch."""
    model = Model(dict(found.model.settings), dict(found.model.blocks))
    block = found.model.blocks["metals"]
    model.blocks["metals"] = type(block)(**{**vars(block), "columns": dict(block.columns)})
    prices = metal_prices(found).copy()
    prices[metal] = price
    put(model, ("metals", "price"), list(prices))
    return [float(value) for value in Numbers(model).of("hours", "hour_now")]


@pytest.mark.parametrize("seed", SEEDS)
def test_dearer_metal_never_lowers_a_cost(seed: int | None) -> None:
    """Whatever metals rise, and however far, no unit cost falls."""
    found = asking(seed)
    draw = np.random.default_rng(7)
    rises = 1 + draw.exponential(0.3, (200, len(metal_prices(found)))) * draw.integers(0, 2, (200, 1))
    costs = costs_at(found, metal_prices(found) * rises)
    base = np.asarray(found.numbers.of(*COST))
    assert (costs >= base * (1 - 1e-14)).all()
    assert (costs > base).any()


@pytest.mark.parametrize("seed", SEEDS)
def test_costs_are_straight_lines_that_add_up(seed: int | None) -> None:
    """Ten percent more costs what the sheet says, twenty percent twice that, and all metals together the sum of each."""
    found = asking(seed)
    of = found.numbers.of
    base, prices = np.asarray(of(*COST)), metal_prices(found)
    tenth, item, metal = (
        np.asarray(of("metal_items", name)) for name in ("per_tenth", "item_no", "metal_no")
    )
    each = np.zeros((len(prices), len(base)))
    each[metal.astype(int) - 1, item.astype(int) - 1] = tenth
    one, two = (costs_at(found, prices * (1 + share * np.eye(len(prices)))) - base for share in (0.1, 0.2))
    scale = CLOSE * max(1.0, float(base.max()))
    assert one == pytest.approx(each, abs=scale)
    assert two == pytest.approx(2 * one, abs=scale)
    together = costs_at(found, prices[None, :] * 1.1)[0] - base
    assert together == pytest.approx(each.sum(axis=0), abs=scale)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_fall_mirrors_a_rise(seed: int | None) -> None:
    """30 % less of a metal takes off each cost what 30 % more adds, and of the year too."""
    found = asking(seed)
    up, down = (np.array(found.items(scenario, "cost_change"), dtype=float) for scenario in (0, 1))
    assert down == pytest.approx(-up, rel=1e-7, abs=1e-8)
    assert (up > 0).any()
    changes = found.numbers.of("scenario_years", "left_year_change")
    assert changes[1] == pytest.approx(-changes[0], rel=CLOSE, abs=1e-6)


LINEAR = ("Price of", "Lab fees", "Minutes", "Pay", "Overhead", "Supplies", "Patients on plans")


@pytest.mark.parametrize("seed", SEEDS)
def test_linear_drivers_move_alike_up_and_down(seed: int | None) -> None:
    """A step up of a driver that costs are straight lines in takes as much as a step down leaves, as far as it is not held to its limit; remakes cost more than they save."""
    found = asking(seed)
    of = found.numbers.of
    left = abs(float(np.sum(of("year_items", "left_year")))) + float(np.sum(of("year_items", "cost_year")))
    rows = zip(
        found.model.blocks["tornado"].labels("driver"),
        of("tornado", "left_change_up"),
        of("tornado", "left_change_down"),
        of("tornado", "step_up"),
        strict=True,
    )
    step = found.model.settings["driver_step"].value
    for driver, up, down, step_up in rows:
        if driver.startswith(LINEAR):
            assert up == pytest.approx(-down * step_up / step, rel=1e-7, abs=CLOSE * left), driver
        if driver == "Remake rate":
            assert up + down <= CLOSE * left
        if not driver.startswith(("Patients", "Target")):
            assert up <= CLOSE * left, driver


@pytest.mark.parametrize("seed", SEEDS)
def test_steps_add_up_to_the_whole(seed: int | None) -> None:
    """What the steps of a scenario change adds up to what the scenario changes, in cost, money left and money over the target."""
    found = asking(seed)
    of = found.numbers.of
    names = np.array(found.model.blocks["scenario_steps"].labels("scenario"))
    for row, name in enumerate(found.model.blocks["scenario_years"].labels("scenario")):
        for column in ("cost_year", "left_year", "over_year"):
            steps = np.asarray(of("scenario_steps", f"{column}_change"))[names == name]
            whole = of("scenario_years", f"{column}_change")[row]
            assert float(steps.sum()) == pytest.approx(float(whole), rel=CLOSE, abs=1e-5)
    assert list(names).count(names[-1]) == 5


@pytest.mark.parametrize("seed", SEEDS)
def test_the_baselines_figures_stay(seed: int | None) -> None:
    """With every block of a what-if added, each figure of the update is, bit for bit, what it was."""
    found = asking(seed)
    assert COST in found.before
    for key, before in found.before.items():
        after = np.asarray(found.numbers.of(*key))
        assert ((before == after) | ((before != before) & (after != after))).all(), key


def test_an_update_is_the_same_file_before_and_after(tmp_path: Path) -> None:
    """An update writes the same bytes before a what-if, after it, and after a scenario was saved beside the inputs; no input is touched."""
    folder = tmp_path / "practice"
    shutil.copytree(EXAMPLE, folder, ignore=shutil.ignore_patterns("Scenarios", "What-if"))
    inputs = {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    first = update(folder, tmp_path / "one")
    answer = what_if(folder, Asked(moves=("gold=+40%", "lab fees=+5%"), save=True), folder / "What-if")
    assert answer.workbook is not None
    assert answer.saved is not None
    again = update(folder, tmp_path / "two")
    for one, other in ((first.workbook, again.workbook), (first.export, again.export)):
        assert one is not None
        assert other is not None
        assert one.read_bytes() == other.read_bytes()
    assert {path: path.read_bytes() for path in inputs} == inputs
