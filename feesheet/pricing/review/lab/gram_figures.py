"""Grams of a cast unit against the practice's own, size and density considered, one small function each."""

from __future__ import annotations

from feesheet.formula.model import figure
from feesheet.formula.operations import all_of, any_of, larger, pick, ratio, round_to, when
from feesheet.formula.tree import Traced
from feesheet.reference import fixed

BASES = (
    "own units by volume and density",
    "own units by grams",
    "starting grams as typed",
    "none: the most that is plausible",
)
"""What the grams of a unit can be held against, as `basis_no` numbers it."""


@figure("Units or teeth", "units")
def counted_units(line_units: Traced, line_teeth: Traced) -> Traced:
    """The units that the grams are spread over: the teeth, where the line names more of them than units."""
    return larger(line_units, line_teeth)


@figure("Grams a unit", "grams")
def unit_grams(line_grams: Traced, counted_units: Traced) -> Traced:
    """Grams billed for one unit. Unit: g."""
    return ratio(line_grams, counted_units, 0)


@figure("Volume a unit, cm³", "number")
def unit_volume(unit_grams: Traced, density: Traced) -> Traced:
    """How large the casting of one unit is; 0: the alloy's density is not known. Unit: cm³.

    >>> round(unit_volume(3.1, 15.5), 9), unit_volume(3.1, 0)
    (0.2, 0.0)
    """
    return ratio(unit_grams, density, 0)


@figure("Usual grams a unit", "grams")
def usual_unit(
    part_basis: Traced, usual_volume: Traced, density: Traced, usual_own: Traced, starting_g: Traced
) -> Traced:
    """The grams that a unit of that material and size of tooth usually has, in this alloy. Unit: g; 0 where nothing tells.

    A denser alloy makes the same casting heavier: 0.2 cm³ are 3.1 g at 15.5 g/cm³ and 1.7 g at 8.4.
    """
    return pick(part_basis, usual_volume * density, usual_own, starting_g, 0)


@figure("Usual grams of the part", "grams")
def part_usual(usual_unit: Traced, part_units: Traced, part_share: Traced, of_part: Traced) -> Traced:
    """Usual grams of the line's units of that size. Unit: g."""
    return usual_unit * part_units * part_share * of_part


@figure("Usual of a unit", "grams")
def usual_each(usual_line: Traced, counted_units: Traced) -> Traced:
    """The usual grams of the line, spread over its units. Unit: g."""
    return ratio(usual_line, counted_units, 0)


@figure("Held against", "grams")
def held_grams(
    basis_no: Traced, usual_each: Traced, unit_grams_most: Traced = fixed("unit_grams_most")
) -> Traced:
    """What the grams of a unit are held against. Unit: g."""
    return pick(basis_no, usual_each, usual_each, usual_each, unit_grams_most)


@figure("Taken from", "text")
def basis_words(basis_no: Traced) -> Traced:
    """What the usual grams are taken from."""
    return pick(basis_no, *BASES)


@figure("Over a unit", "grams")
def over_unit(tested: Traced, unit_grams: Traced, held_grams: Traced) -> Traced:
    """Grams of a unit above the usual ones; negative: below. Nought where the line was not tested. Unit: g."""
    return tested * (unit_grams - held_grams)


@figure("Price of the grams over", "money_per_g")
def gram_price(price_over: Traced, held_per_g: Traced, billed_per_g: Traced) -> Traced:
    """The price that the grams above the usual ones count at. Unit: money per g.

    Where the price itself is asked about, it is the one that it is held against: what is above that is asked for there.

    >>> gram_price(0, 120, 150), gram_price(1, 120, 150)
    (150, 120)
    """
    return when(price_over > 0, held_per_g, billed_per_g)


@figure("Money of the grams over", "money")
def money_of_grams(over_unit: Traced, counted_units: Traced, gram_price: Traced) -> Traced:
    """What the grams above the usual ones come to at that price. Unit: money."""
    return over_unit * counted_units * gram_price


@figure("Implausible", "whole")
def implausible(
    tested: Traced,
    unit_grams: Traced,
    unit_grams_least: Traced = fixed("unit_grams_least"),
    unit_grams_most: Traced = fixed("unit_grams_most"),
) -> Traced:
    """1 if one cast unit hardly weighs so little, or so much: the weight or its unit may be a slip."""
    return tested * any_of(unit_grams < unit_grams_least, unit_grams > unit_grams_most)


@figure("A finding", "whole")
def is_heavy(
    over_unit: Traced,
    held_grams: Traced,
    implausible: Traced,
    grams_tolerance: Traced = fixed("grams_tolerance"),
    grams_least_over: Traced = fixed("grams_least_over"),
    compare_digits: Traced = fixed("compare_digits"),
) -> Traced:
    """1 if the unit is three quarters heavier than the usual one and 0.3 g over it, or over it and implausible."""
    limit = larger(held_grams * grams_tolerance, grams_least_over)
    return any_of(round_to(over_unit - limit, compare_digits) > 0, all_of(implausible > 0, over_unit > 0))
