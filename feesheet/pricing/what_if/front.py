"""The first page of a what-if: five figures, the materials and the metals, and what must hold in the workbook."""

from __future__ import annotations

from collections.abc import Sequence

from feesheet.costing.roster import Roster
from feesheet.formula.model import Block, Model, figure
from feesheet.formula.operations import any_of, as_text, grand_total, joined, lookup, ratio, when
from feesheet.formula.tree import Name, Traced, Value, Whole
from feesheet.pricing.checks import Check
from feesheet.pricing.summary import materials_shown, sum_of
from feesheet.pricing.what_if.grid import OFFSETS, Grid
from feesheet.pricing.what_if.scenario import Scenario

SHEET = "What if"


def cell(block: str, column: str, row: int) -> Traced:
    """The figure in one row of a column, counted from 1."""
    return lookup(Whole(block, column), Value(float(row)))


@figure("Under its target", "whole")
def under_target(current_fee: Traced, over_target: Traced) -> Traced:
    """1 if there is a current fee and what comes in from it is less than cost and target margin need."""
    return (current_fee > 0) * (over_target < 0)


def what_if_checks(model: Model, chosen: Grid | None) -> list[Check]:
    """What must hold beside the checks of every workbook: cases that change nothing, and steps that add up."""
    rows: list[Check] = []
    if chosen:
        same = len(OFFSETS) ** 2 // 2 + 1
        item = chosen.item + 1
        rows += [
            (
                "Unit cost of the grid's item with nothing changed, against the cost build-up",
                cell("grid_costs", "unit_cost", same),
                cell("costs", "unit_cost", item),
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
    """Add the first page's blocks."""
