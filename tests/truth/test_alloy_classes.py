"""Alloy classes by composition, whatever the alloy is called."""

from __future__ import annotations

import pytest

from feesheet.costing.metal import alloy_class, class_rank, is_high_noble, is_noble, is_titanium, noble_part
from feesheet.reference import metals


def _class(**percent: float) -> str:
    """The class of a composition in mass percent, by the program's own steps."""
    parts = {metal: share / 100 for metal, share in percent.items()}
    noble = sum(noble_part(share, float(metals()[metal].noble)) for metal, share in parts.items())
    rank = class_rank(
        is_noble(noble), is_titanium(parts.get("titanium", 0.0)), is_high_noble(noble, parts.get("gold", 0.0))
    )
    return str(alloy_class(rank))


@pytest.mark.parametrize(
    ("percent", "expected"),
    [
        ({"gold": 40, "palladium": 20, "silver": 40}, "high noble"),
        ({"gold": 39.9, "palladium": 20.1, "silver": 40}, "noble"),
        ({"palladium": 25, "silver": 75}, "noble"),
        ({"palladium": 24.9, "silver": 75.1}, "predominantly base"),
        ({"titanium": 85, "other": 15}, "titanium"),
        ({"titanium": 84.9, "other": 15.1}, "predominantly base"),
        ({"gold": 100}, "high noble"),
        ({"palladium": 100}, "noble"),
    ],
)
def test_limits_are_inclusive(percent: dict[str, float], expected: str) -> None:
    """60 noble with 40 gold, 85 titanium and 25 noble qualify themselves.

    Source: ADA Council on Scientific Affairs, Revised Classification System for Alloys for Fixed
    Prosthodontics (2003).
    """
    assert _class(**percent) == expected


@pytest.mark.parametrize(
    ("percent", "expected"),
    [
        ({"gold": 77, "silver": 13, "copper": 8.5, "palladium": 1, "other": 0.5}, "high noble"),
        ({"silver": 40, "gold": 20, "palladium": 20, "indium": 18, "zinc": 2}, "noble"),
        ({"cobalt": 61, "chromium": 27, "molybdenum": 6, "tungsten": 5, "other": 1}, "predominantly base"),
    ],
)
def test_compositions_in_print(percent: dict[str, float], expected: str) -> None:
    """Three compositions are classed as they are printed.

    Source: ADA (2003) for the rule; a public answer page of 2016, a weak source, for the compositions.
    """
    assert _class(**percent) == expected


def test_gold_platinum_palladium() -> None:
    """58 gold, 10 platinum, 31 palladium, 1 iridium is high noble.

    Composition: abstract of US patent 8,845,959.
    """
    assert _class(gold=58, platinum=10, palladium=31, iridium=1) == "high noble"


def test_cobalt_with_platinum() -> None:
    """A cobalt alloy with 25 platinum is noble: the composition decides, not the name.

    Source: US patent 11,427,894.
    """
    assert _class(cobalt=50, chromium=25, platinum=25) == "noble"


def test_titanium_with_vanadium() -> None:
    """Ti-6Al-4V, 90 titanium, is of the titanium class (ADA 2003; the composition is the alloy's name)."""
    assert _class(titanium=90, other=10) == "titanium"


def test_silver_is_never_noble() -> None:
    """Silver is precious and not noble.

    Source: ADA 2003; Givan, Dental Clinics of North America 51 (2007) 591-601.
    """
    assert not metals()["silver"].noble
    assert _class(silver=100) == "predominantly base"
    assert {name for name, metal in metals().items() if metal.noble} == {
        "gold",
        "platinum",
        "palladium",
        "rhodium",
        "iridium",
        "osmium",
        "ruthenium",
    }


@pytest.mark.parametrize(
    ("percent", "expected"),
    [
        ({"gold": 41, "palladium": 3, "platinum": 4, "iridium": 12}, "high noble"),
        ({"gold": 41, "palladium": 3, "platinum": 8, "iridium": 8}, "high noble"),
        ({"gold": 1, "palladium": 1, "platinum": 21, "iridium": 2}, "noble"),
        ({"gold": 1, "palladium": 6, "platinum": 9, "iridium": 9}, "noble"),
    ],
)
def test_sums_of_decimals(percent: dict[str, float], expected: str) -> None:
    """60 and 25 noble reach their limits though the binary sum of the parts falls short of them.

    Source: ADA 2003; IEEE 754.
    """
    assert sum(share / 100 for share in percent.values()) < sum(percent.values()) / 100
    assert _class(**percent) == expected
