"""What alloy costs: metal prices, compositions, classes, premiums and grams, one small function each."""

from __future__ import annotations

from feesheet.formula.model import figure
from feesheet.formula.operations import all_of, any_of, larger, pick, ratio, round_to, size
from feesheet.formula.tree import Traced
from feesheet.reference import fixed

ALLOY_CLASSES = ("predominantly base", "noble", "titanium", "high noble")
"""Classes of the ADA Council on Scientific Affairs (2003), lowest rank first."""


@figure("Price per g", "money_per_g")
def metal_price_per_g(price: Traced, grams_in_unit: Traced) -> Traced:
    """What one gram of the metal costs.

    Unit: money per g. Source: the quote; grams in a unit from NIST Handbook 44, Appendix C.
    >>> round(metal_price_per_g(1000, 31.1034768), 9)
    32.150746569
    """
    return price / grams_in_unit


@figure("Metal value", "money_per_g")
def metal_value(fraction: Traced, metal_price_per_g: Traced) -> Traced:
    """What the metal in one gram of the alloy is worth. Unit: money per g of alloy."""
    return fraction * metal_price_per_g


@figure("Of it noble", "fraction")
def noble_part(fraction: Traced, noble: Traced) -> Traced:
    """The fraction, if the metal is noble: gold and the platinum group; silver is not. Unit: mass fraction."""
    return fraction * noble


@figure("High noble", "whole")
def is_high_noble(
    noble_share: Traced,
    gold_share: Traced,
    high_noble_least: Traced = fixed("high_noble_least"),
    gold_least: Traced = fixed("gold_least"),
    compare_digits: Traced = fixed("compare_digits"),
) -> Traced:
    """1 if noble metals and gold both reach their limits; the limits themselves qualify (ADA 2003).

    >>> is_high_noble(0.6, 0.4), is_high_noble(0.6, 0.399)
    (1.0, 0.0)
    """
    return all_of(
        round_to(noble_share, compare_digits) >= high_noble_least,
        round_to(gold_share, compare_digits) >= gold_least,
    )


@figure("Titanium class", "whole")
def is_titanium(
    titanium_share: Traced,
    titanium_least: Traced = fixed("titanium_least"),
    compare_digits: Traced = fixed("compare_digits"),
) -> Traced:
    """1 if titanium reaches its limit, the limit included (ADA 2003)."""
    return round_to(titanium_share, compare_digits) >= titanium_least


@figure("Noble class", "whole")
def is_noble(
    noble_share: Traced,
    noble_least: Traced = fixed("noble_least"),
    compare_digits: Traced = fixed("compare_digits"),
) -> Traced:
    """1 if noble metals reach a quarter, the limit included (ADA 2003)."""
    return round_to(noble_share, compare_digits) >= noble_least


@figure("Class rank", "whole")
def class_rank(is_noble: Traced, is_titanium: Traced, is_high_noble: Traced) -> Traced:
    """1 predominantly base, 2 noble, 3 titanium, 4 high noble: a high noble alloy is noble too, titanium is not.

    >>> class_rank(0, 0, 0), class_rank(1, 0, 0), class_rank(0, 1, 0), class_rank(1, 0, 1)
    (1, 2, 3, 4)
    """
    return 1 + is_noble + is_titanium + is_titanium + is_high_noble + is_high_noble


@figure("Class", "text")
def alloy_class(class_rank: Traced) -> Traced:
    """The alloy's class by its composition, whatever it is called."""
    return pick(class_rank, *ALLOY_CLASSES)


@figure("Premium in the window", "fraction")
def premium_in_window(paid_in_window: Traced, value_in_window: Traced) -> Traced:
    """What the labs took above the metal's value on the invoice dates, in the window. Unit: fraction of that value."""
    return ratio(paid_in_window, value_in_window, 1) - 1


@figure("Premium of all lines", "fraction")
def premium_ever(paid_ever: Traced, value_ever: Traced) -> Traced:
    """The same over all alloy lines there are."""
    return ratio(paid_ever, value_ever, 1) - 1


