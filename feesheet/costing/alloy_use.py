"""Alloy on the invoices: its value on each day, the billed grams, and the grams of each tooth region."""

from __future__ import annotations

import numpy as np
import pandas as pd

from feesheet import reference
from feesheet.costing.alloys import alloys_block, composition_block, composition_rows
from feesheet.costing.lab_prices import all_in_labs
from feesheet.costing.meaning import ALLOY, UNIT
from feesheet.costing.metal import (
    alloy_billed,
    alloy_g,
    alloy_units,
    credibility,
    metal_value,
    own_mean_g,
    value_on_day,
    weight_g,
)
from feesheet.costing.quotes import latest_quote, metals_block, price_rows, quotes_block
from feesheet.costing.roster import Roster, numbers_of, words
from feesheet.costing.unweighed import add_unweighed, without_weight
from feesheet.formula.model import Block, Model
from feesheet.practice import Practice
from feesheet.schema import plain


def day_rows(practice: Practice, who: Roster, parts: pd.DataFrame) -> pd.DataFrame:
    """The alloy and day pairs that a metal value is needed for: alloy lines, all-in crowns, the pricing date."""
    wanted = ((parts["treatment"] == ALLOY) & parts["weight"].notna()) | without_weight(parts)
    wanted |= (parts["treatment"] == UNIT) & parts["lab"].astype(str).map(plain).isin(all_in_labs(practice))
    pairs = parts.loc[wanted & (parts["alloy_used"] != ""), ["alloy_used", "date"]]
    today = pd.DataFrame(
        {"alloy_used": list(who.alloys), "date": pd.Timestamp(practice.settings["pricing_date"])}
    )
    pairs = pd.concat([today, pairs]).astype({"date": "datetime64[s]"}).drop_duplicates()
    order = np.lexsort((pairs["date"].to_numpy(), numbers_of(pairs["alloy_used"], who.alloys)))
    return pairs.iloc[order].reset_index(drop=True)


def day_metal_rows(days: pd.DataFrame, composition: pd.DataFrame, quotes: pd.DataFrame) -> pd.DataFrame:
    """One row per day pair and quoted metal of its alloy, with the quote that held on that day (0: none yet)."""
    quoted = composition[composition["metal"].isin(set(quotes["metal"]))].copy()
    quoted["composition_no"] = quoted.index + 1
    rows = days.assign(day_no=np.arange(1, len(days) + 1)).merge(
        quoted, left_on="alloy_used", right_on="alloy"
    )
    rows["quote_no"] = latest_quote(quotes, list(rows["metal"]), list(rows["date"]))
    return rows


def days_block(days: pd.DataFrame) -> Block:
    """What each alloy's metal was worth on each day, one row per alloy and day."""
    values = Block("days", "Metal history", "Alloy values by day", len(days), label=("alloy", "date"))
    values.number()
    values.given("alloy", "Alloy", list(days["alloy_used"]))
    values.given("date", "Date", list(days["date"]), "date")
    values.total(
        "day_value_per_g",
        "Metal value per g",
        "money_per_g",
        "day_metals.metal_value",
        "day_metals.day_no",
        "no",
        meaning="What the metal in one gram of the alloy was worth on that day.",
    )
    return values


def day_metals_block(day_metals: pd.DataFrame) -> Block:
    """The quotes behind the values, one row per alloy, day and metal."""
    parts = Block(
        "day_metals",
        "Metal history",
        "Quotes behind the values",
        len(day_metals),
        label=("alloy", "metal", "date"),
    )
    parts.counter("day_no", "Value no.", list(day_metals["day_no"]), "Row in the alloy values by day.")
    parts.counter(
        "composition_no",
        "Composition no.",
        list(day_metals["composition_no"]),
        "Row in the Composition table.",
    )
    parts.counter(
        "quote_no", "Quote no.", list(day_metals["quote_no"]), "Row in the metal quotes; 0: no quote yet."
    )
    parts.given("alloy", "Alloy", list(day_metals["alloy"]))
    parts.given("date", "Date", list(day_metals["date"]), "date")
    parts.given("metal", "Metal", list(day_metals["metal"]))
    parts.fetch("fraction", "Mass fraction", "fraction", "composition.fraction", "composition_no")
    parts.fetch(
        "metal_price_per_g",
        "Price per g",
        "money_per_g",
        "quotes.metal_price_per_g",
        "quote_no",
        0,
        meaning="The latest quote on or before the day.",
    )
    parts.worked(metal_value)
    return parts


