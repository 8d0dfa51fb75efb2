"""What-ifs for tests: scenarios from typed words, and a priced model with the what-if's blocks added."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from feesheet.formula.model import Model
from feesheet.formula.numbers import Numbers
from feesheet.formula.tiling import Key
from feesheet.practice import Practice
from feesheet.pricing.what_if import compared, exposure, exposure_totals, overtakes, tornado, year
from feesheet.pricing.what_if.moves import scenario_of
from feesheet.pricing.what_if.scenario import Scenario
from feesheet.pricing.what_if.swaps import with_grams
from feesheet.uses.annual_update import Priced, price
from feesheet.uses.what_if_asked import Asked
from feesheet.uses.what_if_model import Builder
from feesheet.writing.book import Schedule

ITEM_COLUMNS = ("cost_after", "needed_after", "margin_after")
"""What a scenario says of each item, in the order of `HOMES`."""

HOMES = (("costs", "unit_cost"), ("plan_items", "needed_shown"), ("margins", "margin_now"))
"""Where an update keeps the same three figures."""


def typed_scenario(practice: Practice, *words: str) -> Scenario:
    """The scenario of these words; a refusal is a failure."""
    scenario, problems = scenario_of(words, practice)
    if scenario is None:
        raise AssertionError([str(problem) for problem in problems])
    return with_grams(scenario, practice)[0]


@dataclass(frozen=True)
class Asking:
    """A practice priced, with the what-if's blocks in its model; `before` has every
    figure of the model without them."""

    practice: Practice
    priced: Priced
    metals: list[str]
    numbers: Numbers
    before: dict[Key, Any]

    @property
    def model(self) -> Model:
        """The model with everything in it."""
        return self.priced.model

    def items(self, scenario: int, column: str) -> list[Any]:
        """A column of the items compared, of one scenario (from 0)."""
        count = len(self.priced.who.items)
        found = np.asarray(self.numbers.of("scenario_items", column), dtype=object)
        return list(found[scenario * count : (scenario + 1) * count])


def asked(practice: Practice, scenarios: Sequence[Scenario] = (), watched: str = "") -> Asking:
    """The practice with its metals' exposure, its drivers, the scenarios and, for a watched metal, its overtakes."""
    priced, _ = price(practice)
    model, who, bare = priced.model, priced.who, Numbers(priced.model)
    before = {
        (name, column): np.array(bare.of(name, column))
        for name, block in model.blocks.items()
        for column in block.columns
    }
    metals = tornado.priced_metals(model, priced.numbers)
    model.add(year.year_block(who))
    driven = tornado.drivers_moved(metals)
    tornado.add_drivers(model, driven)
    tornado.add_tornado(model, driven, Numbers(model))
    model.add(exposure.metal_items_block(model, who, driven, metals, Numbers(model)))
    model.add(exposure_totals.metal_materials_block(model, who))
    model.add(exposure_totals.metal_years_block(model, metals))
    model.add(exposure_totals.unmodelled_block(practice, priced.parts, who, priced.numbers))
    if watched:
        model.add(overtakes.hours_block(who, model, watched))
        model.add(overtakes.overtakes_block(model, watched, Numbers(model)))
    if scenarios:
        compared.add_scenarios(model, who, scenarios)
    return Asking(practice, priced, metals, Numbers(model), before)


def what_if_schedule(practice: Practice, scenarios: Sequence[Scenario]) -> Schedule:
    """Everything that a what-if's workbook is written from."""
    priced, problems = price(practice)
    metals = tornado.priced_metals(priced.model, priced.numbers)
    return Builder(practice, priced, Asked(), metals, problems).schedule(list(scenarios), practice)
