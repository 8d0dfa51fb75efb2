"""Lab fees by material, tooth region and site, and the materials' means and remake rates."""

from __future__ import annotations

from collections.abc import Sequence

import pandas as pd

from feesheet.costing.entries import entry
from feesheet.costing.invoices import all_in_block, invoices_block, line_keys, lines_block
from feesheet.costing.lab_prices import (
    lab_prices_block,
    milling_block,
    quote_rows,
    site_quotes_blocks,
)
from feesheet.costing.laboratory import (
    blended_lab_fee,
    lab_money,
    makes,
    material_mean,
    mean_alloy_g,
    own_mean,
    own_remake_rate,
    quote_less_alloy,
    remake_odds,
    remake_rate,
    starting_lab_fee,
)
from feesheet.costing.metal import credibility
from feesheet.costing.places import day_places, lab_places
from feesheet.costing.reconciliation_block import invoice_totals_block
from feesheet.costing.roster import Roster, numbers_of
from feesheet.formula.model import Block, Model
from feesheet.formula.numbers import Numbers
from feesheet.practice import Practice
from feesheet.problems import Problem


def materials_block(practice: Practice, who: Roster, model: Model) -> Block:
    """The materials: supplies, remake rate and the lab's mean over everything, one row a material."""
    block = Block("materials", "Lab fees", "Materials", len(who.materials), label=("material",))
    block.number()
    block.given("material", "Material", list(who.materials))
    _material_entries(block, practice)
    _material_mean_columns(block)
    _remake_columns(block)
    pool_material = numbers_of([material for material, _ in who.pools], who.materials)
    model.blocks["pools"].counter("material_no", "Material no.", pool_material, "Row in the materials.")
    block.total("pool_grams", "Grams of its regions", "grams", "pools.alloy_g", "pools.material_no", "no")
    block.count("pools", "Regions", "pools.material_no", "no")
    block.worked(mean_alloy_g)
    return block


def _material_entries(block: Block, practice: Practice) -> None:
    """What is typed for each material."""
    entry(block, practice, "materials", "supplies", "Supplies", "money")
    entry(
        block,
        practice,
        "materials",
        "remake_rate",
        "Starting remake rate",
        "fraction",
        name="starting_remake_rate",
    )
    for field, heading, unit in (
        ("lab_share_on_remake", "Lab share on a remake", "fraction"),
        ("alloy_share_on_remake", "Alloy not credited", "fraction"),
        ("remake_supplies", "Supplies on a remake", "money"),
    ):
        entry(block, practice, "materials", field, heading, unit)


def _billed_columns(block: Block, key: str) -> None:
    """What the labs billed for the row's units, and the alloy inside all-in prices among it."""
    for name, heading, source, meaning in (
        ("billed", "Billed", "lines.lab_cost", "What the labs billed for them."),
        ("metal_out", "Alloy inside", "all_in.metal_inside", "Alloy estimated inside all-in prices."),
    ):
        table = source.partition(".")[0]
        block.total(name, heading, "money", source, f"{table}.{key}", "no", meaning=meaning)


def _material_mean_columns(block: Block) -> None:
    """What the labs billed in the window less the alloy inside, a unit of the material."""
    block.total(
        "material_units",
        "Units",
        "units",
        "lines.units_counted",
        "lines.material_no",
        "no",
        meaning="Units in the window, all sites and tooth regions.",
    )
    _billed_columns(block, "material_no")
    block.worked(lab_money, name="material_money", heading="Lab money")
    block.worked(material_mean)


def _remake_columns(block: Block) -> None:
    """The remakes, Z of the makes, the remake rate and the odds of a remake."""
    block.total(
        "remakes",
        "Remakes",
        "units",
        "lines.units_remade",
        "lines.material_no",
        "no",
        meaning="Units made again.",
    )
    block.worked(makes)
    block.worked(credibility, n="makes")
    block.worked(own_remake_rate)
    block.worked(remake_rate)
    block.worked(remake_odds)


def all_rejected(practice: Practice, who: Roster, figures: Numbers) -> list[Problem]:
    """Materials of which no make would be a good one: their remakes have no end."""
    what = "Every make of {} in the window is a remake, so a good one would cost without end."
    do = "Correct the line kinds of its invoices, or give the credibility constant more than 0."
    return [
        Problem(
            "out of range", what.format(material), do, *practice.place("materials", position, "remake_rate")
        )
        for position, (material, rate) in enumerate(
            zip(who.materials, figures.of("materials", "remake_rate"), strict=True)
        )
        if rate >= 1
    ]


