"""The figures of the comparison period item by item, site by site and in all, where it is of the same folder.

Minutes, pay, supplies and overhead have no dates in a practice's workbooks: those of then are those of now.
"""

from __future__ import annotations

import pandas as pd

from feesheet.costing.components import (
    ALLOY_COST,
    LAB_FEE,
    OVERHEAD_COST,
    PEOPLE_COST,
    REMAKE_COST,
    SUPPLIES,
)
from feesheet.costing.line_uses import USED
from feesheet.costing.roster import Roster
from feesheet.formula.model import Block, Model, figure
from feesheet.formula.operations import grand_total, lookup, ratio, same, total, when
from feesheet.formula.tree import Name, Node, Traced, Whole, added, figure_in, walk
from feesheet.practice import Practice
from feesheet.pricing.review.period import Period

SHEET, WORKINGS = "Changes by item", "Then workings"

_BUILT_IN = {part.name for part in (LAB_FEE, ALLOY_COST, SUPPLIES, PEOPLE_COST, OVERHEAD_COST, REMAKE_COST)}
"""The parts of the unit cost that have columns of their own here."""

_COSTS = (
    ("then_lab_fee", "Lab fee then", "money", "lab_fee"),
    ("then_alloy_g", "Alloy grams then", "grams", "alloy_g"),
    ("then_alloy_price_per_g", "Alloy price per g then", "money_per_g", "alloy_price_per_g"),
    ("then_supplies", "Supplies then", "money", "supplies"),
    ("then_people_cost", "People then", "money", "people_cost"),
    ("then_chair_min", "Chair minutes then", "minutes", "chair_min"),
    ("then_overhead_rate", "Overhead a chair minute then", "money_per_min", "overhead_per_chair_min"),
    ("then_remake_cost", "Remakes then", "money", "remake_cost"),
)
"""Columns of the items then: name, heading, unit, and the column of the cost build-up."""


@figure("There then", "whole")
def then_known(then_units: Traced) -> Traced:
    """1 if there were units then; without any, costs of then stand as those of now and nothing is said to have changed."""
    return when(same(then_units, 0), 0, 1)


@figure("Received a unit then", "money")
def then_received(then_money: Traced, then_units: Traced) -> Traced:
    """What came in for one unit then; 0 where there were none. Unit: money a unit."""
    return ratio(then_money, then_units, 0)


@figure("Lab spend then", "money")
def lab_spend_then(fees_then: Traced, charges_then: Traced) -> Traced:
    """Lab work in a cost in the comparison period, without alloy and without what remakes were charged. Unit: money."""
    return fees_then + charges_then


def own_parts(model: Model) -> list[str]:
    """The parts of the unit cost that plug-ins add, in order."""
    unit_cost = model.blocks["costs"].columns["unit_cost"].tree
    names = [part.name for part in walk(unit_cost) if isinstance(part, Name)] if unit_cost is not None else []
    return [name for name in names if name not in _BUILT_IN]


def of_crowns(column: str) -> Traced:
    """What a column of the table `earned` comes to over the items with lab work: all of it less the other items'."""
    values = Whole("earned", column)
    return grand_total(values) - total(values, Whole("earned", "material_no"), 0)


def then_items_block(model: Model, who: Roster) -> Block:
    """Each item then: units, money received, and the parts of its cost; needs `earned` and the twins of `add_then`."""
    block = Block(
        "then_items",
        SHEET,
        "Each item in the comparison period",
        len(who.items),
        "An item without units then has the costs of now.",
        aligned="items",
        label=("code", "site"),
    )
    for column in ("code", "site"):
        words = list(who.items[column])
        block.given(column, column.capitalize(), words, "code" if column == "code" else "text")
    block.counter("then_item_no", "Item no.", list(range(1, len(who.items) + 1)), "Row in the cost build-up.")
    for name, heading, unit, source in (
        ("then_units", "Units then", "units", "earned.units_then"),
        ("then_money", "Received then", "money", "earned.received_then"),
    ):
        block.total(name, heading, unit, source, "earned.item_no", "then_item_no")
    block.worked(then_known)
    block.worked(then_received)
    for name, heading, unit, column in _COSTS:
        block.tree(name, heading, unit, _as_it_was(column), "As worked out for the comparison period.")
    _own_part_columns(block, own_parts(model))
    block.tree(
        "then_unit_cost", "Unit cost then", "money", _as_it_was("unit_cost"), "All parts. Unit: money a unit."
    )
    block.tree(
        "people_at_then_pay",
        "People at pay of then",
        "money",
        Name("people_cost"),
        "Pay has no dates in the practice's workbooks: that of now. Unit: money a unit.",
    )
    return block


