"""Rounding as spreadsheets do it: halves away from zero, on decimal digits."""

from __future__ import annotations

import pytest

from feesheet.formula.operations import rounded, step_nearest, step_up
from feesheet.pricing.rules import nearest, upward

STEP_DIGITS = 8


@pytest.mark.parametrize(
    ("figure", "digits", "expected"),
    [
        (2.15, 1, 2.2),
        (2.149, 1, 2.1),
        (-1.475, 2, -1.48),
        (21.5, -1, 20),
        (626.3, -3, 1000),
        (1.98, -1, 0),
        (-50.55, -2, -100),
        (23.7825, 2, 23.78),
    ],
)
def test_round(figure: float, digits: int, expected: float) -> None:
    """The eight examples of the spreadsheet function ROUND (support.microsoft.com, ROUND function)."""
    assert float(rounded(figure, digits)) == expected


@pytest.mark.parametrize(("figure", "expected"), [(1.15, 1.2), (-1.15, -1.2)])
def test_half_away_from_zero(figure: float, expected: float) -> None:
    """Commercial rounding: half away from zero on both sides (learn.microsoft.com, DAX ROUND)."""
    assert float(rounded(figure, 1)) == expected


@pytest.mark.parametrize(
    ("figure", "digits", "ours", "pythons"),
    [
        (2.15, 1, 2.2, 2.1),
        (2.5, 0, 3, 2),
        (2.675, 2, 2.68, 2.67),
        (1.005, 2, 1.01, 1.0),
    ],
)
def test_python_rounds_otherwise(figure: float, digits: int, ours: float, pythons: float) -> None:
    """Python's round takes ties to even on the binary number (IEEE 754), so it must never touch money."""
    assert (float(rounded(figure, digits)), round(figure, digits)) == (ours, pythons)


@pytest.mark.parametrize(
    ("figure", "step", "expected"), [(10, 3, 9), (-10, 3, -9), (1.3, 0.2, 1.4), (7.05, 0.1, 7.1)]
)
def test_nearest_step(figure: float, step: float, expected: float) -> None:
    """Examples of the spreadsheet function MROUND (support.microsoft.com, MROUND function)."""
    assert step_nearest(figure, step, STEP_DIGITS, 2) == expected


def test_known_difference() -> None:
    """6.05 to the nearest 0.1 is 6.1; the function MROUND gives 6.0, a limit that its page states.

    Source: support.microsoft.com.
    """
    assert step_nearest(6.05, 0.1, STEP_DIGITS, 2) == 6.1


@pytest.mark.parametrize(
    ("figure", "step", "expected"),
    [(6.3, 1, 7), (-6.3, 1, -7), (11.2, 1, 12), (7.7, 0.2, 7.8), (-10.2, 2, -12), (-42, 10, -50)],
)
def test_next_step(figure: float, step: float, expected: float) -> None:
    """Examples of CEILING.MATH with rounding away from zero.

    Source: support.microsoft.com and a second spreadsheet's help.
    """
    assert step_up(figure, step, STEP_DIGITS, 2) == expected


@pytest.mark.parametrize(("figure", "step", "expected"), [(24.3, 5, 25), (-5.5, 2, -6)])
def test_next_step_from_memory(figure: float, step: float, expected: float) -> None:
    """Two more examples of CEILING.MATH, from memory."""
    assert step_up(figure, step, STEP_DIGITS, 2) == expected


def test_a_fee_to_the_step() -> None:
    """1,400 and 4.75 % are 1,466.50: 1,465 to the nearest 5 and 1,470 up (common practice, no source)."""
    assert float(rounded(1400 * 1.0475, 2)) == 1466.5
    assert (nearest(1400 * 1.0475, 5), upward(1400 * 1.0475, 5)) == (1465, 1470)


def test_a_fee_on_a_step_stays() -> None:
    """A fee that is a whole number of steps but for binary dust stays where it is (IEEE 754: 0.1 + 0.2)."""
    assert upward(0.1 + 0.2, 0.1) == 0.3
    assert upward(1465.0000000001, 5) == 1465
