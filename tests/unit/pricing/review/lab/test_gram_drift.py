"""Grams of many castings together: a lab's are held against its own of the year before, size of tooth considered."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
from alloy_audit import Audit, Row, audit, rows_of, unit
from alloy_audit import alloy as alloy_row

from feesheet.pricing.review.lab import drift, gram_drift
from feesheet.pricing.review.period import Period

HALF = Period(date(2026, 10, 31), 6)
"""May to October 2026."""
USUAL = (2.7, 2.9, 3.0, 3.1, 3.3)
"""Grams of five molars."""
DWT = 1.55517384


def _lines(start: date, weights: list[float], first: int, price: float = 120.0, **more: Any) -> list[Row]:
    """One molar every fifth day from that one, of those weights at that price of a unit of weight."""
    return [
        row
        for at, weight in enumerate(weights)
        for day in (start + timedelta(days=5 * at),)
        for row in (
            unit(f"A-{first + at}", date=day),
            alloy_row(round(weight * price, 2), weight, f"A-{first + at}", date=day, **more),
        )
    ]


def _found(times: float, **more: Any) -> Audit:
    """Fifteen castings before May, ten since that are so many times as heavy."""
    before = _lines(date(2025, 11, 3), list(USUAL * 3), 1, **more)
    now = _lines(date(2026, 8, 3), [round(weight * times, 4) for weight in USUAL * 2], 50, **more)
    return audit(gram_drift, rows_of([*before, *now]), HALF)


def test_castings_that_are_all_heavier_are_one_finding() -> None:
    """Ten molars of 30 g in all weigh 1.4 times that: 12 g at 120, 1,440, though none is three quarters over."""
    found = _found(1.4)
    (one,) = found.found

    assert (one.kind, one.lab, one.site, one.invoice) == (
        "grams of many lines",
        "lab A",
        "North",
        "10 invoices",
    )
    assert one.money == pytest.approx(1440) == found.money_of(one)
    assert (
        "1.40 times as heavy as on 15 lines from 3 November 2025 to 12 January 2026. At the weights of then it would be 12.00 g less, 1,440.00 EUR"
        in one.sentence
    )
    assert "pennyweight" not in one.sentence and one.sentence.startswith(
        "Alloy weights, 10 lines from 3 August 2026"
    )


@pytest.mark.parametrize(("times", "count"), [(1.0, 0), (1.3, 0), (1.312, 1)])
def test_what_the_middles_of_few_castings_may_be_apart_is_let_pass(times: float, count: int) -> None:
    """Ten beside fifteen: 0.75 × √(1/10 + 1/15) = 0.306."""
    assert len(_found(times).found) == count


def test_grams_billed_as_pennyweight_are_named() -> None:
    """Weights in pennyweight that are 1.56 times as heavy may be grams."""
    (one,) = _found(DWT, weight_unit="dwt", price=186.0).found
    assert "grams billed as pennyweight would be 1.56 times" in one.sentence


def test_a_price_that_rose_too_is_asked_for_once() -> None:
    """120.25 a gram became 153.92, 1.4 times the grams: both findings together are all that is above 30 g at 120.25."""
    before = _lines(date(2025, 11, 3), list(USUAL * 3), 1, price=120.25)
    now = _lines(date(2026, 8, 3), [weight * 1.4 for weight in USUAL * 2], 50, price=153.92)
    rows = rows_of([*before, *now])
    rows["metal_prices"] = [
        {"date": date(2025, 4, 1), "metal": metal, "price": price, "unit": "gram", "confirmed": "yes"}
        for metal, price in (("gold", 120), ("silver", 2))
    ]
    heavy = audit(gram_drift, rows, HALF)
    (of_grams,) = heavy.found
    (of_price,) = audit(drift, rows, HALF).found
    over = sum(row["grams_over"] for row in heavy.table(gram_drift.LINES))

    assert of_price.money == pytest.approx(42 * 33.67, abs=0.1)
    assert of_grams.money == pytest.approx(over * 120.25, abs=0.1)
    assert "without what we ask about the prices" in of_grams.sentence


def test_headings_are_told_apart() -> None:
    """No two columns of a block have one heading."""
    found = _found(1.4)
    for name in (gram_drift.LINES, gram_drift.RUNS):
        headings = [column.heading for column in found.model.blocks[name].columns.values()]
        assert len(set(headings)) == len(headings), name
