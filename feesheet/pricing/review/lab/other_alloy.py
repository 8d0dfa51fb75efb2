"""Alloy of another class than that of the work's material: the alloy that a line names against the one its units are cast from."""

from __future__ import annotations

from collections.abc import Mapping

import pandas as pd

from feesheet.costing.meaning import ALLOY
from feesheet.costing.roster import Roster, numbers_of
from feesheet.formula.model import Block, Model, figure
from feesheet.formula.numbers import Numbers
from feesheet.formula.operations import same, when
from feesheet.formula.tree import Traced
from feesheet.practice import Practice
from feesheet.pricing.review.findings import Finding
from feesheet.pricing.review.lab.alloy_of_units import charged_alloy, units_behind
from feesheet.pricing.review.lab.alloy_rows import unstated
from feesheet.pricing.review.lab.letters import listed, money_words
from feesheet.pricing.review.lab.line_tests import amount_columns, back_words, findings, tested_block, where
from feesheet.pricing.review.lab.no_metal import IMPLANT
from feesheet.pricing.review.lab.paid_back import SHEET, add_paid_back
from feesheet.pricing.review.lab.twice import billed_again
from feesheet.schema import plain

PAIRS, TEST = "work_alloys", "other_alloy_tests"
KIND = "another alloy"


@figure("Another class", "whole")
def another_class(made_class: Traced, work_class: Traced) -> Traced:
    """1 if the alloy of the line and that of the work's material are of two classes (ADA 2003)."""
    return 1 - same(made_class, work_class)


@figure("Money", "money")
def other_alloy_money(works: Traced, of_another: Traced, amount: Traced, paid_back: Traced) -> Traced:
    """The line less what came back, where the alloys of all its works are of another class. Unit: money."""
    return when(works - of_another > 0, 0, amount + paid_back)


def add(model: Model, practice: Practice, who: Roster, parts: pd.DataFrame) -> None:
    """Add the alloy lines of the period that name another alloy than their units are cast from."""
    add_paid_back(model, parts)
    rows, pairs = _rows(practice, who, parts, billed_again(model, practice, who, parts))
    model.add(_pairs_block(pairs, who))
    block = tested_block(
        TEST,
        "Alloy that the work's material is not cast from",
        rows,
        "Lines that name an alloy which no material of their units has; its class is held against theirs. "
        "Work on implants and alloys of unknown composition are left out.",
    )
    block.given("made_alloy", "Alloy billed", list(rows["alloy_used"].astype(str)), width=22)
    block.count("works", "Alloys of the work", f"{PAIRS}.test_no", "no")
    block.total("of_another", "Of another class", "whole", f"{PAIRS}.another_class", f"{PAIRS}.test_no", "no")
    amount_columns(block)
    block.worked(other_alloy_money, name="money")
    model.add(block)


def _pairs_block(pairs: pd.DataFrame, who: Roster) -> Block:
    """Each line's alloy beside every alloy that its works are cast from."""
    block = Block(
        PAIRS,
        SHEET,
        "Alloy billed and alloy of the work",
        len(pairs),
        "One row a line and alloy of its units' materials, as the Materials table names it.",
        label=("pair_made", "pair_work"),
    )
    block.counter("test_no", "Test no.", list(pairs["test_no"]), "Row in the alloy held against its work.")
    for side, words in (("made", "billed"), ("work", "of the work")):
        block.given(f"pair_{side}", f"Alloy {words}", list(pairs[f"{side}_alloy"].astype(str)), width=22)
        numbers = numbers_of(pairs[f"{side}_alloy"], who.alloys)
        block.counter(f"{side}_alloy_no", f"Alloy {words} no.", numbers, "Row in the Alloys table.")
        block.fetch(f"{side}_class", f"Class {words}", "text", "alloys.alloy_class", f"{side}_alloy_no", "")
    block.worked(another_class)
    return block


def found(
    model: Model, practice: Practice, who: Roster, parts: pd.DataFrame, numbers: Numbers
) -> list[Finding]:
    """Alloy whose class is another than that of all its works."""
    classes = dict(zip(who.alloys, map(str, numbers.of("alloys", "alloy_class")), strict=True))
    rows, pairs = _rows(practice, who, parts, billed_again(model, practice, who, parts))
    works = {int(number): group for number, group in pairs.groupby("test_no")}
    back = numbers.of(TEST, "paid_back")

    def says(row: int, line: pd.Series, money: float) -> str:
        billed = money_words(practice, float(line["amount"]))
        made = _with_class(rows["alloy_used"].iloc[row], classes, " by its composition, ADA 2003")
        work = works[row + 1]
        alloys = listed([_with_class(alloy, classes) for alloy in work["work_alloy"]])
        return (
            f"{where(line)}: {billed} was billed for {made}, but the work is of {listed(_materials(work))}, cast from {alloys}."
            f"{back_words(practice, float(back[row]))} Please tell us which alloy was cast, and send us its certificate."
        )

    return findings(KIND, TEST, model, practice, parts, numbers, says)


def _with_class(alloy: object, classes: Mapping[str, str], by: str = "") -> str:
    """An alloy and its class, with the words `by` after it."""
    return f"{alloy} ({classes[str(alloy)]}{by})"


def _materials(work: pd.DataFrame) -> list[str]:
    """The materials of a line's works, each once."""
    return list(dict.fromkeys(material for of in work["made_of"] for material in of))


def _rows(
    practice: Practice, who: Roster, parts: pd.DataFrame, again: set[int]
) -> tuple[pd.DataFrame, pd.DataFrame]:
    """The tested lines, and for each (`test_no`) the alloys of its works with the materials `made_of` them.

    Units of materials without alloy are none of its works; of a unit whose material is not known the line may be.
    """
    unknown, known = unstated(practice), {plain(alloy) for alloy in who.alloys}
    alloy = charged_alloy(parts, again)
    named = alloy["alloy"].map(lambda word: plain(str(word)) in known).astype(bool)
    aside = alloy["no_crown"].astype(bool) | alloy["primary"].astype(bool) | alloy["alloy_used"].isin(unknown)
    alloy = alloy[(alloy["treatment"] == ALLOY) & named & ~aside]
    units = units_behind(alloy, parts)
    units["work_alloy"] = units["made_of"].map(who.alloy_of).astype(object)
    units = units[units["work_alloy"] != ""]
    units["made_alloy"] = units["line"].map(alloy.set_index("line")["alloy_used"].astype(str)).astype(object)
    not_told = units["work_alloy"].isna() | units["work_alloy"].isin(unknown)
    not_told |= (units["work_alloy"] == units["made_alloy"]) | units["of_role"].astype(str).str.contains(
        IMPLANT
    )
    units = units[~units["line"].isin(units.loc[not_told, "line"])]
    rows = alloy[alloy["line"].isin(units["line"])].reset_index(drop=True)
    pairs = units.groupby(["line", "made_alloy", "work_alloy"], sort=False)["made_of"].agg(list).reset_index()
    return rows, pairs.assign(test_no=numbers_of(pairs["line"], list(rows["line"])))
