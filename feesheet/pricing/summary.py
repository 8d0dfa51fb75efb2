"""The first page: five figures, the metals since the fees were set, and the materials side by side."""

from __future__ import annotations

import pandas as pd

from feesheet.costing.alloys import composition_rows, not_quoted_then
from feesheet.costing.chair import dentist_is_paid
from feesheet.costing.components import STACKS
from feesheet.costing.quotes import latest_quote, price_rows
from feesheet.costing.roster import Roster
from feesheet.formula.model import Block, Model, figure
from feesheet.formula.operations import (
    as_text,
    grand_total,
    height,
    joined,
    ratio,
    same,
    size,
    total_product,
    when,
)
from feesheet.formula.tree import Name, Traced, Whole
from feesheet.practice import Practice
from feesheet.pricing.plans import WITH_PLANS
from feesheet.pricing.results import margin


def sum_of(column: str) -> Traced:
    """The sum of a whole column, named "block.column"."""
    block, _, name = column.partition(".")
    return grand_total(Whole(block, name))


def figures_block() -> Block:
    """The five figures that matter, one row each."""
    schedule_change = ratio(sum_of("margins.billed_new_year"), sum_of("margins.billed_now_year"), 1) - 1
    rows: list[tuple[str, str, Traced, Traced]] = [
        (
            "Invoice money understood",
            "figure_share",
            sum_of("understanding.share_understood"),
            joined(as_text(size(sum_of("files.difference")), Name("money_digits")), " difference"),
        ),
        (
            "Fees under cost today",
            "figure_count",
            sum_of("margins.under_cost"),
            joined(
                "of ",
                as_text(height(Whole("margins", "under_cost")), 0),
                when(same(Name("margin_basis"), WITH_PLANS), ", after plans", ", at the full fee"),
            ),
        ),
        ("Schedule change", "figure_change", schedule_change, "at last year's units"),
        (
            "Cash change a year",
            "figure_money",
            sum_of("margins.cash_change"),
            joined(as_text(_cash_share() * Name("hundred"), 1), " % of today's cash"),
        ),
        ("Fees held back", "figure_count", sum_of("margins.held_back"), "by caps and holds"),
    ]
    block = Block("figures", "Summary", "Five figures", len(rows), label=("figure",))
    block.given("figure", "Figure", [row[0] for row in rows])
    block.given("shown_as", "Shown as", [row[1] for row in rows])
    block.listed("value", "Value", "figure", [row[2] for row in rows], "The figure.")
    block.listed("remark", "Remark", "text", [row[3] for row in rows], "What it is measured against.")
    return block


def _cash_share() -> Traced:
    return ratio(sum_of("margins.cash_change"), sum_of("margins.cash_now_year"), 0)


@figure("Then", "money")
def price_then(quoted: Traced) -> Traced:
    """The price when the current fees were set."""
    return quoted


@figure("Change", "change")
def price_change(price_now: Traced, price_then: Traced) -> Traced:
    """Change of the price since then, as a share of it."""
    return ratio(price_now, price_then, 1) - 1


def moves_block(practice: Practice, model: Model) -> Block | None:
    """The metals since the current fees were set; None where that day, or its prices, are not known."""
    day = practice.settings.get("fees_set_on")
    if not day:
        return None
    quotes = price_rows(practice)
    metals = model.blocks["metals"].labels("metal")
    numbers = latest_quote(quotes, metals, [pd.Timestamp(day)] * len(metals))
    units = model.blocks["metals"].labels("quoted_unit")
    kept = [n for n, q in enumerate(numbers) if q and str(quotes["unit"].iloc[q - 1]) == units[n]]
    if not kept:
        return None
    block = Block(
        "moves",
        "Alloy",
        "Metal since the current fees were set",
        len(kept),
        aligned="moves",
        label=("metal",),
    )
    block.given("metal", "Metal", [f"{metals[n].capitalize()}, per {units[n]}" for n in kept])
    block.counter("quote_no", "Quote no.", [int(numbers[n]) for n in kept], "Row in the metal quotes.")
    block.counter("metal_no", "Metal no.", [n + 1 for n in kept], "Row in the metal prices.")
    block.fetch(
        "price_then", "Then", "money", "quotes.price", "quote_no", meaning="The quote that held on that day."
    )
    block.fetch(
        "price_now", "Now", "money", "metals.price", "metal_no", meaning="The price on the Inputs sheet."
    )
    block.worked(price_change)
    return block


def front_moves_block(moves: Block, day: object) -> Block:
    """The same as the first page shows it."""
    block = Block(
        "front_moves",
        "Summary",
        f"Metal since the current fees were set, {day}",
        moves.rows,
        aligned="moves",
        label=("front_metal",),
    )
    block.given("front_metal", "Metal", moves.labels("metal"))
    for name, heading, unit, source in (
        ("front_then", "Then", "money", "price_then"),
        ("front_price", "Now", "money", "price_now"),
        ("front_move", "Change", "change", "price_change"),
    ):
        block.tree(name, heading, unit, Name(source), "From the Alloy sheet.")
    return block


