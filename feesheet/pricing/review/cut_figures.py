"""What a row of a cut says beside its sums, and a lab's part of a place, one small function each."""

from __future__ import annotations

from feesheet.formula.model import figure
from feesheet.formula.operations import all_of, ratio, when
from feesheet.formula.tree import Traced
from feesheet.reference import fixed

FEW = "few"

SUMMED = (
    ("units", "Units", "units"),
    ("received", "Received", "money"),
    ("cost", "Cost", "money"),
    ("left", "Left", "money"),
    ("left_before_dentist", "Left before dentist pay", "money"),
    ("contribution", "Contribution", "money"),
    ("chair_hours", "Chair hours", "number"),
)
"""What a cut adds up, by the names that the columns have where they are added up from."""


@figure("Few?", "text")
def few(n: Traced, counts: Traced, few_units: Traced = fixed("few_units")) -> Traced:
    """The word "few" where so few units stand behind the row that its margin says little; not where no lab is needed."""
    return when(all_of(n < few_units, counts >= 1), FEW, "")


@figure("Margin before dentist pay", "fraction")
def margin_before_dentist(left_before_dentist: Traced, received: Traced) -> Traced:
    """Share of the money received that is left before the dentist is paid. Unit: fraction of received."""
    return ratio(left_before_dentist, received, 0)


@figure("Lowest", "fraction")
def shown_lowest(lowest: Traced, no_limit: Traced = fixed("no_limit")) -> Traced:
    """The lowest, blank where there is none."""
    return when(lowest < no_limit, lowest, "")


@figure("Highest", "fraction")
def shown_highest(highest: Traced, no_limit: Traced = fixed("no_limit")) -> Traced:
    """The highest, blank where there is none."""
    return when(0 - highest < no_limit, highest, "")


@figure("Charge a unit", "money")
def unit_charge(used_amount: Traced, units_counted: Traced) -> Traced:
    """What the line charges for one unit, without extras and charges on the whole invoice. Unit: money a unit."""
    return ratio(used_amount, units_counted, 0)


@figure("Charge for the lowest", "number")
def charge_if_low(unit_charge: Traced, units_counted: Traced, no_limit: Traced = fixed("no_limit")) -> Traced:
    """The charge; a row without units is never the lowest."""
    return when(units_counted > 0, unit_charge, no_limit)


@figure("Charge for the highest", "number")
def charge_if_high(
    unit_charge: Traced, units_counted: Traced, no_limit: Traced = fixed("no_limit")
) -> Traced:
    """The charge; a row without units is never the highest."""
    return when(units_counted > 0, unit_charge, 0 - no_limit)


@figure("Lab's mean", "money")
def lab_mean(made_money: Traced, made_units: Traced) -> Traced:
    """What the lab charged for one unit of the place, on the mean, alloy taken out. Unit: money a unit."""
    return ratio(made_money, made_units, 0)


@figure("Share of the place", "exact")
def lab_share(made_units: Traced, place_n: Traced, uninvoiced: Traced) -> Traced:
    """The lab's share of the place's lab units; the whole where the period has no lab units."""
    return uninvoiced + ratio(made_units, place_n, 0)


@figure("Over the place's mean", "money")
def lab_gap(made_money: Traced, made_units: Traced, place_mean: Traced, place_n: Traced) -> Traced:
    """What the lab charged over the place's mean, for one unit of the place: the labs' parts add up to nought.

    Unit: money a unit of the place.
    """
    return ratio(made_money - made_units * place_mean, place_n, 0)


@figure("Part", "money")
def lab_part(whole: Traced, lab_share: Traced) -> Traced:
    """The lab's part of the place's figure, by its units."""
    return whole * lab_share


@figure("Over the mean in all", "money")
def gap_money(place_units: Traced, lab_gap: Traced) -> Traced:
    """What the lab's charges over the place's mean come to in the period. Unit: money."""
    return place_units * lab_gap


@figure("Part at the lab's charges", "money")
def cost_part(whole: Traced, lab_share: Traced, gap_money: Traced) -> Traced:
    """The lab's part of a cost, at its own charges. Unit: money."""
    return whole * lab_share + gap_money


@figure("Part at the lab's charges", "money")
def left_part(whole: Traced, lab_share: Traced, gap_money: Traced) -> Traced:
    """The lab's part of what is left after costs, at its own charges. Unit: money."""
    return whole * lab_share - gap_money
