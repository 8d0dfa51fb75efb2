"""The way from the labs' bills to the cost closes, on the example and on drawn practices, and agrees with the lines."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest
from properties.test_review_adds_up import examined_of, practice_of
from written_books import EXAMPLE, review_of

from feesheet.formula.numbers import Numbers
from feesheet.uses.review_asked import ReviewAsked

BLOCK, LEFT = "bills_to_cost", "left_by_bills"
ASKED = (ReviewAsked(months=6), ReviewAsked(against="none"))

SELDOM = {"Alloy on materials without one"}
"""The step that none of these practices has money in: a test by hand has."""


def drawn() -> Iterator[Numbers]:
    """The example's half year and eight practices, every second one with work seated."""
    yield review_of(EXAMPLE, months=6)[0].numbers
    for seed in range(41, 49):
        yield examined_of(practice_of(seed), ASKED[seed // 2 % 2]).schedule.numbers


def closes(numbers: Numbers) -> None:
    """The steps come to units × lab fee and units × alloy cost of what was earned, and from the lines that are used."""
    of = numbers.of
    items = np.asarray(of("earned", "item_no"), dtype=int) - 1
    units = np.asarray(of("earned", "units"), dtype=float)
    for column, cost in (("of_fees", "lab_fee"), ("of_alloy", "alloy_cost")):
        amounts = np.asarray(of(BLOCK, column), dtype=float)
        carried = float((units * np.asarray(of("costs", cost), dtype=float)[items]).sum())
        scale = np.abs(amounts).max(initial=1.0)
        assert amounts[:-1].sum() == pytest.approx(carried, rel=1e-9, abs=1e-9 * scale), column
        assert amounts[-1] == pytest.approx(carried, rel=1e-9, abs=1e-9 * scale), column
    used, left = float(np.sum(of("lines", "used_amount"))), float(np.sum(of("earned", "left")))
    in_all = of(BLOCK, "in_all")
    assert in_all[0] == pytest.approx(used, rel=1e-9, abs=1e-9)
    assert of(LEFT, "amount")[-1] == pytest.approx(left + in_all[-1] - used, rel=1e-9, abs=1e-6)
    assert list(of("state", "number")) == [0, 0]


def test_it_closes_to_nine_digits() -> None:
    """On the example and on eight drawn practices; no step is nought on all of them."""
    moved: set[str] = set()
    steps: set[str] = set()
    for numbers in drawn():
        closes(numbers)
        rows = zip(numbers.of(BLOCK, "bill_step"), numbers.of(BLOCK, "of_fees"), numbers.of(BLOCK, "of_alloy"), strict=True)  # fmt: skip
        moved |= {str(title) for title, fees, alloy in rows if abs(fees) + abs(alloy) > 1e-6}
        steps |= {str(title) for title in numbers.of(BLOCK, "bill_step")}
    assert steps - moved <= SELDOM


def test_the_example_by_its_lines() -> None:
    """Blend and units by plain sums over the invoice lines and the work seated, without the workbook's own tables."""
    numbers = review_of(EXAMPLE, months=6)[0].numbers
    of = numbers.of
    places = np.asarray(of("lines", "lab_no"), dtype=int)
    fees = np.append(0.0, of("lab_fees", "blended_lab_fee"))
    counted = np.asarray(of("lines", "units_counted"), dtype=float)
    inside = float(np.sum(of("all_in", "metal_inside")))
    blend = float((counted * fees[places]).sum() - np.sum(of("lines", "lab_cost")) + inside)
    amounts = dict(zip(of(BLOCK, "bill_step"), of(BLOCK, "of_fees"), strict=True))
    assert amounts["Lab fees blended with quoted prices"] == pytest.approx(blend)
    seated = np.asarray(of("earned", "units"), dtype=float)
    at = np.asarray(of("earned", "place_no"), dtype=int)
    more = float((seated * fees[at]).sum() - (counted * fees[places]).sum())
    assert amounts["Units of the work in place of units made"] == pytest.approx(more)
