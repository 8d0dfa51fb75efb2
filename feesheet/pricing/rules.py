"""The rules that turn a needed fee into a fee, each a bound stated as one small function.

Built-in rules come through the entry point `feesheet.pricing_rules`, as a stranger's do. They act in the order
of the Rules sheet; rules that contradict each other leave the item on hold with both outcomes in its reason.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, get_args

from feesheet.formula.model import figure
from feesheet.formula.operations import larger, smaller, step_down, step_nearest, step_up, when
from feesheet.formula.tree import Traced, names_in
from feesheet.problems import Problem
from feesheet.reference import fixed

Acts = Literal["hold", "at_least", "at_most", "ladder", "round"]


@dataclass(frozen=True)
class Rule:
    """One kind of rule.

    `bound` is a plain function marked with `figure`. Its arguments are columns of the cost build-up, the plans or
    the fee rules (`fee` is the fee so far), settings, or `rule_value`, the Value of its row in the Rules sheet.
    `acts` says what the bound does: the fee is at least or at most that. `reason` stands in the schedule where the
    rule moved the fee. `default` is the Value of a row that gives none; None means that it must.
    `value_unit` says whether the Value is a fraction, at most 1, or money.
    """

    name: str
    bound: Callable[..., Traced]
    acts: Acts
    reason: str
    default: float | None = None
    value_unit: Literal["fraction", "money"] = "fraction"

    def __post_init__(self) -> None:
        """ValueError for a way of acting that there isn't."""
        if self.acts not in get_args(Acts):
            raise ValueError(f"its acts must be one of {', '.join(get_args(Acts))}")


@figure("Held fee", "money")
def held_fee(current_fee: Traced) -> Traced:
    """A held item keeps its current fee. Unit: money."""
    return current_fee


@figure("Floor", "money")
def floor(unit_cost: Traced) -> Traced:
    """The full fee is never under the unit cost. Unit: money."""
    return unit_cost


@figure("Largest fee", "limited")
def largest_rise(current_fee: Traced, rule_value: Traced, no_limit: Traced = fixed("no_limit")) -> Traced:
    """The current fee raised by the largest rise; no limit where there is no current fee. Unit: money.

    >>> round(largest_rise(1400, 0.08), 2)
    1512.0
    """
    return when(current_fee > 0, current_fee * (1 + rule_value), no_limit)


@figure("Smallest fee", "money")
def largest_fall(current_fee: Traced, rule_value: Traced) -> Traced:
    """The current fee lowered by the largest fall. Unit: money.

    >>> largest_fall(1400, 0)
    1400
    """
    return current_fee * (1 - rule_value)


@figure("Lower rung", "money")
def ladder(rung_fee: Traced) -> Traced:
    """The fee so far of the item that this one may not be under. Unit: money."""
    return rung_fee


@figure("To the nearest step", "money")
def nearest(
    fee: Traced, rule_value: Traced, step_digits: Traced = fixed("step_digits"), money_digits: Traced = 2
) -> Traced:
    """The fee at the nearest step, halves up. Unit: money.

    >>> nearest(1466.5, 5)
    1465.0
    """
    return step_nearest(fee, rule_value, step_digits, money_digits)


@figure("Up to the step", "money")
def upward(
    fee: Traced, rule_value: Traced, step_digits: Traced = fixed("step_digits"), money_digits: Traced = 2
) -> Traced:
    """The fee at the next step up. Unit: money.

    >>> upward(1466.5, 5)
    1470.0
    """
    return step_up(fee, rule_value, step_digits, money_digits)


@figure("Lowest step inside", "money")
def lowest_step(
    lowest: Traced, rule_value: Traced, step_digits: Traced = fixed("step_digits"), money_digits: Traced = 2
) -> Traced:
    """The first step that is not under the floors so far. Unit: money."""
    return step_up(lowest, rule_value, step_digits, money_digits)


@figure("Highest step inside", "limited")
def highest_step(
    highest: Traced, rule_value: Traced, step_digits: Traced = fixed("step_digits"), money_digits: Traced = 2
) -> Traced:
    """The last step that is not over the caps so far. Unit: money."""
    return step_down(highest, rule_value, step_digits, money_digits)


@figure("Fee", "money")
def not_under(fee: Traced, bound: Traced, held: Traced) -> Traced:
    """The fee so far, raised to the bound; a held item keeps its fee. Unit: money."""
    return when(held >= 1, fee, larger(fee, bound))


@figure("Fee", "money")
def not_over(fee: Traced, bound: Traced, held: Traced) -> Traced:
    """The fee so far, lowered to the bound; a held item keeps its fee. Unit: money."""
    return when(held >= 1, fee, smaller(fee, bound))


@figure("Fee", "money")
def on_a_step(
    fee: Traced, stepped: Traced, lowest_step: Traced, highest_step: Traced, held: Traced
) -> Traced:
    """The rounded fee; the nearest step inside where rounding would break a floor or a cap. Unit: money."""
    return when(held >= 1, fee, smaller(larger(stepped, lowest_step), highest_step))


HOLD = Rule("hold", held_fee, "hold", "Held: the fee stays. ")
FLOOR = Rule("floor", floor, "at_least", "Raised to the floor, the unit cost. ")
LARGEST_RISE = Rule("largest rise", largest_rise, "at_most", "Held back by the largest rise. ")
LARGEST_FALL = Rule("largest fall", largest_fall, "at_least", "Kept from falling. ", default=0.0)
LADDER = Rule("ladder", ladder, "ladder", "Raised by the ladder. ")
ROUNDING = Rule("rounding", nearest, "round", "Rounded. ", value_unit="money")


def step_function(way: str) -> Callable[..., Traced]:
    """Rounding to the nearest step, or up."""
    return upward if way == "up" else nearest


_FEE_RULES = ("current_fee", "hold", "fee_before_rules", "fee", "rule_value", "rung_fee")
"""What a bound may read of the fee rules: facts, the fee so far, the Value of its row, the lower rung's fee."""


def that_fit(rules: Mapping[str, Rule], known: Iterable[str]) -> tuple[dict[str, Rule], list[Problem]]:
    """The rules whose arguments are columns or settings, and what is wrong with the others."""
    names = {*known, *_FEE_RULES}
    unknown = {key: sorted(names_in(rule.bound) - names) for key, rule in rules.items()}
    problems = [
        Problem(
            "plug-in failed",
            f"The pricing rule {rules[key].name} needs {' and '.join(missing)}, which is no column and no setting.",
            "Remove it, or ask whoever wrote it.",
        )
        for key, missing in unknown.items()
        if missing
    ]
    return {key: rule for key, rule in rules.items() if not unknown[key]}, problems


def names(rules: Sequence[Rule]) -> str:
    """The rules' names, for a message."""
    return ", ".join(sorted(rule.name for rule in rules))
