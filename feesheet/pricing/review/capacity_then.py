"""The chair minutes of then beside those of now, and what is left after idle chairs."""

from __future__ import annotations

from feesheet.costing.components import item_facts
from feesheet.costing.roster import Roster
from feesheet.formula.model import Block, Model, figure
from feesheet.formula.tree import Traced, figure_in
from feesheet.pricing.review import variances as made
from feesheet.pricing.review.capacity_figures import (
    IDLE,
    SHEET,
    again_min,
    change_of,
    minutes_of_work,
    minutes_taken,
    overhead_supplied,
    supplied,
)
from feesheet.pricing.summary import sum_of

_TWIN = "then_costs"
"""The cost build-up of then, where the model has it: one row an item, as the cost build-up itself."""


@figure("Minutes of visits then", "many_minutes")
def visit_min_then(then_units: Traced, then_chair_min: Traced) -> Traced:
    """Chair minutes of then's units, remakes left out. Unit: min of the period."""
    return then_units * then_chair_min


def add_then(model: Model, who: Roster, months: int, rest: str) -> None:
    """Add the minutes and the overhead of then, and the change of what the unused minutes cost."""
    own_odds = _TWIN in model.blocks and "remake_odds" in model.blocks[_TWIN].columns
    model.add(_items_block(who, own_odds))
    model.add(_then_block(model, who, months, rest, own_odds))


def _items_block(who: Roster, own_odds: bool) -> Block:
    block = Block(
        "capacity_items_then",
        "Capacity workings",
        "Chair minutes by item, then",
        len(who.items),
        aligned="items",
        label=("code", "site"),
    )
    item_facts(block, who)
    block.worked(visit_min_then, name="visit_min_then")
    if own_odds:
        block.fetch("odds_then", "Remakes a good unit then", "number", f"{_TWIN}.remake_odds", "capacity_no")
    block.worked(
        again_min,
        name="again_min_then",
        heading="Minutes of remakes then",
        units="then_units",
        remake_odds="odds_then" if own_odds else "remake_odds",
    )
    return block


def _then_block(model: Model, who: Roster, months: int, rest: str, own_odds: bool) -> Block:
    """Each site's minutes and overhead then, and the change of the cost of those that nothing took."""
    said = ["Other work is taken to be as much as now."]
    if not own_odds:
        said.append("Remakes of then are counted at now's rate.")
    if "gone_items" in model.blocks:
        said.append("Minutes of items no longer on the schedule are not known, and count as unused.")
    block = Block(
        "capacity_then",
        SHEET,
        "Chair minutes and overhead, then",
        len(who.sites),
        " ".join(said),
        label=("site",),
    )
    block.number()
    block.given("site", "Site", list(who.sites))
    block.given("months", "Months", [float(months)] * block.rows, "whole", meaning="Months of the period.")
    block.fetch("usable_min", "Usable minutes a year", "many_minutes", "then_sites.then_usable_min", "no")
    block.fetch("overhead_year", "Overhead a year", "money", "then_sites.then_yearly_overhead", "no")
    block.worked(supplied, name="minutes_supplied")
    block.worked(overhead_supplied)
    block.worked(made.capacity_cost_rate, name="rate", cost_supplied="overhead_supplied")
    for name, heading in (("visit_min", "Minutes of visits"), ("again_min", "Minutes of remakes")):
        source = f"capacity_items_then.{name}_then"
        block.total(name, heading, "many_minutes", source, "costs.site_no", "no")
    block.worked(minutes_of_work, name="minutes_used")
    block.fetch("other_min", "Minutes of other work", "many_minutes", "capacity.other_min", "no")
    block.worked(minutes_taken, name="taken")
    block.worked(made.unused_min, heading=f"Minutes of {rest}", minutes_used="taken")
    block.worked(made.unused_cost, heading=f"Cost of {rest}")
    block.worked(made.share_used, minutes_used="taken")
    block.fetch("unused_now", f"Cost of {rest}, now", "money", "capacity.unused_cost", "no")
    block.worked(change_of, now="unused_now", then="unused_cost")
    return block


def add_left_after(model: Model, rest: str, compared: bool) -> None:
    """Add what is left of the items, what unused chair minutes cost, and what is left after that; then and now if compared."""
    titles = ["Left of the items", f"Cost of {rest}", f"Left after {rest}"]
    block = Block(
        "left_after_idle",
        "Why it changed" if compared else SHEET,
        f"Left after {rest}",
        len(titles),
        "No unit carries the minutes that no work of this schedule takes, so their cost stands on a line of its own. "
        "It is the whole place's, while what is left is this schedule's alone: the difference is no result of the practice."
        + ("" if rest == IDLE else " It is partly that of other work, which brings money of its own."),
        label=("left_line",),
    )
    block.given("left_line", "Line", titles, width=30)
    meaning = "Money of the period."
    if compared:
        then = figure_in("changes_told", "amount", 1), sum_of("capacity_then.unused_cost")
        block.listed("line_then", "Then", "money", _lines(*then), meaning)
    block.listed(
        "line_now", "Now", "money", _lines(sum_of("earned.left"), sum_of("capacity.unused_cost")), meaning
    )
    if compared:
        block.worked(change_of, now="line_now", then="line_then")
    model.add(block)


def _lines(left: Traced, unused: Traced) -> list[Traced]:
    return [left, 0 - unused, left - unused]
