"""Quote safety, one small function a figure: rises over a hold, their test, the spread of weights, and the buffer."""

from __future__ import annotations

from feesheet.formula.model import figure
from feesheet.formula.operations import (
    all_of,
    beta_quantile,
    exponential,
    larger,
    natural_log,
    normal_quantile,
    pick,
    ratio,
    round_to,
    square_root,
    step_up,
    when,
)
from feesheet.formula.tree import Traced
from feesheet.pricing.what_if.safety_words import FEW_LINES, INSIDE, OUTSIDE, OWN_LINES, TOO_FEW, TOO_SHORT
from feesheet.reference import fixed


@figure("Log return", "change")
def log_return(before_no: Traced, price: Traced, price_before: Traced) -> Traced:
    """The logarithm of the price over the quote before it; nothing after a gap. Unit: 1.

    >>> round(log_return(1, 110, 100), 6)
    0.09531
    """
    return when(before_no > 0, natural_log(price / price_before), "")


@figure("Rise over the hold", "change")
def hold_rise(
    end_no: Traced, price: Traced, price_end: Traced, compare_digits: Traced = fixed("compare_digits")
) -> Traced:
    """What a quote held from that day on would have had to withstand; nothing where a gap hides it. Unit: fraction.

    Kept on the digits that a comparison needs, so that equal rises are equal everywhere.
    >>> hold_rise(2, 100, 104)
    0.04
    """
    return when(end_no > 0, round_to(price_end / price - 1, compare_digits), "")


@figure("Rise, where it counts", "change")
def rise_where(counts: Traced, rise: Traced) -> Traced:
    """The rise if the window counts for this figure, else nothing."""
    return when(counts > 0, rise, "")


@figure("Gaps", "whole")
def gaps(quotes: Traced, returns: Traced) -> Traced:
    """Steps from quote to quote that are too long to count."""
    return quotes - 1 - returns


@figure("Days a return spans", "number")
def mean_days(spanned_days: Traced, returns: Traced) -> Traced:
    """The mean number of days between two quotes that follow each other. Unit: days."""
    return ratio(spanned_days, returns, 0)


@figure("Returns in the hold", "number")
def periods(hold_days: Traced, mean_days: Traced) -> Traced:
    """How many such steps a hold has.

    >>> periods(30, 1.5)
    20.0
    """
    return ratio(hold_days, mean_days, 0)


@figure("Place in the ranks", "whole")
def place(safety_level: Traced, count: Traced, step_digits: Traced = fixed("step_digits")) -> Traced:
    """Which of the ranked figures, from the smallest, has at least the chosen share of them at or under it.

    >>> place(0.95, 100), place(0.95, 101), place(0.07, 100), place(0.5, 0)
    (95.0, 96.0, 7.0, 1.0)
    """
    return larger(1, step_up(safety_level * count, 1, step_digits, 0))


@figure("Figure at that place", "change")
def at_place(count: Traced, ranked: Traced, if_none: Traced) -> Traced:
    """The figure at its place in the ranks, where there is any."""
    return when(count > 0, ranked, if_none)


@figure("Rise, parametric", "change")
def parametric_rise(safety_level: Traced, sd: Traced, periods: Traced) -> Traced:
    """The rise that a normal spread of that deviation, without drift, stays under with the chosen chance. Unit: fraction.

    >>> round(parametric_rise(0.95, 0.01, 25), 6)
    0.085719
    """
    return exponential(normal_quantile(safety_level) * sd * square_root(periods)) - 1


@figure("Rise used", "change")
def rise_used(historical_rise: Traced, parametric_rise: Traced) -> Traced:
    """The larger of the two. Unit: fraction."""
    return larger(historical_rise, parametric_rise)


@figure("Re-price when it passes", "money")
def reprice_at(price_now: Traced, rise_used: Traced) -> Traced:
    """The price at which open quotes are used up. Unit: money per quoted unit of the metal.

    >>> reprice_at(4000, 0.25)
    5000.0
    """
    return price_now * (1 + rise_used)


@figure("Share that passed", "fraction")
def passed_share(passed: Traced, held_back: Traced) -> Traced:
    """Held-back windows whose rise was over that of the first half, as a share of them."""
    return ratio(passed, held_back, 0)


