"""Last year's workbook beside the present schedule: what each item and site was then, and people's cost at then's pay.

Facts stand as they were read, each with its row in that workbook; everything else is worked out of them.
"""

from __future__ import annotations

from feesheet.costing.components import item_facts
from feesheet.costing.roster import Roster
from feesheet.formula.model import Block, Model, figure
from feesheet.formula.tree import Name, Traced, Whole, call
from feesheet.practice import Practice
from feesheet.pricing.review.last_year import LastYear, rows_then
from feesheet.pricing.review.then_book_facts import (
    SHEET,
    SITE_FIGURES,
    UNIT_FIGURES,
    facts_block,
    gone_block,
    site_facts_block,
    totals_block,
)
from feesheet.pricing.review.then_pay import PAY, add_pay_case, pay_block


@figure("Known then", "whole")
def known_then(then_row: Traced) -> Traced:
    """1 if the item was on last year's schedule; where it was not, costs are those of now."""
    return then_row > 0


@figure("Other costs then", "money")
def other_cost_then(
    then_unit_cost: Traced,
    then_lab_fee: Traced,
    then_alloy_g: Traced,
    then_alloy_price_per_g: Traced,
    then_supplies: Traced,
    then_people_cost: Traced,
    then_chair_min: Traced,
    then_overhead_rate: Traced,
    then_remake_cost: Traced,
) -> Traced:
    """What the other parts leave over of the unit cost: the practice's own parts. Unit: money a unit."""
    people_and_room = then_people_cost + then_chair_min * then_overhead_rate
    material = then_lab_fee + then_alloy_g * then_alloy_price_per_g + then_supplies
    return then_unit_cost - material - people_and_room - then_remake_cost


def add_then_book(model: Model, practice: Practice, who: Roster, last_year: LastYear) -> None:
    """Add `then_items`, `then_sites`, `then_totals`, the facts and pay behind them, and `gone_items` if there are any.

    `practice` is restated to the review's period: units and money then are for as many months.
    """
    model.add(pay_block(model, last_year))
    add_pay_case(model, last_year)
    labels = list(zip(who.items["code"], who.items["site"], strict=True))
    numbers = rows_then(labels, last_year.items)
    kept = sorted({*numbers} - {0})
    gone = [row for number, row in enumerate(last_year.items, start=1) if number not in kept]
    model.add(facts_block(last_year, [last_year.items[number - 1] for number in kept]))
    model.add(site_facts_block(last_year))
    places = {number: place for place, number in enumerate(kept, start=1)}
    model.add(_items_block(who, [places.get(number, 0) for number in numbers], last_year))
    model.add(_sites_block(who, last_year))
    if gone:
        model.add(gone_block(last_year, gone))
    model.add(totals_block(last_year, int(practice.settings["invoice_months"]), bool(gone)))


def _items_block(who: Roster, numbers: list[int], last_year: LastYear) -> Block:
    """Each item of the present schedule as it was then."""
    block = Block(
        "then_items",
        SHEET,
        "Last year's figures of each item",
        len(who.items),
        "Of an item that was not on the schedule, costs are those of now, so that only its units are new.",
        aligned="items",
        label=("code", "site"),
    )
    item_facts(block, who)
    block.counter("then_row", "Row then", numbers, "Row in the items of last year's workbook; 0: not there.")
    paid = [row if number else 0 for row, number in enumerate(numbers, start=1)]
    block.counter("pay_row", "Pay no.", paid, "Row in the twin of the cost build-up; 0: not there then.")
    block.worked(known_then, name="then_known")
    block.fetch("then_units", "Units then", "units", "then_book.units", "then_row", 0)
    for _, name, heading, unit, now in UNIT_FIGURES:
        otherwise = Name(now) if now else 0
        block.fetch(f"then_{name}", f"{heading} then", unit, f"then_book.{name}", "then_row", otherwise)
    block.worked(other_cost_then, name="then_other_cost")
    block.fetch(
        "people_at_then_pay",
        "People at then's pay",
        "money",
        f"{PAY}_costs.people_cost",
        "pay_row",
        Name("people_cost"),
        meaning="Pay for the present minutes of one unit at last year's pay a minute.",
    )
    found = rows_then(list(zip(who.items["code"], who.items["site"], strict=True)), last_year.items)
    read = [last_year.items[number - 1].place(last_year.file) if number else "" for number in found]
    block.given("then_read_from", "Read from", read, width=44)
    return block


def _sites_block(who: Roster, last_year: LastYear) -> Block:
    """The sites, in their present order, as they were then."""
    numbers = rows_then([(site,) for site in who.sites], last_year.sites)
    note = "Of a site that was not there then, the figures are those of now."
    block = Block(
        "then_sites", SHEET, "Last year's figures of each site", len(who.sites), note, label=("site",)
    )
    block.given("site", "Site", list(who.sites))
    block.counter("site_row", "Site no.", list(range(1, block.rows + 1)), "Row in the sites.")
    block.counter("then_row", "Row then", numbers, "Row in the sites of last year's workbook; 0: not there.")
    block.worked(known_then, name="then_site_known")
    for source, name, heading, unit in SITE_FIGURES:
        now = call("lookup", Whole("sites", source), Name("site_row"))
        block.fetch(name, f"{heading} then", unit, f"then_book_sites.{source}", "then_row", now)
    read = [last_year.sites[number - 1].place(last_year.file) if number else "" for number in numbers]
    block.given("then_read_from", "Read from", read, width=44)
    return block
