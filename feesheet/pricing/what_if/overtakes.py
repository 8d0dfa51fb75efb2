"""The metal price at which one material leaves more of an hour of the chair than another: facts, no ranking."""

from __future__ import annotations

from itertools import combinations

import numpy as np

from feesheet.costing.roster import Roster
from feesheet.formula.model import Block, Model, figure
from feesheet.formula.numbers import Numbers
from feesheet.formula.operations import any_of, ratio, same, total_product, when
from feesheet.formula.tree import Name, Traced, Whole
from feesheet.pricing.results import contribution_per_chair_hour
from feesheet.pricing.summary import materials_shown

SHEET = "Overtakes"
NEVER = "at no price"

NOTE = (
    "What is left of the money received after lab, alloy, supplies and remakes, for an hour of the chair, at today's fees. "
    "The choice of material is the dentist's."
)


@figure("Times the price now", "number")
def level_times(hour_a: Traced, hour_b: Traced, metal_a: Traced, metal_b: Traced) -> Traced:
    """How many times its present price the metal costs where both materials leave the same of a chair hour.

    Both fall in a straight line as the price rises, each as fast as it uses metal.
    """
    return 1 + ratio(hour_a - hour_b, metal_a - metal_b, 0)


@figure("Level at", "needed")
def level_price(price: Traced, level_times: Traced, metal_a: Traced, metal_b: Traced) -> Traced:
    """The price of the quoted unit at which both leave the same; words where there is none."""
    return when(any_of(same(metal_a, metal_b), level_times <= 0), NEVER, price * level_times)


def hours_block(who: Roster, model: Model, metal: str) -> Block:
    """Each material: what a chair hour leaves at today's fees, and the metal in it."""
    shown = materials_shown(who)
    metal_no = model.blocks["metals"].labels("metal").index(metal) + 1
    block = Block("hours", SHEET, "A chair hour by material", len(shown), NOTE, label=("material",))
    block.given("material", "Material", shown, width=24)
    block.number()
    numbers = [who.materials.index(material) + 1 for material in shown]
    block.counter("material_no", "Material no.", numbers, "Row in the materials.")
    block.counter("metal_no", "Metal no.", [metal_no] * len(shown), "Row in the metal prices.")
    block.total("weights", "Weights", "units", "margins.summary_weight", "costs.material_no", "material_no")
    for name, heading, home, column, unit in (
        ("mean_contribution", "Contribution a unit", "year_items", "contribution_now", "money"),
        ("mean_chair_min", "Chair minutes", "costs", "chair_min", "minutes"),
    ):
        _mean(block, name, heading, unit, Whole(home, column), ("margins", "summary_weight"), "costs")
    _metal_mean(block, model, metal)
    for name, heading, money in (
        ("hour_now", "Contribution a chair hour", "mean_contribution"),
        ("metal_hour", f"{metal.capitalize()} a chair hour", "mean_metal"),
    ):
        block.worked(
            contribution_per_chair_hour,
            name=name,
            heading=heading,
            contribution=money,
            chair_min="mean_chair_min",
        )
    return block


def _mean(
    block: Block, name: str, heading: str, unit: str, values: Whole, weight: tuple[str, str], keyed: str
) -> None:
    product = total_product(values, Whole(*weight), Whole(keyed, "material_no"), Name("material_no"))
    block.tree(name, heading, unit, ratio(product, Name("weights"), 0), "Mean by last year's units.")


def _metal_mean(block: Block, model: Model, metal: str) -> None:
    """The mean of the metal's cost: its rows alone are keyed by the material."""
    rows = model.blocks["metal_items"]
    metals, materials = rows.labels("metal"), rows.labels("material")
    shown = block.labels("material")
    keys = [shown.index(m) + 1 if one == metal else 0 for one, m in zip(metals, materials, strict=True)]
    rows.counter("hour_key", "Chair hour no.", keys, "Row in the chair hours by material; 0: another metal.")
    product = total_product(
        Whole("metal_items", "metal_cost"),
        Whole("metal_items", "weight"),
        Whole("metal_items", "hour_key"),
        Name("no"),
    )
    heading = f"{metal.capitalize()} in one unit"
    block.tree(
        "mean_metal", heading, "money", ratio(product, Name("weights"), 0), "Mean by last year's units."
    )


def overtakes_block(model: Model, metal: str, numbers: Numbers) -> Block:
    """Pairs of materials of which at least one holds the metal: the price at which they leave the same."""
    names = model.blocks["hours"].labels("material")
    held = np.asarray(numbers.of("hours", "mean_metal")) > 0
    pairs = [(a, b) for a, b in combinations(range(len(names)), 2) if held[a] or held[b]]
    pairs = [(a, b) if held[a] else (b, a) for a, b in pairs]
    block = Block(
        "overtakes",
        SHEET,
        f"The price of {metal} at which two materials leave the same of a chair hour",
        len(pairs),
        "Under that price the one with more metal leaves more, over it the other; other metals as they are.",
        label=("first", "second"),
    )
    block.given("first", "Material", [names[a] for a, _ in pairs], width=26)
    block.given("second", "Other material", [names[b] for _, b in pairs], width=26)
    for column, which in (("a_no", 0), ("b_no", 1)):
        numbers_in = [pair[which] + 1 for pair in pairs]
        heading = "Row no." if which == 0 else "Other row no."
        block.counter(column, heading, numbers_in, "Row in the chair hours by material.")
    metal_no = model.blocks["metals"].labels("metal").index(metal) + 1
    block.counter("metal_no", "Metal no.", [metal_no] * len(pairs), "Row in the metal prices.")
    block.fetch("price", "Price now", "money", "metals.price", "metal_no")
    for side, whose in (("a", ""), ("b", ", the other")):
        block.fetch(f"hour_{side}", f"Chair hour now{whose}", "money", "hours.hour_now", f"{side}_no")
        block.fetch(f"metal_{side}", f"Metal in it{whose}", "money", "hours.metal_hour", f"{side}_no")
    block.worked(level_times)
    block.worked(level_price)
    return block
