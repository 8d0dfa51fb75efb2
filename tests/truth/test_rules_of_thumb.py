"""Figures about crowns that an owner can hold in the head."""

from __future__ import annotations

import pytest

from feesheet.costing.components import alloy_cost
from feesheet.costing.laboratory import material_mean, own_mean
from feesheet.costing.metal import alloy_price_per_g, blend, credibility, metal_price_per_g, metal_value
from feesheet.reference import grams_in

PREMIUM = 0.25
"""What labs add to the metal's value at the most (a patient-education page, a weak source)."""


def _gold_moves(rise_per_ounce: float, gold_share: float, crown_g: float) -> float:
    """What a rise of gold adds to a crown."""
    value = metal_value(gold_share, metal_price_per_g(rise_per_ounce, grams_in("troy ounce")))
    return float(alloy_cost(crown_g, alloy_price_per_g(value, PREMIUM)))


def test_a_hundred_more_an_ounce() -> None:
    """100 more an ounce adds 7.74 to 2.5 g of 77 % gold and 2.57 to 1.24 g of 51.5 % gold.

    Compositions and grams from memory.
    """
    assert _gold_moves(100, 0.77, 2.5) == pytest.approx(7.74, abs=0.005)
    assert _gold_moves(100, 0.515, 1.24) == pytest.approx(2.57, abs=0.005)


def test_forty_percent_more() -> None:
    """40 % on 3,921 an ounce adds 121 and 40 to those crowns, and nothing to an alloy without gold.

    From memory, as above.
    """
    assert _gold_moves(0.4 * 3921, 0.77, 2.5) == pytest.approx(121, abs=0.5)
    assert _gold_moves(0.4 * 3921, 0.515, 1.24) == pytest.approx(40, abs=0.5)
    assert _gold_moves(0.4 * 3921, 0, 0.97) == 0


@pytest.mark.parametrize(
    ("value", "price"), [(97.70, 122.12), (81.81, 102.26), (111.85, 139.81), (61.20, 76.50), (26.73, 33.41)]
)
def test_premium_on_metal(value: float, price: float) -> None:
    """Five alloys' metal values a gram with a quarter on top.

    Source: values of October 2025 worked from public spot prices.
    """
    assert alloy_price_per_g(value, PREMIUM) == pytest.approx(price, abs=0.0051)


def test_pooled_means_mislead() -> None:
    """10 crowns at 140 and one at 480 are two lab fees; their pooled mean, 170.91, is neither.

    Common practice, no source.
    """
    assert (own_mean(1400, 10), own_mean(480, 1)) == (140, 480)
    assert material_mean(1400 + 480, 11) == pytest.approx(170.91, abs=0.005)


def test_few_units_move_little() -> None:
    """n units weigh n / (n + k) against a starting value.

    Source: credibility formula of Bühlmann, 1967, from memory.
    """
    assert (credibility(0, 5), credibility(5, 5), credibility(15, 5)) == (0, 0.5, 0.75)
    assert blend(credibility(5, 5), 2.0, 4.0) == 3.0
