"""The tables of a what-if's first page: the figures that matter, the materials now and then, the metals over the year."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from feesheet.costing.roster import Roster
from feesheet.formula.model import Block, Model
from feesheet.formula.operations import as_text, grand_product, height, joined, ratio
from feesheet.formula.tree import Name, Traced, Whole, figure_in
from feesheet.pricing.summary import materials_shown, sum_of
from feesheet.pricing.what_if.exposure import room_to_zero
from feesheet.pricing.what_if.scenario import Scenario

SHEET = "What if"

Tile = tuple[str, str, Traced, Traced]
"""A figure of the first page: its label, what it is shown as, its value and the remark under it."""


def figures_block(model: Model, watched: str, scenarios: Sequence[Scenario]) -> Block:
    """The figures that matter, one row each."""
    rows = [
        *(_of_metal(model, watched, scenarios) if watched else _of_year()),
        *(_of_scenario() if scenarios else _alloy() if watched else []),
        _under_target(bool(scenarios)),
        *(_reprice(model, watched) if watched else []),
    ]
    block = Block("what_if_figures", SHEET, "Figures", len(rows), label=("figure",))
    block.given("figure", "Figure", [row[0] for row in rows])
    block.given("shown_as", "Shown as", [row[1] for row in rows])
    block.listed("value", "Value", "figure", [row[2] for row in rows], "The figure.")
    block.listed("remark", "Remark", "text", [row[3] for row in rows], "What it is measured against.")
    return block


def _of_metal(model: Model, watched: str, scenarios: Sequence[Scenario]) -> list[Tile]:
    """The watched metal's price, and what a tenth more of it costs in a year."""
    metal_no = model.blocks["metals"].labels("metal").index(watched) + 1
    unit = model.blocks["metals"].labels("quoted_unit")[metal_no - 1]
    row = model.blocks["metal_years"].labels("metal").index(watched) + 1
    then = _price_then(model, metal_no)
    remark = joined("in the scenario ", as_text(then, Name("money_digits"))) if then is not None else ""
    if then is None:
        remark = "the scenario does not move it" if scenarios else "as on the Inputs sheet"
    return [
        (
            f"{watched.capitalize()} now, per {unit}",
            "figure_price",
            figure_in("metals", "price", metal_no),
            remark,
        ),
        (
            f"+10 % of {watched}, a year",
            "figure_money",
            figure_in("metal_years", "per_tenth_year", row),
            "more cost at last year's units",
        ),
    ]


def _price_then(model: Model, metal_no: int) -> Traced:
    """The metal's price in the first scenario; None where no scenario moves a price."""
    twin = model.blocks.get("case_metals")
    if twin is None or "price" not in twin.columns:
        return None
    case = int(np.asarray(model.blocks["scenario_years"].columns["scenario_case"].values)[0])
    return figure_in("case_metals", "price", (case - 1) * model.blocks["metals"].rows + metal_no)


def _of_year() -> list[Tile]:
    """A year's cost and what it leaves, where no metal is watched."""
    units = "at last year's units"
    return [
        ("Cost in a year, now", "figure_count", sum_of("year_items.cost_year"), units),
        ("Left in a year, now", "figure_count", sum_of("year_items.left_year"), units),
    ]


def _of_scenario() -> list[Tile]:
    """What the first scenario costs in a year."""
    then, now = (
        as_text(figure_in("scenario_years", name, 1), 0) for name in ("left_year", "left_year_before")
    )
    change = figure_in("scenario_years", "cost_year_change", 1)
    return [("Scenario: cost a year", "figure_money", change, joined("left ", then, ", now ", now))]


def _alloy() -> list[Tile]:
    """All alloy of a year."""
    alloy = grand_product(Whole("costs", "stack_metal"), Whole("margins", "year_units"))
    share = as_text(ratio(alloy, sum_of("year_items.cost_year"), 0) * Name("hundred"), 1)
    return [("Alloy in a year", "figure_count", alloy, joined(share, " % of all costs"))]


def _under_target(scenario: bool) -> Tile:
    """How many fees miss their target margin, now and in the first scenario."""
    of = as_text(height(Whole("year_items", "under_target")), 0)
    then = as_text(figure_in("scenario_years", "under_target", 1), 0) if scenario else ""
    remark = joined("of ", of, "; in the scenario ", then) if scenario else joined("of ", of)
    return ("Fees under their target now", "figure_count", sum_of("year_items.under_target"), remark)


def _reprice(model: Model, watched: str) -> list[Tile]:
    """The price at which open quotes are used up; without a price history, what hides in unit fees."""
    safety = model.blocks.get("quote_safety")
    names = [name.lower() for name in safety.labels("metal")] if safety else []
    if watched.lower() in names:
        row = names.index(watched.lower()) + 1
        level = as_text(Name("safety_level") * Name("hundred"), 0)
        days = as_text(figure_in("quote_safety", "hold_days", row), 0)
        remark = joined(level, " % of ", days, "-day holds stay under")
        heading = f"Re-price when {watched} passes"
        return [(heading, "figure_price", figure_in("quote_safety", "reprice_at", row), remark)]
    hidden = sum_of("metal_years.hidden_year")
    share = as_text(ratio(hidden, sum_of("metal_years.metal_cost_year"), 0) * Name("hundred"), 0)
    return [
        ("Metal hidden in unit fees", "figure_count", hidden, joined("a year; ", share, " % of the metal"))
    ]