def lab_fees_block(practice: Practice, who: Roster, model: Model, days: pd.DataFrame) -> Block:
    """The lab fee by material, tooth region and site: own mean, n, Z and starting value."""
    places = lab_places(who)
    groups = list(
        zip(
            *(model.blocks["material_sites"].labels(column) for column in ("material", "site")),
            strict=True,
        )
    )
    alloys = [who.alloy_of[material] for material, _, _ in places]
    today = pd.Timestamp(practice.settings["pricing_date"])
    block = Block("lab_fees", "Lab fees", "Lab fees", len(places), label=("material", "region", "site"))
    block.number()
    for position, (name, heading) in enumerate(
        (("material", "Material"), ("region", "Tooth region"), ("site", "Site"))
    ):
        block.given(name, heading, [place[position] for place in places])
    group_no = numbers_of([(material, site) for material, _, site in places], groups)
    block.counter(
        "group_no", "Quote no.", group_no, "Row in the quotes by material and site; 0: no price is quoted."
    )
    block.counter(
        "material_no",
        "Material no.",
        numbers_of([p[0] for p in places], who.materials),
        "Row in the materials.",
    )
    block.counter(
        "pool_no", "Grams no.", numbers_of([p[:2] for p in places], who.pools), "Row in the alloy grams."
    )
    block.counter(
        "alloy_no", "Alloy no.", numbers_of(alloys, who.alloys), "Row in the Alloys table; 0: no alloy."
    )
    block.counter(
        "day_no",
        "Value no.",
        numbers_of([(alloy, today) for alloy in alloys], day_places(days)),
        "Row in the alloy values of the pricing date; 0: no alloy.",
    )
    _own_mean_columns(block)
    _starting_fee_columns(block)
    return block


def _own_mean_columns(block: Block) -> None:
    """Units in the window, what was billed for them less the alloy inside, their mean and its Z."""
    block.total(
        "n", "n", "units", "lines.units_counted", "lines.lab_no", "no", meaning="Units in the window."
    )
    _billed_columns(block, "lab_no")
    block.worked(lab_money, name="money")
    block.worked(own_mean)
    block.worked(credibility)


def _starting_fee_columns(block: Block) -> None:
    """The starting value from the quotes less their alloy or the material's mean, and the lab fee that follows."""
    for name, heading, unit, source, by in (
        ("site_quote", "Quoted price", "money", "material_sites.site_quote", "group_no"),
        ("all_in_share", "All-in share", "number", "material_sites.all_in_share", "group_no"),
        ("alloy_g", "Alloy grams", "grams", "pools.alloy_g", "pool_no"),
        ("day_value_per_g", "Metal value per g", "money_per_g", "days.day_value_per_g", "day_no"),
        ("alloy_premium", "Alloy premium", "fraction", "alloys.alloy_premium", "alloy_no"),
    ):
        block.fetch(name, heading, unit, source, by, 0)
    block.worked(quote_less_alloy)
    block.fetch("material_mean", "Mean of the material", "money", "materials.material_mean", "material_no")
    block.worked(starting_lab_fee, has_quote="group_no")
    block.worked(blended_lab_fee)


def add_laboratory(
    model: Model,
    practice: Practice,
    who: Roster,
    parts: pd.DataFrame,
    days: pd.DataFrame,
    staff_numbers: Sequence[int],
    totals: pd.DataFrame,
) -> None:
    """Add every block about the labs' work."""
    quotes = quote_rows(practice, who)
    keys = line_keys(practice, who, parts, quotes, totals)
    merged, detail = site_quotes_blocks(who, quotes)
    model.add(merged)
    model.add(lab_fees_block(practice, who, model, days))
    model.add(materials_block(practice, who, model))
    model.add(lab_prices_block(practice, quotes))
    model.add(detail)
    model.add(milling_block(practice, staff_numbers))
    model.add(all_in_block(practice, who, parts, keys, days))
    model.add(invoices_block(parts, keys))
    model.add(lines_block(practice, parts, keys))
    model.add(invoice_totals_block(totals))
