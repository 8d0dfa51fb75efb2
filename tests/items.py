"""The program's figures of each item under the names of the costing page, so that others can be held against them."""

from __future__ import annotations

from typing import Any

from feesheet.pricing.plans import CANNOT
from feesheet.uses.annual_update import Priced

COSTS = (
    "lab_fee",
    "alloy_g",
    "alloy_price_per_g",
    "alloy_cost",
    "supplies",
    "people_cost",
    "chair_min",
    "overhead_per_chair_min",
    "overhead_cost",
    "remake_cost",
    "unit_cost",
)
FIGURES = {
    **{figure: ("costs", figure, "") for figure in COSTS},
    "variable_remake_cost": ("costs", "remake_variable_cost", ""),
    "n": ("lab_fees", "n", "lab_no"),
    "own_mean": ("lab_fees", "own_mean", "lab_no"),
    "Z": ("lab_fees", "credibility", "lab_no"),
    "starting_lab_fee": ("lab_fees", "starting_lab_fee", "lab_no"),
    "alloy_n": ("pools", "n", "pool_no"),
    "alloy_own_mean_g": ("pools", "own_mean_g", "pool_no"),
    "alloy_Z": ("pools", "credibility", "pool_no"),
    "starting_g": ("pools", "starting_g", "pool_no"),
    "remake_rate": ("materials", "remake_rate", "material_no"),
    "shortfall": ("plan_items", "shortfall", ""),
    "new_fee": ("fee_rules", "new_fee", ""),
    "net": ("margins", "net_new", ""),
    "margin": ("margins", "margin_new", ""),
    "markup": ("margins", "markup", ""),
    "contribution": ("margins", "contribution", ""),
    "contribution_per_chair_hour": ("margins", "contribution_per_chair_hour", ""),
}
"""Where the program keeps each figure of the page: block, column, and the counter that leads there, if any."""

Items = dict[tuple[str, str], dict[str, Any]]


def items_of(priced: Priced) -> Items:
    """The program's figures by code and site, under the page's names; what does not exist is nought."""
    of = priced.numbers.of
    keys = list(zip(of("costs", "code"), of("costs", "site"), strict=True))
    columns = {figure: _column(priced, *place) for figure, place in FIGURES.items()}
    reached = of("plan_items", "out_of_reach") < 1
    columns["needed_fee"] = [
        fee if here else CANNOT for fee, here in zip(of("plan_items", "needed_fee"), reached, strict=True)
    ]
    columns["contradiction"] = [bool(mark) for mark in of("fee_rules", "contradiction")]
    columns |= _premiums(priced)
    return {key: {name: column[row] for name, column in columns.items()} for row, key in enumerate(keys)}


def _column(priced: Priced, block: str, column: str, counter: str) -> list[float]:
    """One figure an item."""
    figures = priced.numbers.of(block, column)
    if block == "costs" or not counter:
        return [float(figure) for figure in figures]
    return [float(figures[int(n) - 1]) if n else 0.0 for n in priced.numbers.of("costs", counter)]


def _premiums(priced: Priced) -> dict[str, list[Any]]:
    """The premium of each item's alloy, and where it comes from."""
    of = priced.numbers.of
    alloys = [int(of("pools", "alloy_no")[int(n) - 1]) if n else 0 for n in of("costs", "pool_no")]
    return {
        "alloy_premium": [float(of("alloys", "alloy_premium")[n - 1]) if n else 0.0 for n in alloys],
        "alloy_premium_basis": [str(of("alloys", "premium_basis")[n - 1]) if n else "" for n in alloys],
    }
