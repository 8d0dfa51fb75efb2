"""The parts of an item's cost, one small function each, and what they add up to.

Built-in parts come through the entry point `feesheet.cost_components`, as a stranger's do. To add one, copy
`examples/own_component/`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np

from feesheet.costing.roster import Roster, numbers_of
from feesheet.formula.model import Block, figure
from feesheet.formula.tree import Name, Traced, added, names_in
from feesheet.problems import Problem

STACKS = {
    "metal": "Metal",
    "lab": "Lab work",
    "people": "People",
    "overhead": "Overhead",
    "other": "Supplies and remakes",
}
"""Layers of the summary's cost chart, from the bottom up."""

CURE = "Remove it, or ask whoever wrote it."
"""What to do about a plug-in that failed."""


@dataclass(frozen=True)
class OwnSetting:
    """A figure that a component needs and that the practice types into its Practice sheet under this name."""

    name: str
    heading: str
    unit: str
    low: float
    high: float


@dataclass(frozen=True)
class Component:
    """One part of an item's cost.

    `work` is a plain function marked with `figure`; its arguments are columns of the cost build-up, or settings.
    `variable` says that the money is only spent if the item is made: it counts in the contribution.
    `stack` is one of `STACKS`: where it is shown in the summary's chart.
    """

    work: Callable[..., Traced]
    variable: bool
    stack: str = "other"
    settings: tuple[OwnSetting, ...] = field(default=())

    def __post_init__(self) -> None:
        """ValueError for a layer that the chart doesn't have."""
        if self.stack not in STACKS:
            raise ValueError(f"its stack must be one of {', '.join(STACKS)}")

    @property
    def name(self) -> str:
        """The column that it makes."""
        return self.work.__name__


@figure("Lab fee", "money")
def lab_fee(lab_fee_here: Traced) -> Traced:
    """What the lab's work costs, without alloy and without remakes. Unit: money a unit."""
    return lab_fee_here


@figure("Alloy cost", "money")
def alloy_cost(alloy_g: Traced, alloy_price_per_g: Traced) -> Traced:
    """The alloy in one unit at today's metal prices. Unit: money a unit.

    >>> alloy_cost(2.5, 100)
    250.0
    """
    return alloy_g * alloy_price_per_g


@figure("Supplies", "money")
def supplies(supplies_typed: Traced) -> Traced:
    """Supplies at the chair for one unit, as typed for the material. Unit: money a unit."""
    return supplies_typed


@figure("People", "money")
def people_cost(dentist_cost: Traced, team_cost: Traced) -> Traced:
    """Pay for the steps of one unit: the dentist's, on a line of its own, and the team's. Unit: money a unit."""
    return dentist_cost + team_cost


@figure("Overhead", "money")
def overhead_cost(chair_min: Traced, overhead_per_chair_min: Traced) -> Traced:
    """The site's overhead for the minutes in which the chair is occupied. Unit: money a unit."""
    return chair_min * overhead_per_chair_min


@figure("Remakes", "money")
def remake_cost(
    remake_odds: Traced, remake_variable: Traced, repeated_people: Traced, repeated_overhead: Traced
) -> Traced:
    """What rejected units cost for each good one: lab, alloy and supplies again, and the repeated steps. Unit: money a unit."""
    return remake_odds * (remake_variable + repeated_people + repeated_overhead)


LAB_FEE = Component(lab_fee, variable=True, stack="lab")
ALLOY_COST = Component(alloy_cost, variable=True, stack="metal")
SUPPLIES = Component(supplies, variable=True)
PEOPLE_COST = Component(people_cost, variable=False, stack="people")
OVERHEAD_COST = Component(overhead_cost, variable=False, stack="overhead")
REMAKE_COST = Component(remake_cost, variable=False)


@figure("Team", "money")
def team_cost(all_pay: Traced, dentist_cost: Traced) -> Traced:
    """Pay of everybody but the dentist. Unit: money a unit."""
    return all_pay - dentist_cost


