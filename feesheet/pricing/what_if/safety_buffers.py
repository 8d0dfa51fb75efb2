"""What the rise of metal prices and the spread of weights may add to each item while a quote is held."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from feesheet.formula.model import Block, Model
from feesheet.formula.numbers import Numbers
from feesheet.formula.operations import height, nth_smallest
from feesheet.formula.tree import Name, Whole, figure_in
from feesheet.pricing.what_if import safety_figures as figures
from feesheet.pricing.what_if.exposure import BY_WEIGHT

SHEET = "Quote safety"


def add_buffers(model: Model, metals: Sequence[str]) -> None:
    """Add the spread of weights and the buffer of each item; `metals` are the rows of the block `quote_safety`."""
    numbers = Numbers(model)
    model.add(_gram_spread(model, numbers))
    model.add(_weight_safety())
    parts = _quote_parts(model, metals, numbers)
    model.add(parts)
    model.add(_quote_buffers(model, numbers))


def _gram_spread(model: Model, numbers: Numbers) -> Block:
    """The practice's own weighed alloy lines in the window, each against the mean of its material and tooth region."""
    lines = model.blocks["alloy_lines"]
    known = {
        name: np.asarray(numbers.of("alloy_lines", name)) for name in ("weighed", "weight_g", "alloy_units")
    }
    pool = np.asarray(numbers.of("alloy_lines", "pool_no"), dtype=int)
    mean = np.concatenate([[0.0], np.asarray(numbers.of("pools", "own_mean_g"), dtype=float)])[pool]
    kept = np.flatnonzero(
        (known["weighed"] == 1) & (known["weight_g"] > 0) & (known["alloy_units"] > 0) & (mean > 0)
    )
    block = Block(
        "gram_spread",
        SHEET,
        "Grams of each weighed line against the mean",
        len(kept),
        "The alloy lines of the window with a weight, units and a tooth region; credits are left out.",
        label=("alloy_line_no",),
    )
    block.counter("alloy_line_no", "Alloy line no.", (kept + 1).tolist(), "Row in the alloy lines.")
    block.counter("pool_no", "Grams no.", pool[kept].tolist(), "Row in the alloy grams.")
    block.given("alloy", "Alloy", [lines.labels("alloy")[row] for row in kept])
    block.fetch("weight_g", "Weight in g", "grams", "alloy_lines.weight_g", "alloy_line_no")
    block.fetch("alloy_units", "Units", "units", "alloy_lines.alloy_units", "alloy_line_no")
    block.fetch("own_mean_g", "Own mean", "grams", "pools.own_mean_g", "pool_no")
    block.worked(figures.grams_over_mean)
    return block


def _weight_safety() -> Block:
    """How far over its mean a casting may weigh, one row."""
    block = Block("weight_safety", SHEET, "Weight of a casting", 1, label=("what",))
    block.given("what", "What", ["All weighed lines"])
    ratios = Whole("gram_spread", "grams_over_mean")
    block.tree("lines", "Lines", "whole", height(Whole("gram_spread", "grams_over_mean")), "Weighed lines.")
    block.worked(figures.place, count="lines")
    block.tree(
        "ratio_at_place",
        "Grams over the mean there",
        "number",
        figures.at_place(Name("lines"), nth_smallest(ratios, Name("place")), 1),
        "The smallest ratio with at least the chosen share of all lines at or under it.",
    )
    block.worked(figures.weight_over)
    block.worked(figures.weight_basis)
    return block


def _quote_parts(model: Model, metals: Sequence[str], numbers: Numbers) -> Block:
    """Each metal in each item, and what its rise adds; a metal without a figure adds nothing and says so."""
    held = model.blocks["metal_items"]
    places = {metal: number for number, metal in enumerate(metals, start=1)}
    safety = [places.get(metal, 0) for metal in held.labels("metal")]
    block = Block(
        "quote_parts",
        SHEET,
        "Each metal in each item, and its rise",
        held.rows,
        label=("code", "site", "metal"),
    )
    for name in ("code", "site", "metal"):
        block.given(name, name.capitalize(), held.labels(name), "code" if name == "code" else "text")
    items = np.asarray(numbers.of("metal_items", "item_no"), dtype=int).tolist()
    block.counter("metal_item_no", "Row no.", [*range(1, held.rows + 1)], "Row in each metal in each item.")
    block.counter("item_no", "Item no.", items, "Row in the cost build-up.")
    block.counter("safety_no", "Safety no.", safety, "Row in the rises; 0: no figure for this metal.")
    block.counter("has_rise", "Has a rise", [int(number > 0) for number in safety], "1 if there is a figure.")
    block.fetch("metal_cost", "Metal in one unit", "money", "metal_items.metal_cost", "metal_item_no")
    block.fetch("rise_used", "Rise used", "change", "quote_safety.rise_used", "safety_no", 0)
    block.worked(figures.cost_rise)
    return block


def _quote_buffers(model: Model, numbers: Numbers) -> Block:
    """One row an item with alloy: what the rise and the weight may add, both together, and what share of the fee it is."""
    held = model.blocks["metal_items"]
    every = np.asarray(numbers.of("metal_items", "item_no"), dtype=int)
    items, first = np.unique(every, return_index=True)
    block = Block(
        "quote_buffers",
        SHEET,
        "Buffer of each item's quote",
        len(items),
        "Metals are taken as if they rose together; price and weight as independent.",
        label=("code", "site"),
    )
    block.given("code", "Code", [held.labels("code")[row] for row in first], "code")
    block.given("site", "Site", [held.labels("site")[row] for row in first])
    block.counter("item_no", "Item no.", items.tolist(), "Row in the cost build-up.")
    billed = [int(held.labels("billed")[row] == BY_WEIGHT) for row in first]
    block.counter("by_weight", "Alloy by weight", billed, "1 if the lab bills the item's alloy by weight.")
    block.fetch("current_fee", "Current fee", "fee", "fee_rules.current_fee", "item_no")
    block.fetch("unit_cost", "Unit cost", "money", "costs.unit_cost", "item_no")
    for name, heading, source, flags, meaning in (
        ("alloy_cost", "Its alloy", "metal_cost", (), "The metal in one unit, remakes included."),
        ("with_rise", "Of it with a rise", "metal_cost", ("quote_parts.has_rise",), "Metals with a figure."),
        ("price_part", "Price part", "cost_rise", (), "What the rise of its metals adds."),
    ):
        block.total(
            name, heading, "money", f"quote_parts.{source}", "quote_parts.item_no", "item_no", *flags,
            meaning=meaning,
        )  # fmt: skip
    over = figure_in("weight_safety", "weight_over", 1)
    block.tree(
        "weight_part",
        "Weight part",
        "money",
        figures.weight_part(Name("by_weight"), Name("alloy_cost"), over),
        "What a heavy casting adds, where the lab bills alloy by weight.",
    )
    block.worked(figures.buffer)
    block.worked(figures.buffer_share)
    return block
