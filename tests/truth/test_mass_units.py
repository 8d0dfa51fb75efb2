"""Grams in the units that metal is sold and billed by."""

from __future__ import annotations

from fractions import Fraction

import pint
import pytest

from feesheet.costing.metal import metal_price_per_g, weight_g
from feesheet.reference import grams_in, mass_units


@pytest.mark.parametrize(
    ("unit", "grams"),
    [
        ("troy ounce", 31.1034768),
        ("pennyweight", 1.55517384),
        ("grain", 0.06479891),
        ("gram", 1),
        ("kilogram", 1000),
    ],
)
def test_grams_in_a_unit(unit: str, grams: float) -> None:
    """Troy ounce, pennyweight and grain are exact.

    Source: NIST Handbook 44, Appendix C; International Yard and Pound Agreement 1959.
    """
    assert grams_in(unit) == grams


@pytest.mark.parametrize("unit", sorted({"troy ounce", "pennyweight", "grain", "gram", "kilogram"}))
def test_against_another_table(unit: str) -> None:
    """The open package pint holds the same masses, but for the last binary digit."""
    assert grams_in(unit) == pytest.approx(
        pint.UnitRegistry()(unit.replace(" ", "_")).to("gram").magnitude, rel=1e-12
    )


def test_troy_ounce_by_the_pound() -> None:
    """A troy ounce is 12/175 of 0.45359237 kg, exactly (Weights and Measures Act 1985, United Kingdom)."""
    assert Fraction(12, 175) * Fraction("453.59237") == Fraction(str(grams_in("troy ounce")))


def test_units_of_one_family() -> None:
    """20 pennyweight make a troy ounce and 24 grains a pennyweight (NIST Handbook 44, Appendix C)."""
    ounce, pennyweight, grain = (grams_in(unit) or 0.0 for unit in ("ozt", "dwt", "grain"))
    assert (20 * pennyweight, 24 * grain) == pytest.approx((ounce, pennyweight), rel=1e-12)


@pytest.mark.parametrize("unit", ["oz", "OZ", "oz.", "ounce", "ounces", "ONZ", "gr"])
def test_two_masses_in_one_word(unit: str) -> None:
    """A plain ounce may be 28.349523125 or 31.1034768 g, and "gr" a gram or a grain: neither is guessed.

    Source: NIST Handbook 44, Appendix C; ONZ is the avoirdupois ounce of UN/ECE Recommendation 20.
    """
    assert grams_in(unit) is None
    assert 28.349523125 not in mass_units().values()


@pytest.mark.parametrize(
    ("code", "grams"),
    [("GRM", 1), ("KGM", 1000), ("GRN", 0.06479891), ("DWT", 1.55517384), ("APZ", 31.1034768)],
)
def test_codes_of_electronic_invoices(code: str, grams: float) -> None:
    """The mass codes of UN/ECE Recommendation 20, revision 11, that electronic invoices carry are known."""
    assert grams_in(code) == grams


def test_price_of_an_ounce() -> None:
    """1000 a troy ounce is 32.150746568 a gram and 50 a pennyweight (NIST Handbook 44, Appendix C)."""
    assert metal_price_per_g(1000, grams_in("ozt")) == pytest.approx(32.150746568, abs=1e-9)
    assert metal_price_per_g(1000, grams_in("ozt")) == pytest.approx(
        metal_price_per_g(50, grams_in("dwt")), rel=1e-14
    )


def test_pennyweights_are_not_grams() -> None:
    """10 pennyweight are 15.55 g: the 0.64301 sometimes printed as its grams is pennyweights in a gram.

    Source: NIST Handbook 44, Appendix C, against a misprint on a casting page.
    """
    assert weight_g(10, grams_in("dwt"), 1) == pytest.approx(15.5517, abs=1e-4)
    assert 1 / (grams_in("dwt") or 0.0) == pytest.approx(0.64301, abs=1e-5)


def test_alloy_billed_by_pennyweight() -> None:
    """2.1 dwt at 150.00 a dwt are 315.00 for 3.266 g, 96.45 a gram.

    Source: own arithmetic on NIST Handbook 44, Appendix C.
    """
    grams = weight_g(2.1, grams_in("dwt"), 1)
    assert grams == pytest.approx(3.266, abs=5e-4)
    assert 315 / grams == pytest.approx(96.45, abs=5e-3)
