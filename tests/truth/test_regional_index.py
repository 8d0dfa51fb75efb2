"""Overhead of a site without a ledger of its own, by published price levels of one year."""

from __future__ import annotations

import pytest

from feesheet.costing.overhead import yearly_overhead


def _moved(amount: float, to_level: float, from_level: float) -> float:
    """The base site's amount at another region's price level."""
    return float(yearly_overhead(0, 0, amount, to_level, from_level))


def test_arizona_and_illinois() -> None:
    """99.9 against 101.3 is 1.4 % lower.

    Source: BEA Regional Price Parities 2022; director's blog of 9 December 2024.
    """
    assert _moved(1, 99.9, 101.3) - 1 == pytest.approx(-0.0138, abs=5e-5)


def test_the_same_purchasing_power() -> None:
    """12,000 at 120 and 9,000 at 90 are both 10,000 at the nation's level.

    Source: BEA, definition of regional price parities.
    """
    assert (_moved(12_000, 1, 1.2), _moved(9_000, 1, 0.9), _moved(12_000, 0.9, 1.2)) == pytest.approx(
        (10_000, 10_000, 9_000)
    )


@pytest.mark.parametrize(
    ("mean_pay", "nation", "index"),
    [
        (52_220, 41_170, 1.2684),
        (49_350, 41_170, 1.1987),
        (32_770, 41_170, 0.7960),
        (32_710, 41_170, 0.7945),
        (51_230, 42_310, 1.2108),
        (31_930, 42_310, 0.7547),
    ],
)
def test_pay_of_dental_assistants(mean_pay: float, nation: float, index: float) -> None:
    """Mean pay of a state over the nation's.

    Source: BLS OEWS 31-9091, May 2019 and May 2020; the states' means by a second source.
    """
    assert _moved(1, mean_pay, nation) == pytest.approx(index, abs=5e-5)


def test_between_currencies() -> None:
    """500 dollars in New York and 2,000 in Hong Kong: a parity of 4.

    Source: encyclopedia, purchasing power parity.
    """
    assert _moved(500, 4, 1) == 2_000


def test_an_own_ledger_stays() -> None:
    """A site with its own ledger takes no index (the costing rules of this program)."""
    assert yearly_overhead(1, 80_000, 100_000, 1.2, 1.0) == 80_000
