"""Units that may be remakes at another lab: one person's tooth made twice within half a year. A question, never a change."""

from __future__ import annotations

from collections import defaultdict
from itertools import pairwise

from feesheet.practice import Practice
from feesheet.problems import Problem
from feesheet.reading.assembled import FolderContent
from feesheet.reading.line_facts import notations
from feesheet.reading.messages import MadeFact
from feesheet.reading.spelling import key
from feesheet.teeth import parse_teeth

WITHIN_DAYS = 180
"""Common practice, no source: most labs' remake terms end sooner."""


def remakes(practice: Practice, content: FolderContent) -> list[Problem]:
    """A notice for each unit whose tooth had one from another lab not long before."""
    ways = notations(practice)
    units: dict[tuple[str, int], list[tuple[MadeFact, str]]] = defaultdict(list)
    for file, _, inside in content.files:
        for made in inside.made:
            for tooth in parse_teeth(made.teeth, ways.get(key(made.lab), "ISO")) or ():
                units[made.patient, tooth].append((made, file))
    problems = []
    for (_, tooth), found in units.items():
        found.sort(key=lambda one: (one[0].day, one[1], one[0].row))
        for (first, _), (second, file) in pairwise(found):
            if first.lab != second.lab and 0 <= second.day - first.day <= WITHIN_DAYS:
                what = (
                    f"Tooth {tooth} (ISO) had a unit from {first.lab} {second.day - first.day:.0f} days before this one "
                    f"from {second.lab}: it may be a remake."
                )
                do = "If it is, ask the first lab for a credit."
                problems.append(Problem("open credit", what, do, file, second.sheet, f"row {second.row}"))
    return problems