def alloy_line_rows(
    parts: pd.DataFrame, days: pd.DataFrame, day_metals: pd.DataFrame, who: Roster
) -> pd.DataFrame:
    """The alloy lines with a weight, one row a part, each with its day, pool and whether its metals had prices."""
    weighed = (parts["treatment"] == ALLOY) & parts["weight"].notna() & (parts["alloy_used"] != "")
    rows = parts[weighed & ~parts["copy"] & ~parts["primary"]].copy()
    rows["line_no"] = rows.index + 1
    rows["first_part"] = (~rows["line"].duplicated()).astype(int)
    rows["grams"] = [reference.grams_in(unit) for unit in words(rows["weight_unit"])]
    rows["date"] = rows["date"].astype("datetime64[s]")
    keyed = days.assign(day_no=np.arange(1, len(days) + 1))
    rows = rows.merge(keyed, on=["alloy_used", "date"], how="left")
    unpriced = set(day_metals.loc[day_metals["quote_no"] == 0, "day_no"])
    rows["priced"] = (~rows["day_no"].isin(unpriced)).astype(int)
    rows["pool_no"] = numbers_of(zip(rows["material"], rows["region"], strict=True), who.pools)
    return rows


def alloy_lines_block(rows: pd.DataFrame, who: Roster) -> Block:
    """The alloy lines in grams and in metal value on their day, one row per part of an invoice line."""
    block = Block(
        "alloy_lines",
        "Alloy lines",
        "Alloy billed by weight",
        len(rows),
        "Each row opens to its invoice line through the number in the first column.",
        label=("line_no",),
    )
    _line_counters(block, rows, who)
    block.given("alloy", "Alloy", list(rows["alloy_used"]))
    block.given("date", "Date", list(rows["date"]), "date")
    block.given("weight", "Weight", list(rows["weight"]), "number")
    block.given("weight_unit", "Unit", words(rows["weight_unit"]))
    block.given("grams_in_unit", "Grams in the unit", list(rows["grams"]), "exact")
    block.fetch("line_amount", "Line amount", "money", "lines.amount", "line_no")
    block.fetch("line_units", "Line units", "units", "lines.units", "line_no")
    block.fetch("share", "Share of the line", "number", "lines.share", "line_no")
    block.worked(weight_g)
    block.worked(alloy_units)
    block.worked(alloy_billed)
    block.fetch("day_value_per_g", "Metal value per g", "money_per_g", "days.day_value_per_g", "day_no")
    block.worked(value_on_day)
    return block


def _line_counters(block: Block, rows: pd.DataFrame, who: Roster) -> None:
    """The rows of other tables that a line belongs to, and what it counts for."""
    window = rows["in_window"].to_numpy(dtype=bool)
    block.counter("line_no", "Line no.", list(rows["line_no"]), "Row in the invoice lines.")
    block.counter(
        "alloy_no", "Alloy no.", numbers_of(rows["alloy_used"], who.alloys), "Row in the Alloys table."
    )
    block.counter(
        "pool_no", "Grams no.", list(rows["pool_no"]), "Row in the alloy grams; 0: tooth region not known."
    )
    block.counter("day_no", "Value no.", list(rows["day_no"]), "Row in the alloy values by day.")
    block.counter(
        "first_part", "Counts as a line", list(rows["first_part"]), "1 on the first part of each line."
    )
    block.counter(
        "priced", "All metals priced", list(rows["priced"]), "1 if every metal had a quote by that day."
    )
    block.counter(
        "in_window",
        "In the window and priced",
        list((window & (rows["priced"] == 1)).astype(int)),
        "1 if it counts for the window's premium.",
    )
    block.counter(
        "weighed",
        "Counts for grams",
        list((window & (rows["pool_no"] > 0)).astype(int)),
        "1 if it is in the window and its tooth region is known.",
    )


