"""Steps of drivers and grids are held to what a share can be, and the workbook says where."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from practices import random_practice
from priced import Rows, price_rows

from feesheet.formula.model import Block, Model
from feesheet.formula.numbers import Numbers
from feesheet.pricing.what_if import grid, tornado, year
from feesheet.pricing.what_if.scenario import Driver, Move

SHARES: dict[Driver, float] = {"plan share": 1.0, "target margin": 0.95, "remake rate": 0.99}
"""The most that each can be."""


def rows_with(shares: tuple[float, ...], target: float = 0.2, remakes: float = 0.04) -> Rows:
    """A random practice whose plans have those shares of patients."""
    rows = random_practice(3, plans=len(shares))
    for row, share in zip(rows["plans"], shares, strict=True):
        row["plan_share"] = share
    rows["practice"][0].update(target_margin=target, credibility_units=1000)
    for material in rows["materials"]:
        material["remake_rate"] = remakes
    return rows


def driven_of(rows: Rows) -> tuple[Model, list[tornado.Driven]]:
    """The model of a practice with its drivers, and the drivers."""
    priced = price_rows(rows)
    priced.model.add(year.year_block(priced.who))
    metals = tornado.priced_metals(priced.model, priced.numbers)
    driven = tornado.drivers_moved(metals)
    tornado.add_drivers(priced.model, driven)
    tornado.add_tornado(priced.model, driven, Numbers(priced.model))
    return priced.model, driven


def told(model: Model, driver: str) -> tuple[float, str]:
    """The step up of a driver, and what is said of it."""
    numbers, at = Numbers(model), model.blocks["tornado"].labels("driver").index(driver)
    return float(numbers.of("tornado", "step_up")[at]), str(numbers.of("tornado", "step_said")[at])


@pytest.mark.parametrize(
    ("shares", "target", "step"),
    [((0.6, 0.4), 0.2, 0.0), ((0.5, 0.45), 0.2, 1 / 0.95 - 1), ((0.3, 0.2), 0.2, 0.1)],
)
def test_plans_take_no_more_patients_than_there_are(
    shares: tuple[float, ...], target: float, step: float
) -> None:
    """Moved up together, plans take at most all patients; where their step is held to that, the table says so."""
    model, _ = driven_of(rows_with(shares, target))
    found = told(model, "Patients on plans")
    assert found == (pytest.approx(step, abs=1e-12), tornado.WHOLE if step == 0.1 else tornado.HELD)
    settings = Numbers(model)
    cases = [np.asarray(settings.of("terms_settings", f"case_plan_share_{n}")) for n in (1, 2)]
    assert (sum(cases) <= 1 + 1e-12).all()


@pytest.mark.parametrize(("target", "most"), [(0.95, 0.95), (0.9091, 0.95), (0.4, 0.44), (-0.05, -0.045)])
def test_a_target_stays_one_that_a_fee_can_reach(target: float, most: float) -> None:
    """A target margin is moved up to 95 % at the most, as the Practice sheet takes it; a negative one moves as any figure."""
    model, _ = driven_of(rows_with((0.3, 0.2), target))
    cases = np.asarray(Numbers(model).of("terms_settings", "case_target_margin"))
    assert cases.max() == pytest.approx(most, abs=1e-12)
    assert told(model, "Target margin")[1] == (tornado.HELD if target > 0.9 else tornado.WHOLE)


def test_remakes_stay_under_one() -> None:
    """No material's remake rate is moved to 1 or over, whatever the step."""
    model, _ = driven_of(rows_with((0.3, 0.2), remakes=0.98))
    rates = np.asarray(Numbers(model).of("stock_materials", "remake_rate"))
    assert 0.9 < rates.max() <= 0.99 + 1e-12
    assert told(model, "Remake rate")[1] == tornado.HELD


def test_the_hold_is_live() -> None:
    """A larger step typed over on the Inputs sheet is held to the room as it then is, and drivers that are no share take it whole."""
    model, _ = driven_of(rows_with((0.5, 0.3)))
    assert told(model, "Patients on plans") == (0.1, tornado.WHOLE)
    model.settings["driver_step"] = replace(model.settings["driver_step"], value=0.5)
    assert told(model, "Patients on plans") == (pytest.approx(0.25), tornado.HELD)
    assert told(model, "Lab fees") == (0.5, tornado.WHOLE)
    steps = np.asarray(Numbers(model).of("driver_moves", "driver_share"), dtype=float)
    assert (steps[1::2] == -0.5).all(), "down, nothing is held"


GRIDS: list[tuple[Move, Move]] = [
    (Move("plan share"), Move("target margin")),
    (Move("plan share", "one"), Move("plan share", "two")),
    (Move("collected share"), Move("remake rate")),
    (Move("card cost"), Move("lab fees")),
]


@pytest.mark.parametrize("pair", GRIDS)
@pytest.mark.parametrize("shares", [(0.6, 0.4), (0.5, 0.3)])
def test_a_grid_stays_within_limits(pair: tuple[Move, Move], shares: tuple[float, ...]) -> None:
    """At the largest steps that may be typed over, every case of a grid has shares within their limits; three steps of money leave something."""
    rows = rows_with(shares, target=0.8, remakes=0.9)
    for name, row in zip(("one", "two"), rows["plans"], strict=True):
        for allowed in rows["plan_fees"]:
            allowed["plan"] = name if allowed["plan"] == row["plan"] else allowed["plan"]
        row["plan"] = name
    priced = price_rows(rows)
    model: Any = priced.model
    grid.add_grid(model, priced.who, grid.Grid(pair[0], pair[1], 0))
    for number in (1, 2):
        setting = model.settings[f"grid_step_{number}"]
        assert 0 <= setting.low <= setting.value == min(0.1, setting.high) <= setting.high <= 0.3
        model.settings[setting.name] = replace(setting, value=setting.high)
    numbers, slack = Numbers(model), 1e-12
    cases = model.blocks["grid_settings"].columns if "grid_settings" in model.blocks else {}
    found = {
        name: np.asarray(numbers.of("grid_settings", name)) for name in cases if name.startswith("case_")
    }
    plans = [values for name, values in found.items() if name.startswith("case_plan_share")]
    others = sum(shares) - sum(
        model.settings[n.removeprefix("case_")].value for n in found if "plan_share" in n
    )
    assert not plans or (sum(plans) + others <= 1 + slack).all()
    for name, low, high in (("target_margin", -1, 0.95), ("collected", 0.01, 1), ("card_cost", 0, 0.2)):
        values = found.get(f"case_{name}", np.array([low]))
        assert (values >= low - slack).all() and (values <= high + slack).all(), name
    if Move("remake rate") in pair:
        assert np.asarray(numbers.of("grid_materials", "remake_rate")).max() <= 0.99 + slack
    assert (np.asarray(numbers.of("grid_moves", "factor")) > 0).all()


def test_more_cases_than_a_sheet_holds_are_told() -> None:
    """Items times the cases of the largest set are counted against a sheet's rows; one row more is a problem."""
    driven = tornado.drivers_moved(["gold", "silver", "palladium"])
    fits, over = Model(), Model()
    fits.add(Block("costs", "Costs", "Costs", tornado.MOST_ROWS // 6))
    over.add(Block("costs", "Costs", "Costs", tornado.MOST_ROWS // 6 + 1))
    assert tornado.too_many_items(fits, driven) == []
    assert [problem.kind for problem in tornado.too_many_items(over, driven)] == ["too large"]
