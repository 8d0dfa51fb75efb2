"""Variances, price, volume and mix, and unused capacity: on published examples, by the functions and tables of the review."""

from __future__ import annotations

import pytest
from reviewed import Figures, Item, Reviewed, Site, told

from feesheet.costing.overhead import usable_chair_min
from feesheet.formula.numbers import Numbers
from feesheet.pricing.review.variances import (
    capacity_cost_rate,
    cost_used,
    growth,
    mix_effect,
    price_and_volume,
    price_variance,
    quantity_variance,
    share_used,
    unused_cost,
    unused_min,
    volume_effect,
)

ACTIVITIES = {
    "orders": (49_000, 8, 6.40, 313_600),
    "inquiries": (1_400, 44, 35.20, 49_280),
    "credit checks": (2_500, 50, 40.00, 100_000),
}
"""Quantity, minutes each, rate and cost as printed.

Source: Kaplan & Anderson, "Time-Driven Activity-Based Costing", Harvard Business Review, November 2004, 131-138. Cost, quantities
and totals are printed there; the minutes are from memory and reproduce the totals.
"""

SUPPLIED, DEPARTMENT = 700_000, 560_000
"""Minutes and dollars of the quarter, same source."""

TO_THE_CENT = {"abs": 0.005, "rel": 0}


def test_time_driven_rates_of_the_customer_service() -> None:
    """560,000 over 700,000 minutes is 0.80 a minute; 578,600 are used, and each activity costs its minutes."""
    rate = capacity_cost_rate(DEPARTMENT, SUPPLIED)
    assert rate == pytest.approx(0.80, abs=1e-12)
    for count, minutes, each, assigned in ACTIVITIES.values():
        assert cost_used(minutes, rate) == pytest.approx(each, **TO_THE_CENT)
        assert cost_used(count * minutes, rate) == pytest.approx(assigned, **TO_THE_CENT)
    used = sum(count * minutes for count, minutes, _, _ in ACTIVITIES.values())
    assert used == 578_600
    assert cost_used(used, rate) == pytest.approx(462_880, **TO_THE_CENT)


def test_unused_capacity_of_the_customer_service() -> None:
    """121,400 minutes stay unused and cost 97,120; 83 % are used. With what is assigned that is the whole department."""
    rate = capacity_cost_rate(DEPARTMENT, SUPPLIED)
    unused = unused_min(SUPPLIED, 578_600)
    assert unused == 121_400
    assert unused_cost(unused, rate) == pytest.approx(97_120, **TO_THE_CENT)
    assert share_used(578_600, SUPPLIED) == pytest.approx(0.82657, abs=0.000005)
    assert cost_used(578_600, rate) + unused_cost(unused, rate) == pytest.approx(DEPARTMENT, **TO_THE_CENT)


def test_a_physicians_rate() -> None:
    """1,000,000 over 80 % of 1,725 hours is 724.64 an hour and 12.08 a minute.

    Source: BMC Health Services Research 2021, s12913-021-06807-4, Table 4.
    """
    rate = capacity_cost_rate(1_000_000, usable_chair_min(1, 46, 37.5, 0.8))
    assert rate * 60 == pytest.approx(724.64, **TO_THE_CENT)
    assert rate == pytest.approx(12.08, **TO_THE_CENT)


def test_an_x_ray_rooms_rate() -> None:
    """545,000 over 4,368 hours is 124.77 an hour and 2.08 a minute; the table prints 18.17 and 0.30, which its method does not give.

    Source: same table.
    """
    rate = capacity_cost_rate(545_000, usable_chair_min(1, 52, 105, 0.8))
    assert rate * 60 == pytest.approx(124.77, **TO_THE_CENT)
    assert rate == pytest.approx(2.08, **TO_THE_CENT)


def test_standard_cost_variances() -> None:
    """3,000 units: material price 4,100 less, material quantity 1,900 more, labour rate 1,600 more, labour time 1,300 less.

    Source: a worked textbook exercise on standard costs: 6.5 a unit at 1.90, in truth 20,500 at 1.70; 0.30 hours at 13, in truth
    800 hours for 12,000. Printed: 4,100 favourable, 1,900 unfavourable, 1,600 unfavourable, 1,300 favourable.
    """
    assert price_variance(1.70, 1.90, 20_500) == pytest.approx(-4_100)
    assert quantity_variance(20_500, 3_000 * 6.5, 1.90) == pytest.approx(1_900)
    assert price_variance(12_000 / 800, 13, 800) == pytest.approx(1_600)
    assert quantity_variance(800, 3_000 * 0.30, 13) == pytest.approx(-1_300)