def materials_block(who: Roster, watched: str, scenarios: Sequence[Scenario]) -> Block:
    """The materials in the practice's own order, on the mean."""
    shown = materials_shown(who)
    block = Block(
        "what_if_materials",
        SHEET,
        "Materials, mean over sites and tooth regions, at today's fees",
        len(shown),
        then_is(scenarios),
        aligned="materials",
        label=("if_material",),
    )
    block.given("if_material", "Material", shown)
    block.tree("if_units", "Units a year", "whole", Name("units"), "From the Materials sheet.")
    block.tree("if_fee", "Fee now", "rounded", Name("mean_now"), "From the Materials sheet.")
    block.tree("if_cost", "Unit cost now", "rounded", Name("mean_cost"), "From the Materials sheet.")
    if scenarios:
        _then(block, "if_cost_then", "Unit cost then", "rounded_bold", "cost_after")
    else:
        block.worked(
            room_to_zero,
            name="if_left",
            heading="Left of the fee",
            net_now="mean_net_now",
            unit_cost="mean_cost",
        )
    block.tree("if_margin", "Margin now", "fraction", Name("mean_margin_now"), "From the Materials sheet.")
    if scenarios:
        _then(block, "if_margin_then", "Margin then", "fraction", "margin_after")
    if watched:
        _of_watched(block, watched, bool(scenarios))
    return block


def then_is(scenarios: Sequence[Scenario]) -> str:
    """Which scenario the page shows."""
    if not scenarios:
        return ""
    more = f" (the first of {len(scenarios)}; all are on the Scenarios sheet)" if len(scenarios) > 1 else ""
    return f"Then: in the scenario {scenarios[0].title}{more}. Its values stand first on the Inputs sheet."


def _then(block: Block, name: str, heading: str, unit: str, column: str) -> None:
    """A figure of the first scenario's materials, which stand in the same order."""
    trees = [figure_in("scenario_materials", column, row) for row in range(1, block.rows + 1)]
    block.listed(name, heading, unit, trees, "From the Scenarios sheet: the first scenario.")


def _of_watched(block: Block, watched: str, scenario: bool) -> None:
    """What the watched metal does, at the figures as they are now."""
    if not scenario:
        heading = f"{watched.capitalize()} in it"
        block.tree("if_metal", heading, "rounded", Name("held_metal"), "From the Metal exposure sheet.")
    heading = f"+10 % of {watched}"
    block.tree("if_tenth", heading, "rounded", Name("held_tenth"), "More unit cost.")
    heading = f"Nothing left at {watched} of"
    block.tree("if_zero", heading, "rounded", Name("held_zero"), "The price at which the cost is the fee.")


def metals_block(model: Model) -> Block:
    """The metals over the year, the dearest of them or not: in the order of the metal prices."""
    years = model.blocks["metal_years"]
    units = years.labels("quoted_unit")
    block = Block(
        "what_if_metals",
        SHEET,
        "Metals over a year, at last year's units and today's prices",
        years.rows,
        aligned="metal_years",
        label=("if_metal_name",),
    )
    names = [
        f"{name.capitalize()}, per {unit}" for name, unit in zip(years.labels("metal"), units, strict=True)
    ]
    block.given("if_metal_name", "Metal", names)
    for name, heading, unit, source in (
        ("if_price", "Price now", "money", "price"),
        ("if_year", "In a year", "rounded", "metal_cost_year"),
        ("if_tenth_year", "+10 %, a year", "rounded", "per_tenth_year"),
        ("if_hundred_year", "+100 a troy ounce, a year", "rounded", "per_hundred_year"),
        ("if_hidden_year", "Hidden in unit fees", "rounded", "hidden_year"),
    ):
        block.tree(name, heading, unit, Name(source), "From the Metal exposure sheet.")
    return block


def quotes_block(model: Model) -> Block:
    """How far each metal may rise while a quote stands, in short; the workings stand on a sheet of their own."""
    safety = model.blocks["quote_safety"]
    days = safety.columns["hold_days"].values
    block = Block(
        "quote_answers",
        "Quote safety",
        f"What a quote held for {days[0] if days is not None else 0} days should withstand",
        safety.rows,
        "The rise used is the larger of the two. Type another share of holds on the Inputs sheet.",
        label=("metal",),
    )
    units = safety.labels("unit")
    names = [f"{metal}, per {unit}" for metal, unit in zip(safety.labels("metal"), units, strict=True)]
    block.given("metal", "Metal", names)
    rows = list(range(1, safety.rows + 1))
    block.counter("safety_no", "Row no.", rows, "Row in the rises worked out.")
    for name, heading, unit, source in (
        ("windows", "Holds seen", "whole", "windows"),
        ("by_history", "Rise, historical simulation", "change", "historical_rise"),
        ("by_formula", "Rise, parametric", "change", "parametric_rise"),
        ("used", "Rise used", "change", "rise_used"),
        ("price_now", "Price now", "money", "price_now"),
        ("reprice_at", "Re-price when it passes", "money", "reprice_at"),
        ("tested", "Test on holds held back", "text", "outcome"),
    ):
        block.fetch(name, heading, unit, f"quote_safety.{source}", "safety_no", meaning="As worked out.")
    return block
