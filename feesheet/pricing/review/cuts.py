"""Margins by material, tooth region, site, payer, dentist and lab: the same money cut in several ways, worst margin first."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from feesheet.costing.chair import dentist_is_paid
from feesheet.costing.roster import Roster
from feesheet.formula.model import Block, Model
from feesheet.formula.numbers import Numbers
from feesheet.formula.tree import figure_in
from feesheet.practice import Practice
from feesheet.pricing.checks import Check
from feesheet.pricing.results import margin
from feesheet.pricing.review.cut_figures import SUMMED, few, margin_before_dentist
from feesheet.pricing.review.earned_figures import contribution_hour, contribution_unit
from feesheet.pricing.review.lab_places import add_lab_places
from feesheet.pricing.review.ranges import Stand, charges_block, counters_of, items_block, range_block
from feesheet.pricing.review.then_items import of_crowns
from feesheet.pricing.summary import sum_of

SHEET = "Margins by cut"


@dataclass(frozen=True)
class Cut:
    """One way to cut: by the number `key` of each row of the block `source`, named by its column `label`.

    `n` is the block.column of the lab units behind the lab fees, with the counter of the same numbers; "" where the
    labs' invoices don't tell them apart. `ranged` is the block of the margins whose lowest and highest are shown.
    """

    name: str
    said: str
    key: str
    label: str
    heading: str
    n: str = "period_places.place_units"
    source: str = "earned"
    ranged: str = "earned_items"

    @property
    def block(self) -> str:
        """The name of its block."""
        return f"cut_{self.name}"


CUTS = (
    Cut("material", "material", "material_no", "material", "Material"),
    Cut("region", "tooth region", "region_no", "region", "Tooth region"),
    Cut("site", "site", "site_no", "site", "Site"),
    Cut("lab", "lab", "lab_cut_no", "lab", "Lab", "lab_places_made.made_units", "lab_places_made", ""),
    Cut("payer", "payer", "payer_no", "payer", "Payer", "", ranged="earned"),
    Cut("dentist", "dentist", "dentist_no", "dentist", "Dentist", "", ranged="earned"),
)  # fmt: skip


def add_cuts(model: Model, practice: Practice, who: Roster, parts: pd.DataFrame, numbers: Numbers) -> None:
    """Add every cut and what it is made of; `numbers` are the model's, read when the rows are put in order."""
    model.add(items_block(who))
    labs = add_lab_places(model, practice, parts, numbers)
    model.add(labs.block)
    charges = charges_block(model, numbers)
    model.add(charges.block)
    named = any(model.blocks["earned"].labels("dentist"))
    cuts = [cut for cut in CUTS if cut.name != "dentist" or named]
    caveat = "" if dentist_is_paid(practice) else ", before dentist pay"
    for cut in cuts:
        stand = labs
        if cut.name != "lab":
            stand = range_block(model, cut.name, cut.said, cut.ranged, cut.key)
            model.add(stand.block)
        block = model.add(_cut_block(model, cut, numbers, stand, caveat))
        if cut.name == "material":
            charges.add_limits(block, counters_of(block, "cut_no"), "lab charge", "money")
    model.add(_totals_block(cuts))
    model.add(_lab_work_block())


def _cut_block(model: Model, cut: Cut, numbers: Numbers, stand: Stand, caveat: str) -> Block:
    """One row a material, site or whatever the cut is by."""
    keys = _worst_first(cut, numbers)
    names = _names(model, cut)
    block = Block(
        cut.block, SHEET, f"Margins by {cut.said}{caveat}", len(keys), _note(cut, caveat), label=(cut.label,)
    )
    block.given(cut.label, cut.heading, [names[key] for key in keys], width=24)
    block.counter("cut_no", "No.", keys, f"Number of the {cut.said}.")
    for name, heading, unit in SUMMED:
        block.total(name, heading, unit, f"{cut.source}.{name}", f"{cut.source}.{cut.key}", "cut_no")
    if cut.n:
        meaning = "Lab units of the period behind the lab fees."
        where = f"{cut.n.partition('.')[0]}.{cut.key}"
        block.total("n", "n", "units", cut.n, where, "cut_no", meaning=meaning)
    counts = _with_lab(model, cut, keys)
    block.counter("counts", "Units tell", counts, "1, but 0 where no lab is needed and n says nothing.")
    block.worked(few, n="n" if cut.n else "units")
    block.worked(margin, net="received", unit_cost="cost")
    block.worked(margin_before_dentist)
    block.worked(contribution_unit)
    block.worked(contribution_hour)
    stand.add_limits(block, keys, "margin", "fraction")
    return block


