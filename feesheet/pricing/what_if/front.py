"""The first page of a what-if, and what must hold in its workbook."""

from __future__ import annotations

from collections.abc import Sequence

from feesheet.costing.roster import Roster
from feesheet.formula.model import Model
from feesheet.formula.tree import figure_in
from feesheet.pricing.checks import Check
from feesheet.pricing.summary import sum_of
from feesheet.pricing.what_if import left
from feesheet.pricing.what_if.front_blocks import (
    figures_block,
    materials_block,
    metals_block,
    quotes_block,
)
from feesheet.pricing.what_if.grid import OFFSETS, Grid
from feesheet.pricing.what_if.scenario import Scenario


def what_if_checks(model: Model, chosen: Grid | None) -> list[Check]:
    """What must hold beside the checks of every workbook: cases that change nothing, and steps that add up."""
    rows: list[Check] = []
    if chosen:
        same = len(OFFSETS) ** 2 // 2 + 1
        item = chosen.item + 1
        rows += [
            (
                "Unit cost of the grid's item with nothing changed, against the cost build-up",
                figure_in("grid_costs", "unit_cost", same),
                figure_in("costs", "unit_cost", item),
            ),
        ]
    if "scenario_steps" in model.blocks:
        rows.append(
            (
                "Cost changes of all scenarios, step by step, against the year's",
                sum_of("scenario_steps.cost_year_change"),
                sum_of("scenario_years.cost_year_change"),
            )
        )
    return rows


def add_front(model: Model, who: Roster, watched: str, scenarios: Sequence[Scenario]) -> None:
    """Add the first page's blocks, and what is left of the fees as the watched metal ("" for none) moves."""
    if watched:
        model.add(left.means_block(model, who, watched))
        model.add(left.left_block(model, who, watched))
    model.add(figures_block(model, watched, scenarios))
    model.add(materials_block(who, watched, scenarios))
    if watched:
        model.add(metals_block(model))
    if "quote_safety" in model.blocks:
        model.add(quotes_block(model))
