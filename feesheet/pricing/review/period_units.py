"""How many units of each item a period had by the labs' invoices, and those that no code of the fee schedule takes."""

from __future__ import annotations

from feesheet.costing.components import item_facts
from feesheet.costing.places import lab_places
from feesheet.costing.roster import Roster, numbers_of
from feesheet.formula.model import Block, Model, figure
from feesheet.formula.operations import ratio, when
from feesheet.formula.tree import Traced
from feesheet.pricing.review.period import Period
from feesheet.reference import fixed

SHEET = "Earned"


@figure("Even part", "exact")
def even_part(has_fee: Traced, place_fees: Traced) -> Traced:
    """One over the number of the place's codes that have a fee; nought for a code without one."""
    return ratio(has_fee, place_fees, 0)


@figure("Part of the place", "exact")
def place_part(year_units: Traced, place_year: Traced, even_part: Traced) -> Traced:
    """The item's part of its place's lab units: by last year's units of the codes there, else evenly."""
    return ratio(year_units, place_year, even_part)


@figure("Units of the period", "units")
def period_units(
    lab_no: Traced,
    n: Traced,
    place_part: Traced,
    year_units: Traced,
    months: Traced,
    months_per_year: Traced = fixed("months_per_year"),
) -> Traced:
    """The item's part of the units on the labs' invoices; without lab work, last year's units for as many months."""
    return when(lab_no >= 1, n * place_part, year_units * months / months_per_year)


@figure("Dentist's pay", "money")
def dentist_pay(dentist_cost: Traced, remake_odds: Traced, repeated_dentist: Traced) -> Traced:
    """What the dentist is paid for one unit and for its share of remakes. Unit: money a unit.

    >>> dentist_pay(20, 0.5, 10)
    25.0
    """
    return dentist_cost + remake_odds * repeated_dentist


@figure("Units in no code", "units")
def units_in_no_code(place_units: Traced, place_codes: Traced) -> Traced:
    """Lab units of the period that no code with a fee takes: nothing says what came in for them."""
    return when(place_codes > 0, 0, place_units)


def period_items_block(who: Roster, now: Period, then: Period | None, known_then: bool) -> Block:
    """Each item's units in the period, by the labs' invoices, and the dentist's pay in one unit."""
    block = Block(
        "period_items",
        SHEET,
        "Units by the labs' invoices",
        len(who.items),
        "A place is a material at a tooth region and site; its lab units are split among its codes by last year's units, else evenly.",
        aligned="items",
        label=("code", "site"),
    )
    item_facts(block, who)
    months = "Months that the period has."
    block.given("months", "Months", [float(now.months)] * block.rows, "number", meaning=months)
    for name, heading, unit, source in (
        ("place_year", "Year's units of the place", "units", "margins.year_units"),
        ("place_fees", "Codes of the place with a fee", "whole", "margins.has_fee"),
    ):
        block.total(name, heading, unit, source, "costs.lab_no", "lab_no")
    block.worked(even_part)
    block.worked(place_part)
    block.worked(period_units)
    if then is not None and known_then:
        block.given("months_then", "Months then", [float(then.months)] * block.rows, "number", meaning=months)
        block.fetch("n_then", "Lab units then", "units", "then_lab_fees.n", "lab_no", 0)
        block.worked(
            period_units, "period_units_then", "Units of the period then", n="n_then", months="months_then"
        )
    block.worked(dentist_pay)
    return block


def tooth_regions(who: Roster) -> list[str]:
    """Every tooth region of the fee schedule, in its order."""
    return list(dict.fromkeys([*(region for _, region in who.pools), *who.items["region"]]))


def period_places_block(who: Roster) -> Block:
    """The lab units of the period by place, those of unknown teeth last, and which of them no code takes."""
    places = lab_places(who)
    known = [*places, ("", "", "")]
    block = Block(
        "period_places",
        SHEET,
        "Lab units by place",
        len(known),
        "Units on the labs' invoices of the period, remakes left out.",
        label=("material", "region", "site"),
    )
    shown = [*places, ("known", "tooth or site not known", "")]
    for position, (name, heading) in enumerate(
        (("material", "Material"), ("region", "Tooth region"), ("site", "Site"))
    ):
        block.given(name, heading, [place[position] for place in shown])
    numbers = [*range(1, len(places) + 1), 0]
    block.counter("place_no", "Lab fee no.", numbers, "Row in the lab fees; 0: tooth not known.")
    codes = list(range(1, len(known) + 1))
    block.counter("code_no", "Lab fee no. of codes", codes, "Row in the lab fees that codes point to.")
    for name, heading, position, names, meaning in (
        ("material_no", "Material no.", 0, list(who.materials), "Row in the materials; 0: none."),
        ("region_no", "Region no.", 1, tooth_regions(who), "Number of the tooth region; 0: none."),
        ("site_no", "Site no.", 2, list(who.sites), "Row in the sites; 0: any."),
    ):
        block.counter(name, heading, numbers_of([place[position] for place in known], names), meaning)
    block.total("place_units", "Lab units", "units", "lines.units_counted", "lines.lab_no", "place_no")
    block.total("place_codes", "Codes with a fee", "whole", "margins.has_fee", "costs.lab_no", "code_no")
    block.worked(units_in_no_code)
    return block


def add_period_units(model: Model, who: Roster, now: Period, then: Period | None, known_then: bool) -> None:
    """Add the period's units by item and by place; `known_then`: the model has the lab fees of the other period."""
    model.add(period_items_block(who, now, then, known_then))
    model.add(period_places_block(who))
