"""Lines held against their own figures."""

from __future__ import annotations

from datetime import date

import pytest
from lab_audited import Audited, alloy, audited, line, money_is_live, practice_of

from feesheet.pricing.review.lab import line_sums


def _found(*lines: dict[str, object]) -> Audited:
    return audited(practice_of(lines), line_sums)


def test_more_than_units_times_price_is_found() -> None:
    """3 × 145.00 is 435.00; 445.00 was charged."""
    one = _found(line(445.0, teeth="14,15,16", units=3, unit_price=145.0))
    (finding,) = one.found

    assert (finding.kind, finding.lines, finding.money) == ("units times price", (0,), pytest.approx(10.0))
    assert finding.sentence == (
        "Invoice A-9 of 4 September 2026, teeth 14, 15 and 16 (ISO): 3 × 145.00 EUR is 435.00 EUR, but 445.00 EUR was charged. "
        "Please credit 10.00 EUR, or tell us what it is for."
    )
    assert money_is_live(one)


def test_less_is_no_fault() -> None:
    """A remake at half of its price, or a discount in the amount, is not asked back."""
    lines = (
        line(72.5, unit_price=145.0, kind="remake"),
        line(425.0, units=3, teeth="24-26", unit_price=145.0),
    )
    assert _found(*lines).found == []


@pytest.mark.parametrize(("amount", "count"), [(100.02, 0), (100.04, 0), (100.10, 1)])
def test_a_rounded_price_is_not_held_to_the_coin(amount: float, count: int) -> None:
    """6 × 16.67 is 100.02: two cents more may be rounding, eight are not."""
    assert len(_found(line(amount, teeth="11-16", units=6, unit_price=16.67)).found) == count


def test_a_line_without_units_says_nothing() -> None:
    """Units that are not typed are not known: a price without them makes no sum."""
    assert _found(line(290.0, units=None, unit_price=145.0)).found == []


def test_alloy_is_weight_times_price() -> None:
    """3 g at 90.00 are 270.00; 300.00 was charged. Its units are no weight."""
    one = _found(line(192.0, product="Full cast crown"), alloy(300.0, 3.0, unit_price=90.0))
    (finding,) = one.found
    assert finding.money == pytest.approx(30.0)
    assert "3 × 90.00 EUR is 270.00 EUR, but 300.00 EUR was charged." in finding.sentence


def test_a_price_of_a_gram_for_pennyweights_is_understood() -> None:
    """2 dwt at 96.45 a gram are 3.110 g: the price is of another unit than the weight, and the sum is right."""
    crown = line(192.0, product="Full cast crown")
    assert _found(crown, alloy(300.00, 2.0, weight_unit="dwt", unit_price=96.45)).found == []
    assert len(_found(crown, alloy(340.00, 2.0, weight_unit="dwt", unit_price=96.45)).found) == 1


def test_a_credit_of_the_tooth_settles_it() -> None:
    """What came back is not asked for again."""
    credit = line(-20.0, kind="credit", product="Credit", units=None)
    assert _found(line(165.0, unit_price=145.0), credit).found == []


def test_other_periods_are_left_out() -> None:
    """A line of the year before is not of this review."""
    assert _found(line(165.0, unit_price=145.0, date=date(2025, 9, 4))).found == []
