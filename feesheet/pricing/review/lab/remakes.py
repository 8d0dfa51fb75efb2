"""Remakes by lab and cause: how often, what was charged for them, and what has come back."""

from __future__ import annotations

import numpy as np
import pandas as pd

from feesheet.costing.meaning import REMAKE, UNIT
from feesheet.costing.roster import Roster
from feesheet.formula.model import Block, Model, figure
from feesheet.formula.numbers import Numbers
from feesheet.formula.operations import ratio
from feesheet.formula.tree import Traced
from feesheet.practice import Practice
from feesheet.pricing.review.findings import Finding
from feesheet.pricing.review.lab.credits import OF_PRACTICE, causes, line_numbers

NONE = "no remakes"


@figure("Rate", "fraction")
def rate_of_cause(remakes: Traced, makes: Traced) -> Traced:
    """Remakes of that cause as a share of all that the lab made."""
    return ratio(remakes, makes, 0)


@figure("To come back or to settle", "money")
def to_come_back(again_open: Traced, lab_owes: Traced) -> Traced:
    """What was charged and not credited, where the cause is not the practice's own. Unit: money."""
    return again_open * lab_owes


def add(model: Model, practice: Practice, who: Roster, parts: pd.DataFrame) -> None:
    """Add the block; invoice lines and claims know their rows in it."""
    labs, keys = _keys(parts)
    rows = [
        (lab, cause)
        for lab in labs
        for cause in sorted({key[1] for key in keys if key and key[0] == lab}) or [NONE]
    ]
    number = {row: place for place, row in enumerate(rows, start=1)}
    lines, claims = model.blocks["lines"], model.blocks["claims"]
    lab_numbers = {lab: place for place, lab in enumerate(labs, start=1)}
    made = [lab_numbers.get(lab, 0) for lab in parts["lab"].astype(str)]
    lines.counter(
        "made_lab_no", "Lab no.", made, "The lab's number in the remakes by lab; 0: it made nothing."
    )
    again = [number[key] if key else 0 for key in keys]
    lines.counter("again_no", "Remake no.", again, "Row in the remakes by lab; 0: no remake of the period.")
    claimed = np.array(again, dtype=int)[line_numbers(model) - 1]
    claims.counter("again_no", "Remake no.", claimed, "Row in the remakes by lab; 0: none of the period.")
    model.add(_block(rows, [lab_numbers[lab] for lab, _ in rows]))


def found(
    model: Model, practice: Practice, who: Roster, parts: pd.DataFrame, numbers: Numbers
) -> list[Finding]:
    """None: how often a lab makes things again is for the practice to judge."""
    return []


def _keys(parts: pd.DataFrame) -> tuple[list[str], list[tuple[str, str] | None]]:
    """The labs that made something in the period, and lab and cause of each line part that is a remake of it."""
    counts = parts["in_window"] & ~parts["copy"] & ~parts["primary"]
    labs = sorted(set(parts.loc[counts & parts["treatment"].isin((UNIT, REMAKE)), "lab"].astype(str)))
    again = np.asarray(counts & (parts["treatment"] == REMAKE), dtype=bool)
    told = zip(again, parts["lab"].astype(str), causes(parts), strict=True)
    return labs, [(lab, cause) if so else None for so, lab, cause in told]


def _block(rows: list[tuple[str, str]], lab_numbers: list[int]) -> Block:
    block = Block(
        "remakes_by_lab",
        "Remakes by lab",
        "Remakes by lab and cause",
        len(rows),
        "Units of the period; charged and credited as of its last day. A rate on few makes says little.",
        label=("lab", "cause"),
    )
    block.number()
    block.counter("lab_no", "Lab no.", lab_numbers, "The lab's number here.")
    block.given("lab", "Lab", [lab for lab, _ in rows])
    block.given("cause", "Cause on the side of", [cause for _, cause in rows])
    meaning = "All units that the lab made in the period, remakes among them."
    block.total("makes", "Makes", "units", "lines.units_made", "lines.made_lab_no", "lab_no", meaning=meaning)
    block.total("remakes", "Remakes", "units", "lines.units_remade", "lines.again_no", "no")
    block.worked(rate_of_cause)
    for name, heading, source in (
        ("again_charged", "Charged", "claims.charged"),
        ("again_credited", "Credited", "claims.credited"),
        ("again_open", "Charged and not credited", "claims.open_amount"),
    ):
        block.total(name, heading, "money", source, "claims.again_no", "no")
    owing = [int(cause != OF_PRACTICE) for _, cause in rows]
    block.counter(
        "lab_owes", "May come back", owing, "0 where the cause is the practice's own: nothing comes back."
    )
    block.worked(to_come_back)
    return block
