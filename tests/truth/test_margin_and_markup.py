"""Margins, markups and the fees that reach them."""

from __future__ import annotations

import pytest

from feesheet.pricing.path import next_year
from feesheet.pricing.plans import kept_share, needed_shown, net, net_needed, out_of_reach, shortfall
from feesheet.pricing.results import (
    cash_change,
    change_share,
    has_fee,
    margin,
    margin_before_dentist,
    markup,
    year_units,
    yearly,
)
from feesheet.pricing.rules import largest_rise, not_under


def test_margin_is_no_markup() -> None:
    """Cost 60 and margin 40 % make 100.00, a markup of 66.67 %.

    Identities: margin of the price, markup of the cost.
    """
    assert net_needed(60, 0.4) == pytest.approx(100)
    assert (margin(100, 60), markup(100, 60)) == pytest.approx((0.4, 2 / 3))


def test_markup_of_a_quarter() -> None:
    """A markup of 25 % is a margin of 20 % (identity: margin = markup / (1 + markup))."""
    assert (markup(125, 100), margin(125, 100)) == pytest.approx((0.25, 0.2))


def test_cost_520_at_40_percent() -> None:
    """Cost 520 at a margin of 40 % needs 866.67; 728.00 would be 40 % of the cost on top.

    Common practice, no source.
    """
    assert net_needed(520, 0.4) == pytest.approx(866.67, abs=0.005)
    assert net_needed(520, 0.4) != pytest.approx(728)


def test_margin_before_and_after_the_owner() -> None:
    """Expenses of 60 % without the owner's pay and 90 % with it leave 40 % and 10 % of one and the same fee.

    Source: ADA news, Council on Dental Benefit Programs (expenses as a share of gross billings).
    """
    assert margin(100, 90) == pytest.approx(0.10)
    assert margin_before_dentist(100, 90, 30, 0, 0) == pytest.approx(0.40)


@pytest.mark.parametrize(("fixed_share", "cash"), [(0.7, 0.019), (0.5, 0.029), (0.9, 0.007)])
def test_a_rise_that_plans_hold_back(fixed_share: float, cash: float) -> None:
    """5 % on a fee of 1,400 brings 1.9 % where 70 % pay a fixed 980; 2.9 % at half, 0.7 % at 90 %.

    Common practice, no source; the arithmetic is by hand.
    """
    before, after = (net(fee, 1, 1 - fixed_share, [fixed_share], [980]) for fee in (1400, 1470))
    assert after / before - 1 == pytest.approx(cash, abs=5e-4)


def test_no_fee_reaches_it() -> None:
    """Nobody on the full fee and plans that bring too little: no fee reaches the margin.

    Common practice, no source.
    """
    out = out_of_reach(0, 1000, 980)
    assert needed_shown(out, 1000) == "cannot be reached by the fee"
    assert shortfall(out, 1000, 980, kept_share(1, 0.02)) == pytest.approx(20 * 0.98)


def test_three_years_to_the_needed_fee() -> None:
    """From 1,400 to 1,690 at 8 % a year: 1,512 at most, then 1,632.96 at most, and there in the third year.

    Common practice, no source; the arithmetic is by hand, on steps of 1.
    """
    first = largest_rise(1400, 0.08)
    second = next_year(first, 1690, 1.08, 1)
    assert (first, largest_rise(first, 0.08)) == pytest.approx((1512, 1632.96))
    assert (second, next_year(second, 1690, 1.08, 1)) == (1632, 1690)


def test_a_ladder_lifts() -> None:
    """A noble crown at 1,385 under a base one at 1,395 is lifted to 1,395 (common practice, no source)."""
    assert not_under(1385, 1395, 0) == 1395


def test_no_rise_without_a_fee() -> None:
    """Where there is no current fee there is no rise in percent, neither -100 % nor infinite.

    Common practice, no source.
    """
    assert change_share(1400, 0) == "no current fee"


def test_price_at_last_years_units() -> None:
    """Three products' prices rise: 2,500 more at last year's units.

    Source: accountancyindex, price-volume-mix example.
    """
    units, old, new = (1000, 800, 500), (10, 15, 20), (11, 15, 23)
    before, after = (
        sum(yearly(price, year_units(n, has_fee(price))) for price, n in zip(prices, units, strict=True))
        for prices in (old, new)
    )
    assert (before, cash_change(after, before)) == (32_000, 2_500)