def materials_block(who: Roster, then: bool) -> Block:
    """The materials side by side, in the practice's own order: mean cost by layer, fees and margins."""
    shown = materials_shown(who)
    block = Block(
        "by_material",
        "Materials",
        "Materials",
        len(shown),
        aligned="materials",
        label=("material",),
        note="Means over sites and tooth regions, weighted by last year's units; in the practice's own order.",
    )
    block.given("material", "Material", shown)
    block.counter(
        "material_no", "Material no.", [who.materials.index(m) + 1 for m in shown], "Row in the materials."
    )
    block.total(
        "units",
        "Units",
        "units",
        "margins.units",
        "costs.material_no",
        "material_no",
        meaning="Last year's units.",
    )
    block.total("weights", "Weights", "units", "margins.summary_weight", "costs.material_no", "material_no")
    for name, heading, source in (
        *_LAYERS,
        *_MEANS,
        *([("alloy_then", "Alloy then", "costs.alloy_cost_then")] if then else []),
    ):
        _mean(block, name, heading, source)
    block.worked(
        margin, name="mean_margin_now", heading="Margin now", net="mean_net_now", unit_cost="mean_cost"
    )
    block.worked(
        margin, name="mean_margin_new", heading="Margin new", net="mean_net_new", unit_cost="mean_cost"
    )
    block.tree("aim", "Target margin", "fraction", Name("target_margin"), "The practice's target.")
    return block


def alloyed_block(practice: Practice, who: Roster) -> Block:
    """The materials that hold alloy: what it cost when the current fees were set, and now.

    An alloy with a metal that had no quote by then is left out.
    """
    shown, late = (
        materials_shown(who),
        not_quoted_then(practice, composition_rows(practice), price_rows(practice)),
    )
    alloyed = [m for m in shown if who.alloy_of[m] and who.alloy_of[m] not in late]
    block = Block("alloyed", "Materials", "Alloy in a crown, then and now", len(alloyed), label=("material",))
    block.given("material", "Material", alloyed)
    block.counter(
        "shown_no",
        "Row no.",
        [shown.index(material) + 1 for material in alloyed],
        "Row in the Materials table above.",
    )
    block.fetch("alloy_was", "When the fees were set", "money", "by_material.alloy_then", "shown_no")
    block.fetch("alloy_is", "Now", "money", "by_material.stack_metal", "shown_no")
    return block


_LAYERS = tuple((f"stack_{stack}", heading, f"costs.stack_{stack}") for stack, heading in STACKS.items())

_MEANS = (
    ("mean_cost", "Unit cost", "costs.unit_cost"),
    ("mean_now", "Current fee", "fee_rules.current_fee"),
    ("mean_needed", "Needed fee", "plan_items.needed_fee"),
    ("mean_new", "New fee", "fee_rules.new_fee"),
    ("mean_net_now", "Net now", "margins.net_now"),
    ("mean_net_new", "Net new", "margins.net_new"),
)


def materials_shown(who: Roster) -> list[str]:
    """The materials that have a fee."""
    return [material for material in who.materials if material in set(who.items["material"])]


def front_block(who: Roster, caveat: str = "") -> Block:
    """The materials as the first page shows them; the caveat ends the title."""
    shown = materials_shown(who)
    block = Block(
        "front",
        "Summary",
        f"Materials, mean over sites and tooth regions{caveat}",
        len(shown),
        aligned="materials",
        label=("front_material",),
    )
    block.given("front_material", "Material", shown)
    for name, heading, unit, source in (
        ("front_units", "Units a year", "whole", "units"),
        ("front_metal", "Alloy", "rounded", "stack_metal"),
        ("front_cost", "Unit cost", "rounded", "mean_cost"),
        ("front_now", "Current fee", "rounded", "mean_now"),
        ("front_needed", "Needed fee", "rounded", "mean_needed"),
        ("front_new", "New fee", "rounded_bold", "mean_new"),
        ("front_margin_now", "Margin now", "fraction", "mean_margin_now"),
        ("front_margin_new", "Margin new", "fraction", "mean_margin_new"),
    ):
        block.tree(name, heading, unit, Name(source), "From the Materials sheet.")
    return block


def _mean(block: Block, name: str, heading: str, source: str) -> None:
    other, _, column = source.partition(".")
    product = total_product(
        Whole(other, column),
        Whole("margins", "summary_weight"),
        Whole("costs", "material_no"),
        Name("material_no"),
    )
    block.tree(
        name,
        heading,
        "money",
        ratio(product, Name("weights"), 0),
        "Mean over the material's items, by last year's units.",
    )


def add_summary(model: Model, practice: Practice, who: Roster) -> None:
    """Add the blocks of the first page."""
    model.add(figures_block())
    moves = moves_block(practice, model)
    if moves is not None:
        model.add(moves)
        model.add(front_moves_block(moves, practice.settings["fees_set_on"]))
    model.add(front_block(who, "" if dentist_is_paid(practice) else "; margins before dentist pay"))
    then = bool(practice.settings["fees_set_on"])
    model.add(materials_block(who, then))
    if then:
        model.add(alloyed_block(practice, who))
