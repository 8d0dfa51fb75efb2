"""Alloy classes as invoice lines name them, held against the classes of the alloys by their composition."""

from __future__ import annotations

from collections.abc import Mapping

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
    lines = with_classes(parts.drop_duplicates("line"), classes)
    wrong = lines[differs(lines)]
    return [
        _told(practice, str(lab), str(alloy), str(billed), group)
        for (lab, alloy, billed), group in wrong.groupby(["lab", "alloy_used", "billed"], observed=True)
    ]


def with_classes(lines: pd.DataFrame, classes: Mapping[str, str]) -> pd.DataFrame:
    """The lines with the class that they name, `billed` ("" for none), and that of their alloy, `by_metal` (blank: no alloy)."""
    return lines.assign(billed=lines["alloy_class"].astype(str), by_metal=lines["alloy_used"].map(classes))


def differs(lines: pd.DataFrame) -> pd.Series:
    """Whether a line names a class, and its alloy is known to be of another."""
    return (lines["billed"] != "") & lines["by_metal"].notna() & (lines["billed"] != lines["by_metal"])


def _told(practice: Practice, lab: str, alloy: str, billed: str, lines: pd.DataFrame) -> Problem:
    source = practice.sources[int(lines["source"].iloc[0])]
    what = (
        f'{len(lines)} line(s) of {lab}, the first here, worth {lines["amount"].sum():,.2f}, name the class "{billed}"; '
        f"{alloy} is {lines['by_metal'].iloc[0]} by its composition (ADA 2003)."
    )
    do = "Ask the lab for the certificate: what a patient or payer was told may be wrong."
    return Problem("caution", what, do, source.file, source.sheet, f"row {int(lines['row'].iloc[0])}")
