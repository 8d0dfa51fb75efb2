"""Three-point estimates of minutes."""

from __future__ import annotations

import pytest

from feesheet.costing.chair import expected_min


def test_printed_example() -> None:
    """5, 8 and 14 make 8.5 (a public diagram library's page on the formula).

    Formula: Malcolm, Roseboom, Clark & Fazar, Operations Research 7 (1959) 646-669, from memory.
    """
    assert expected_min(5, 8, 14) == 8.5


def test_one_figure_is_itself() -> None:
    """A step with one figure, used as all three, is expected to take just that.

    Identity of the same formula.
    """
    assert expected_min(12, 12, 12) == 12


def test_even_sides_keep_the_middle() -> None:
    """With low and high as far from the likely figure, the expected one is the likely one.

    Identity of the same formula.
    """
    assert expected_min(30, 45, 60) == pytest.approx(45)