@figure("Premium choice", "whole")
def premium_choice(
    lines_in_window: Traced,
    value_in_window: Traced,
    lines_ever: Traced,
    value_ever: Traced,
    least_alloy_lines: Traced = fixed("least_alloy_lines"),
) -> Traced:
    """1 if the window has lines enough, 2 if only all lines together have, 3 if the practice's default must serve.

    Lines whose metal is worth nothing, for want of any quote, tell nothing.
    """
    few = any_of(lines_in_window < least_alloy_lines, value_in_window <= 0)
    few_ever = any_of(lines_ever < least_alloy_lines, value_ever <= 0)
    return 1 + few + few * few_ever


@figure("Alloy premium", "fraction")
def alloy_premium(
    premium_choice: Traced, premium_in_window: Traced, premium_ever: Traced, default_alloy_premium: Traced
) -> Traced:
    """What the labs add to the metal's value, from the practice's own alloy lines. Unit: fraction of the metal value."""
    return pick(premium_choice, premium_in_window, premium_ever, default_alloy_premium)


@figure("Premium taken from", "text")
def premium_basis(premium_choice: Traced) -> Traced:
    """Where the premium comes from."""
    return pick(premium_choice, "lines in the window", "all alloy lines", "the practice's default")


@figure("Adds up", "whole")
def adds_up(fraction_share: Traced, fraction_slack: Traced = fixed("fraction_slack")) -> Traced:
    """1 if the fractions add up to 1 within the slack. Unit: 0 or 1."""
    return size(fraction_share - 1) <= fraction_slack


@figure("Alloy price per g", "money_per_g")
def alloy_price_per_g(metal_value_per_g: Traced, alloy_premium: Traced) -> Traced:
    """What one gram of the alloy costs at today's metal prices. Unit: money per g.

    >>> round(alloy_price_per_g(97.70, 0.25), 3)
    122.125
    """
    return metal_value_per_g * (1 + alloy_premium)


@figure("Weight in g", "grams")
def weight_g(weight: Traced, grams_in_unit: Traced, share: Traced) -> Traced:
    """Grams billed on this part of the line.

    >>> round(weight_g(2.1, 1.55517384, 1), 3)
    3.266
    """
    return weight * grams_in_unit * share


@figure("Billed", "money")
def alloy_billed(line_amount: Traced, share: Traced) -> Traced:
    """What the lab billed for this part's alloy. Unit: money."""
    return line_amount * share


@figure("Estimated grams", "grams")
def estimated_g(part_amount: Traced, day_value_per_g: Traced, alloy_premium: Traced) -> Traced:
    """The grams that an amount buys at the metal's value on the day and the alloy's premium. Unit: g.

    >>> round(estimated_g(138.6, 97.7, 0.25), 3)
    1.135
    """
    return ratio(part_amount, day_value_per_g * (1 + alloy_premium), 0)


@figure("Units", "units")
def alloy_units(line_units: Traced, share: Traced) -> Traced:
    """Units this alloy was for: a bridge's alloy is spread evenly over its units."""
    return line_units * share


@figure("Metal value on the day", "money")
def value_on_day(weight_g: Traced, day_value_per_g: Traced) -> Traced:
    """What the metal in the billed grams was worth on the invoice date. Unit: money."""
    return weight_g * day_value_per_g


@figure("Own mean", "grams")
def own_mean_g(billed_g: Traced, n: Traced) -> Traced:
    """Grams a unit on the practice's own invoices. Unit: g."""
    return ratio(billed_g, n, 0)


@figure("Z", "weight")
def credibility(n: Traced, credibility_units: Traced) -> Traced:
    """How much the own mean weighs against the starting value: n / (n + k), nought where there is nothing.

    >>> credibility(15, 5)
    0.75
    """
    return ratio(larger(n, 0), larger(n, 0) + credibility_units, 0)


@figure("Blend", "number")
def blend(credibility: Traced, own_mean: Traced, starting: Traced) -> Traced:
    """The own mean and the starting value, weighted by Z and 1 - Z.

    >>> blend(0.75, 2.0, 4.0)
    2.5
    """
    return credibility * own_mean + (1 - credibility) * starting


@figure("Alloy grams", "grams")
def alloy_g(credibility: Traced, own_mean_g: Traced, starting_g: Traced) -> Traced:
    """Grams of alloy in one unit: the own mean and the starting value, weighted by Z and 1 - Z. Unit: g."""
    return blend(credibility, own_mean_g, starting_g)
