"""Workings of the way from the labs' bills to the cost: by place, by material and tooth region, and by item."""

from __future__ import annotations

from feesheet.costing.components import item_facts
from feesheet.costing.roster import Roster
from feesheet.formula.model import Block, Model
from feesheet.pricing.review import bills_to_cost_figures as figures
from feesheet.pricing.review.ranges import counters_of

SHEET = "Bill workings"


def _labels(block: Block, of: Block) -> None:
    """The words that tell the rows of a table apart, once more."""
    for name in of.label:
        block.given(name, of.columns[name].heading, of.labels(name))


def places_block(model: Model) -> Block:
    """One row a place (material, tooth region, site): what was billed, what was made, and the steps between."""
    fees = model.blocks["lab_fees"]
    block = Block(
        "bill_places", SHEET, "Steps by place", fees.rows, "A row is one of the lab fees.", label=fees.label
    )
    _labels(block, fees)
    numbers = list(range(1, block.rows + 1))
    block.counter("place_no", "Lab fee no.", numbers, "Row in the lab fees.")
    block.counter("pool_no", "Grams no.", counters_of(fees, "pool_no"), "Row in the alloy grams.")
    for name, heading, unit, source, by in (
        ("made", "Units made", "units", "lab_fees.n", "place_no"),
        ("billed", "Billed", "money", "lab_fees.billed", "place_no"),
        ("inside", "Alloy inside", "money", "lab_fees.metal_out", "place_no"),
        ("usual_fee", "Lab fee", "money", "lab_fees.blended_lab_fee", "place_no"),
        ("no_code", "Units in no code", "units", "period_places.units_in_no_code", "place_no"),
        ("usual_g", "Alloy grams", "grams", "pools.alloy_g", "pool_no"),
        ("price_per_g", "Alloy price per g", "money_per_g", "pools.alloy_price_per_g", "pool_no"),
    ):
        block.fetch(name, heading, unit, source, by, 0)
    for name, heading, source, where in (
        ("inside_units", "Units with alloy inside", "all_in.line_units", "all_in.lab_no"),
        ("work_units", "Units of the work", "earned.units", "earned.place_no"),
    ):
        block.total(name, heading, "units", source, where, "place_no")
    for function in (
        figures.alloy_unit,
        figures.blend_step,
        figures.inside_price,
        figures.no_code_fees,
        figures.no_code_alloy,
        figures.units_more,
        figures.more_fees,
        figures.more_alloy,
    ):
        block.worked(function)
    return block


def pools_block(model: Model) -> Block:
    """One row a material and tooth region: alloy billed, grams, and the steps between."""
    pools = model.blocks["pools"]
    block = Block(
        "bill_pools",
        SHEET,
        "Steps by material and tooth region",
        pools.rows,
        "The price is that of the material's alloy.",
        label=pools.label,
    )
    _labels(block, pools)
    numbers = list(range(1, block.rows + 1))
    block.counter("pool_no", "Grams no.", numbers, "Row in the alloy grams.")
    block.counter(
        "alloy_no", "Alloy no.", counters_of(pools, "alloy_no"), "Row in the Alloys table; 0: no alloy."
    )
    source, flag = "alloy_lines.alloy_billed", "alloy_lines.alloy_used_line"
    block.total("alloy_billed", "Billed", "money", source, "alloy_lines.pool_no", "pool_no", flag)
    for name, heading, unit, column in (
        ("alloy_grams", "Billed grams", "grams", "billed_g"),
        ("weighed_units", "Units weighed", "units", "n"),
        ("usual_g", "Alloy grams", "grams", "alloy_g"),
        ("price_per_g", "Alloy price per g", "money_per_g", "alloy_price_per_g"),
    ):
        block.fetch(name, heading, unit, f"pools.{column}", "pool_no")
    for name, heading in (("made", "Units made"), ("inside_units", "Units with alloy inside")):
        block.total(name, heading, "units", f"bill_places.{name}", "bill_places.pool_no", "pool_no")
    for function in (
        figures.alloy_unit,
        figures.no_alloy,
        figures.price_step,
        figures.grams_step,
        figures.not_weighed,
        figures.not_weighed_alloy,
    ):
        block.worked(function)
    return block


def items_in_cost_block(who: Roster) -> Block:
    """One row an item: lab fees, alloy and all else in the cost of its work."""
    block = Block(
        "bill_items",
        SHEET,
        "The cost of the work by item",
        len(who.items),
        aligned="items",
        label=("code", "site"),
    )
    item_facts(block, who)
    for function in (figures.fees_in_cost, figures.alloy_in_cost, figures.rest_in_cost):
        block.worked(function)
    return block
