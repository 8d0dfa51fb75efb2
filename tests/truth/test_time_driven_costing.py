"""Cost of a minute by practical capacity, on published tables."""

from __future__ import annotations

import pytest

from feesheet.costing.chair import staff_cost_per_min
from feesheet.costing.components import overhead_cost
from feesheet.costing.overhead import overhead_kept, overhead_per_chair_min, usable_chair_min

ORDERS, INQUIRIES, CREDIT_CHECKS = (49_000, 8), (1_400, 44), (2_500, 50)
"""How often in the quarter, and minutes each."""


@pytest.mark.parametrize(
    ("activity", "rate", "assigned"),
    [(ORDERS, 6.40, 313_600), (INQUIRIES, 35.20, 49_280), (CREDIT_CHECKS, 40.00, 100_000)],
)
def test_rates_of_the_customer_service(activity: tuple[int, int], rate: float, assigned: float) -> None:
    """560,000 over 700,000 minutes is 0.80 a minute, and each activity costs its minutes.

    Source: Kaplan & Anderson, "Time-Driven Activity-Based Costing", Harvard Business Review, November
    2004, 131-138 (costs, quantities and totals; the minutes are from memory and give those totals).
    """
    count, minutes = activity
    a_minute = overhead_per_chair_min(560_000, 700_000)
    assert a_minute == pytest.approx(0.80, abs=1e-12)
    assert overhead_cost(minutes, a_minute) == pytest.approx(rate, abs=1e-9)
    assert count * overhead_cost(minutes, a_minute) == pytest.approx(assigned, abs=1e-6)


def test_unused_capacity() -> None:
    """462,880 is assigned and 97,120 stays unused, 83 % of the minutes being used.

    Source: Kaplan & Anderson, same table.
    """
    used = sum(count * minutes for count, minutes in (ORDERS, INQUIRIES, CREDIT_CHECKS))
    a_minute = overhead_per_chair_min(560_000, 700_000)
    assert used == 578_600
    assert overhead_cost(used, a_minute) == pytest.approx(462_880, abs=1e-6)
    assert overhead_cost(700_000 - used, a_minute) == pytest.approx(97_120, abs=1e-6)
    assert round(100 * used / 700_000) == 83


def test_a_physicians_hour() -> None:
    """46 weeks of 37.5 hours at 80 % are 1,380 hours; 1,000,000 a year is 724.64 an hour and 12.08 a minute.

    Source: BMC Health Services Research 2021, s12913-021-06807-4, Table 4.
    """
    usable = usable_chair_min(1, 46, 37.5, 0.8)
    assert usable == pytest.approx(1_380 * 60)
    assert overhead_per_chair_min(1_000_000, usable) * 60 == pytest.approx(724.64, abs=0.005)
    assert staff_cost_per_min(1_000_000, 1_380) == pytest.approx(12.08, abs=0.005)


def test_an_x_ray_room() -> None:
    """52 weeks of 105 hours at 80 % are 4,368 hours; 545,000 a year is 124.77 an hour and 2.08 a minute.

    The table prints 18.17 and 0.30, which its own method does not give.
    Source: BMC Health Services Research 2021, s12913-021-06807-4, Table 4.
    """
    usable = usable_chair_min(1, 52, 105, 0.8)
    costs = (300_000, 200_000, 5_000, 30_000, 10_000)
    assert usable == pytest.approx(4_368 * 60)
    assert overhead_per_chair_min(sum(costs), usable) * 60 == pytest.approx(124.77, abs=0.005)
    assert overhead_per_chair_min(sum(costs), usable) == pytest.approx(2.08, abs=0.005)


def test_lab_bills_are_no_overhead() -> None:
    """Cost an hour is overhead less the lab bill, over the hours.

    Source: method: Dental Economics, May 2005; figures invented.
    """
    accounts = ((93_000, 0), (7_000, 1))
    kept = sum(overhead_kept(amount, costed) for amount, costed in accounts)
    assert overhead_per_chair_min(kept, usable_chair_min(1, 50, 20, 0.93)) * 60 == pytest.approx(100)
