"""Why what is left of each item changed: the steps of the way from then to now, item by item."""

from __future__ import annotations

from feesheet.costing.components import item_facts
from feesheet.costing.roster import Roster
from feesheet.formula.model import Block, Model, figure
from feesheet.formula.operations import ratio
from feesheet.formula.tree import Name, Traced, added, figure_in, node
from feesheet.pricing.checks import agrees
from feesheet.pricing.review import variances as made
from feesheet.pricing.review.bridge_steps import STEPS
from feesheet.pricing.review.then_items import own_parts
from feesheet.pricing.summary import sum_of

SHEET, WORKINGS = "Changes by item", "Steps"


@figure("Left then", "money")
def left_then(then_units: Traced, then_received: Traced, then_unit_cost: Traced, old_loose: Traced) -> Traced:
    """What was left then of the money received, after all costs of the units. Unit: money of the period."""
    return then_units * (then_received - then_unit_cost) + old_loose


@figure("Received then", "money")
def revenue_then(then_units: Traced, then_received: Traced, old_loose: Traced) -> Traced:
    """Units times money a unit, then, and money without units. Unit: money of the period."""
    return then_units * then_received + old_loose


@figure("In all", "number")
def in_all(now_units: Traced, of_a_unit: Traced) -> Traced:
    """Grams or minutes of a unit, for all of now's units."""
    return now_units * of_a_unit


@figure("Now's overhead at then's minutes", "money_per_min")
def rate_at_then_minutes(
    now_yearly_overhead: Traced, then_known: Traced, then_site_min: Traced, overhead_per_chair_min: Traced
) -> Traced:
    """Now's overhead over the chair minutes that were on offer then; now's rate where they are not known. Unit: money per min."""
    return ratio(now_yearly_overhead, then_known * then_site_min, overhead_per_chair_min)


@figure("Not explained", "money")
def unexplained(left_now: Traced, left_then: Traced, effects: Traced) -> Traced:
    """Left now less left then and all steps: nought, to rounding. Unit: money."""
    return left_now - left_then - effects


def add_items(model: Model, who: Roster) -> None:
    """Add the units in all, and each item's amounts, changes and revenue in the other convention."""
    model.add(_units_block())
    for block in (_amounts_block(model, who), _changes_block(who), _revenue_block(who)):
        model.add(block)


def _units_block() -> Block:
    """All units then and now: what volume means where it is told apart from mix."""
    block = Block(
        "all_units",
        "Why it changed",
        "Units in all",
        1,
        f"Volume is this growth on every item, mix is what is left. Convention: {made.NEW_VOLUME}.",
        label=("all_units_of",),
    )
    block.given("all_units_of", "Of", ["items on the schedule"], width=26)
    meaning = "Of all items on the schedule."
    block.listed("then_in_all", "Units then", "units", [sum_of("then_items.then_units")], meaning)
    block.listed("now_in_all", "Units now", "units", [sum_of("item_amounts.now_units")], meaning)
    block.worked(made.growth)
    return block


def _amounts_block(model: Model, who: Roster) -> Block:
    """Units, money, grams and minutes of each item that its changes are worked out from."""
    block = Block(
        "item_amounts",
        WORKINGS,
        "Units, money, grams and minutes",
        len(who.items),
        "Grams and minutes are those of now's units: as they are, and as then's unit would take.",
        aligned="items",
        label=("code", "site"),
    )
    item_facts(block, who)
    block.counter(
        "amount_no", "Item no.", list(range(1, block.rows + 1)), "The item's row in the cost build-up."
    )
    for name, heading, unit, source in (
        ("now_units", "Units now", "units", "earned.units"),
        ("now_received", "Received now", "money", "earned.received"),
    ):
        block.total(name, heading, unit, source, "earned.item_no", "amount_no")
    block.worked(made.price_now, name="now_price")
    block.worked(made.price_then, name="old_price")
    block.worked(made.money_without_units, name="now_loose", heading="Money without units now")
    _old_loose(model, block)
    for name, heading, of_a_unit in (
        ("now_grams", "Alloy now", "alloy_g"),
        ("old_grams", "Alloy as then", "then_alloy_g"),
        ("now_chair_min", "Chair minutes now", "chair_min"),
        ("old_chair_min", "Chair minutes as then", "then_chair_min"),
    ):
        block.worked(in_all, name=name, heading=heading, of_a_unit=of_a_unit)
    block.fetch("now_yearly_overhead", "Site's overhead now", "money", "sites.yearly_overhead", "site_no")
    block.fetch(
        "then_site_min", "Site's chair minutes then", "number", "then_sites.then_usable_min", "site_no"
    )
    block.worked(rate_at_then_minutes)
    own = added(Name(name) for name in own_parts(model))
    block.tree(
        "other_cost", "Other costs", "money", own, "The practice's own parts of the cost. Unit: money a unit."
    )
    return block