@figure("Lab, alloy, supplies again", "money")
def remake_variable(
    lab_fee: Traced,
    lab_share_on_remake: Traced,
    alloy_cost: Traced,
    alloy_share_on_remake: Traced,
    remake_supplies: Traced,
) -> Traced:
    """What one remake costs in lab charge, alloy that is not credited and supplies. Unit: money a remake."""
    return lab_fee * lab_share_on_remake + alloy_cost * alloy_share_on_remake + remake_supplies


@figure("Overhead again", "money")
def repeated_overhead(repeated_chair_min: Traced, overhead_per_chair_min: Traced) -> Traced:
    """Overhead of the chair minutes that a remake takes again. Unit: money a remake."""
    return repeated_chair_min * overhead_per_chair_min


@figure("Variable remakes", "money")
def remake_variable_cost(remake_odds: Traced, remake_variable: Traced) -> Traced:
    """The share of the remake cost that is only spent if the item is made. Unit: money a unit."""
    return remake_odds * remake_variable


_ITEM_COUNTERS = (
    ("site_no", "Site no.", "Row in the sites."),
    (
        "fee_row_no",
        "Fee row no.",
        "Row in the current fees as typed; rows of one number share last year's units.",
    ),
    ("material_no", "Material no.", "Row in the materials; 0: no lab work."),
    ("pool_no", "Grams no.", "Row in the alloy grams; 0: no lab work."),
    ("lab_no", "Lab fee no.", "Row in the lab fees; 0: no lab work."),
    ("set_no", "Steps no.", "Number of its set of steps; 0: no steps."),
    ("set_site_no", "Pay no.", "Number of its set of steps at its site; 0: no steps."),
)

_FETCHED = (
    ("lab_fee_here", "Lab fee here", "money", "lab_fees.blended_lab_fee", "lab_no"),
    ("alloy_g", "Alloy grams", "grams", "pools.alloy_g", "pool_no"),
    ("alloy_price_per_g", "Alloy price per g", "money_per_g", "pools.alloy_price_per_g", "pool_no"),
    ("supplies_typed", "Supplies typed", "money", "materials.supplies", "material_no"),
    (
        "lab_share_on_remake",
        "Lab share on a remake",
        "fraction",
        "materials.lab_share_on_remake",
        "material_no",
    ),
    (
        "alloy_share_on_remake",
        "Alloy not credited",
        "fraction",
        "materials.alloy_share_on_remake",
        "material_no",
    ),
    ("remake_supplies", "Supplies on a remake", "money", "materials.remake_supplies", "material_no"),
    ("remake_odds", "Remakes a good unit", "number", "materials.remake_odds", "material_no"),
    (
        "overhead_per_chair_min",
        "Overhead a chair minute",
        "money_per_min",
        "sites.overhead_per_chair_min",
        "site_no",
    ),
)

_SUMMED = (
    ("chair_min", "Chair minutes", "minutes", "steps.chair_min", "steps.set_no", "set_no"),
    (
        "repeated_chair_min",
        "Chair minutes again",
        "minutes",
        "steps.repeated_chair_min",
        "steps.set_no",
        "set_no",
    ),
    ("all_pay", "Pay", "money", "step_pay.step_pay", "step_pay.set_site_no", "set_site_no"),
    ("dentist_cost", "Dentist", "money", "step_pay.dentist_pay", "step_pay.set_site_no", "set_site_no"),
    ("repeated_people", "Pay again", "money", "step_pay.repeated_pay", "step_pay.set_site_no", "set_site_no"),
    (
        "repeated_dentist",
        "Dentist again",
        "money",
        "step_pay.repeated_dentist_pay",
        "step_pay.set_site_no",
        "set_site_no",
    ),
)


_BEFORE_PARTS = (
    *("code", "site", "material", "region", "team_cost", "repeated_overhead", "remake_variable"),
    *(column[0] for column in (*_ITEM_COUNTERS, *_FETCHED, *_SUMMED)),
)
"""Columns of the cost build-up that the parts may be made of."""

_AFTER_PARTS = ("remake_variable_cost", "variable_cost", "unit_cost", "alloy_price_then", "alloy_cost_then")
"""Columns that are made of the parts."""


