"""What a year brings at last year's units and today's fees, item by item: the measure that cases are compared by."""

from __future__ import annotations

from feesheet.costing.components import item_facts
from feesheet.costing.roster import Roster
from feesheet.formula.cases import Key
from feesheet.formula.model import Block, figure
from feesheet.formula.tree import Traced
from feesheet.pricing.results import contribution, yearly

COST_YEAR: Key = ("year_items", "cost_year")
LEFT_YEAR: Key = ("year_items", "left_year")
OVER_YEAR: Key = ("year_items", "over_year")
UNDER_TARGET: Key = ("year_items", "under_target")


@figure("Left in a year", "money")
def left_year(cash_now_year: Traced, cost_year: Traced) -> Traced:
    """Money that comes in at today's fees less all costs. Unit: money a year."""
    return cash_now_year - cost_year


@figure("Over the target", "money")
def over_target(net_now: Traced, net_needed: Traced) -> Traced:
    """What comes in at today's fee over what cost and target margin need; under it: negative. Unit: money a unit."""
    return net_now - net_needed


@figure("Under its target", "whole")
def under_target(current_fee: Traced, over_target: Traced) -> Traced:
    """1 if there is a current fee and what comes in from it is less than cost and target margin need."""
    return (current_fee > 0) * (over_target < 0)


@figure("Change", "change_money")
def difference(after: Traced, before: Traced) -> Traced:
    """After less before."""
    return after - before


def year_block(who: Roster) -> Block:
    """The year's money of each item, at last year's units; nought for an item without a current fee."""
    block = Block(
        "year_items",
        "Year",
        "A year at today's fees",
        len(who.items),
        "At last year's units and the fees in force. An item without a current fee counts nought.",
        aligned="items",
        label=("code", "site"),
    )
    item_facts(block, who)
    block.worked(yearly, name="cost_year", heading="Cost a year", cash="unit_cost")
    block.worked(left_year)
    block.worked(over_target)
    block.worked(under_target)
    block.worked(yearly, name="over_year", heading="Over the target a year", cash="over_target")
    block.worked(contribution, name="contribution_now", heading="Contribution at today's fee", net="net_now")
    return block
