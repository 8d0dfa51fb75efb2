"""Alloy on top of a price that includes it, and the alloy of one work billed a second time on its invoice: its grams, or a surcharge."""

from __future__ import annotations

import re

import numpy as np
import pandas as pd

from feesheet import reference
from feesheet.costing.included_alloy import says_included
from feesheet.costing.lab_prices import all_in_labs
from feesheet.costing.meaning import ALLOY
from feesheet.costing.roster import Roster
from feesheet.formula.model import Model
from feesheet.formula.numbers import Numbers
from feesheet.practice import Practice
from feesheet.pricing.review.findings import Finding
from feesheet.pricing.review.lab.alloy_of_units import charged_alloy, units_behind
from feesheet.pricing.review.lab.cases_of_lines import SURCHARGE
from feesheet.pricing.review.lab.letters import grams_words, money_words
from feesheet.pricing.review.lab.line_tests import amount_columns, back_words, findings, tested_block, where
from feesheet.pricing.review.lab.no_metal import IMPLANT, without_metal
from feesheet.pricing.review.lab.paid_back import add_paid_back
from feesheet.pricing.review.lab.twice import billed_again, whole_money
from feesheet.schema import plain

TEST = "included_tests"
ALL_IN, WORDED, DOUBLE = "price holds the alloy", "unit's words include the alloy", "alloy a second time"
BY_WEIGHT = "alloy is billed by weight"


def add(model: Model, practice: Practice, who: Roster, parts: pd.DataFrame) -> None:
    """Add the alloy lines of labs or units whose price holds it, second ones of the same grams for the same work, and surcharges on weighed alloy."""
    add_paid_back(model, parts)
    rows = _rows(practice, who, parts, billed_again(model, practice, who, parts))
    block = tested_block(
        TEST,
        "Alloy that is paid already",
        rows,
        "Labs whose alloy billing is all-in; units that say that alloy is included; lines of the same alloy, grams and amount "
        "beyond the works of their teeth on the invoice; and surcharges for units whose alloy is weighed there.",
    )
    block.given("why", "Why", list(rows["why"]), width=24)
    amount_columns(block)
    block.worked(whole_money, name="money")
    model.add(block)


def found(
    model: Model, practice: Practice, who: Roster, parts: pd.DataFrame, numbers: Numbers
) -> list[Finding]:
    """Alloy that the unit's price or another line has paid for."""
    why, back = (numbers.of(TEST, name) for name in ("why", "paid_back"))

    def says(row: int, line: pd.Series, money: float) -> str:
        billed, due = (money_words(practice, amount) for amount in (line["amount"], money))
        came_back = back_words(practice, float(back[row]))
        if why[row] == BY_WEIGHT:
            return (
                f"{where(line)}: an alloy surcharge of {billed} was billed, but the alloy of this work is billed by weight on the "
                f"invoice already.{came_back} Please tell us what it is for, and credit {due} if it is for the same metal."
            )
        grams = line["weight"] * (reference.grams_in(str(line["weight_unit"])) or np.nan)
        reason = {
            ALL_IN: "your prices include the alloy, as agreed",
            WORDED: "the price of this work says that alloy is included",
        }.get(why[row], f"{grams_words(grams)} of the same alloy stand on the invoice for this work already")
        return f"{where(line)}: alloy at {billed} was billed, but {reason}.{came_back} Please credit {due}."

    return findings("alloy in the price", TEST, model, practice, parts, numbers, says)


