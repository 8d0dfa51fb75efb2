"""What rejected crowns add to the cost of good ones."""

from __future__ import annotations

import pytest

from feesheet.costing.laboratory import own_remake_rate, remake_odds


def test_rate_of_a_network() -> None:
    """3.8 % of 3,750 crowns are 142.5; each good crown takes 1.0395 makes, where a remake may fail too.

    Source: McCracken et al., National Dental PBRN, PMC7005880.
    """
    assert own_remake_rate(142.5, 3_750) == pytest.approx(0.038)
    assert 1 + remake_odds(0.038) == pytest.approx(1.03950, abs=5e-6)


def test_a_remake_may_fail_too() -> None:
    """The odds are the sum of all remakes of remakes: r + r² + r³ and so on (identity: geometric series)."""
    assert remake_odds(0.2) == pytest.approx(sum(0.2**n for n in range(1, 60)))


def test_dentists_without_remakes() -> None:
    """118 of 205 dentists rejected none: a rate of nought adds nothing (McCracken et al., PMC7005880)."""
    assert own_remake_rate(0, 118) == 0 and remake_odds(0) == 0
