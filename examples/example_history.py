"""Invented daily metal prices that pass through the example's month-end quotes: the history behind its quote safety."""

from __future__ import annotations

import csv
import math
import random
from collections.abc import Iterator
from datetime import date, timedelta
from itertools import pairwise
from pathlib import Path

import example_invoices

NAME = "metal prices by day.csv"
SEED = 20_261_030
DAILY_SPREAD = {"gold": 0.010, "palladium": 0.017, "silver": 0.016, "platinum": 0.013}
CLOSED = {(1, 1), (12, 25), (12, 26), (5, 1)}
"""Days of the year without a quote: a gap, as in any real history."""


def rows() -> Iterator[tuple[str, str, str, str, str]]:
    """Date, metal, price, unit and currency of every day that is no weekend and not closed."""
    for metal, spread in DAILY_SPREAD.items():
        quotes = [
            (row["date"], row["price"]) for row in example_invoices.metal_prices() if row["metal"] == metal
        ]
        rng = random.Random(f"{SEED} {metal}")
        for (start, first), (end, last) in pairwise(quotes):
            days = [day for day in _days(start, end) if day < end]
            for day, price in zip(days, _bridge(rng, first, last, len(days), spread), strict=True):
                yield day.isoformat(), metal, f"{price:.2f}", "troy ounce", "USD"
        yield quotes[-1][0].isoformat(), metal, f"{quotes[-1][1]:.2f}", "troy ounce", "USD"


def _days(start: date, end: date) -> list[date]:
    every = (start + timedelta(days=n) for n in range((end - start).days + 1))
    return [
        day
        for day in every
        if day in (start, end) or (day.weekday() < 5 and (day.month, day.day) not in CLOSED)
    ]


def _bridge(rng: random.Random, first: float, last: float, steps: int, spread: float) -> Iterator[float]:
    """A walk of so many steps from the first price that would end at the last."""
    walk = [0.0]
    for _ in range(steps):
        walk.append(walk[-1] + rng.gauss(0, spread))
    drift = math.log(last / first) - walk[-1]
    for step in range(steps):
        yield first * math.exp(walk[step] + drift * step / steps)


def write(path: Path) -> None:
    """Write the history as a text file in the layout of the template."""
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(("Date", "Metal", "Price", "Unit", "Currency"))
        writer.writerows(rows())