def _old_loose(model: Model, block: Block) -> None:
    """Money without units then, where money then is known apart from units; else nought."""
    name, heading = "old_loose", "Money without units then"
    if "then_money" in model.blocks["then_items"].columns:
        block.worked(
            made.money_without_units, name, heading, now_units="then_units", now_received="then_money"
        )
    else:
        block.tree(name, heading, "money", node(0), "Money is only known a unit.")


def _effects() -> dict[str, Traced]:
    """How each step is worked out. Of costs now and then change places: a dearer one takes away from what is left."""
    units = Name("now_units")
    growth = figure_in("all_units", "growth", 1)

    def costs(then: str, now: str, quantity: Traced = units) -> Traced:
        return made.price_variance(Name(then), Name(now), quantity)

    def uses(then: str, now: str, price: str) -> Traced:
        return made.quantity_variance(Name(then), Name(now), Name(price))

    then_units, old_price = Name("then_units"), Name("old_price")
    return {
        "effect_price": made.price_variance(Name("now_price"), old_price, units),
        "effect_volume": made.volume_effect(growth, then_units, old_price),
        "effect_mix": made.mix_effect(units, then_units, growth, old_price),
        "effect_loose": Name("now_loose") - Name("old_loose"),
        "effect_volume_cost": uses("then_units", "now_units", "then_unit_cost"),
        "effect_lab": costs("then_lab_fee", "lab_fee"),
        "effect_grams": uses("old_grams", "now_grams", "then_alloy_price_per_g"),
        "effect_alloy_price": costs("then_alloy_price_per_g", "alloy_price_per_g", Name("now_grams")),
        "effect_supplies": costs("then_supplies", "supplies"),
        "effect_minutes": costs("then_people_cost", "people_at_then_pay"),
        "effect_pay": costs("people_at_then_pay", "people_cost"),
        "effect_chair": uses("old_chair_min", "now_chair_min", "then_overhead_rate"),
        "effect_overhead": costs("then_overhead_rate", "rate_at_then_minutes", Name("now_chair_min")),
        "effect_capacity": costs("rate_at_then_minutes", "overhead_per_chair_min", Name("now_chair_min")),
        "effect_remakes": costs("then_remake_cost", "remake_cost"),
        "effect_other": costs("then_other_cost", "other_cost"),
    }


def _changes_block(who: Roster) -> Block:
    """The way from left then to left now, a column a step."""
    block = Block(
        "item_changes",
        SHEET,
        "Why it changed, item by item",
        len(who.items),
        "Each step as its effect on what is left: what takes away is negative. Left then + the steps = left now. "
        f"Convention: {made.NEW_VOLUME}.",
        aligned="items",
        label=("code", "site"),
    )
    item_facts(block, who)
    block.worked(left_then)
    worked = _effects()
    for step in STEPS:
        block.tree(
            step.name, step.title, "money", worked[step.name], f"{step.words} Unit: money of the period."
        )
    steps = added(Name(step.name) for step in STEPS)
    block.tree("effects", "All steps", "money", steps, "The steps added up. Unit: money of the period.")
    block.total("left_now", "Left now", "money", "earned.left", "earned.item_no", "amount_no")
    of_money = added(Name(name) for name in ("effect_price", "effect_volume", "effect_mix", "effect_loose"))
    block.tree(
        "of_money", "Steps of the money", "money", of_money, "Price, volume, mix and money without units."
    )
    block.worked(unexplained)
    block.worked(agrees, name="explained", heading="Explained", difference="unexplained")
    return block


def _revenue_block(who: Roster) -> Block:
    """The money received, then to now, in the other convention."""
    block = Block(
        "item_revenue",
        WORKINGS,
        "Money received, in the other convention",
        len(who.items),
        f"Convention: {made.OLD_VOLUME}. Price and volume are each judged as if the other had stayed.",
        aligned="items",
        label=("code", "site"),
    )
    item_facts(block, who)
    block.worked(revenue_then)
    price, old_price = Name("now_price"), Name("old_price")
    units, then_units = Name("now_units"), Name("then_units")
    for name, heading, tree, meaning in (
        (
            "price_alone",
            "Price alone",
            made.price_variance(price, old_price, then_units),
            "The change of the price on then's units.",
        ),
        (
            "volume_alone",
            "Volume alone",
            made.quantity_variance(units, then_units, old_price),
            "The change of the units at then's price.",
        ),
        (
            "price_and_volume",
            "Price and volume together",
            made.price_and_volume(price, old_price, units, then_units),
            "The change of the price on the change of the units: what neither made alone.",
        ),
    ):
        block.tree(name, heading, "money", tree, f"{meaning} Unit: money of the period.")
    return block
