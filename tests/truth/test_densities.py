"""Densities of the metals in the reference table."""

from __future__ import annotations

import periodictable
import pytest

from feesheet.reference import metals


@pytest.mark.parametrize(
    "metal", [metal for metal in metals().values() if metal.density is not None], ids=lambda metal: metal.name
)
def test_density_of_a_metal(metal: object) -> None:
    """Each density, symbol and name is the element's in the open package periodictable 2.1."""
    element = getattr(periodictable, metal.symbol)  # type: ignore[attr-defined]
    assert (element.name, element.density) == (metal.name, metal.density)  # type: ignore[attr-defined]


def _mixed(**percent: float) -> float:
    """Density of a mixture in g/cm³: volumes add up."""
    return sum(percent.values()) / sum(
        share / (metals()[name].density or 0.0) for name, share in percent.items()
    )


@pytest.mark.parametrize(
    ("published", "percent"),
    [
        (21.54, {"platinum": 90, "iridium": 10}),
        (10.40, {"silver": 92.5, "copper": 7.5}),
        (15.18, {"gold": 75, "copper": 25}),
        (15.90, {"gold": 75, "silver": 25}),
        (13.07, {"gold": 58.3, "silver": 10.4, "copper": 31.3}),
    ],
)
def test_densities_of_alloys(published: float, percent: dict[str, float]) -> None:
    """The table's metals mix to within 2.5 % of printed densities of alloys.

    Source: jewellers' specific-gravity charts, weak sources.
    """
    assert _mixed(**percent) == pytest.approx(published, rel=0.025)
