"""Why a figure is not what it was, and what capacity costs that nobody uses: each calculation once.

Units that add up to nought may differ from it in the sixteenth digit: digits that no comparison needs are left out of what divides.
Price and quantity: a price is judged at the new quantity, a quantity at the old price. Price, volume and mix are told in two
conventions; each adds up to the whole change, and a table must name the one that it follows.
"""

from __future__ import annotations

from feesheet.formula.model import figure
from feesheet.formula.operations import any_of, ratio, round_to, same, when
from feesheet.formula.tree import Traced
from feesheet.reference import fixed

NEW_VOLUME = "price at the new volume"
"""Convention: price at the new quantities, volume at the old mix and the old prices, mix what is left."""

OLD_VOLUME = "price at the old volume"
"""Convention: price at the old quantities, volume at the old prices, and both together by themselves."""


@figure("Price", "money")
def price_variance(now_price: Traced, then_price: Traced, at_quantity: Traced) -> Traced:
    """What a change of the price makes at a quantity; the standard variance takes the new one. Unit: money.

    >>> price_variance(11, 10, 1000)
    1000
    """
    return (now_price - then_price) * at_quantity


@figure("Quantity", "money")
def quantity_variance(now_quantity: Traced, then_quantity: Traced, then_price: Traced) -> Traced:
    """What a change of the quantity makes at the old price. Unit: money.

    >>> quantity_variance(700, 800, 15)
    -1500
    """
    return (now_quantity - then_quantity) * then_price


@figure("Growth", "change")
def growth(
    now_in_all: Traced, then_in_all: Traced, compare_digits: Traced = fixed("compare_digits")
) -> Traced:
    """Change of all units together, as a share of those then; nought where there was nothing then: all is mix.

    >>> growth(2500, 2000), growth(2500, 0)
    (0.25, 0.0)
    """
    return ratio(now_in_all - then_in_all, round_to(then_in_all, compare_digits), 0)


@figure("Volume", "money")
def volume_effect(growth: Traced, then_quantity: Traced, then_price: Traced) -> Traced:
    """What the item would bring more, had it grown as all units together, at the old price. Unit: money."""
    return growth * then_quantity * then_price


@figure("Mix", "money")
def mix_effect(now_quantity: Traced, then_quantity: Traced, growth: Traced, then_price: Traced) -> Traced:
    """What units more or less than that growth would give make, at the old price. Unit: money."""
    return (now_quantity - then_quantity * (1 + growth)) * then_price


@figure("Price and volume together", "money")
def price_and_volume(
    now_price: Traced, then_price: Traced, now_quantity: Traced, then_quantity: Traced
) -> Traced:
    """What neither made alone: the change of the price on the change of the quantity. Unit: money."""
    return (now_price - then_price) * (now_quantity - then_quantity)


@figure("Received a unit, now", "money")
def price_now(
    now_received: Traced,
    now_units: Traced,
    then_received: Traced,
    compare_digits: Traced = fixed("compare_digits"),
) -> Traced:
    """What came in for a unit now; where no unit was made, what came in then, so that the price tells nothing. Unit: money."""
    return ratio(now_received, round_to(now_units, compare_digits), then_received)


@figure("Received a unit, then", "money")
def price_then(then_units: Traced, then_received: Traced, now_price: Traced) -> Traced:
    """What came in for a unit then; where nothing tells, the price of now, so that a new item is no price change. Unit: money."""
    told = any_of(then_units > 0, then_units < 0, then_received > 0)
    return when(told, then_received, now_price)


@figure("Money without units", "money")
def money_without_units(
    now_units: Traced, now_received: Traced, compare_digits: Traced = fixed("compare_digits")
) -> Traced:
    """Money of an item whose units add up to nought, as of work paid late. Unit: money."""
    return when(same(round_to(now_units, compare_digits), 0), now_received, 0)


@figure("Rate", "money_per_min")
def capacity_cost_rate(cost_supplied: Traced, minutes_supplied: Traced) -> Traced:
    """What a minute of capacity costs: all that it costs over all minutes that it can give. Unit: money per min.

    Source: Kaplan & Anderson, Harvard Business Review, November 2004.
    >>> capacity_cost_rate(560000, 700000)
    0.8
    """
    return ratio(cost_supplied, minutes_supplied, 0)


@figure("Cost of the minutes used", "money")
def cost_used(minutes_used: Traced, rate: Traced) -> Traced:
    """What the minutes that work takes cost. Unit: money."""
    return minutes_used * rate


@figure("Unused minutes", "many_minutes")
def unused_min(minutes_supplied: Traced, minutes_used: Traced) -> Traced:
    """Minutes that capacity gives and no work takes; negative where more are taken than it gives. Unit: min."""
    return minutes_supplied - minutes_used


@figure("Unused cost", "money")
def unused_cost(unused_min: Traced, rate: Traced) -> Traced:
    """What the unused minutes cost: money that no unit carries. Unit: money."""
    return unused_min * rate


@figure("Share used", "fraction")
def share_used(minutes_used: Traced, minutes_supplied: Traced) -> Traced:
    """The share of the minutes that work takes. Unit: fraction."""
    return ratio(minutes_used, minutes_supplied, 0)
