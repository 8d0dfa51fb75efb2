"""Rows that were put in or taken out of a delivered sheet, found by the seals of the facts around them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

MOST = 60
"""The most neighbouring rows looked for at one place."""

WITNESSES = 3
"""Rows after the place that must agree before rows are said to have moved."""


@dataclass(frozen=True)
class Step:
    """At issued row `row`, `by` rows were put in (or, below nought, taken out)."""

    row: int
    by: int


Agrees = Callable[[int, int], bool]
"""Whether the facts of an issued row stand in a row of the sheet as it is now."""


def steps(issued: Sequence[int], agrees: Agrees) -> list[Step]:
    """Where rows were put in or taken out, from the top down; empty if every row is in its place.

    `issued` are the numbers of the rows with facts, ascending. A row that was only typed over is no step.
    """
    found: list[Step] = []
    shift, position = 0, 0
    while position < len(issued):
        row = issued[position]
        if not agrees(row, row + shift):
            by = _by(issued, position, shift, agrees)
            if by:
                found.append(Step(row, by))
                shift += by
                position += (
                    sum(row <= other < row - by for other in issued[position : position - by])
                    if by < 0
                    else 0
                )
                continue
        position += 1
    return found


def _by(issued: Sequence[int], position: int, shift: int, agrees: Agrees) -> int:
    """By how much the rows from here on moved, 0 if they did not or if it can't be told."""
    after = issued[position + 1 : position + 1 + WITNESSES]
    if any(agrees(row, row + shift) for row in after):
        return 0
    for size in range(1, MOST + 1):
        for by in (size, -size):
            row = issued[position]
            left = [
                other for other in issued[position : position + WITNESSES + size] if other >= row - min(by, 0)
            ]
            if left and all(agrees(other, other + shift + by) for other in left[:WITNESSES]):
                return by
    return 0


def origin(last: int, found: Sequence[Step]) -> list[int]:
    """For each issued row from 1 to `last`, the row where it stands now; 0 if it was taken out."""
    now, shift = [], 0
    by_row = {step.row: step.by for step in found}
    gone = 0
    for row in range(1, last + 1):
        by = by_row.get(row, 0)
        if by < 0:
            gone = -by
        shift += by
        now.append(0 if gone else row + shift)
        gone = max(gone - 1, 0)
    return now
