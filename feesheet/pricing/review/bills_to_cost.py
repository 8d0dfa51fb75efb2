"""From what the labs billed in the period to lab fees and alloy in the cost of the work, and what would be left by the bills."""

from __future__ import annotations

from feesheet.costing.line_uses import USED
from feesheet.costing.roster import Roster
from feesheet.formula.model import Block, Model
from feesheet.formula.operations import grand_product, ratio, total
from feesheet.formula.tree import Name, Traced, Whole, added, figure_in
from feesheet.pricing.checks import Check
from feesheet.pricing.review import bills_to_cost_figures as figures
from feesheet.pricing.review.bills_by_place import items_in_cost_block, places_block, pools_block
from feesheet.pricing.review.period import Period
from feesheet.pricing.summary import sum_of

SHEET = "Bills and costs"

BLOCK, LEFT = "bills_to_cost", "left_by_bills"

CHARGED = "Lab charges used, as on the first page"
IN_COST = "Lab fees and alloy in the cost of the work"
BY_MARGINS = "Left after all costs, as in the margins"
BY_BILLS = "Left with the labs' own bills of the period"

Step = tuple[str, Traced, Traced, str]
"""A step's title, what it moves in lab fees and in alloy, and what it is in words."""


def add_bills_to_cost(model: Model, who: Roster, now: Period) -> None:
    """Add the way from the labs' bills to the cost: needs what was earned, its items and the money by use."""
    model.blocks["alloy_lines"].fetch("alloy_used_line", "Used", "whole", "lines.used", "line_no")
    model.add(_steps_block(model, now))
    model.add(_left_block(model))
    model.add(places_block(model))
    model.add(pools_block(model))
    model.add(items_in_cost_block(who))


def _steps(model: Model) -> list[Step]:
    """From the labs' charges to the cost: every step is made of its own figures, none is what is left over."""
    uses = model.blocks["money_by_use"].labels("use")
    fee, charge, alloy = (figure_in("money_by_use", "use_used", uses.index(use) + 1) for use in USED)
    of_units = grand_product(Whole("lines", "units_counted"), Whole("lines", "charge_per_unit"))
    unplaced = total(Whole("lines", "lab_cost"), Whole("lines", "lab_no"), 0)
    of_pool, used = Whole("alloy_lines", "pool_no"), Whole("alloy_lines", "alloy_used_line")
    loose = total(Whole("alloy_lines", "alloy_billed"), of_pool, 0, used)
    inside = sum_of("bill_places.inside")
    by_last_day = sum_of("bill_pools.price_step") + sum_of("bill_places.inside_price")
    return [
        (CHARGED, fee + charge, alloy, "All that was billed and is in a cost: first rows of the Lab cost sheet."),
        ("Charges on invoices shared by other units", of_units - sum_of("invoices.charges"), 0,
         "Freight and the like of remakes and unknown products, which are in no lab fee."),
        ("Teeth not known", 0 - unplaced, 0 - loose, "Billed for teeth of no tooth region in the fee schedule: in no item."),
        ("Alloy on materials without one", 0, 0 - sum_of("bill_pools.no_alloy"), "Billed, but their fees carry no alloy."),
        ("Alloy inside all-in prices", 0 - inside, inside, "Taken out of the price at the metal prices of the invoice's day."),
        ("Metal at the last day's price", 0, by_last_day, "Grams billed, at the price of the period's last day in place of what was paid."),
        ("Usual grams of units weighed", 0, sum_of("bill_pools.grams_step"),
         "Own mean blended with the typed grams (Z), in place of the grams billed."),
        ("Units made that were not weighed", 0, sum_of("bill_pools.not_weighed_alloy"),
         "Usual grams of units without an alloy line; under nought: more were weighed."),
        ("Lab fees blended with quoted prices", sum_of("bill_places.blend_step"), 0,
         "Units made × (lab fee − the period's own mean): few units lean on quotes (Z)."),
        ("Units made that no code takes", sum_of("bill_places.no_code_fees"), sum_of("bill_places.no_code_alloy"),
         "No code with a fee takes them: they are in no margin."),
        ("Units of the work in place of units made", sum_of("bill_places.more_fees"), sum_of("bill_places.more_alloy"),
         "(Units of the work − units made) × lab fee and alloy: seated is not made."),
        (IN_COST, sum_of("bill_items.fees_in_cost"), sum_of("bill_items.alloy_in_cost"),
         "Units of the work × lab fee and alloy cost, item by item: what the margins carry."),
    ]  # fmt: skip


def _steps_block(model: Model, now: Period) -> Block:
    """The steps with a running total; the last row stands by itself, to be held against it."""
    steps = _steps(model)
    block = Block(
        BLOCK,
        SHEET,
        "From the labs' bills to the cost in the margins",
        len(steps),
        "Fees are set on standard costs, so margins use them: blended lab fees, usual grams, metal at the price of "
        f"{now.title.partition(' to ')[2]}. Remakes stand apart in both.",
        label=("bill_step",),
    )
    block.given("bill_step", "Step", [title for title, _, _, _ in steps], width=44)
    keys = [int(at < len(steps) - 1) for at in range(len(steps))]
    block.counter("runs", "Runs", keys, "1 where the running total goes on; 0: the last row, by itself.")
    meaning = "What the step adds; in the first and the last row the sum itself."
    for name, heading, trees in (
        ("of_fees", "Lab fees", [fees for _, fees, _, _ in steps]),
        ("of_alloy", "Alloy", [alloy for _, _, alloy, _ in steps]),
    ):
        block.listed(name, heading, "money", trees, meaning)
    block.worked(figures.in_all)
    _running(block, "in_all")
    block.given("bill_words", "What it is", [words for _, _, _, words in steps], width=64)
    return block


