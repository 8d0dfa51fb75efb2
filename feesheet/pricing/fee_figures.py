"""What happens to a fee on its way through the rules, one small function each."""

from __future__ import annotations

from feesheet.formula.model import figure
from feesheet.formula.operations import (
    any_of,
    known,
    larger,
    round_to,
    when,
)
from feesheet.formula.tree import Traced
from feesheet.reference import fixed


@figure("Fee before rules", "money")
def fee_before_rules(out_of_reach: Traced, needed_fee: Traced, current_fee: Traced) -> Traced:
    """The needed fee; the current fee where none reaches the margin. Unit: money."""
    return when(out_of_reach >= 1, current_fee, needed_fee)


@figure("Held", "whole")
def held_at_first(hold: Traced, out_of_reach: Traced) -> Traced:
    """1 if the item keeps its current fee: typed so, or no fee reaches the margin."""
    return any_of(hold >= 1, out_of_reach >= 1)


@figure("Held from here", "whole")
def held_from_here(held: Traced, acts: Traced) -> Traced:
    """1 if the item keeps its current fee from this rule on: held before, or named by the rule."""
    return any_of(held >= 1, acts >= 1)


@figure("Fee", "money")
def fee_held(held: Traced, current_fee: Traced, fee: Traced) -> Traced:
    """The current fee of a held item, else the fee so far. Unit: money."""
    return when(held >= 1, current_fee, fee)


@figure("No step inside", "whole")
def no_step(lowest_step: Traced, highest_step: Traced, step_digits: Traced = fixed("step_digits")) -> Traced:
    """1 if no step of the rounding lies between the floors and the caps so far. Unit: 0 or 1."""
    return round_to(lowest_step - highest_step, step_digits) > 0


@figure("Crossed", "whole")
def crossed(lowest: Traced, highest: Traced, step_digits: Traced = fixed("step_digits")) -> Traced:
    """1 if the fee would have to be over its floors and under its caps at once. Unit: 0 or 1."""
    return round_to(lowest - highest, step_digits) > 0


@figure("Rules contradict", "whole")
def contradiction(held: Traced, crossed: Traced, between_steps: Traced) -> Traced:
    """1 if no fee, or no step, is over the floors and under the caps; a held item is spared. Unit: 0 or 1."""
    return (1 - held) * larger(crossed, between_steps)


@figure("New fee", "money")
def new_fee(kept: Traced, current_fee: Traced, fee: Traced) -> Traced:
    """The fee after all rules; the current one where the item is held or its rules contradict each other. Unit: money."""
    return when(kept >= 1, current_fee, fee)


@figure("Is a number", "whole")
def is_number(new_fee: Traced) -> Traced:
    """1 if the new fee is a number."""
    return known(new_fee)


@figure("Outside", "whole")
def outside(
    kept: Traced, new_fee: Traced, lowest: Traced, highest: Traced, step_digits: Traced = fixed("step_digits")
) -> Traced:
    """1 if the new fee breaks a floor or a cap though it is not kept."""
    return (1 - kept) * any_of(
        round_to(lowest - new_fee, step_digits) > 0, round_to(new_fee - highest, step_digits) > 0
    )


@figure("Kept", "whole")
def kept(held: Traced, contradiction: Traced) -> Traced:
    """1 if the current fee stays: the item is held, or its rules contradict each other."""
    return any_of(held >= 1, contradiction >= 1)


@figure("Bound here", "money")
def only_if(bound: Traced, acts: Traced) -> Traced:
    """The bound, where the rule is for the item. Unit: money."""
    return bound * acts


@figure("Bound here", "limited")
def only_if_capped(bound: Traced, acts: Traced, no_limit: Traced = fixed("no_limit")) -> Traced:
    """The bound, where the rule is for the item; else no limit. Unit: money."""
    return when(acts >= 1, bound, no_limit)
