"""The alloys: what they are made of, their class, their premium, and what to be careful about."""

from __future__ import annotations

import numpy as np
import pandas as pd

from feesheet import reference
from feesheet.costing.metal import (
    adds_up,
    alloy_class,
    alloy_premium,
    alloy_price_per_g,
    class_rank,
    is_high_noble,
    is_noble,
    is_titanium,
    metal_value,
    noble_part,
    premium_basis,
    premium_choice,
    premium_ever,
    premium_in_window,
)
from feesheet.costing.quotes import latest_quote
from feesheet.costing.roster import Roster, numbers_of, words
from feesheet.formula.model import Block, Model
from feesheet.formula.numbers import Numbers
from feesheet.practice import Practice
from feesheet.problems import Problem


def composition_rows(practice: Practice) -> pd.DataFrame:
    """One row per alloy and metal that it holds: alloy, metal, fraction."""
    alloys = practice.tables["alloys"]
    rows = [
        (str(alloy), metal, float(fractions[position]))
        for metal in reference.metals()
        for fractions in [alloys[metal].fillna(0.0).to_numpy()]
        for position, alloy in enumerate(alloys["alloy"])
        if fractions[position] != 0
    ]
    table = pd.DataFrame(rows, columns=["alloy", "metal", "fraction"])
    order = numbers_of(table["alloy"], words(alloys["alloy"]))
    return table.iloc[np.argsort(order, kind="stable")].reset_index(drop=True)


def composition_block(
    practice: Practice, quotes: pd.DataFrame, composition: pd.DataFrame, model: Model, who: Roster
) -> Block:
    """What each alloy is made of, one row per alloy and metal."""
    metals = model.blocks["metals"].labels("metal")
    block = Block("composition", "Alloy", "Composition", len(composition), label=("alloy", "metal"))
    block.counter(
        "alloy_no", "Alloy no.", numbers_of(composition["alloy"], who.alloys), "Row in the Alloys table."
    )
    block.counter(
        "metal_no",
        "Metal no.",
        numbers_of(composition["metal"], metals),
        "Row in the metal prices; 0: no price.",
    )
    block.given("alloy", "Alloy", list(composition["alloy"]))
    block.given("metal", "Metal", list(composition["metal"]))
    block.given("fraction", "Mass fraction", list(composition["fraction"]), "fraction")
    block.fetch("metal_price_per_g", "Price per g", "money_per_g", "metals.metal_price_per_g", "metal_no", 0)
    block.worked(metal_value)
    _add_then(block, practice, quotes, list(composition["metal"]))
    block.fetch("noble", "Noble", "whole", "metals.noble", "metal_no", 0)
    block.worked(noble_part)
    for metal in ("gold", "titanium"):
        block.counter(
            f"{metal}_flag",
            f"Is {metal}",
            (composition["metal"] == metal).astype(int),
            f"1 if the metal is {metal}.",
        )
        block.worked(noble_part, name=f"{metal}_part", heading=f"Of it {metal}", noble=f"{metal}_flag")
    return block


def not_quoted_then(
    practice: Practice, composition: pd.DataFrame, quotes: pd.DataFrame
) -> dict[str, list[str]]:
    """The metals of each alloy that have a price today but had none when the current fees were set; none such: no entry."""
    day, today = practice.settings["fees_set_on"], practice.settings["pricing_date"]
    if not day:
        return {}
    metals = list(composition["metal"])
    now, then = (latest_quote(quotes, metals, [when] * len(metals)) for when in (today, day))
    late = composition[(now > 0) & (then == 0)]
    return {str(alloy): list(rows["metal"]) for alloy, rows in late.groupby("alloy", sort=False)}


def _add_then(block: Block, practice: Practice, quotes: pd.DataFrame, metals: list[str]) -> None:
    """The metal's value when the current fees were set, where that day is known."""
    day = practice.settings["fees_set_on"]
    if day:
        numbers = latest_quote(quotes, metals, [day] * len(metals))
        block.counter(
            "then_no",
            "Quote no. then",
            numbers,
            "Row in the metal quotes when the current fees were set; 0: none.",
        )
        block.fetch("price_then", "Price per g then", "money_per_g", "quotes.metal_price_per_g", "then_no", 0)
        block.worked(
            metal_value, name="value_then", heading="Metal value then", metal_price_per_g="price_then"
        )


def alloys_block(practice: Practice, who: Roster, composition: pd.DataFrame) -> Block:
    """The alloys: class, metal value, premium and price, one row an alloy."""
    table = practice.tables["alloys"]
    block = Block("alloys", "Alloy", "Alloys", len(who.alloys), label=("alloy",))
    block.number()
    block.given("alloy", "Alloy", list(who.alloys))
    block.given("class_billed", "Class as billed", words(table["class_billed"]))
    _class_columns(block)
    block.total(
        "metal_value_per_g",
        "Metal value per g",
        "money_per_g",
        "composition.metal_value",
        "composition.alloy_no",
        "no",
        meaning="What the metal in one gram is worth today.",
    )
    _premium_columns(block)
    if practice.settings["fees_set_on"]:
        block.total(
            "value_then_per_g",
            "Metal value per g then",
            "money_per_g",
            "composition.value_then",
            "composition.alloy_no",
            "no",
            meaning="What the metal in one gram was worth when the current fees were set; no quote by then: 0.",
        )
        block.worked(
            alloy_price_per_g,
            name="alloy_price_then",
            heading="Alloy price per g then",
            metal_value_per_g="value_then_per_g",
        )
    block.given("caution", "Caution", [_caution(composition, alloy) for alloy in who.alloys], width=26)
    return block


