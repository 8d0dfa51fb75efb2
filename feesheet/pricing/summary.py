"""The first page: five figures, the metals since the fees were set, and the materials side by side."""

from __future__ import annotations

import pandas as pd

from feesheet.costing.components import STACKS
from feesheet.costing.metal import latest_quote, price_rows
from feesheet.costing.roster import Roster
from feesheet.formula.model import Block, Model, figure
from feesheet.formula.operations import as_text, grand_product, grand_total, height, joined, ratio, size, total_product
from feesheet.formula.tree import Name, Traced, Whole
from feesheet.practice import Practice
from feesheet.pricing.results import margin


def _sum(column: str) -> Traced:
    block, _, name = column.partition(".")
    return grand_total(Whole(block, name))


def figures_block() -> Block:
    """The five figures that matter, one row each."""
    understood = 1 - ratio(grand_product(Whole("lines", "part_amount"), Whole("lines", "unmapped")), _sum("files.read"), 0)
    schedule_change = ratio(_sum("margins.billed_new_year"), _sum("margins.billed_now_year"), 1) - 1
    rows: list[tuple[str, str, Traced, Traced]] = [
        ("Invoice money understood", "figure_share", understood,
         joined(as_text(size(_sum("files.difference")), Name("money_digits")), " difference to the invoices")),
        ("Fees under their cost today", "figure_count", _sum("margins.under_cost"),
         joined("of ", as_text(height(Whole("margins", "under_cost")), 0), " fees")),
        ("Change of the schedule", "figure_change", schedule_change, "full fees at last year's units"),
        ("Change in cash a year", "figure_money", _sum("margins.cash_change"), joined(
            as_text(_cash_share() * Name("hundred"), 1), " % of what comes in today")),
        ("Fees held back", "figure_count", _sum("margins.held_back"), "under the needed fee: caps, holds, contradictions"),
    ]
    block = Block("figures", "Summary", "Five figures", len(rows), label=("figure",))
    block.given("figure", "Figure", [row[0] for row in rows])
    block.given("shown_as", "Shown as", [row[1] for row in rows])
    block.listed("value", "Value", "figure", [row[2] for row in rows], "The figure.")
    block.listed("remark", "Remark", "text", [row[3] for row in rows], "What it is measured against.")
    return block


def _cash_share() -> Traced:
    return ratio(_sum("margins.cash_change"), _sum("margins.cash_now_year"), 0)


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
    metals = [str(metal) for metal in model.blocks["metals"].columns["metal"].values or ()]
    numbers = latest_quote(quotes, metals, [pd.Timestamp(day)] * len(metals))
    units = model.blocks["metals"].columns["quoted_unit"].values or ()
    kept = [n for n, q in enumerate(numbers) if q and str(quotes["unit"].iloc[q - 1]) == units[n]]
    if not kept:
        return None
    block = Block("moves", "Summary", "Metal since the current fees were set", len(kept), label=("metal",))
    block.given("metal", "Metal", [f"{metals[n].capitalize()}, {units[n]}" for n in kept])
    block.counter("quote_no", "Quote no.", [int(numbers[n]) for n in kept], "Row in the metal quotes.")
    block.counter("metal_no", "Metal no.", [n + 1 for n in kept], "Row in the metal prices.")
    block.fetch("price_then", "Then", "money", "quotes.price", "quote_no", meaning="The quote that held on that day.")
    block.fetch("price_now", "Now", "money", "metals.price", "metal_no", meaning="The price on the Inputs sheet.")
    block.worked(price_change)
    return block


def materials_summary_block(who: Roster) -> Block:
    """The materials side by side, in the practice's own order: mean cost by layer, fees and margins."""
    shown = [material for material in who.materials if material in set(who.items["material"])]
    block = Block("by_material", "Summary", "Materials", len(shown), label=("material",),
                  note="Means over sites and tooth regions, weighted by last year's units.")
    block.given("material", "Material", shown)
    block.counter("material_no", "Material no.", [who.materials.index(m) + 1 for m in shown], "Row in the materials.")
    block.total("units", "Units", "units", "margins.units", "costs.material_no", "material_no", meaning="Last year's units.")
    block.total("weights", "Weights", "units", "margins.summary_weight", "costs.material_no", "material_no")
    layers = [(f"stack_{stack}", heading, f"costs.stack_{stack}") for stack, heading in STACKS.items()]
    for name, heading, source in (*layers, ("mean_cost", "Unit cost", "costs.unit_cost"), ("mean_now", "Current fee", "fee_rules.current_fee"),
                                  ("mean_new", "New fee", "fee_rules.new_fee"), ("mean_needed", "Needed fee", "plan_items.needed_fee"),
                                  ("mean_net_now", "Net now", "margins.net_now"), ("mean_net_new", "Net new", "margins.net_new")):
        _mean(block, name, heading, source)
    block.worked(margin, name="mean_margin_now", heading="Margin now", net="mean_net_now", unit_cost="mean_cost")
    block.worked(margin, name="mean_margin_new", heading="Margin new", net="mean_net_new", unit_cost="mean_cost")
    block.tree("aim", "Target margin", "fraction", Name("target_margin"), "The practice's target.")
    return block


def _mean(block: Block, name: str, heading: str, source: str) -> None:
    other, _, column = source.partition(".")
    product = total_product(Whole(other, column), Whole("margins", "summary_weight"), Whole("costs", "material_no"), Name("material_no"))
    block.tree(name, heading, "money", ratio(product, Name("weights"), 0), "Mean over the material's items, by last year's units.")


def add_summary(model: Model, practice: Practice, who: Roster) -> None:
    """Add the blocks of the first page."""
    model.add(figures_block())
    moves = moves_block(practice, model)
    if moves is not None:
        model.add(moves)
    model.add(materials_summary_block(who))