def _as_it_was(column: str) -> Node:
    """A cost figure of the item then; that of now where there was no unit."""
    was = lookup(Whole("then_costs", column), Name("then_item_no"))
    result: Node = when(Name("then_known") >= 1, was, Name(column))
    return result


def _own_part_columns(block: Block, own: list[str]) -> None:
    """The parts that plug-ins add, each then, and their sum; none: nought."""
    for name in own:
        block.tree(f"then_{name}", f"{name} then", "money", _as_it_was(name), "A part of the practice's own.")
    names = [Name(f"then_{name}") for name in own]
    block.tree(
        "then_other_cost", "Own parts then", "money", added(names), "Parts of the practice's own, added up."
    )


def then_sites_block(model: Model, who: Roster) -> Block:
    """Each site then: overhead and chair minutes have no dates in the practice's workbooks, so they are those of now."""
    block = Block(
        "then_sites",
        WORKINGS,
        "Each site in the comparison period",
        model.blocks["sites"].rows,
        "Overhead and chairs have no dates in the practice's workbooks: those of now.",
        label=("site",),
    )
    block.given("site", "Site", list(who.sites))
    block.number()
    for name, heading, unit, column in (
        ("then_yearly_overhead", "Yearly overhead then", "money", "yearly_overhead"),
        ("then_usable_min", "Usable chair minutes then", "number", "usable_chair_min"),
    ):
        block.fetch(name, heading, unit, f"sites.{column}", "no", meaning="As now.")
    return block


def collections_block(practice: Practice, period: Period, moment: str) -> Block:
    """The collections of a period, "now" or "then", one row each; a month belongs to the period that its last day is in."""
    table = practice.tables["collections"]
    months = pd.to_datetime(table["month_end"]) + pd.offsets.MonthEnd(0)
    rows = [position for position, inside in enumerate(period.holds(months)) if inside]
    block = Block(
        f"{moment}_collections",
        WORKINGS,
        f"Collections, {period.title}",
        len(rows),
        label=("month", "site"),
    )
    places = [practice.place("collections", row, "collected_money") for row in rows]
    block.given("read_from", "Read from", [", ".join(place) for place in places], width=30)
    block.given("month", "Month", [table["month_end"].iloc[row] for row in rows], "date")
    block.given("site", "Site", [str(table["site"].iloc[row]) for row in rows])
    money = [float(table["collected_money"].iloc[row]) for row in rows]
    block.given(f"collected_{moment}", "Collections", money, "money")
    return block


def then_totals_block(model: Model) -> Block:
    """The comparison period in all: lab spend, alloy spend, what crowns brought, and collections, blank where none are known."""
    block = Block("then_totals", WORKINGS, "The comparison period in all", 1, label=("then_what",))
    block.given("then_what", "Of", ["the comparison period"], width=24)
    for name, heading, row in (
        ("fees_then", "Lab fees then", 1),
        ("charges_then", "Charges on invoices then", 2),
        ("alloy_spend_then", "Alloy spend then", 3),
    ):
        meaning = f'Used for "{USED[row - 1]}".'
        block.tree(name, heading, "money", figure_in("then_spend", "use_used_then", row), meaning)
    block.worked(lab_spend_then)
    revenue = of_crowns("received_then")
    block.tree("crown_revenue_then", "Crown revenue then", "money", revenue, "Of all items with lab work.")
    what, heading = "collections_then", "Collections then"
    if model.blocks["then_collections"].rows:
        found = grand_total(Whole("then_collections", "collected_then"))
        block.tree(what, heading, "money", found, "All that came in for all dentistry.")
    else:
        block.given(what, heading, [float("nan")], "money", meaning="Blank: not known.")
    return block
