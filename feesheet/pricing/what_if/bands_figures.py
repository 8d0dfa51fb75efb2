"""Surcharge bands, one small function a figure: where a band lies, what it adds to a fee, how far the margin moves."""

from __future__ import annotations

from feesheet.formula.model import figure
from feesheet.formula.operations import all_of, larger, ratio, round_to, size, step_nearest, when
from feesheet.formula.tree import Traced
from feesheet.pricing.results import margin
from feesheet.pricing.what_if.bands_words import HOLDS, HOLDS_NOT
from feesheet.reference import fixed


@figure("Middle", "money")
def middle(reference: Traced, steps: Traced, band_width: Traced) -> Traced:
    """The price in the middle of the band: so many widths from the reference. Unit: money per quoted unit of the metal.

    >>> middle(2400, -1, 100)
    2300
    """
    return reference + steps * band_width


@figure("Price from", "money")
def price_from(
    middle: Traced,
    band_width: Traced,
    band_half: Traced,
    smallest_coin: Traced,
    step_digits: Traced = fixed("step_digits"),
    money_digits: Traced = 2,
) -> Traced:
    """The lowest price of the band, half a width under its middle, to the coin, so that the printed price is the one that holds.

    Unit: money per quoted unit of the metal.
    >>> price_from(2300, 25, 0.5, 0.01)
    2287.5
    """
    return step_nearest(middle - band_half * band_width, smallest_coin, step_digits, money_digits)


@figure("Next middle", "money")
def next_middle(middle: Traced, band_width: Traced) -> Traced:
    """The price in the middle of the band above, whether there is one or not. Unit: money per quoted unit of the metal."""
    return middle + band_width


@figure("Price move", "change")
def price_move(price: Traced, reference: Traced) -> Traced:
    """How far a price lies from the reference. Unit: fraction of the reference.

    >>> price_move(3000, 2400)
    0.25
    """
    return ratio(price - reference, reference, 0)


@figure("Full fee's net", "money")
def net_full(fee: Traced, kept_of_fee: Traced) -> Traced:
    """What stays of a full fee: the share collected, less what card companies keep. Unit: money a unit."""
    return fee * kept_of_fee


@figure("Fee for the metal", "money")
def metal_fee(fee: Traced, metal_cost: Traced, unit_cost: Traced) -> Traced:
    """The part of the full fee that the metal takes up, by its share of the cost. Unit: money a unit.

    A fee that moves by this part as the metal's price moves keeps the item's margin as it is.
    >>> metal_fee(1500, 150, 600)
    375.0
    """
    return ratio(fee * metal_cost, unit_cost, 0)


@figure("Add-on", "money")
def add_on(
    metal_fee: Traced,
    move: Traced,
    band_step: Traced,
    step_digits: Traced = fixed("step_digits"),
    money_digits: Traced = 2,
) -> Traced:
    """What the band adds to the full fee, to the nearest step, halves away from nought; under nought it is taken off.

    Unit: money a unit.
    >>> add_on(375, 0.25, 1), add_on(375, -0.25, 1)
    (94.0, -94.0)
    """
    return step_nearest(metal_fee * move, band_step, step_digits, money_digits)


@figure("Net with the add-on", "money")
def net_with(fee: Traced, add_on: Traced, kept_of_fee: Traced) -> Traced:
    """What stays of the full fee with the add-on. Unit: money a unit."""
    return (fee + add_on) * kept_of_fee


@figure("Margin change", "change")
def margin_change(
    net_with: Traced, unit_cost: Traced, metal_cost: Traced, move: Traced, margin_now: Traced
) -> Traced:
    """The margin on the full fee at a price, less the margin at the reference. Unit: fraction of net.

    >>> round(margin_change(1100, 600, 200, 0.5, 0.4), 4)
    -0.0364
    """
    return margin(net_with, unit_cost + metal_cost * move) - margin_now


@figure("Worst case", "fraction")
def worst(change_low: Traced, change_high: Traced) -> Traced:
    """The larger change of the margin at the band's two edges, whatever its sign; between them it is smaller.

    Unit: fraction of net.
    >>> worst(0.004, -0.009)
    0.009
    """
    return larger(size(change_low), size(change_high))


@figure("Within tolerance", "whole")
def within(worst: Traced, band_tolerance: Traced, compare_digits: Traced = fixed("compare_digits")) -> Traced:
    """1 if the margin moves no further than the tolerance, the tolerance itself included."""
    return round_to(worst, compare_digits) <= band_tolerance


@figure("Holds", "whole")
def holds(
    worst_of_all: Traced,
    lowest_price: Traced,
    band_width: Traced,
    band_tolerance: Traced,
    compare_digits: Traced = fixed("compare_digits"),
) -> Traced:
    """1 if every band is within the tolerance and lies above nought."""
    return all_of(round_to(worst_of_all, compare_digits) <= band_tolerance, lowest_price > 0, band_width > 0)


@figure("In words", "text")
def holds_said(holds: Traced) -> Traced:
    """Whether the table may be used as it stands, and what to do if not."""
    return when(holds >= 1, HOLDS, HOLDS_NOT)
