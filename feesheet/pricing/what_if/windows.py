"""Which quotes lie a hold apart, which follow each other, and which windows a figure is tested on: facts of the days alone."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from feesheet import reference

Rows = np.ndarray[Any, Any]
"""Whole numbers, one a quote."""


@dataclass(frozen=True)
class Windows:
    """For each quote: rows counted from 1, 0 where there is none.

    `before` is the quote before it and `span` the days since then; both 0 after a gap. `end` is the quote at the end of
    the hold that starts with it, 0 where a gap hides that price. `early` is 1 where the window lies in the first half of
    the quotes. `held_back` is 1 for windows in the second half, none of which overlaps another. `tolerance` is the number
    of days that a price may be old.
    """

    before: Rows
    span: Rows
    end: Rows
    early: Rows
    held_back: Rows
    tolerance: float


def windows_of(days: Rows, hold_days: int) -> Windows:
    """The windows of quotes on those days (datetime64[D], in order).

    >>> made = windows_of(np.datetime64("2026-01-05") + np.array([0, 1, 2, 3, 4, 20]), 3)
    >>> made.tolerance, made.before.tolist(), made.end.tolist()
    (4.0, [0, 1, 2, 3, 4, 0], [4, 5, 5, 5, 0, 0])
    """
    numbers = days.astype("datetime64[D]").astype(np.int64)
    spacing = np.diff(numbers)
    tolerance = float(np.median(spacing)) + reference.fixed("weekend_days") if len(spacing) else 0.0
    follows = np.concatenate([[False], spacing <= tolerance])[: len(numbers)]
    before = np.where(follows, np.arange(len(numbers)), 0)
    span = np.where(follows, np.concatenate([[0], spacing])[: len(numbers)], 0)
    end = _ends(numbers, hold_days, tolerance)
    half, windows = len(numbers) // 2, end > 0
    early = windows & (end <= half)
    enough = early.sum() >= reference.fixed("least_windows")
    held_back = _apart(end, half) if enough else np.zeros(len(end), dtype=bool)
    return Windows(before, span, end, early.astype(int), held_back.astype(int), tolerance)


def _ends(numbers: Rows, hold_days: int, tolerance: float) -> Rows:
    """The latest quote on or before the last day of each hold, where it is later than the start and not too old."""
    last = numbers + hold_days
    found = np.searchsorted(numbers, last, side="right")
    place = np.maximum(found, 1) - 1
    fits = (place > np.arange(len(numbers))) & (last - numbers[place] <= tolerance)
    return np.where(fits, found, 0)


def _apart(end: Rows, half: int) -> Rows:
    """Windows of the second half, each starting where the one before it ended or later."""
    chosen = np.zeros(len(end), dtype=bool)
    free = half
    for start in range(half, len(end)):
        if start >= free and end[start]:
            chosen[start] = True
            free = int(end[start]) - 1
    return chosen
