"""The steps from the labs' bills to lab fees and alloy in the cost of the work, one small function each."""

from __future__ import annotations

from feesheet.formula.model import figure
from feesheet.formula.tree import Traced


@figure("Alloy a unit", "money")
def alloy_unit(usual_g: Traced, price_per_g: Traced) -> Traced:
    """Usual grams at the price of a gram on the period's last day. Unit: money a unit.

    >>> alloy_unit(2.5, 100)
    250.0
    """
    return usual_g * price_per_g


@figure("Blend", "money")
def blend_step(made: Traced, usual_fee: Traced, billed: Traced, inside: Traced) -> Traced:
    """The units made at the lab fee, less what was billed for them without alloy. Unit: money of the period.

    >>> blend_step(10, 100.0, 1300.0, 200.0)
    -100.0
    """
    return made * usual_fee - (billed - inside)


@figure("Fees of units in no code", "money")
def no_code_fees(no_code: Traced, usual_fee: Traced) -> Traced:
    """Takes off the lab fees of units made that no code with a fee takes. Unit: money of the period."""
    return 0 - no_code * usual_fee


@figure("Alloy of units in no code", "money")
def no_code_alloy(no_code: Traced, alloy_unit: Traced) -> Traced:
    """Takes off the alloy of units made that no code with a fee takes. Unit: money of the period."""
    return 0 - no_code * alloy_unit


@figure("Units more than made", "units")
def units_more(work_units: Traced, made: Traced, no_code: Traced) -> Traced:
    """Units of the work less the units made that some code takes."""
    return work_units - (made - no_code)


@figure("Fees of these units", "money")
def more_fees(units_more: Traced, usual_fee: Traced) -> Traced:
    """Their lab fees. Unit: money of the period."""
    return units_more * usual_fee


@figure("Alloy of these units", "money")
def more_alloy(units_more: Traced, alloy_unit: Traced) -> Traced:
    """Their alloy. Unit: money of the period."""
    return units_more * alloy_unit


@figure("Price of alloy inside", "money")
def inside_price(inside_units: Traced, alloy_unit: Traced, inside: Traced) -> Traced:
    """Alloy inside all-in prices at the last day's price, less at the prices of its days. Unit: money of the period."""
    return inside_units * alloy_unit - inside


@figure("Billed without an alloy", "money")
def no_alloy(alloy_no: Traced, alloy_billed: Traced) -> Traced:
    """Alloy billed on a material that has none: it is in no cost. Unit: money of the period."""
    return alloy_billed * (alloy_no < 1)


@figure("Price", "money")
def price_step(alloy_grams: Traced, price_per_g: Traced, alloy_billed: Traced, no_alloy: Traced) -> Traced:
    """The grams billed at the last day's price, less as they were billed. Unit: money of the period.

    >>> price_step(12.0, 110.0, 1200.0, 0.0)
    120.0
    """
    return alloy_grams * price_per_g - (alloy_billed - no_alloy)


@figure("Grams", "money")
def grams_step(weighed_units: Traced, alloy_unit: Traced, alloy_grams: Traced, price_per_g: Traced) -> Traced:
    """Usual grams in place of those billed, for the units that were weighed. Unit: money of the period."""
    return weighed_units * alloy_unit - alloy_grams * price_per_g


@figure("Units made not weighed", "units")
def not_weighed(made: Traced, inside_units: Traced, weighed_units: Traced) -> Traced:
    """Units made less those whose alloy was weighed or is inside their price; under nought where more were weighed."""
    return made - inside_units - weighed_units


@figure("Alloy not weighed", "money")
def not_weighed_alloy(not_weighed: Traced, alloy_unit: Traced) -> Traced:
    """Their usual alloy. Unit: money of the period."""
    return not_weighed * alloy_unit


@figure("Lab fees in the cost", "money")
def fees_in_cost(earned_units: Traced, lab_fee: Traced) -> Traced:
    """Lab fees in the cost of the item's work. Unit: money of the period."""
    return earned_units * lab_fee


@figure("Alloy in the cost", "money")
def alloy_in_cost(earned_units: Traced, alloy_cost: Traced) -> Traced:
    """Alloy in the cost of the item's work. Unit: money of the period."""
    return earned_units * alloy_cost


@figure("All else in the cost", "money")
def rest_in_cost(earned_units: Traced, unit_cost: Traced, lab_fee: Traced, alloy_cost: Traced) -> Traced:
    """Supplies, people, overhead and remakes in the cost of the item's work. Unit: money of the period."""
    return earned_units * (unit_cost - lab_fee - alloy_cost)


@figure("In all", "money")
def in_all(of_fees: Traced, of_alloy: Traced) -> Traced:
    """Lab fees and alloy together. Unit: money of the period."""
    return of_fees + of_alloy
