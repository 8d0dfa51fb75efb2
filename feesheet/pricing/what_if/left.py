"""What is left of today's fee on each material's mean, and how it falls as one metal's price rises."""

from __future__ import annotations

from feesheet.costing.roster import Roster
from feesheet.formula.model import Block, Model, figure
from feesheet.formula.tree import Name, Traced, figure_in
from feesheet.pricing.summary import materials_shown
from feesheet.pricing.what_if.exposure import SHEET, break_even, per_tenth, room_to_zero, times_price

CHANGES = (-0.4, -0.2, 0.0, 0.2, 0.4, 0.6)
"""Changes of the price, as shares of it, at which the table says what is left (a choice of this program)."""


@figure("Price then", "money")
def price_at(held_price: Traced, price_change: Traced) -> Traced:
    """The price so much higher, or lower. Unit: money per quoted unit."""
    return held_price * (1 + price_change)


@figure("Left at that price", "money")
def left_at(left_now: Traced, metal_cost: Traced, price_change: Traced) -> Traced:
    """What is left of the money that comes in at today's fee once the price has moved by that share.

    The unit cost is linear in the price. Unit: money a unit.
    """
    return left_now - metal_cost * price_change


def means_block(model: Model, who: Roster, metal: str) -> Block:
    """The metal in each material on the mean, what is left of its fee, and the price at which nothing is."""
    shown = materials_shown(who)
    metal_no = model.blocks["metals"].labels("metal").index(metal) + 1
    block = Block(
        "metal_means",
        SHEET,
        f"What is left of each material's fee, and the {metal} in it",
        len(shown),
        "Means over sites and tooth regions, by last year's units; other metals as they are.",
        aligned="materials",
        label=("held_material",),
    )
    block.given("held_material", "Material", shown, width=24)
    numbers = list(range(1, len(shown) + 1))
    block.counter("held_no", "Row no.", numbers, "Row in the chair hours by material.")
    block.counter("held_metal_no", "Metal no.", [metal_no] * len(shown), "Row in the metal prices.")
    block.fetch("held_price", "Price now", "money", "metals.price", "held_metal_no")
    block.fetch("held_metal", f"{metal.capitalize()} in one unit", "money", "hours.mean_metal", "held_no")
    block.worked(per_tenth, name="held_tenth", heading="+10 %, a unit", metal_cost="held_metal")
    block.worked(
        room_to_zero,
        name="held_left",
        heading="Left of the fee now",
        net_now="mean_net_now",
        unit_cost="mean_cost",
    )
    block.worked(
        times_price,
        name="held_times",
        heading="Times the price now",
        room="held_left",
        metal_cost="held_metal",
    )
    block.worked(
        break_even,
        name="held_zero",
        heading="Price at which nothing is left",
        times_price="held_times",
        metal_cost="held_metal",
        price="held_price",
        current_fee="mean_now",
    )
    return block


def left_block(model: Model, who: Roster, metal: str) -> Block:
    """What is left on the mean at a few prices of the metal, one column a material that holds it."""
    shown = materials_shown(who)
    rows = model.blocks["metal_items"]
    held = {
        material
        for material, one in zip(rows.labels("material"), rows.labels("metal"), strict=True)
        if one == metal
    }
    block = Block(
        "metal_left",
        SHEET,
        f"What is left of today's fee as the price of {metal} moves",
        len(CHANGES),
        "On the mean by last year's units; other metals as they are. Under nought the fee does not cover the cost.",
        label=("price_change",),
    )
    block.given("price_change", "Change of the price", list(CHANGES), "change", width=24)
    price = figure_in("metal_means", "held_price", 1)
    block.tree("price_then", "Price then", "money", price_at(price, Name("price_change")), "The price moved.")
    for number, material in enumerate(shown, start=1):
        if material in held:
            left, cost = (figure_in("metal_means", column, number) for column in ("held_left", "held_metal"))
            tree = left_at(left, cost, Name("price_change"))
            block.tree(f"left_{number}", _heading(material), "money", tree, "Left on the mean.")
    return block


def _heading(material: str) -> str:
    """The material as a column's heading."""
    return material[:1].upper() + material[1:]