def pools_block(practice: Practice, who: Roster) -> Block:
    """Grams of alloy by material and tooth region: own mean, n, Z and starting value."""
    found = _starting_grams(practice, who)
    block = Block("pools", "Alloy", "Alloy grams", len(who.pools), label=("material", "region"))
    block.number()
    block.given("material", "Material", [material for material, _ in who.pools])
    block.given("region", "Tooth region", [region for _, region in who.pools])
    alloys = [who.alloy_of[material] for material, _ in who.pools]
    block.counter(
        "alloy_no", "Alloy no.", numbers_of(alloys, who.alloys), "Row in the Alloys table; 0: no alloy."
    )
    block.given("alloy", "Alloy", alloys)
    block.given(
        "starting_g",
        "Starting grams",
        [value[0] if value else 0.0 for value in found],
        "grams",
        entry=True,
        low=0.0,
        high=50.0,
        places=[value[1] if value else ("no alloy", "", "") for value in found],
        meaning="The practice's own estimate.",
    )
    _own_gram_columns(block)
    block.fetch(
        "alloy_price_per_g", "Alloy price per g", "money_per_g", "alloys.alloy_price_per_g", "alloy_no", 0
    )
    if practice.settings["fees_set_on"]:
        block.fetch(
            "alloy_price_then",
            "Alloy price per g then",
            "money_per_g",
            "alloys.alloy_price_then",
            "alloy_no",
            0,
        )
    return block


def _own_gram_columns(block: Block) -> None:
    """The pool's billed grams, its own mean, Z and the grams that follow."""
    block.total(
        "n",
        "n",
        "units",
        "alloy_lines.alloy_units",
        "alloy_lines.pool_no",
        "no",
        "alloy_lines.weighed",
        meaning="Units of the alloy lines in the window.",
    )
    block.total(
        "billed_g",
        "Billed grams",
        "grams",
        "alloy_lines.weight_g",
        "alloy_lines.pool_no",
        "no",
        "alloy_lines.weighed",
        meaning="Grams of those lines.",
    )
    block.worked(own_mean_g)
    block.worked(credibility)
    block.worked(alloy_g)


def _starting_grams(practice: Practice, who: Roster) -> list[tuple[float, tuple[str, str, str]] | None]:
    """The grams that each pool starts from and the cell they are typed in; None where none are typed."""
    table = practice.tables["starting_grams"]
    starts = {}
    for position, key in enumerate(zip(words(table["material"]), words(table["tooth_region"]), strict=True)):
        starts[(plain(key[0]), key[1])] = (
            float(table["starting_g"].iloc[position]),
            practice.place("starting_grams", position, "starting_g"),
        )
    return [starts.get((plain(material), region)) for material, region in who.pools]


def add_metal(model: Model, practice: Practice, who: Roster, parts: pd.DataFrame) -> pd.DataFrame:
    """Add every block about metal; returns the alloy value days, which all-in prices need too."""
    quotes, composition = price_rows(practice), composition_rows(practice)
    model.add(metals_block(practice, quotes, composition))
    model.add(alloys_block(practice, who, composition))
    model.add(pools_block(practice, who))
    model.add(composition_block(practice, quotes, composition, model, who))
    days = day_rows(practice, who, parts)
    day_metals = day_metal_rows(days, composition, quotes)
    model.add(alloy_lines_block(alloy_line_rows(parts, days, day_metals, who), who))
    add_unweighed(model, who, parts, days)
    for block in (days_block(days), day_metals_block(day_metals)):
        model.add(block)
    model.add(quotes_block(quotes))
    return days
