"""The year-by-year path to a needed fee that the largest rise holds back."""

from __future__ import annotations

from collections.abc import Sequence

from feesheet.costing.components import item_facts
from feesheet.costing.roster import Roster
from feesheet.formula.model import Block, figure
from feesheet.formula.operations import (
    larger,
    ratio,
    smaller,
    step_down,
    when,
)
from feesheet.formula.tree import Name, Traced, added
from feesheet.pricing.rule_rows import RuleRow
from feesheet.pricing.rules import (
    step_function,
)
from feesheet.reference import fixed

PATH_YEARS = 5
"""Years that the path to a needed fee is shown for."""


@figure("Growth a year", "number")
def growth(highest_cap: Traced, current_fee: Traced) -> Traced:
    """How much a fee may grow in a year, as a factor: the cap over the current fee."""
    return ratio(highest_cap, current_fee, 1)


@figure("Aim", "money")
def path_aim(needed_fee: Traced, new_fee: Traced, kept: Traced) -> Traced:
    """What the path leads to: the needed fee, or the new fee where the item is kept or already there. Unit: money."""
    return when(kept >= 1, new_fee, larger(needed_fee, new_fee))


@figure("Next year", "money")
def next_year(
    previous: Traced,
    aim_step: Traced,
    growth: Traced,
    step: Traced,
    step_digits: Traced = fixed("step_digits"),
    money_digits: Traced = 2,
) -> Traced:
    """Next year's fee on the path: as far as the cap lets it, on a step, until the needed fee is reached. Unit: money."""
    return larger(previous, smaller(aim_step, step_down(previous * growth, step, step_digits, money_digits)))


def path_block(who: Roster, rows: Sequence[RuleRow]) -> Block | None:
    """The year-by-year path to the needed fee of items that the largest rise holds back; None without caps."""
    caps = [row for row in rows if row.rule.acts == "at_most"]
    rounding = [row for row in rows if row.rule.acts == "round"]
    if not caps:
        return None
    block = Block(
        "path",
        "Path",
        "Year by year to the needed fee",
        len(who.items),
        aligned="items",
        label=("code", "site"),
        note="If costs stood still: the fees that the largest rise allows each year until the needed fee is reached.",
    )
    item_facts(block, who)
    step = f"rule_value_{rounding[-1].number}" if rounding else "smallest_coin"
    bounds = [
        Name(f"bound_{row.number}" if row.acts_on.all() else f"kept_bound_{row.number}") for row in caps
    ]
    block.tree("highest_cap", "Cap", "limited", smaller(*bounds, Name("no_limit")), "The lowest of the caps.")
    block.worked(growth)
    block.worked(path_aim)
    way = step_function(rounding[-1].way if rounding else "nearest")
    block.worked(way, name="aim_rounded", heading="Aim, rounded", fee="path_aim", rule_value=step)
    block.tree(
        "aim_step",
        "Aim on a step",
        "money",
        when(Name("kept") >= 1, Name("new_fee"), larger(Name("aim_rounded"), Name("new_fee"))),
        "The rounded aim; a kept fee stays.",
    )
    _year_columns(block, step)
    return block


def _year_columns(block: Block, step: str) -> None:
    """The fee of each year on the path, and the years until the needed fee is reached."""
    block.tree("year_1", "Year 1", "money", Name("new_fee"), "The new fee.")
    for year in range(2, PATH_YEARS + 1):
        block.worked(
            next_year,
            name=f"year_{year}",
            heading=f"Year {year}",
            previous=f"year_{year - 1}",
            step=step,
        )
    late = [Name(f"year_{year}") < Name("aim_step") for year in range(1, PATH_YEARS)]
    block.tree(
        "years",
        "Years to the needed fee",
        "mixed",
        when(Name(f"year_{PATH_YEARS}") < Name("aim_step"), f"more than {PATH_YEARS}", added([1, *late])),
        "Years until the needed fee is reached at the largest rise; 1 means with this schedule.",
    )
