"""Grams of alloy: what a unit was billed at, against the practice's own units of that size and the alloy's density."""

from __future__ import annotations

import numpy as np
import pandas as pd

from feesheet.costing.roster import Roster
from feesheet.formula.model import Block, Model
from feesheet.formula.numbers import Numbers
from feesheet.practice import Practice
from feesheet.pricing.review.findings import Finding
from feesheet.pricing.review.lab import gram_figures as figures
from feesheet.pricing.review.lab import premium
from feesheet.pricing.review.lab.alloy_rows import (
    TESTED,
    alloy_rows,
    billed_at,
    borrowed_words,
    counts_block,
    line_columns,
    outcome_columns,
    terms_of,
    weight_words,
)
from feesheet.pricing.review.lab.gram_parts import (
    BY_GRAMS,
    BY_VOLUME,
    NOTHING,
    PARTS,
    SHEET,
    STARTING,
    TESTS,
    parts_block,
    split_rows,
)
from feesheet.pricing.review.lab.letters import counted, grams_words, money_words, place_words, price_words
from feesheet.pricing.review.lab.premium_figures import line_grams

KIND = "grams"


def add(model: Model, practice: Practice, who: Roster, parts: pd.DataFrame) -> None:
    """Add the alloy lines of the period with their grams a unit, their parts by size of tooth, and how many were tested."""
    premium.add(model, practice, who, parts)
    rows = _rows(model, practice, parts)
    split = split_rows(model, who, parts, rows)
    block = Block(
        TESTS,
        SHEET,
        "Grams of alloy a unit",
        len(rows),
        "One row an alloy line of the period; the alloy of a bridge is spread over its units. Real castings differ much.",
        label=("test_invoice", "test_alloy"),
    )
    _facts(block, rows, who)
    worst = split.groupby("test_no")["basis"].max().to_dict()
    numbers = range(1, len(rows) + 1)
    basis = [int(worst.get(number, NOTHING)) for number in numbers]
    block.counter(
        "basis_no", "Basis no.", basis, "The weakest of its parts: 1 volume, 2 grams, 3 typed, 4 none."
    )
    block.total(
        "usual_line", "Usual grams of the line", "grams", f"{PARTS}.part_usual", f"{PARTS}.test_no", "no"
    )
    for function in (
        figures.usual_each, figures.held_grams, figures.basis_words, figures.over_unit, figures.implausible, figures.is_heavy,
    ):  # fmt: skip
        block.worked(function)
    _priced(block)
    counts = counts_block("gram_counts", "Alloy lines tested for their grams", block)
    for one in (counts, block, parts_block(split)):
        model.add(one)


def _rows(model: Model, practice: Practice, parts: pd.DataFrame) -> pd.DataFrame:
    """The lines with their teeth, density, grams and volume a unit as issued, and why they can't be tested."""
    rows = alloy_rows(model, practice, parts)
    named = rows["teeth"].astype(str) != ""
    rows["line_teeth"] = rows["whole_teeth"].astype(str).str.split().map(len).where(named, 0)
    alloys = practice.tables["alloys"]
    density = dict(zip(alloys["alloy"].astype(str), alloys["density"].fillna(0.0).astype(float), strict=True))
    rows["density"] = [density.get(str(alloy), 0.0) for alloy in rows["alloy_used"]]
    spread = figures.counted_units(rows["units"], rows["line_teeth"])
    known = parts[(parts["region"] != "") & (parts["material"] != "")].groupby("line")["share"].sum()
    placed = rows["line"].map(known).fillna(0.0).round(9) >= 1
    rows["outcome"] = np.select(
        [(rows["why_not"] != "").to_numpy(), ~placed.to_numpy(), spread <= 0],
        [rows["why_not"], "tooth region not known", "units not known"],
        TESTED,
    ).astype(object)
    rows["unit_grams"] = figures.unit_grams(line_grams(rows["weight"], rows["grams"]), spread)
    rows["volume"] = figures.unit_volume(rows["unit_grams"], rows["density"])
    rows["volume"] = rows["volume"].where(rows["density"] > 0)
    return rows