def _with_lab(model: Model, cut: Cut, keys: list[int]) -> list[int]:
    """1 for the rows of the cut whose units tell how sure a margin is: all, but those that no lab makes, if counted by n."""
    source = model.blocks[cut.source]
    places, numbers = (counters_of(source, name) for name in ("place_no", cut.key))
    made = {number for place, number in zip(places, numbers, strict=True) if place > 0}
    return [int(key in made or not cut.n) for key in keys]


def _note(cut: Cut, caveat: str) -> str:
    """What n and the range of the cut are."""
    counted = "n: lab units of the period behind the lab fees" if cut.n else "No n: labs' invoices don't tell"
    of = {"earned_items": "codes at a site", "earned": "codes by payer and dentist", "": "places"}[cut.ranged]
    said = f"Worst margin first, as issued. {counted}. Lowest and highest: of the {of}."
    if cut.name == "lab":
        said += (
            " A lab's unit costs the unit cost and what its own mean charge is over the place's; its part of"
            " a place is that of its units."
        )
    return f"{said} Margins are before dentist pay: no dentist's pay is typed." if caveat else said


def _names(model: Model, cut: Cut) -> dict[int, str]:
    """What each number of the cut is called."""
    source = model.blocks[cut.source]
    keys = counters_of(source, cut.key)
    return {key: name or "not named" for key, name in zip(keys, source.labels(cut.label), strict=True)}


def _worst_first(cut: Cut, numbers: Numbers) -> list[int]:
    """The numbers of the cut by their margin, the lowest first; those without units last."""
    keys = np.asarray(numbers.of(cut.source, cut.key), dtype=int)
    units, received, left = (
        np.bincount(keys, weights=np.asarray(numbers.of(cut.source, column), dtype=float))
        for column in ("units", "received", "left")
    )

    def rank(key: int) -> tuple[bool, float, int]:
        """Without units last, then the margin."""
        return (
            bool(units[key] == 0),
            float(left[key] / received[key]) if received[key] else float("-inf"),
            key,
        )

    return sorted({int(key) for key in keys}, key=rank)


def _totals_block(cuts: list[Cut]) -> Block:
    """Each cut added up, below the whole."""
    block = Block(
        "cut_totals",
        SHEET,
        "Every cut against the whole",
        len(cuts) + 1,
        "The rows of each cut add up to the same units, money and hours.",
        label=("cut",),
    )
    block.given("cut", "Cut", ["the whole", *(f"by {cut.said}" for cut in cuts)])
    for name, heading, unit in SUMMED:
        sums = [sum_of(f"earned.{name}"), *(sum_of(f"{cut.block}.{name}") for cut in cuts)]
        block.listed(name, heading, unit, sums, "The sum over all rows.")
    return block


def _lab_work_block() -> Block:
    """What the items with lab work leave a unit: the others are no crowns and would thin it."""
    block = Block("lab_work", SHEET, "Items with lab work", 1, "Items without a material are left out.",
                  label=("lab_work_of",))  # fmt: skip
    block.given("lab_work_of", "Of", ["all items with lab work"], width=24)
    block.listed("crowns", "Units", "units", [of_crowns("units")], "As seated or made.")
    left = [of_crowns("contribution")]
    block.listed("crown_contribution", "Contribution", "money", left, "The sum over these items.")
    block.worked(
        contribution_unit, name="contribution_crown", contribution="crown_contribution", units="crowns"
    )
    return block


def cut_checks(model: Model) -> list[Check]:
    """Every cut's sums against those of the whole of what was earned."""
    totals = model.blocks["cut_totals"]
    return [
        (
            f"{totals.columns[name].heading} {cut}, against the whole",
            figure_in("cut_totals", name, row),
            sum_of(f"earned.{name}"),
        )
        for row, cut in enumerate(totals.labels("cut"), start=1)
        if row > 1
        for name, _, _ in SUMMED
    ]
