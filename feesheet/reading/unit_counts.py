"""Units of a line held against the teeth that it names."""

from __future__ import annotations

import numpy as np

from feesheet.practice import Practice, line_treatments
from feesheet.problems import Problem
from feesheet.reading.line_facts import teeth_named


def units_and_teeth(practice: Practice) -> list[Problem]:
    """Lines whose units are not their teeth, and alloy for several teeth typed as one unit: a notice a file."""
    lines = practice.tables["invoice_lines"]
    if lines.empty:
        return []
    teeth, treatment = teeth_named(practice), line_treatments(lines)
    typed = np.round(np.abs(lines["units"].to_numpy(dtype=float)), 9)
    known = (teeth > 0) & ~np.isnan(typed)
    made = known & np.isin(treatment, ("unit", "remake")) & (typed != teeth)
    poured = known & (treatment == "alloy") & (teeth > 1) & (typed == 1)
    found = []
    for row, count in _firsts(practice, made):
        found.append(
            Problem(
                "units and teeth differ",
                f"{count} line(s) of this file, the first here, have other units than teeth: "
                f"here {typed[row]:g} unit(s) for {teeth[row]} tooth or teeth.",
                "The units count; correct them if the teeth are right.",
                *practice.place("invoice_lines", row, "units"),
            )
        )
    for row, count in _firsts(practice, poured):
        found.append(
            Problem(
                "units and teeth differ",
                f"{count} alloy line(s) of this file, the first here, name several teeth but 1 unit: "
                f"here {teeth[row]} teeth. The grams are taken as for the units typed.",
                "If the weight is for all its teeth, type their number as units.",
                *practice.place("invoice_lines", row, "units"),
            )
        )
    return found


def _firsts(practice: Practice, chosen: np.ndarray) -> list[tuple[int, int]]:
    """The first chosen line of each file, and how many the file has."""
    files = np.array([source.file for source in practice.sources], dtype=object)
    rows = np.flatnonzero(chosen)
    of_file = files[practice.tables["invoice_lines"]["source"].to_numpy()[rows]].astype(str)
    _, firsts, counts = np.unique(of_file, return_index=True, return_counts=True)
    return [(int(rows[first]), int(count)) for first, count in zip(firsts, counts, strict=True)]
