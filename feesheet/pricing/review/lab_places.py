"""What each lab made at each place (material, tooth region, site), and its part of what was earned there.

A lab's part of a place is that of its lab units. What its own charges are over the place's mean is its own; over all
labs of a place that comes to nought, so the labs' parts add up to the whole.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from feesheet.costing.laboratory import lab_money
from feesheet.costing.roster import numbers_of
from feesheet.formula.model import Block, Model
from feesheet.formula.numbers import Numbers
from feesheet.practice import Practice
from feesheet.pricing.results import margin
from feesheet.pricing.review import cut_figures as figures
from feesheet.pricing.review.earned_figures import has_margin, margin_if_high, margin_if_low
from feesheet.pricing.review.ranges import Stand, add_running, last_rows
from feesheet.schema import plain

SHEET = "Lab parts"

NO_INVOICE = "no lab invoice in the period"

Made = tuple[str, int]
"""The lab's name in plain letters ("" for none), and the row in the lab fees (0: no lab work)."""

_AT_OWN_CHARGES = {
    "cost": figures.cost_part,
    **dict.fromkeys(("left", "left_before_dentist", "contribution"), figures.left_part),
}


def add_lab_places(model: Model, practice: Practice, parts: pd.DataFrame, numbers: Numbers) -> Stand:
    """Add the labs' parts; the lines and the alloy inside all-in prices get the number of the lab's row."""
    of_line = _of_lines(parts, numbers)
    rows = _rows(of_line, model, numbers)
    made_no = numbers_of(of_line, rows)
    inside = np.asarray(numbers.of("all_in", "line_no"), dtype=int) - 1
    meaning = "Row in what each lab made at each place; 0: none."
    model.blocks["lines"].counter("made_no", "Lab and place no.", made_no, meaning)
    model.blocks["all_in"].counter("made_no", "Lab and place no.", made_no[inside], meaning)
    return _block(model, practice, parts, rows)


def _of_lines(parts: pd.DataFrame, numbers: Numbers) -> list[Made]:
    """Lab and place of every line that is in a place's lab fee; no lab and no place for the others."""
    direct = np.asarray(numbers.of("lines", "direct"), dtype=int)
    places = np.asarray(numbers.of("lines", "lab_no"), dtype=int)
    labs = [plain(lab) for lab in parts["lab"].astype(str)]
    return [
        (lab, int(place)) if used and place else ("", -1)
        for lab, place, used in zip(labs, places, direct, strict=True)
    ]


def _rows(of_line: list[Made], model: Model, numbers: Numbers) -> list[Made]:
    """Every lab by its places, in order; last the places that no lab made a unit for, and what needs no lab."""
    made = sorted({one for one in of_line if one[1] > 0})
    n = np.asarray(numbers.of("lab_fees", "n"), dtype=float)
    none = [("", int(place) + 1) for place in np.flatnonzero(n == 0)]
    return [*made, *none, ("", 0)]


def _block(model: Model, practice: Practice, parts: pd.DataFrame, rows: list[Made]) -> Stand:
    """One row a lab and place."""
    block = Block(
        "lab_places_made",
        SHEET,
        "What each lab made at each place",
        len(rows),
        "A lab's part of a place is that of its lab units; a unit costs the unit cost and what the lab's mean is over the place's.",
        label=("lab", "material", "region", "site"),
    )
    keys = _who_is_who(block, model, practice, parts, rows)
    block.total("made_units", "Lab units", "units", "lines.units_counted", "lines.made_no", "made_no")
    block.total("billed", "Billed", "money", "lines.lab_cost", "lines.made_no", "made_no")
    block.total("metal_out", "Alloy inside", "money", "all_in.metal_inside", "all_in.made_no", "made_no")
    block.worked(lab_money, name="made_money")
    block.worked(figures.lab_mean)
    block.fetch("place_n", "Lab units of the place", "units", "lab_fees.n", "place_no", 0)
    block.fetch("place_mean", "Mean of the place", "money", "lab_fees.own_mean", "place_no", 0)
    block.worked(figures.lab_share)
    block.worked(figures.lab_gap)
    for name, heading, unit in figures.SUMMED:
        source = f"earned.{name}"
        said = f"{heading} of the place"
        block.total(f"place_{name}", said, unit, source, "earned.place_no", "place_no")
    block.worked(figures.gap_money)
    for name, heading, _ in figures.SUMMED:
        made = _AT_OWN_CHARGES.get(name, figures.lab_part)
        block.worked(made, name, heading, whole=f"place_{name}")
    block.worked(margin, net="received", unit_cost="cost")
    for function in (has_margin, margin_if_low, margin_if_high):
        block.worked(function)
    add_running(block, "margin_if_low", "margin_if_high", "lab_cut_no", "number")
    return Stand(block, last_rows(keys))


def _who_is_who(
    block: Block, model: Model, practice: Practice, parts: pd.DataFrame, rows: list[Made]
) -> list[int]:
    """The labels and numbers of each row; returns the labs' numbers."""
    spelled = {
        plain(lab): lab for lab in (*parts["lab"].astype(str), *practice.tables["labs"]["lab"].astype(str))
    }
    fees = model.blocks["lab_fees"]
    block.given("lab", "Lab", [spelled.get(lab, lab) or NO_INVOICE for lab, _ in rows], width=24)
    for name, heading in (("material", "Material"), ("region", "Tooth region"), ("site", "Site")):
        words = ["no lab work" if name == "material" else "", *fees.labels(name)]
        block.given(name, heading, [words[place] for _, place in rows])
    labs = list(dict.fromkeys(lab for lab, _ in rows))
    keys = [int(number) for number in numbers_of([lab for lab, _ in rows], labs)]
    uninvoiced = [int(lab == "") for lab, _ in rows]
    for column, heading, values, meaning in (
        ("made_no", "No.", list(range(1, len(rows) + 1)), "The row's number."),
        ("lab_cut_no", "Lab no.", keys, "Number of the lab."),
        ("place_no", "Lab fee no.", [place for _, place in rows], "Row in the lab fees; 0: no lab work."),
        ("uninvoiced", "No invoice", uninvoiced, "1 where no lab has units of the place in the period."),
    ):
        block.counter(column, heading, values, meaning)
    return keys
