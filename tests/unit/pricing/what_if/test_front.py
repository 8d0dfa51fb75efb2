"""The first page of a what-if says what the other sheets say, material by material and metal by metal."""

from __future__ import annotations

import numpy as np
import pytest
from written_books import EXAMPLE, HISTORY, what_if_of

from feesheet.pricing.what_if.left import CHANGES
from feesheet.writing.book import Schedule

UP = 0.4


@pytest.fixture(scope="module")
def dearer() -> Schedule:
    """The example with gold 40 % dearer."""
    return what_if_of(EXAMPLE, "gold=+40%", history=HISTORY)


def test_then_is_the_scenarios_figure_of_the_same_material(dearer: Schedule) -> None:
    """Cost and margin then are the scenario's; more gold in a material, more cost then, and no other changes."""
    of = dearer.numbers.of
    shown = dearer.model.blocks["what_if_materials"].labels("if_material")
    assert shown == dearer.model.blocks["scenario_materials"].labels("material")
    rise = np.asarray(of("what_if_materials", "if_cost_then")) - of("what_if_materials", "if_cost")
    assert rise == pytest.approx(UP * np.asarray(of("metal_means", "held_metal")))
    assert list(of("what_if_materials", "if_margin_then")) == list(of("scenario_materials", "margin_after"))


def test_what_is_left_falls_to_what_the_scenario_leaves(dearer: Schedule) -> None:
    """At 40 % more gold the line of each material stands where the scenario's net less cost stands."""
    of, block = dearer.numbers.of, dearer.model.blocks["metal_left"]
    lines = [name for name in block.columns if name.startswith("left_")]
    then = np.asarray(of("scenario_materials", "net_after")) - of("scenario_materials", "cost_after")
    for name in lines:
        row = int(name.removeprefix("left_")) - 1
        assert of("metal_left", name)[CHANGES.index(UP)] == pytest.approx(then[row])
    assert lines


def test_the_tiles_say_what_the_tables_say(dearer: Schedule) -> None:
    """Price, a tenth more, the year's change, fees under target and the price to re-price at, each from its table."""
    of = dearer.numbers.of
    metal = dearer.model.blocks["metal_years"].labels("metal").index("gold")
    assert list(of("what_if_figures", "value")) == pytest.approx(
        [
            of("metal_years", "price")[metal],
            of("metal_years", "per_tenth_year")[metal],
            of("scenario_years", "cost_year_change")[0],
            of("year_items", "under_target").sum(),
            of("quote_safety", "reprice_at")[
                dearer.model.blocks["quote_safety"].labels("metal").index("Gold")
            ],
        ]
    )


def test_fees_under_target_are_counted_in_the_scenario_too() -> None:
    """Dearer lab work leaves more fees under their target: the count then is of the scenario's own rows."""
    of = what_if_of(EXAMPLE, "lab fees=+20%").numbers.of
    over = np.asarray(of("case_year_items", "over_target"))
    fees = np.asarray(of("fee_rules", "current_fee")) > 0
    assert of("scenario_years", "under_target")[0] == (fees & (over[-len(fees) :] < 0)).sum()
    assert of("scenario_years", "under_target")[0] > of("scenario_years", "under_target_before")[0]
