"""What an alloy line was billed above its metal value, and what it is held against, one small function each."""

from __future__ import annotations

from feesheet.formula.model import figure
from feesheet.formula.operations import all_of, known, larger, pick, ratio, round_to, same
from feesheet.formula.tree import Traced
from feesheet.reference import fixed

HELD_WORDS = (
    "agreed with the lab",
    "the lab's other lines of it, their middle",
    "all labs' other lines of it",
    "too few lines to tell",
)
"""What a premium can be held against, as `held_choice` numbers it."""


@figure("Grams", "grams")
def line_grams(weight: Traced, grams_in_unit: Traced) -> Traced:
    """Grams on the line. Unit: g."""
    return weight * grams_in_unit


@figure("Billed, a wrong sum left out", "money")
def own_sum(billed: Traced, wrong_sum: Traced) -> Traced:
    """What the line's own weight and price come to, where it has a price. Unit: money."""
    return billed - wrong_sum


@figure("Billed per g", "money_per_g")
def billed_per_g(own_sum: Traced, line_grams: Traced) -> Traced:
    """What the lab took for a gram of the alloy. Unit: money per g."""
    return ratio(own_sum, line_grams, 0)


@figure("Premium", "fraction")
def premium(billed_per_g: Traced, value_per_g: Traced) -> Traced:
    """What was billed above the metal's value on the day. Unit: fraction of that value; nought where it is not known.

    >>> round(premium(125, 100), 9), premium(125, 0)
    (0.25, 0.0)
    """
    return ratio(billed_per_g, value_per_g, 1) - 1


@figure("Metal value", "money")
def metal_worth(line_grams: Traced, value_per_g: Traced) -> Traced:
    """What the metal on the line was worth on the day. Unit: money."""
    return line_grams * value_per_g


@figure("Premium of the alloy's other lines", "fraction")
def others_premium(
    lines_in_window: Traced,
    paid_in_window: Traced,
    value_in_window: Traced,
    billed: Traced,
    metal_worth: Traced,
) -> Traced:
    """What all labs took for this alloy above its metal value in the period, this line left out; nought where it is alone.

    The count says whether it is alone: the two sums less its own are then only what rounding left of them.
    """
    others = ratio(paid_in_window - billed, value_in_window - metal_worth, 1) - 1
    return pick(1 + (lines_in_window > 1), 0, others)


@figure("Held against no.", "whole")
def held_choice(
    agreed: Traced,
    lower_no: Traced,
    lines_in_window: Traced,
    least_alloy_lines: Traced = fixed("least_alloy_lines"),
) -> Traced:
    """1 the agreed premium, 2 the lab's usual one, 3 that of the alloy's other lines, 4 none: too few lines.

    >>> held_choice(0.2, 0, 1), held_choice(float("nan"), 7, 9), held_choice(float("nan"), 0, 4)
    (1.0, 2.0, 3.0)
    >>> held_choice(float("nan"), 0, 3)
    4.0
    """
    open_terms = 1 - known(agreed)
    unusual = open_terms * (lower_no <= 0)
    return 1 + open_terms + unusual + unusual * (lines_in_window - 1 < least_alloy_lines)


@figure("Premium held against", "fraction")
def held_premium(
    held_choice: Traced, agreed: Traced, usual: Traced, others_premium: Traced, premium: Traced
) -> Traced:
    """The premium that the line is held against; its own where there are too few lines to tell."""
    return pick(held_choice, agreed, usual, others_premium, premium)


@figure("Which that is", "text")
def held_words(held_choice: Traced) -> Traced:
    """Whose premium it is held against."""
    return pick(held_choice, *HELD_WORDS)


@figure("Held against, at the month's highest value", "money")
def due_at_most(line_grams: Traced, high_value_per_g: Traced, held_premium: Traced) -> Traced:
    """What the line would be with that premium on the day of the month before on which the metal was worth most. Unit: money."""
    return line_grams * high_value_per_g * (1 + held_premium)


@figure("Let pass for its day", "money")
def day_slack(due: Traced, due_at_most: Traced, quote_slack: Traced = fixed("quote_slack")) -> Traced:
    """What another day of the month before, and another source of metal prices, may add. Unit: money.

    >>> round(day_slack(100.0, 104.0), 9)
    5.04
    """
    return larger(due_at_most - due, 0) + larger(due_at_most, due) * quote_slack


@figure("Let pass", "money")
def let_pass(
    exactly: Traced,
    held_premium: Traced,
    weight: Traced,
    line_grams: Traced,
    metal_worth: Traced,
    day_slack: Traced,
    money_tolerance: Traced,
    premium_tolerance: Traced = fixed("premium_tolerance"),
    premium_noise: Traced = fixed("premium_noise"),
) -> Traced:
    """What may be over without a question. Unit: money.

    Where a premium is agreed and the quotes are fresh: what the day may add, half a coin, and half a coin for each gram or
    other unit of weight, for its price was rounded. Else ten points of the metal's value, or five and what the day may
    add if that is more; a premium above the whole value counts them as shares of itself.
    """
    point = metal_worth * larger(1, held_premium)
    points = larger(point * premium_tolerance, point * premium_noise + day_slack)
    return pick(1 + exactly, points, day_slack + money_tolerance * (1 + larger(weight, line_grams)))


@figure("Held against", "money")
def due(metal_worth: Traced, held_premium: Traced) -> Traced:
    """What the line would be with the premium that it is held against. Unit: money."""
    return metal_worth * (1 + held_premium)


@figure("Held against per g", "money_per_g")
def held_per_g(value_per_g: Traced, held_premium: Traced) -> Traced:
    """What a gram would be with the premium that the line is held against. Unit: money per g.

    >>> held_per_g(100, 0.25)
    125.0
    """
    return value_per_g * (1 + held_premium)


@figure("Over", "money")
def over(tested: Traced, own_sum: Traced, due: Traced, back_left: Traced) -> Traced:
    """What was billed above that, less what came back; negative: below. Nought where the line was not tested. Unit: money."""
    return tested * (own_sum - due + back_left)


@figure("A finding", "whole")
def is_over(
    tested: Traced, money: Traced, let_pass: Traced, compare_digits: Traced = fixed("compare_digits")
) -> Traced:
    """1 if it was tested, and is over by more than is let pass."""
    return tested * (round_to(money - let_pass, compare_digits) > 0)


@figure("To the cent", "whole")
def exactly(held_choice: Traced, quote_days: Traced, weekend_days: Traced = fixed("weekend_days")) -> Traced:
    """1 if a premium is agreed and no metal was without a new quote for longer than a weekend in the month before."""
    return all_of(same(held_choice, 1), quote_days <= weekend_days)
