"""Chair minutes and overhead of a period: what is supplied, what work takes, and what the rest is called."""

from __future__ import annotations

from feesheet.formula.model import figure
from feesheet.formula.operations import joined, when
from feesheet.formula.tree import Traced
from feesheet.reference import fixed

SHEET = "Capacity"

IDLE, OTHER_OR_IDLE = "idle chairs", "other work and idle chairs"
"""What the minutes are called that this schedule's work does not take, where the hours of other work are typed and where not."""

OVER = "More is used than supplied: the capacity of the site is set too low."


@figure("Minutes supplied", "many_minutes")
def supplied(
    usable_min: Traced, months: Traced, months_per_year: Traced = fixed("months_per_year")
) -> Traced:
    """Usable chair minutes of a year, for the period's months. Unit: min of the period."""
    return usable_min * months / months_per_year


@figure("Overhead supplied", "money")
def overhead_supplied(
    overhead_year: Traced, months: Traced, months_per_year: Traced = fixed("months_per_year")
) -> Traced:
    """The site's overhead of a year, for the period's months. Unit: money of the period."""
    return overhead_year * months / months_per_year


@figure("Minutes of visits", "many_minutes")
def visit_min(chair_hours: Traced, minutes_per_hour: Traced = fixed("minutes_per_hour")) -> Traced:
    """Chair minutes of the period's units, remakes left out. Unit: min of the period."""
    return chair_hours * minutes_per_hour


@figure("Minutes of other work", "many_minutes")
def other_min(
    other_hours: Traced,
    months: Traced,
    minutes_per_hour: Traced = fixed("minutes_per_hour"),
    months_per_year: Traced = fixed("months_per_year"),
) -> Traced:
    """Minutes of work that is not on this schedule, for the period's months; nought where they are not typed. Unit: min."""
    return other_hours * minutes_per_hour * months / months_per_year


@figure("Minutes of remakes", "many_minutes")
def again_min(units: Traced, remake_odds: Traced, repeated_chair_min: Traced) -> Traced:
    """Chair minutes that the remakes of the units take again. Unit: min of the period."""
    return units * remake_odds * repeated_chair_min


@figure("Overhead in the costs", "money")
def item_overhead(
    capacity_units: Traced, overhead_cost: Traced, remake_odds: Traced, repeated_overhead: Traced
) -> Traced:
    """The overhead that the unit costs carry, remakes too, for all units of the period. Unit: money of the period."""
    return capacity_units * (overhead_cost + remake_odds * repeated_overhead)


@figure("Minutes used", "many_minutes")
def minutes_of_work(visit_min: Traced, again_min: Traced) -> Traced:
    """Chair minutes of this schedule's work, remakes too. Unit: min of the period."""
    return visit_min + again_min


@figure("All minutes taken", "many_minutes")
def minutes_taken(minutes_used: Traced, other_min: Traced) -> Traced:
    """Minutes of this schedule's work and of other work, as far as that is typed. Unit: min of the period."""
    return minutes_used + other_min


@figure("Remark", "text")
def remark(unused_min: Traced, rest: Traced) -> Traced:
    """What the unused minutes are, or that more is used than supplied."""
    return when(unused_min < 0, OVER, joined("Unused: ", rest, "."))


@figure("Change", "money")
def change_of(now: Traced, then: Traced) -> Traced:
    """Now less then. Unit: money of the period."""
    return now - then