def _running(block: Block, amount: str) -> None:
    """What the rows down to this one add up to, and each row as a share of the money received."""
    block.running_total("so_far", "So far", "money", amount, "runs", "The amounts down to this row.")
    share = ratio(Name(amount), sum_of("earned.received"), 0)
    block.tree("of_revenue", "Of revenue", "fraction", share, "As a share of the money received.")


def _left_block(model: Model) -> Block:
    """What is left as the margins have it, and with the labs' bills of the period in place of standard costs."""
    cost = figure_in(BLOCK, "in_all", model.blocks[BLOCK].rows)
    rest = sum_of("bill_items.rest_in_cost")
    billed = sum_of("lines.used_amount")
    rows: list[tuple[str, Traced]] = [
        (BY_MARGINS, sum_of("earned.left")),
        (f"Put back: {IN_COST[0].lower()}{IN_COST[1:]}", cost),
        (f"Taken off: {CHARGED[0].lower()}{CHARGED[1:]}", 0 - billed),
        (BY_BILLS, sum_of("earned.received") - rest - billed),
    ]
    block = Block(
        LEFT,
        SHEET,
        "What would be left with the labs' own bills",
        len(rows),
        "Bills hold work that is not seated yet, and one period's chance: this says how far the margins are from them, and is no base for a fee.",
        label=("left_step",),
    )
    block.given("left_step", "Money", [title for title, _ in rows], width=44)
    block.counter(
        "runs", "Runs", [1, 1, 1, 0], "1 where the running total goes on; 0: the last row, by itself."
    )
    block.listed("amount", "Amount", "money", [amount for _, amount in rows], "Of the period.")
    _running(block, "amount")
    return block


def bill_checks(model: Model) -> list[Check]:
    """The steps against the cost item by item, the bills against the lines, and what the steps are made of."""
    last = model.blocks[BLOCK].rows
    steps = [
        (f"From the labs' bills to the cost, {said}", total(Whole(BLOCK, name), Whole(BLOCK, "runs"), 1),
         figure_in(BLOCK, name, last))
        for said, name in (("lab fees", "of_fees"), ("alloy", "of_alloy"))
    ]  # fmt: skip
    running = figure_in(BLOCK, "so_far", last - 1)
    in_cost = [sum_of(f"bill_items.{name}") for name in ("fees_in_cost", "alloy_in_cost", "rest_in_cost")]
    received = sum_of("earned.received")
    left_last = model.blocks[LEFT].rows
    return [
        *steps,
        ("From the labs' bills to the cost, in all", running, figure_in(BLOCK, "in_all", last)),
        ("The labs' bills, against the invoice lines", figure_in(BLOCK, "in_all", 1), sum_of("lines.used_amount")),
        ("Lab fees, alloy and all else, against the cost of the work", added(in_cost), sum_of("earned.cost")),
        ("Left by the labs' bills: the steps, against what came in less costs",
         figure_in(LEFT, "so_far", left_last - 1), figure_in(LEFT, "amount", left_last)),
        ("Shares of revenue of the steps, against their amounts", sum_of(f"{BLOCK}.of_revenue"),
         ratio(sum_of(f"{BLOCK}.in_all"), received, 0)),
        ("Shares of revenue of what is left, against its amounts", sum_of(f"{LEFT}.of_revenue"),
         ratio(sum_of(f"{LEFT}.amount"), received, 0)),
        *_made_of(),
    ]  # fmt: skip


def _made_of() -> list[Check]:
    """What two steps share would cancel out if it were typed over: held against where it comes from."""
    metal = total(Whole("all_in", "metal_inside"), Whole("all_in", "lab_no"), 0)
    units = total(Whole("all_in", "line_units"), Whole("all_in", "lab_no"), 0)
    alloy = [
        grand_product(Whole(name, "made"), Whole(name, "alloy_unit"))
        for name in ("bill_places", "bill_pools")
    ]
    return [
        ("Units made by place, against the lab fees", sum_of("bill_places.made"), sum_of("lab_fees.n")),
        ("Units in no code by place, against the lab units", sum_of("bill_places.no_code") + _unplaced_units(),
         sum_of("period_places.units_in_no_code")),
        ("Alloy inside all-in prices by place, against line by line", sum_of("bill_places.inside") + metal,
         sum_of("all_in.metal_inside")),
        ("Units with alloy inside by place, against line by line", sum_of("bill_places.inside_units") + units,
         sum_of("all_in.line_units")),
        ("Grams billed, against the alloy grams", sum_of("bill_pools.alloy_grams"), sum_of("pools.billed_g")),
        ("Units weighed, against the alloy grams", sum_of("bill_pools.weighed_units"), sum_of("pools.n")),
        ("Usual alloy of units made, by place, against by material and tooth region", *alloy),
        ("Units made and units with alloy inside by material and tooth region, against by place",
         *(sum_of(f"{name}.made") + sum_of(f"{name}.inside_units") for name in ("bill_pools", "bill_places"))),
        ("Units not weighed, against those made less those weighed or with alloy inside", sum_of("bill_pools.not_weighed"),
         sum_of("bill_pools.made") - sum_of("bill_pools.inside_units") - sum_of("bill_pools.weighed_units")),
        ("Units more than made, against units of the work less units made", sum_of("bill_places.units_more"),
         sum_of("bill_places.work_units") - sum_of("bill_places.made") + sum_of("bill_places.no_code")),
    ]  # fmt: skip


def _unplaced_units() -> Traced:
    """Units in no code whose tooth or site is not known."""
    return total(Whole("period_places", "units_in_no_code"), Whole("period_places", "place_no"), 0)
