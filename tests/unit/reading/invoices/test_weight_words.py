"""Weights of alloy in descriptions."""

from __future__ import annotations

import math

import pytest

from feesheet.reading.invoices.weight_words import weight_in, without_weight
from feesheet.reference import grams_in


@pytest.mark.parametrize(
    ("text", "decimal", "weight", "unit", "price", "amount"),
    [
        ("2.1 dwt @ 150.00/dwt = 315.00", ".", 2.1, "dwt", 150, 315),
        ("Alloy 2.1dwt @$150 per dwt", ".", 2.1, "dwt", 150, math.nan),
        ("3,2 g à 61,20", ",", 3.2, "g", 61.2, math.nan),
        ("Legierung 3,2 g x 61,20 EUR/g", ",", 3.2, "g", 61.2, math.nan),
        ("2 dwt 6 gr", ".", 2.25, "dwt", math.nan, math.nan),
        ("3.266 grams @ 96.45", ".", 3.266, "grams", 96.45, math.nan),
        ("0.1 ozt x 3,921.00", ".", 0.1, "ozt", 3921, math.nan),
        ("-2.1 dwt returned", ".", -2.1, "dwt", math.nan, math.nan),
        ("gold 2.5 gr", ".", 2.5, "gr", math.nan, math.nan),
        ("3,2 g", ".", 3.2, "g", math.nan, math.nan),
        ("1.234 g", ".", 1.234, "g", math.nan, math.nan),
    ],
)
def test_weight_price_and_amount(
    text: str, decimal: str, weight: float, unit: str, price: float, amount: float
) -> None:
    """A weight in its own unit, the price of one and the amount of all; grains join their pennyweights."""
    found = weight_in(text, decimal)
    assert found is not None
    assert (found.weight, found.unit) == (pytest.approx(weight), unit)
    assert [found.price_per_unit, found.amount] == pytest.approx([price, amount], nan_ok=True)


def test_hard_case_2_1_pennyweights() -> None:
    """2.1 dwt at 150.00 a dwt is 3.266 g at 96.45 a gram (NIST Handbook 44, Appendix C: 1 dwt is 1.55517384 g)."""
    found, grams = weight_in("2.1 dwt @ 150.00/dwt"), grams_in("dwt")
    assert found is not None and grams is not None
    assert round(found.weight * grams, 3) == 3.266
    assert round(found.price_per_unit / grams, 2) == 96.45


def test_a_price_of_another_unit_becomes_one_of_the_weights() -> None:
    """96.45 a gram is 150.00 a pennyweight; a price "per oz" is of no clear mass and is not taken."""
    found = weight_in("2.1 dwt @ 96.45/g")
    assert found is not None and round(found.price_per_unit, 2) == 150.00
    unclear = weight_in("2.1 dwt @ 3,000.00/oz")
    assert unclear is not None and math.isnan(unclear.price_per_unit)


@pytest.mark.parametrize(
    "text", ["alloy", "per 30 g", "1 g + 2 g", "G 5", "#14 crown", "2 g 6 gr", "5 gold", ""]
)
def test_no_weight_or_several(text: str) -> None:
    """What states no weight, or two, or grains of a gram, states none that could be billed."""
    assert weight_in(text) is None


def test_the_rest_of_the_text() -> None:
    """A description without its weight is the name of the alloy."""
    assert without_weight("High noble 2.1 dwt @ 150.00/dwt = 315.00 alloy") == "High noble alloy"
