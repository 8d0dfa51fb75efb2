"""The program and the plain program from the costing page price every practice alike, figure by figure."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import make_practice
import pytest
from items import items_of
from practices import random_practice
from priced import Rows, price_rows, rows_of
from truth.by_the_page import CANNOT, fees_by_the_page
from truth.test_by_the_page import Expected, gold_crown, shared_freight, two_plans

from feesheet.reading.folder import read_folder
from feesheet.uses.annual_update import Priced, price

CLOSE = 1e-9
"""Relative, and absolute near nought."""

BASES = {"window": "lines in the window", "all lines": "all alloy lines", "default": "the practice's default"}

MARGINS = frozenset({"margin", "markup", "contribution", "contribution_per_chair_hour"})
"""What an item without a new fee has none of; the program works them out at a fee of nought."""


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
        without_fee = "new_fee" in figures and figures["new_fee"] is None
        for figure, ours in items[key].items():
            if figure not in figures or (without_fee and figure in MARGINS):
                continue
            if not same(ours, figures[figure]):
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


@pytest.mark.parametrize("first", range(0, 96, 8))
def test_random_practices(first: int) -> None:
    """Both programs price practices of any size alike, whatever rules, plans, labs and lines these have."""
    found = {}
    for seed in range(first, first + 8):
        rows = varied_practice(seed)
        found[seed] = disagreements(price_rows(rows), rows)
    assert {seed: wrong for seed, wrong in found.items() if wrong} == {}


def varied_practice(seed: int) -> Rows:
    """A random practice whose size changes with its seed."""
    return random_practice(
        seed, sites=1 + seed % 3, materials=1 + seed % 5, lines=20 + 15 * (seed % 7), plans=seed % 4
    )


def test_random_practices_are_varied() -> None:
    """Among the random practices everything that the page tells apart occurs."""
    seen: set[str] = set()
    for seed in range(96):
        rows = varied_practice(seed)
        for item in fees_by_the_page(rows).values():
            seen |= {f"premium from {item['alloy_premium_basis']}"} if item["alloy_premium_basis"] else set()
            seen |= {"contradiction"} if item["contradiction"] else set()
            seen |= {"held"} if item["held"] else set()
            seen |= {CANNOT} if item["needed_fee"] == CANNOT else set()
            seen |= {"no fee"} if item["new_fee"] is None else set()
            seen |= {"remakes counted"} if item["remake_rate"] else set()
    assert seen == {
        "premium from window",
        "premium from all lines",
        "premium from default",
        "contradiction",
        "held",
        CANNOT,
        "no fee",
        "remakes counted",
    }
