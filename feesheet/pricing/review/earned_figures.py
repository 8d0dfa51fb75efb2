"""What units and money come to: received, cost, contribution and what is left, one small function each."""

from __future__ import annotations

from feesheet.formula.model import figure
from feesheet.formula.operations import all_of, ratio, when
from feesheet.formula.tree import Traced
from feesheet.reference import fixed


@figure("Units", "units")
def promised_units(period_units: Traced, payer_share: Traced) -> Traced:
    """The payer's share of the item's units."""
    return period_units * payer_share


@figure("Received", "money")
def promised_money(units: Traced, promised_unit: Traced) -> Traced:
    """What should come in for them. Unit: money of the period."""
    return units * promised_unit


@figure("Cost", "money")
def cost(units: Traced, unit_cost: Traced) -> Traced:
    """What they cost. Unit: money of the period."""
    return units * unit_cost


@figure("Contribution", "money")
def earned_contribution(received: Traced, units: Traced, variable_cost: Traced) -> Traced:
    """Received less what is only spent if the item is made. Unit: money of the period."""
    return received - units * variable_cost


@figure("Left", "money")
def left(received: Traced, cost: Traced) -> Traced:
    """What is left of the money received after all costs. Unit: money of the period."""
    return received - cost


@figure("Left before dentist pay", "money")
def left_before_dentist(left: Traced, units: Traced, dentist_pay: Traced) -> Traced:
    """The same before the dentist is paid. Unit: money of the period."""
    return left + units * dentist_pay


@figure("Chair hours", "number")
def chair_hours(
    units: Traced, chair_min: Traced, minutes_per_hour: Traced = fixed("minutes_per_hour")
) -> Traced:
    """Hours in which the units took a chair."""
    return units * chair_min / minutes_per_hour


@figure("Has a margin", "whole")
def has_margin(units: Traced, received: Traced) -> Traced:
    """1 if there are units and money, so that a margin says something."""
    return all_of(units > 0, received > 0)


@figure("Margin for the lowest", "number")
def margin_if_low(has_margin: Traced, margin: Traced, no_limit: Traced = fixed("no_limit")) -> Traced:
    """The margin; a row without one is never the lowest."""
    return when(has_margin >= 1, margin, no_limit)


@figure("Margin for the highest", "number")
def margin_if_high(has_margin: Traced, margin: Traced, no_limit: Traced = fixed("no_limit")) -> Traced:
    """The margin; a row without one is never the highest."""
    return when(has_margin >= 1, margin, 0 - no_limit)


@figure("Contribution a unit", "money")
def contribution_unit(contribution: Traced, units: Traced) -> Traced:
    """The contribution of one unit, on the mean. Unit: money a unit."""
    return ratio(contribution, units, 0)


@figure("Contribution a chair hour", "money")
def contribution_hour(contribution: Traced, chair_hours: Traced) -> Traced:
    """The contribution of an hour of an occupied chair; nought where no chair was taken. Unit: money per chair hour."""
    return ratio(contribution, chair_hours, 0)