def _rows(practice: Practice, who: Roster, parts: pd.DataFrame, again: set[int]) -> pd.DataFrame:
    """The found lines with their row `line_no` and `why`."""
    alloy = charged_alloy(parts, again)
    behind = units_behind(alloy, parts)
    alloy = alloy[~alloy["line"].isin(without_metal(who, alloy, behind)["line"])].reset_index(drop=True)
    behind = behind[behind["line"].isin(alloy["line"])]
    all_in = alloy["lab"].astype(str).map(plain).isin(all_in_labs(practice))
    inside = (all_in & ~alloy["no_crown"].astype(bool)).to_numpy(dtype=bool)
    worded = alloy["line"].isin(_worded(behind, parts)).to_numpy(dtype=bool)
    second = alloy["line"].isin(_second_ones(alloy, behind, who)).to_numpy(dtype=bool)
    on_weight = alloy["line"].isin(_on_weight(alloy, behind, who)).to_numpy(dtype=bool)
    ways = {ALL_IN: inside, WORDED: worded, DOUBLE: second, BY_WEIGHT: on_weight}
    alloy = alloy.assign(why=np.select(list(ways.values()), list(ways), ""))
    return alloy[alloy["why"] != ""].reset_index(drop=True)


def _worded(behind: pd.DataFrame, parts: pd.DataFrame) -> list[int]:
    """Alloy lines all of whose units say that their price includes alloy, whatever it weighs: beyond a weight more is due."""
    products = parts.drop_duplicates("line").set_index("line")["product"].astype(str)
    wordings = behind["of_line"].map(products)
    said = {words: says_included(words) and not re.search(r"\d", words) for words in wordings.unique()}
    every = wordings.map(said).astype(bool).groupby(behind["line"]).all()
    return [int(line) for line in every.index[every]]


def _second_ones(alloy: pd.DataFrame, behind: pd.DataFrame, who: Roster) -> list[int]:
    """Alloy lines that repeat another of their invoice, beyond the works that they may be for.

    A line that names its teeth is for them all, so that a work has one; where the teeth are those of the invoice's units,
    each unit may have its own. A unit that is cast from another alloy is none of its works, where there are others.
    """
    weighed = alloy[(alloy["treatment"] == ALLOY) & (alloy["weight"] > 0) & (alloy["whole_teeth"] != "")]
    pairs = _works(weighed, behind, who)
    counts = pairs.groupby("line").agg(works=("of_line", "nunique"), units=("of_units", "sum"))
    named = weighed["teeth"].astype(str).str.strip() != ""
    works, units = (weighed["line"].map(counts[name]).fillna(1.0) for name in ("works", "units"))
    same = ["invoice_no", "case_no", "whole_teeth", "alloy_used", "weight", "weight_unit", "amount"]
    number = weighed.groupby(same, observed=True, sort=False).cumcount() + 1
    second = weighed["line"][number > np.maximum(works.where(named, units), 1)]
    return [int(line) for line in second]


def _works(weighed: pd.DataFrame, behind: pd.DataFrame, who: Roster) -> pd.DataFrame:
    """The units behind weighed lines: those cast from the line's alloy, or all where none is."""
    pairs = behind[behind["line"].isin(weighed["line"])]
    own = pairs["made_of"].map(who.alloy_of) == pairs["line"].map(weighed.set_index("line")["alloy_used"])
    return pairs[own | ~own.groupby(pairs["line"]).transform("any")]


def _on_weight(alloy: pd.DataFrame, behind: pd.DataFrame, who: Roster) -> list[int]:
    """Surcharges all of whose units have weighed alloy on the invoice; those of materials without alloy aside.

    Weighed alloy without teeth is for the units that are cast from it. Work on implants may hold a cast part of its own.
    """
    weighed = alloy[(alloy["treatment"] == ALLOY) & (alloy["weight"] > 0)]
    pairs = _works(weighed, behind, who)
    facts = weighed.set_index("line")
    own = pairs["made_of"].map(who.alloy_of) == pairs["line"].map(facts["alloy_used"])
    toothed = pairs["line"].map(facts["whole_teeth"]) != ""
    cast = set(pairs.loc[own | toothed, "of_line"])
    units = behind[behind["line"].isin(alloy.loc[alloy["kind"] == SURCHARGE, "line"])]
    units = units[units["made_of"].map(who.alloy_of) != ""]
    so = units["of_line"].isin(cast) & ~units["of_role"].astype(str).str.contains(IMPLANT)
    every = so.groupby(units["line"]).all()
    return [int(line) for line in every.index[every]]
