"""The metals over materials and over the year, and the alloy that no price moves."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pandas as pd

from feesheet.costing.meaning import ALLOY
from feesheet.costing.roster import Roster, numbers_of
from feesheet.formula.model import Block, Model, figure
from feesheet.formula.numbers import Numbers
from feesheet.formula.operations import ratio, total_product
from feesheet.formula.tree import Name, Traced, Whole
from feesheet.practice import Practice
from feesheet.pricing.what_if.exposure import HIDDEN, SHEET
from feesheet.reference import fixed
from feesheet.schema import plain

SURCHARGE = "alloy surcharge"
UNMODELLED = "Billed in the invoice months; it is in no unit cost, and no metal price moves it here. Its alloy, its weight or its metals' prices are not known."


def metal_materials_block(model: Model, who: Roster) -> Block:
    """Each metal in each material: what a move of its price does to one unit, on the mean, and to the year."""
    rows = model.blocks["metal_items"]
    pairs = list(zip(rows.labels("material"), rows.labels("metal"), strict=True))
    shown = sorted(dict.fromkeys(pairs), key=lambda pair: who.materials.index(pair[0]))
    rows.counter(
        "pair_no", "Material and metal no.", numbers_of(pairs, shown), "Row in the table by material."
    )
    block = Block(
        "metal_materials",
        SHEET,
        "Each metal in each material",
        len(shown),
        "Means over sites and tooth regions, by last year's units; in the practice's own order.",
        label=("material", "metal"),
    )
    block.given("material", "Material", [material for material, _ in shown], width=24)
    block.given("metal", "Metal", [metal for _, metal in shown])
    block.number()
    block.total("weights", "Weights", "units", "metal_items.weight", "metal_items.pair_no", "no")
    for name, heading in (
        ("metal_cost", "Metal in one unit"),
        ("per_tenth", "+10 %, a unit"),
        ("per_hundred", "+100 a troy ounce, a unit"),
    ):
        _mean(block, name, heading)
    for name, heading in (
        ("metal_cost_year", "Metal, a year"),
        ("per_tenth_year", "+10 %, a year"),
        ("per_hundred_year", "+100 a troy ounce, a year"),
    ):
        block.total(name, heading, "money", f"metal_items.{name}", "metal_items.pair_no", "no")
    return block


def _mean(block: Block, name: str, heading: str) -> None:
    """The mean over the material's items, weighted as on the summary."""
    product = total_product(
        Whole("metal_items", name),
        Whole("metal_items", "weight"),
        Whole("metal_items", "pair_no"),
        Name("no"),
    )
    block.tree(name, heading, "money", ratio(product, Name("weights"), 0), "Mean by last year's units.")


def metal_years_block(model: Model, metals: Sequence[str]) -> Block:
    """Each metal over the year: its cost, what a move adds, and how much of it hides in unit fees."""
    names = model.blocks["metals"].labels("metal")
    items = model.blocks["metal_items"]
    hidden = [int(words == HIDDEN) for words in items.labels("billed")]
    items.counter("hidden", "Hidden", hidden, "1 if the alloy is inside the lab's unit fee.")
    block = Block(
        "metal_years",
        SHEET,
        "Each metal in a year",
        len(metals),
        "At last year's units. Alloy inside a lab's unit fee is estimated from grams: the lab may pass a rise on later, or in part.",
        aligned="metal_years",
        label=("metal",),
    )
    block.given("metal", "Metal", list(metals))
    block.counter("metal_no", "Metal no.", numbers_of(metals, names), "Row in the metal prices.")
    block.fetch("price", "Price", "money", "metals.price", "metal_no")
    block.given(
        "quoted_unit", "Per", [model.blocks["metals"].labels("quoted_unit")[names.index(m)] for m in metals]
    )
    for name, heading in (
        ("metal_cost_year", "Metal in a year"),
        ("per_tenth_year", "+10 %, a year"),
        ("per_hundred_year", "+100 a troy ounce, a year"),
    ):
        block.total(name, heading, "money", f"metal_items.{name}", "metal_items.metal_no", "metal_no")
    block.total(
        "hidden_year",
        "Of it hidden in unit fees",
        "money",
        "metal_items.metal_cost_year",
        "metal_items.metal_no",
        "metal_no",
        "metal_items.hidden",
        meaning="The metal's cost in a year where a lab bills one price with the alloy inside it.",
    )
    return block


@figure("A year", "money")
def unmodelled_year(
    amount: Traced, invoice_months: Traced, months_per_year: Traced = fixed("months_per_year")
) -> Traced:
    """Alloy money of the window's months, for a year. Unit: money a year."""
    return amount / invoice_months * months_per_year


def unmodelled_block(practice: Practice, parts: pd.DataFrame, who: Roster, numbers: Numbers) -> Block:
    """Alloy that was billed and that no metal price moves here, by why."""
    months = float(practice.settings["invoice_months"])
    alloy = (parts["treatment"] == ALLOY) & ~parts["copy"]
    values = np.asarray(numbers.of("alloys", "metal_value_per_g"))
    unpriced = {alloy for alloy, value in zip(who.alloys, values, strict=True) if value <= 0}
    surcharge = parts["kind"].astype(str).map(plain) == SURCHARGE
    reasons = {
        "alloy lines whose alloy is not known": alloy & (parts["alloy_used"] == ""),
        "alloy lines without a weight": alloy & (parts["alloy_used"] != "") & parts["weight"].isna(),
        "alloy lines of alloys without a priced metal": alloy
        & parts["alloy_used"].isin(unpriced)
        & parts["weight"].notna(),
        "surcharges for alloy, without a weight": surcharge & ~parts["copy"],
    }
    money = parts["amount"].fillna(0.0) * parts["share"]
    found = {words: float(money[marks & parts["in_window"]].sum()) for words, marks in reasons.items()}
    rows = {words: amount for words, amount in found.items() if amount}
    block = Block("unmodelled", SHEET, "Alloy not modelled", len(rows), UNMODELLED, label=("why",))
    block.given("why", "Billed as", list(rows), width=38 if rows else None)
    block.given("amount", "In the invoice months", list(rows.values()), "money")
    block.given("invoice_months", "Invoice months", [months] * len(rows), "whole")
    block.worked(unmodelled_year)
    return block