def _facts(block: Block, rows: pd.DataFrame, who: Roster) -> None:
    """What the lines say, and the grams and volume of one unit."""
    line_columns(block, rows, who)
    outcome_columns(block, list(rows["outcome"]))
    block.fetch("billed", "Billed", "money", "lines.amount", "line_no")
    block.fetch("weight", "Weight", "number", "alloy_lines.weight", "alloy_line_no", 0)
    block.fetch(
        "grams_in_unit", "Grams in the unit", "exact", "alloy_lines.grams_in_unit", "alloy_line_no", 0
    )
    block.worked(line_grams)
    block.fetch("line_units", "Units", "units", "lines.units", "line_no")
    block.given(
        "line_teeth",
        "Teeth named",
        list(rows["line_teeth"]),
        "whole",
        meaning="Teeth that the line itself names.",
    )
    block.worked(figures.counted_units)
    block.worked(figures.unit_grams)
    block.given(
        "density",
        "Density, g/cm³",
        list(rows["density"]),
        "number",
        meaning="From the Alloys table; 0: not known.",
    )
    block.worked(figures.unit_volume)


def _priced(block: Block) -> None:
    """What the grams above the usual ones come to; the tests of prices and of grams have the same lines in one order."""
    numbers = list(range(1, block.rows + 1))
    block.counter("premium_no", "Price no.", numbers, "Row in the alloy prices against the metal's value.")
    price_over = f"{premium.TESTS}.is_over"
    block.fetch(
        "price_over",
        "Price asked about",
        "whole",
        price_over,
        "premium_no",
        meaning="1 if the price is a finding.",
    )
    block.fetch(
        "held_per_g", "Price held against", "money_per_g", f"{premium.TESTS}.held_per_g", "premium_no"
    )
    block.fetch("billed_per_g", "Billed per g", "money_per_g", f"{premium.TESTS}.billed_per_g", "premium_no")
    block.worked(figures.gram_price)
    block.worked(figures.money_of_grams, name="money")


def found(
    model: Model, practice: Practice, who: Roster, parts: pd.DataFrame, numbers: Numbers
) -> list[Finding]:
    """The lines whose units are far heavier than the practice's own."""
    rows = _rows(model, practice, parts).drop(columns="unit_grams")
    names = (
        "is_heavy", "money", "line_grams", "billed_per_g", "billed", "unit_grams", "held_grams",
        "counted_units", "basis_no", "price_over", "gram_price",
    )  # fmt: skip
    figures_of = {name: numbers.of(TESTS, name) for name in names}
    table = rows.assign(**figures_of, wrong_sum=numbers.of(premium.TESTS, "wrong_sum"))
    terms = terms_of(practice)
    return [
        Finding(
            KIND,
            str(row["lab"]),
            str(row["site"]),
            str(row["invoice"]),
            (int(row["line"]),),
            TESTS,
            place + 1,
            float(row["money"]),
            _sentence(practice, row),
            terms.left(row["lab"], row["date"]),
        )
        for place, row in table[table["is_heavy"] == 1].iterrows()
    ]


_BASES = {
    BY_VOLUME: "the middle of our other units of that kind, in this alloy, is {held}",
    BY_GRAMS: "the middle of our other units of that kind is {held}",
    STARTING: "we reckon with {held} for such a unit",
    NOTHING: "more than {held} is hardly plausible",
}


def _sentence(practice: Practice, row: pd.Series) -> str:
    """What to ask the lab about a line."""
    units = float(row["counted_units"])
    held = _BASES[int(row["basis_no"])].format(held=grams_words(float(row["held_grams"])))
    each = (
        "" if units == 1 else f" for {counted(units, 'unit')}, {grams_words(float(row['unit_grams']))} each,"
    )
    differ = float(row["units"]) != units
    doubt = (
        f" The line says {counted(float(row['units']), 'unit')}, but names {counted(units, 'tooth', 'teeth')}."
        if differ
        else ""
    )
    return (
        f"{place_words(row['invoice'], row['date'], row['whole_teeth'])}: {weight_words(row)} of {row['alloy_used']}{each} "
        f"{billed_at(practice, row)}; {held}.{doubt}{borrowed_words(row)} Please tell us what was weighed; at "
        f"{_price_words(practice, row)}, the grams above come to {money_words(practice, row['money'])}."
    )


def _price_words(practice: Practice, row: pd.Series) -> str:
    """The price that the grams above count at, and whose it is."""
    price = f"{price_words(practice, float(row['gram_price']))} a gram"
    return f"{price}, which we hold your price against" if row["price_over"] else f"your price of {price}"