def that_fit(parts: Sequence[Component], settings: Iterable[str]) -> tuple[list[Component], list[Problem]]:
    """The components whose names are free and whose arguments are columns or settings, and what is wrong with the others."""
    known, taken = {*_BEFORE_PARTS, *settings}, {*_AFTER_PARTS}
    fit: list[Component] = []
    problems: list[Problem] = []
    for part in parts:
        unknown = sorted(names_in(part.work) - known)
        if part.name in known | taken:
            wrong = f"would make a second {part.name}"
        elif unknown:
            wrong = f"needs {' and '.join(unknown)}, which is no column of the cost build-up and no setting"
        else:
            fit.append(part)
            known.add(part.name)
            continue
        problems.append(Problem("plug-in failed", f"The cost component {part.name} {wrong}.", CURE))
    return fit, problems


def item_facts(block: Block, who: Roster) -> None:
    """The columns that say which item a row is."""
    items = who.items
    block.given("code", "Code", list(items["code"]), "code")
    block.given("site", "Site", list(items["site"]))


def costs_block(
    who: Roster, numbers: dict[str, np.ndarray], components: Sequence[Component], then: bool
) -> Block:
    """The cost build-up: what one unit of each item costs at each site, part by part.

    With `then`, also what its alloy cost when the current fees were set.
    """
    block = Block(
        "costs", "Cost build-up", "Cost of one unit", len(who.items), aligned="items", label=("code", "site")
    )
    item_facts(block, who)
    block.given("material", "Material", list(who.items["material"]), width=24)
    block.given("region", "Tooth region", list(who.items["region"]))
    for name, heading, meaning in _ITEM_COUNTERS:
        block.counter(name, heading, list(numbers[name]), meaning)
    for name, heading, unit, source, by in _FETCHED:
        block.fetch(name, heading, unit, source, by, 0)
    for name, heading, unit, source, where, by in _SUMMED:
        block.total(name, heading, unit, source, where, by)
    _part_columns(block, components)
    _sum_columns(block, components)
    if then:
        block.fetch(
            "alloy_price_then",
            "Alloy price per g then",
            "money_per_g",
            "pools.alloy_price_then",
            "pool_no",
            0,
        )
        block.worked(
            alloy_cost,
            name="alloy_cost_then",
            heading="Alloy cost then",
            alloy_price_per_g="alloy_price_then",
        )
    return block


def _part_columns(block: Block, components: Sequence[Component]) -> None:
    """The parts of the cost, and what a remake costs of the variable ones."""
    block.worked(team_cost)
    block.worked(repeated_overhead)
    for component in components:
        if component.name == "remake_cost":
            block.worked(remake_variable)
        block.worked(component.work)
    block.worked(remake_variable_cost)


def _sum_columns(block: Block, components: Sequence[Component]) -> None:
    """The parts added up: by layer of the chart, the variable ones, and all of them."""
    for stack, heading in STACKS.items():
        named = [Name(component.name) for component in components if component.stack == stack]
        block.tree(
            f"stack_{stack}",
            f"Layer: {heading.lower()}",
            "money",
            added(named),
            "Shown in the summary's chart.",
        )
    parts = [Name(component.name) for component in components]
    variable = [Name(component.name) for component in components if component.variable]
    block.tree(
        "variable_cost",
        "Variable cost",
        "money",
        added([*variable, Name("remake_variable_cost")]),
        "What is only spent if the item is made. Unit: money a unit.",
    )
    block.tree(
        "unit_cost",
        "Unit cost",
        "money",
        added(parts),
        "What one unit costs: the parts added up. Unit: money a unit.",
    )


def item_numbers(
    who: Roster, lab_places: Sequence[tuple[str, str, str]], set_no: np.ndarray, set_site_no: np.ndarray
) -> dict[str, np.ndarray]:
    """The rows of other tables that each item is made of."""
    items = who.items
    pairs = list(zip(items["material"], items["region"], strict=True))
    return {
        "site_no": numbers_of(items["site"], who.sites),
        "fee_row_no": items["fee_row"].to_numpy(),
        "material_no": numbers_of(items["material"], who.materials),
        "pool_no": numbers_of(pairs, who.pools),
        "lab_no": numbers_of(
            [(*pair, site) for pair, site in zip(pairs, items["site"], strict=True)], lab_places
        ),
        "set_no": set_no,
        "set_site_no": set_site_no,
    }
