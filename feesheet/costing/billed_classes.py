"""Alloy classes as invoice lines name them, held against the classes of the alloys by their composition."""

from __future__ import annotations

import pandas as pd

from feesheet.costing.roster import Roster
from feesheet.formula.numbers import Numbers
from feesheet.practice import Practice
from feesheet.problems import Problem


def billed_as_another(
    practice: Practice, who: Roster, parts: pd.DataFrame, figures: Numbers
) -> list[Problem]:
    """One notice for each lab, alloy and class that its lines name and the alloy's composition does not bear out."""
    classes = dict(zip(who.alloys, map(str, figures.of("alloys", "alloy_class")), strict=True))
    lines = parts.drop_duplicates("line")
    lines = lines.assign(billed=lines["alloy_class"].astype(str), by_metal=lines["alloy_used"].map(classes))
    wrong = lines[
        (lines["billed"] != "") & lines["by_metal"].notna() & (lines["billed"] != lines["by_metal"])
    ]
    return [
        _told(practice, str(lab), str(alloy), str(billed), group)
        for (lab, alloy, billed), group in wrong.groupby(["lab", "alloy_used", "billed"], observed=True)
    ]


def _told(practice: Practice, lab: str, alloy: str, billed: str, lines: pd.DataFrame) -> Problem:
    source = practice.sources[int(lines["source"].iloc[0])]
    what = (
        f'{len(lines)} line(s) of {lab}, the first here, worth {lines["amount"].sum():,.2f}, name the class "{billed}"; '
        f"{alloy} is {lines['by_metal'].iloc[0]} by its composition (ADA 2003)."
    )
    do = "Ask the lab for the certificate: what a patient or payer was told may be wrong."
    return Problem("caution", what, do, source.file, source.sheet, f"row {int(lines['row'].iloc[0])}")