@figure("Interval from", "fraction")
def interval_low(passed: Traced, held_back: Traced, interval_tail: Traced = fixed("interval_tail")) -> Traced:
    """The lower end of the exact 95 % interval of a share (Clopper & Pearson 1934). Unit: fraction.

    >>> round(interval_low(3, 40), 4), interval_low(0, 40)
    (0.0157, 0.0)
    """
    return when(passed <= 0, 0, beta_quantile(interval_tail, passed, held_back - passed + 1))


@figure("Interval to", "fraction")
def interval_high(
    passed: Traced, held_back: Traced, interval_tail: Traced = fixed("interval_tail")
) -> Traced:
    """The upper end of that interval. Unit: fraction.

    >>> round(interval_high(3, 40), 4), interval_high(40, 40)
    (0.2039, 1.0)
    """
    return when(passed >= held_back, 1, beta_quantile(1 - interval_tail, passed + 1, held_back - passed))


@figure("Expected share", "fraction")
def expected_share(safety_level: Traced) -> Traced:
    """The share of windows that should pass the rise. Unit: fraction."""
    return 1 - safety_level


@figure("Expected share inside", "whole")
def inside(expected_share: Traced, interval_low: Traced, interval_high: Traced) -> Traced:
    """1 if the expected share lies inside the interval of what was seen."""
    return all_of(expected_share >= interval_low, expected_share <= interval_high)


@figure("Interval too wide", "whole")
def too_wide(expected_share: Traced, interval_high: Traced) -> Traced:
    """1 if the interval reaches to twice the expected share: it would be as wide for a rise twice as unsafe."""
    return interval_high >= expected_share + expected_share


@figure("Test", "text")
def outcome(held_back: Traced, inside: Traced, too_wide: Traced) -> Traced:
    """What windows that no figure was fitted to say of the rise."""
    seen = held_back > 0
    return pick(1 + seen * (1 + inside * (1 + too_wide)), TOO_SHORT, OUTSIDE, INSIDE, TOO_FEW)


@figure("Grams over the mean", "number")
def grams_over_mean(weight_g: Traced, alloy_units: Traced, own_mean_g: Traced) -> Traced:
    """Grams a unit on one alloy line over the practice's own mean for its material and tooth region. Unit: 1.

    >>> grams_over_mean(4, 2, 1.6)
    1.25
    """
    return weight_g / alloy_units / own_mean_g


@figure("Weight over the mean", "change")
def weight_over(
    lines: Traced, ratio_at_place: Traced, least_weighings: Traced = fixed("least_weighings")
) -> Traced:
    """How far over its mean a unit's alloy weighs at the chosen level; 0 where too few lines tell. Unit: fraction.

    >>> round(weight_over(40, 1.3), 9), weight_over(9, 1.3), weight_over(40, 0.9)
    (0.3, 0.0, 0.0)
    """
    return when(lines >= least_weighings, larger(ratio_at_place - 1, 0), 0)


@figure("Taken from", "text")
def weight_basis(lines: Traced, least_weighings: Traced = fixed("least_weighings")) -> Traced:
    """Where the weight over the mean comes from."""
    return when(lines >= least_weighings, OWN_LINES, FEW_LINES)


@figure("Cost of the rise", "money")
def cost_rise(metal_cost: Traced, rise_used: Traced) -> Traced:
    """What the rise adds to this metal in one unit. Unit: money a unit."""
    return metal_cost * rise_used


@figure("Weight part", "money")
def weight_part(by_weight: Traced, alloy_cost: Traced, weight_over: Traced) -> Traced:
    """What a heavy casting adds, where the lab bills alloy by weight. Unit: money a unit."""
    return by_weight * alloy_cost * weight_over


@figure("Buffer", "money")
def buffer(price_part: Traced, weight_part: Traced) -> Traced:
    """Price and weight together, taken as independent: the square root of the sum of squares. Unit: money a unit.

    >>> buffer(30, 40)
    50.0
    """
    return square_root(price_part * price_part + weight_part * weight_part)


@figure("Share of the fee", "fraction")
def buffer_share(buffer: Traced, current_fee: Traced) -> Traced:
    """The buffer as a share of today's fee; 0 where there is none. Unit: fraction of the fee."""
    return ratio(buffer, current_fee, 0)
