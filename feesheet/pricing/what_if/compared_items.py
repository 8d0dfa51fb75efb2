"""Scenarios item by item and material by material, beside what is so today."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from feesheet.costing.roster import Roster, numbers_of
from feesheet.formula.model import Block, figure
from feesheet.formula.operations import ratio, total_product
from feesheet.formula.tree import Name, Traced, Whole
from feesheet.pricing.results import margin
from feesheet.pricing.summary import materials_shown
from feesheet.pricing.what_if.scenario import Scenario, Step
from feesheet.pricing.what_if.year import difference

SHEET = "Items compared"


@figure("Change in points", "change")
def points(margin_after: Traced, margin_before: Traced) -> Traced:
    """Margin after less margin before, both shares of the money received."""
    return margin_after - margin_before


def items_block(who: Roster, scenarios: Sequence[Scenario], steps: Sequence[Step]) -> Block:
    """Each item as it is and in each scenario: unit cost, needed fee, margin at today's fee."""
    items, count = len(who.items), len(scenarios)
    last = np.array([number for number, step in enumerate(steps) if step.last], dtype=np.int64)
    block = Block(
        "scenario_items",
        SHEET,
        "Each item, now and in the scenario",
        items * count,
        "Today's fee is the fee in force. Rows stand in the practice's own order.",
        label=("scenario", "code", "site"),
    )
    block.given("scenario", "Scenario", [s.title for s in scenarios for _ in range(items)], width=20)
    for column in ("code", "site", "description"):
        words = list(who.items[column]) * count
        block.given(column, column.capitalize(), words, "code" if column == "code" else "text")
    block.counter("item_no", "Item no.", np.tile(np.arange(1, items + 1), count), "Row in the cost build-up.")
    rows = (last[:, None] * items + np.arange(1, items + 1)).ravel()
    block.counter("case_row", "Case row", rows, "Row in the cases' tables.")
    block.fetch("fee_today", "Today's fee", "fee", "fee_rules.current_fee", "item_no")
    for name, heading, unit, home, column in (
        ("cost", "Unit cost", "money", "costs", "unit_cost"),
        ("needed", "Needed fee", "needed", "plan_items", "needed_shown"),
        ("margin", "Margin", "fraction", "margins", "margin_now"),
    ):
        block.fetch(f"{name}_before", f"{heading} now", unit, f"{home}.{column}", "item_no")
        block.fetch(f"{name}_after", f"{heading} then", unit, f"case_{home}.{column}", "case_row")
    block.worked(
        difference, name="cost_change", heading="Cost change", after="cost_after", before="cost_before"
    )
    block.worked(points)
    for name, heading, unit, source in (
        ("weight", "Weight", "units", "margins.summary_weight"),
        ("net_before", "Net now", "money", "margins.net_now"),
    ):
        block.fetch(name, heading, unit, source, "item_no")
    block.fetch("net_after", "Net then", "money", "case_margins.net_now", "case_row")
    keys = numbers_of(who.items["material"], materials_shown(who))
    shifts = np.arange(count)[:, None] * len(materials_shown(who))
    numbers = np.where(keys == 0, 0, keys + shifts).ravel()
    block.counter("material_key", "Material no.", numbers, "Row in the materials compared; 0: no material.")
    return block


def materials_block(who: Roster, scenarios: Sequence[Scenario]) -> Block:
    """Each material as it is and in each scenario: means by last year's units."""
    shown = materials_shown(who)
    block = Block(
        "scenario_materials",
        "Scenarios",
        "Materials, now and in the scenario",
        len(shown) * len(scenarios),
        "Means over sites and tooth regions, weighted by last year's units; in the practice's own order.",
        label=("scenario", "material"),
    )
    block.given("scenario", "Scenario", [s.title for s in scenarios for _ in shown], width=30)
    block.given("material", "Material", shown * len(scenarios), width=24)
    block.number()
    key = Name("no")
    weight, keys = Whole("scenario_items", "weight"), Whole("scenario_items", "material_key")
    block.total("weights", "Weights", "units", "scenario_items.weight", "scenario_items.material_key", "no")
    for name, heading in (
        ("cost_before", "Unit cost now"),
        ("cost_after", "Unit cost then"),
        ("net_before", "Net now"),
        ("net_after", "Net then"),
    ):
        product = total_product(Whole("scenario_items", name), weight, keys, key)
        block.tree(name, heading, "money", ratio(product, Name("weights"), 0), "Mean by last year's units.")
    block.worked(
        difference, name="cost_change", heading="Cost change", after="cost_after", before="cost_before"
    )
    for moment in ("before", "after"):
        heading = f"Margin {'now' if moment == 'before' else 'then'}"
        block.worked(
            margin, name=f"margin_{moment}", heading=heading, net=f"net_{moment}", unit_cost=f"cost_{moment}"
        )
    block.tree("aim", "Target margin", "fraction", Name("target_margin"), "The practice's target today.")
    return block
