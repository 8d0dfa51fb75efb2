"""The program and the plain program from the costing page price every practice alike, figure by figure."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import make_practice
import pytest
from practices import random_practice
from priced import Rows, price_rows, rows_of
from truth.by_the_page import CANNOT, fees_by_the_page
from truth.test_by_the_page import Expected, gold_crown, shared_freight, two_plans

from feesheet.reading.folder import read_folder
from feesheet.uses.annual_update import Priced, price

CLOSE = 1e-9
"""Relative, and absolute near nought."""

COSTS = ("lab_fee", "alloy_g", "alloy_price_per_g", "alloy_cost", "supplies", "people_cost", "chair_min",
         "overhead_per_chair_min", "overhead_cost", "remake_cost", "unit_cost")
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

BASES = {"window": "lines in the window", "all lines": "all alloy lines", "default": "the practice's default"}

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


def same(ours: Any, theirs: Any) -> bool:
    """Whether the program's figure is the page's."""
    if theirs is None:
        return bool(ours == 0)
    if isinstance(ours, str) or isinstance(theirs, str):
        return bool(ours == BASES.get(theirs, theirs))
    return math.isclose(ours, theirs, rel_tol=CLOSE, abs_tol=CLOSE)


def differences(priced: Priced, expected: Expected) -> list[str]:
    """Each figure that is not the expected one: code, site, figure, the program's, the page's."""
    items = items_of(priced)
    found = []
    for key, figures in expected.items():
        for figure, ours in items[key].items():
            if figure in figures and not same(ours, figures[figure]):
                found.append(f"{key} {figure}: program {ours!r}, page {figures[figure]!r}")
    return found


def disagreements(priced: Priced, rows: Rows) -> list[str]:
    """Each figure that the two programs do not share, and each item that only one of them has."""
    expected = fees_by_the_page(rows)
    lone = items_of(priced).keys() ^ expected.keys()
    return [f"{key}: only in one of the two" for key in lone] or differences(priced, expected)


@pytest.mark.parametrize("practice", [gold_crown, shared_freight, two_plans])
def test_hand_priced_crowns(practice: Callable[[], tuple[Rows, Expected]]) -> None:
    """The program gives the figures worked out by hand, and those of the plain program."""
    rows, by_hand = practice()
    priced = price_rows(rows)
    assert differences(priced, by_hand) == []
    assert disagreements(priced, rows) == []


def test_the_example() -> None:
    """Both programs price the example practice alike."""
    practice, _ = read_folder(make_practice.FOLDER)
    assert disagreements(price(practice)[0], rows_of(practice)) == []
