"""Alloy that was billed for units without metal."""

from __future__ import annotations

import pandas as pd

from feesheet.costing.roster import Roster
from feesheet.formula.model import Model
from feesheet.formula.numbers import Numbers
from feesheet.practice import Practice
from feesheet.pricing.review.findings import Finding
from feesheet.pricing.review.lab.alloy_of_units import charged_alloy, units_behind
from feesheet.pricing.review.lab.letters import listed, money_words
from feesheet.pricing.review.lab.line_tests import amount_columns, back_words, findings, tested_block, where
from feesheet.pricing.review.lab.paid_back import add_paid_back
from feesheet.pricing.review.lab.twice import billed_again, whole_money

TEST = "metal_tests"
IMPLANT = "implant"
"""The role of a tooth whose work may hold parts of its own."""


def add(model: Model, practice: Practice, who: Roster, parts: pd.DataFrame) -> None:
    """Add the alloy lines of the period whose units are all of materials without alloy."""
    add_paid_back(model, parts)
    alloy = charged_alloy(parts, billed_again(model, practice, who, parts))
    rows = without_metal(who, alloy, units_behind(alloy, parts))
    block = tested_block(
        TEST,
        "Alloy without metal",
        rows,
        "The units of the line's teeth, else of its case, else of its invoice. Work on implants may hold a cast part and is left out.",
    )
    block.given("made_of", "Made of", list(rows["made_of"]), width=28)
    amount_columns(block)
    block.worked(whole_money, name="money")
    model.add(block)


def found(
    model: Model, practice: Practice, who: Roster, parts: pd.DataFrame, numbers: Numbers
) -> list[Finding]:
    """Alloy for materials that hold none."""
    made_of, back = (numbers.of(TEST, name) for name in ("made_of", "paid_back"))

    def says(row: int, line: pd.Series, money: float) -> str:
        billed, due = (money_words(practice, amount) for amount in (line["amount"], money))
        what = "an alloy surcharge of" if "surcharge" in str(line["kind"]) else "alloy at"
        return (
            f"{where(line)}: {what} {billed} was billed, but the work is of {made_of[row]}, which holds no alloy."
            f"{back_words(practice, float(back[row]))} Please credit {due}."
        )

    return findings("alloy without metal", TEST, model, practice, parts, numbers, says)


def without_metal(who: Roster, alloy: pd.DataFrame, units: pd.DataFrame) -> pd.DataFrame:
    """Those alloy lines with their row `line_no` and the materials `made_of` of their units; `units` are all lines' (`units_behind`)."""
    free = {material for material, cast_from in who.alloy_of.items() if not cast_from}
    units = units.assign(
        free=units["made_of"].isin(free) & ~units["of_role"].astype(str).str.contains(IMPLANT)
    )
    every = units.groupby("line")["free"].all()
    named = units.groupby("line")["made_of"].agg(lambda of: listed(sorted({str(one) for one in of})))
    chosen = alloy["line"].isin(every.index[every.to_numpy(dtype=bool)])
    rows = alloy[chosen & ~alloy["no_crown"].astype(bool)].reset_index(drop=True)
    return rows.assign(made_of=rows["line"].map(named).astype(object))
