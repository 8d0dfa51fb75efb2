"""The middle of the other lines: which rows hold the median of a group once a line itself is left out."""

from __future__ import annotations

from collections.abc import Hashable, Sequence

import numpy as np

from feesheet.formula.model import figure
from feesheet.formula.tree import Traced
from feesheet.reference import fixed


@figure("Middle of the others", "number")
def middle(lower: Traced, upper: Traced, middle_two: Traced = fixed("middle_two")) -> Traced:
    """The median of the other lines: the middle one, or the mean of the two in the middle.

    >>> middle(2.0, 3.0)
    2.5
    """
    return (lower + upper) / middle_two


def middles(
    figures: Sequence[float], groups: Sequence[Hashable], counts: Sequence[bool], least: int
) -> list[tuple[int, int]]:
    """For each row, the two rows (from 1) in the middle of the other rows of its group that count; (0, 0) if they are too few.

    A line that is wrong itself so moves nothing that it is held against.

    >>> middles([1, 2, 3, 40], ["a"] * 4, [True] * 4, 3)
    [(3, 3), (3, 3), (2, 2), (2, 2)]
    >>> middles([1, 2, 3], ["a", "a", "b"], [True] * 3, 1)
    [(2, 2), (1, 1), (0, 0)]
    """
    members: dict[Hashable, list[int]] = {}
    places = {}
    for row in np.argsort(np.asarray(figures, dtype=float), kind="stable").tolist():
        if counts[row]:
            group = members.setdefault(groups[row], [])
            places[row] = len(group)
            group.append(row)
    found = []
    for row, name in enumerate(groups):
        group, own = members.get(name, []), places.get(row, len(figures))
        size = len(group) - (row in places)
        wanted = ((size - 1) // 2, size // 2) if size >= max(least, 1) else ()
        low_high = [group[place + (place >= own)] + 1 for place in wanted]
        found.append((low_high[0], low_high[1]) if low_high else (0, 0))
    return found
