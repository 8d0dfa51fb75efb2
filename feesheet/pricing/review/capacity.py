"""What the chairs cost while nobody sits in them: chair minutes on offer against those that the work takes, site by site.

Time-driven costing: a unit carries the minutes that it takes at the rate of usable capacity, so the cost of minutes that nothing
takes is in no unit. It stands here, on a line of its own.
"""

from __future__ import annotations

import pandas as pd

from feesheet.costing.components import item_facts
from feesheet.costing.roster import Roster
from feesheet.formula.model import Block, Model
from feesheet.practice import Practice
from feesheet.pricing.review import variances as made
from feesheet.pricing.review.capacity_figures import (
    IDLE,
    OTHER_OR_IDLE,
    SHEET,
    again_min,
    item_overhead,
    minutes_of_work,
    minutes_taken,
    other_min,
    overhead_supplied,
    remark,
    supplied,
    visit_min,
)
from feesheet.pricing.review.capacity_then import add_left_after, add_then


def add_capacity(model: Model, practice: Practice, who: Roster, months: int) -> None:
    """Add the chair minutes supplied, used and unused: needs `costs`, `sites` and `earned`; with `then_items` and `then_sites`
    also those of then, whenever the changes themselves are added."""
    hours = practice.tables["sites"]["other_chair_hours"]
    rest = IDLE if hours.notna().all() else OTHER_OR_IDLE
    model.add(_items_block(who))
    model.add(_capacity_block(practice, who, hours, months, rest))
    compared = {"then_items", "then_sites"} <= model.blocks.keys()
    if compared:
        add_then(model, who, months, rest)
    add_left_after(model, rest, compared)


def _items_block(who: Roster) -> Block:
    """The chair minutes of each item's units, and the overhead that its costs carry."""
    block = Block(
        "capacity_items",
        "Capacity workings",
        "Chair minutes by item",
        len(who.items),
        aligned="items",
        label=("code", "site"),
    )
    item_facts(block, who)
    numbers = list(range(1, block.rows + 1))
    block.counter("capacity_no", "Item no.", numbers, "The item's row in the cost build-up.")
    block.total("capacity_units", "Units", "units", "earned.units", "earned.item_no", "capacity_no")
    block.worked(again_min, units="capacity_units")
    block.worked(item_overhead)
    return block


def _capacity_block(practice: Practice, who: Roster, hours: pd.Series, months: int, rest: str) -> Block:
    """Each site's chair minutes and overhead: supplied, used, of other work, unused."""
    block = Block(
        "capacity",
        SHEET,
        "Chair minutes and overhead of the period",
        len(who.sites),
        f"Supplied at practical capacity; used by this schedule's work, remakes too. The rest: {rest}. "
        "Negative: more is used than supplied, so the capacity is set too low.",
        label=("site",),
    )
    block.number()
    block.given("site", "Site", list(who.sites))
    block.given("months", "Months", [float(months)] * block.rows, "whole", meaning="Months of the period.")
    block.fetch("usable_min", "Usable minutes a year", "many_minutes", "sites.usable_chair_min", "no")
    block.fetch("overhead_year", "Overhead a year", "money", "sites.yearly_overhead", "no")
    block.worked(supplied, name="minutes_supplied")
    block.worked(overhead_supplied)
    block.worked(made.capacity_cost_rate, name="rate", cost_supplied="overhead_supplied")
    block.total(
        "chair_hours", "Chair hours of visits", "number", "earned.chair_hours", "earned.site_no", "no"
    )
    block.worked(visit_min)
    block.total(
        "again_min", "Minutes of remakes", "many_minutes", "capacity_items.again_min", "costs.site_no", "no"
    )
    block.worked(minutes_of_work, name="minutes_used")
    _other_columns(block, practice, hours)
    block.worked(made.unused_min, heading=f"Minutes of {rest}", minutes_used="taken")
    block.worked(made.cost_used, name="assigned", heading="Overhead assigned")
    block.worked(
        made.cost_used, name="other_cost", heading="Overhead of other work", minutes_used="other_min"
    )
    block.worked(made.unused_cost, heading=f"Cost of {rest}")
    block.worked(made.share_used, minutes_used="taken")
    block.given(
        "rest", "The rest is", [IDLE if known else OTHER_OR_IDLE for known in hours.notna()], width=28
    )
    block.worked(remark)
    return block


def _other_columns(block: Block, practice: Practice, hours: pd.Series) -> None:
    """Chair hours of work that is not on the schedule, as typed with its place; a blank is not known, and counts nothing."""
    block.given("other_hours", "Hours of other work a year", list(hours.fillna(0.0)), "number")
    places = [
        ", ".join(practice.place("sites", row, "other_chair_hours")) if known else "not typed"
        for row, known in enumerate(hours.notna())
    ]
    block.given("other_from", "Read from", places, width=30)
    block.worked(other_min)
    block.worked(minutes_taken, name="taken")
