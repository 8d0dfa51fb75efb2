"""How wide the surcharge bands may be: the widest that keep every margin within the tolerance."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from feesheet.formula.model import Setting
from feesheet.formula.numbers import Numbers
from feesheet.pricing.results import margin
from feesheet.pricing.what_if import bands_figures as figures

MOST_STEPS = 4
"""Bands on each side of the one around the reference."""

WIDTHS = (10, 20, 25, 50, 100, 200, 250, 500, 1000)
"""Widths to choose from for a price of four digits before the point; others get the same by powers of ten."""

_WIDEST_DIGITS = 3
"""The widest of them is a one with so many noughts."""


@dataclass(frozen=True)
class BandItems:
    """The items that the table is for, one figure each: rows in `costs` and in `metal_items` (from 1), and what they cost and bring."""

    rows: np.ndarray[Any, Any]
    item_no: np.ndarray[Any, Any]
    metal_no: int
    reference: float
    fee: np.ndarray[Any, Any]
    unit_cost: np.ndarray[Any, Any]
    metal_cost: np.ndarray[Any, Any]
    kept_of_fee: np.ndarray[Any, Any]


def items_at(numbers: Numbers, rows: np.ndarray[Any, Any], metal_no: int) -> BandItems:
    """The figures of those rows of `metal_items` (from 1), in the practice's own order."""
    every = numbers.of("metal_items", "item_no").astype(int)
    rows = rows[np.argsort(every[rows - 1], kind="stable")]
    item_no = every[rows - 1]
    return BandItems(
        rows,
        item_no,
        metal_no,
        float(numbers.of("metals", "price")[metal_no - 1]),
        numbers.of("fee_rules", "current_fee")[item_no - 1],
        numbers.of("costs", "unit_cost")[item_no - 1],
        numbers.of("metal_items", "metal_cost")[rows - 1],
        numbers.of("plan_items", "kept_of_fee")[item_no - 1],
    )


def widths_for(price: float, smallest_coin: float) -> list[float]:
    """The widths to try at a price, the widest first; none is under a coin.

    >>> widths_for(2400, 0.01)[:3], widths_for(78.5, 0.01)[-1], widths_for(21000, 1)[-1]
    ([1000.0, 500.0, 250.0], 0.1, 100.0)
    """
    power = math.floor(math.log10(price)) - _WIDEST_DIGITS
    widths = [float(f"{width}e{power}") for width in sorted(WIDTHS, reverse=True)]
    return [width for width in widths if width >= smallest_coin]


def steps_at(reference: float, width: float, settings: Mapping[str, Setting]) -> list[int]:
    """The bands by their steps from the reference: four on each side, fewer below where a band would reach nought."""
    every = range(-MOST_STEPS, MOST_STEPS + 1)
    return [step for step in every if _edge(reference, step, width, settings) > 0]


def _edge(reference: float, step: int, width: float, settings: Mapping[str, Setting]) -> float:
    """The lowest price of a band."""
    return float(
        figures.price_from(
            figures.middle(reference, step, width),
            width,
            *(settings[name].value for name in ("band_half", "smallest_coin", "step_digits", "money_digits")),
        )
    )


def worst_cases(items: BandItems, width: float, settings: Mapping[str, Setting]) -> np.ndarray[Any, Any]:
    """The worst case of each item in each band of that width: one row a band, one column an item."""
    reference = items.reference
    rounding = [settings[name].value for name in ("band_step", "step_digits", "money_digits")]
    metal_fee = figures.metal_fee(items.fee, items.metal_cost, items.unit_cost)
    margin_now = margin(figures.net_full(items.fee, items.kept_of_fee), items.unit_cost)
    cases = []
    for step in steps_at(reference, width, settings):
        move = figures.price_move(figures.middle(reference, step, width), reference)
        added = figures.add_on(metal_fee, move, *rounding)
        net = figures.net_with(items.fee, added, items.kept_of_fee)
        edges = (_edge(reference, at, width, settings) for at in (step, step + 1))
        changes = [
            figures.margin_change(
                net, items.unit_cost, items.metal_cost, figures.price_move(edge, reference), margin_now
            )
            for edge in edges
        ]
        cases.append(figures.worst(*changes))
    return np.stack(cases)


def widest(items: BandItems, settings: Mapping[str, Setting]) -> tuple[float, bool]:
    """The widest bands that keep every margin within the tolerance; the narrowest, and False, where none does."""
    tried = widths_for(items.reference, settings["smallest_coin"].value)
    for width in tried:
        worst = worst_cases(items, width, settings).max()
        if figures.within(worst, settings["band_tolerance"].value):
            return width, True
    return tried[-1], False