def test_standard_cost_variances_in_the_bridge() -> None:
    """The same exercise as an item: material as alloy, labour as pay. What is saved is left, what is spent is not."""
    then = Figures(units=3_000, price=20, alloy_g=6.5, alloy_price=1.90, people=0.30 * 13)
    now = Figures(units=3_000, price=20, alloy_g=20_500 / 3_000, alloy_price=1.70, people=12_000 / 3_000)
    item = Item(now, then, at_then_pay=800 / 3_000 * 13)
    steps = told(Numbers(Reviewed([item], [Site()], [Site()]).model()))
    assert steps["Alloy price"] == pytest.approx(4_100)
    assert steps["Alloy weight"] == pytest.approx(-1_900)
    assert steps["Pay"] == pytest.approx(-1_600)
    assert steps["Minutes"] == pytest.approx(1_300)
    assert steps["Left now"] - steps["Left then"] == pytest.approx(4_100 - 1_900 - 1_600 + 1_300)


SHOP = (((10, 1_000), (11, 1_000)), ((15, 800), (15, 700)), ((20, 500), (23, 800)))
"""Price and units of three products, then and now: 32,000 becomes 39,900.

Source: accountancyindex, price volume mix analysis (inputs and formulas).
"""


def test_price_volume_mix_by_the_page() -> None:
    """Price at the old volume 2,500, volume at the old price 4,500, and both together 900: 7,900 in all.

    Source: accountancyindex, price volume mix analysis; the page calls the rest "mix".
    """
    price = sum(price_variance(p1, p0, q0) for (p0, q0), (p1, _) in SHOP)
    volume = sum(quantity_variance(q1, q0, p0) for (p0, q0), (_, q1) in SHOP)
    together = sum(price_and_volume(p1, p0, q1, q0) for (p0, q0), (p1, q1) in SHOP)
    assert (price, volume, together) == (2_500, 4_500, 900)
    assert price + volume + together == 7_900


def test_price_volume_mix_by_the_textbook() -> None:
    """Price at the new volume 3,400, 200 more units of the old mix 2,782.61, mix 1,717.39: 7,900.00 in all.

    Same inputs in the standard convention (pure volume 200 x 32,000 / 2,300).
    """
    grown = growth(2_500, 2_300)
    price = sum(price_variance(p1, p0, q1) for (p0, _), (p1, q1) in SHOP)
    volume = sum(volume_effect(grown, q0, p0) for (p0, q0), _ in SHOP)
    mix = sum(mix_effect(q1, q0, grown, p0) for (p0, q0), (_, q1) in SHOP)
    assert price == 3_400
    assert volume == pytest.approx(2_782.61, **TO_THE_CENT)
    assert mix == pytest.approx(1_717.39, **TO_THE_CENT)
    assert price + volume + mix == pytest.approx(7_900, abs=1e-9)


def test_price_volume_mix_in_the_bridge() -> None:
    """The same three products as items without costs: the review's two tables tell both conventions, and name them."""
    items = [Item(Figures(q1, p1), Figures(q0, p0)) for (p0, q0), (p1, q1) in SHOP]
    numbers = Numbers(Reviewed(items, [Site()], [Site()], shares=(0.25, 0.75)).model())
    textbook, page = told(numbers), told(numbers, "revenue_told")
    assert textbook["Left then"] == page["Received then"] == 32_000
    assert textbook["Left now"] == page["Received now"] == pytest.approx(39_900)
    assert textbook["Price of the work"] == pytest.approx(3_400)
    assert textbook["Volume"] == pytest.approx(2_782.61, **TO_THE_CENT)
    assert textbook["Mix"] == pytest.approx(1_717.39, **TO_THE_CENT)
    assert (page["Price"], page["Volume"]) == (pytest.approx(2_500), pytest.approx(4_500))
    assert page["Price and volume together"] == pytest.approx(900)
    conventions = {
        name: set(numbers.model.blocks[name].labels("convention"))
        for name in ("changes_told", "revenue_told")
    }
    assert "price at the new volume" in conventions["changes_told"]
    assert "price at the old volume" in conventions["revenue_told"]