def _class_columns(block: Block) -> None:
    """What the alloy's metals add up to, and the class that follows."""
    for name, heading, unit in (
        ("fraction", "Fractions in all", "fraction"),
        ("noble_part", "Noble", "fraction"),
        ("gold_part", "Gold", "fraction"),
        ("titanium_part", "Titanium", "fraction"),
    ):
        block.total(
            f"{name.removesuffix('_part')}_share",
            heading,
            unit,
            f"composition.{name}",
            "composition.alloy_no",
            "no",
            meaning="Sum over the alloy's metals.",
        )
    block.worked(adds_up, name="whole")
    for function in (is_noble, is_titanium, is_high_noble, class_rank):
        block.worked(function)
    block.worked(alloy_class)


def _premium_columns(block: Block) -> None:
    """What the labs billed over the metal's value, in the window and of all dates, and the price that follows."""
    for suffix, flag in (("in_window", "in_window"), ("ever", "priced")):
        when_words = "in the window" if suffix == "in_window" else "of all dates"
        block.total(
            f"lines_{suffix}",
            f"Lines {when_words}",
            "whole",
            "alloy_lines.first_part",
            "alloy_lines.alloy_no",
            "no",
            f"alloy_lines.{flag}",
            meaning=f"Alloy lines {when_words} with a weight and a metal price.",
        )
        block.total(
            f"paid_{suffix}",
            f"Billed {when_words}",
            "money",
            "alloy_lines.alloy_billed",
            "alloy_lines.alloy_no",
            "no",
            f"alloy_lines.{flag}",
            meaning="What the labs billed for them.",
        )
        block.total(
            f"value_{suffix}",
            f"Metal value {when_words}",
            "money",
            "alloy_lines.value_on_day",
            "alloy_lines.alloy_no",
            "no",
            f"alloy_lines.{flag}",
            meaning="What their metal was worth on the invoice dates.",
        )
        block.worked(premium_in_window if suffix == "in_window" else premium_ever)
    block.worked(premium_choice)
    block.worked(premium_basis)
    block.worked(alloy_premium)
    block.worked(alloy_price_per_g)


def _caution(composition: pd.DataFrame, alloy: str) -> str:
    held = set(composition.loc[composition["alloy"] == alloy, "metal"]) & {"nickel", "beryllium"}
    return f"holds {' and '.join(sorted(held))}" if held else ""


_LEAST_PREMIUM, _MOST_PREMIUM = -0.5, 2.0
"""A premium under or over these is more likely a slip in weights or units than a lab's price (common practice, no source)."""


def odd_premiums(practice: Practice, who: Roster, figures: Numbers) -> list[Problem]:
    """Alloys that the labs seem to sell far under, or far over, what their metal is worth."""
    premiums, bases = figures.of("alloys", "alloy_premium"), figures.of("alloys", "premium_basis")
    return [
        Problem(
            "caution",
            f"{alloy} has an alloy premium of {premium:.2f} (a fraction of the metal's value), from {basis}.",
            "Check the weights, their units and the metal quotes.",
            *practice.place("alloys", position, "alloy"),
        )
        for position, (alloy, premium, basis) in enumerate(zip(who.alloys, premiums, bases, strict=True))
        if not _LEAST_PREMIUM <= premium <= _MOST_PREMIUM
    ]


def cautions(practice: Practice, who: Roster, figures: Numbers) -> list[Problem]:
    """Alloys that hold nickel or beryllium, that are billed as another class than theirs, or at an odd premium."""
    composition, problems = composition_rows(practice), odd_premiums(practice, who, figures)
    worked_out = figures.of("alloys", "alloy_class")
    for position, alloy in enumerate(who.alloys):
        billed = str(practice.tables["alloys"]["class_billed"].iloc[position])
        holds = _caution(composition, alloy)
        if holds:
            problems.append(
                Problem(
                    "caution",
                    f"{alloy} {holds}.",
                    "Follow the dentist's judgement and local safety law.",
                    *practice.place("alloys", position, "alloy"),
                )
            )
        if billed and billed != worked_out[position]:
            what = f'{alloy} is billed as "{billed}"; by its composition it is {worked_out[position]} (ADA 2003).'
            problems.append(
                Problem(
                    "caution",
                    what,
                    "Ask the lab for the certificate.",
                    *practice.place("alloys", position, "class_billed"),
                )
            )
    return problems
