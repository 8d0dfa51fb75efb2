"""Many alloy lines of a lab together, against what was agreed or what they were before, one small function each."""

from __future__ import annotations

from feesheet.formula.model import figure
from feesheet.formula.operations import all_of, known, larger, pick, ratio, round_to, square_root, when
from feesheet.formula.tree import Traced
from feesheet.reference import fixed


@figure("Premium at the month's highest value", "fraction")
def premium_at_most(billed_per_g: Traced, value_per_g: Traced, high_value_per_g: Traced) -> Traced:
    """What was billed above the metal's value on the dearest day of the month before. Unit: fraction of that value.

    >>> premium_at_most(150, 100, 120), premium_at_most(150, 100, 0)
    (0.25, 0.5)
    """
    return ratio(billed_per_g, larger(value_per_g, high_value_per_g), 1) - 1


@figure("Held against", "fraction")
def level(agreed: Traced, before: Traced) -> Traced:
    """The agreed premium, else the middle one of the year before those lines."""
    return when(known(agreed), agreed, before)


@figure("Points let pass", "fraction")
def points_let_pass(
    agreed: Traced,
    level: Traced,
    exact_lines: Traced,
    run_lines: Traced,
    premium_tolerance: Traced = fixed("premium_tolerance"),
    premium_noise: Traced = fixed("premium_noise"),
) -> Traced:
    """How far the middle premium may be over: ten points; five where it is agreed and most lines have fresh quotes.

    A lab that keeps the price of the first of a month, while metal falls by 3 % a month, has a middle that is 1.25 × 3 =
    4 points over where all its papers are of the month's end; held against months in which metal rose so, twice that.
    A premium above the whole value counts the points as shares of itself.

    >>> points_let_pass(0.25, 0.25, 5, 9), points_let_pass(0.25, 0.25, 4, 9)
    (0.05, 0.1)
    """
    sure = all_of(known(agreed), exact_lines + exact_lines > run_lines)
    return larger(1, level) * pick(1 + sure, premium_tolerance, premium_noise)


@figure("A finding", "whole")
def is_risen(
    middle_now: Traced,
    middle_at_most: Traced,
    level: Traced,
    points_let_pass: Traced,
    quote_slack: Traced = fixed("quote_slack"),
    compare_digits: Traced = fixed("compare_digits"),
) -> Traced:
    """1 if the middle premium is over by more than is let pass, and no day of the month before explains that."""
    return all_of(
        round_to(middle_now - level - points_let_pass, compare_digits) > 0,
        round_to(middle_at_most - level - quote_slack * (1 + level), compare_digits) > 0,
    )


@figure("Counts", "whole")
def counts(run_found: Traced, is_heavy: Traced) -> Traced:
    """1 if the line is one of a finding about many; one whose grams are asked about alone is left out."""
    return run_found * (1 - is_heavy)


@figure("Asked about it alone", "money")
def asked_alone(is_over: Traced, line_over: Traced) -> Traced:
    """What the test of single lines asks for. Unit: money."""
    return is_over * line_over


@figure("Over beyond that", "money")
def over_level(
    counts: Traced,
    own_sum: Traced,
    line_grams: Traced,
    line_per_g: Traced,
    back_left: Traced,
    asked_alone: Traced,
) -> Traced:
    """What the line is over, less what came back and what is asked about it alone; negative: under. Unit: money.

    What is under is taken off in the sum: lines of one and the same premium lie on both sides of their middle.

    >>> over_level(1, 450, 3, 120, -10, 30), over_level(1, 350, 3, 120, 0, 0), over_level(0, 450, 3, 120, 0, 0)
    (50, -10, 0)
    """
    return counts * (own_sum - line_grams * line_per_g + back_left - asked_alone)


@figure("Casting", "number")
def casting(unit_grams: Traced, density: Traced) -> Traced:
    """How large the casting of one unit is: its volume, or its grams where no density is known. Unit: cm³, or g.

    >>> round(casting(3.1, 15.5), 9), casting(3.1, 0)
    (0.2, 3.1)
    """
    return ratio(unit_grams, density, unit_grams)


@figure("Of the usual", "fraction")
def of_usual(casting: Traced, usual_casting: Traced) -> Traced:
    """How large it is beside the middle of its material and size of tooth. Unit: fraction."""
    return ratio(casting, usual_casting, 1)


@figure("Times as heavy", "number")
def times_as_heavy(middle_now: Traced, middle_before: Traced) -> Traced:
    """How much heavier the lab's castings are than they were. Unit: times.

    >>> times_as_heavy(1.4, 1.0)
    1.4
    """
    return ratio(middle_now, middle_before, 1)


@figure("Rise let pass", "fraction")
def rise_let_pass(
    run_lines: Traced,
    lines_before: Traced,
    run_grams_tolerance: Traced = fixed("run_grams_tolerance"),
    run_grams_noise: Traced = fixed("run_grams_noise"),
) -> Traced:
    """A quarter, or what the middles of so few lines may be apart by chance.

    Honest castings of one size spread by 20 %, the middle of n of them by 1.25 × 20 % / √n; three times the spread of
    two middles' difference is 0.75 × √(1 / n + 1 / m), the root of their sum over their product.

    >>> rise_let_pass(9, 16), rise_let_pass(100, 100)
    (0.3125, 0.25)
    """
    few = square_root(ratio(run_lines + lines_before, run_lines * lines_before, 1))
    return larger(run_grams_tolerance, run_grams_noise * few)


@figure("A finding", "whole")
def is_heavier(
    times_as_heavy: Traced, rise_let_pass: Traced, compare_digits: Traced = fixed("compare_digits")
) -> Traced:
    """1 if the middle casting is heavier than before by more than is let pass."""
    return round_to(times_as_heavy - 1 - rise_let_pass, compare_digits) > 0


@figure("Price left", "money_per_g")
def price_left(billed_per_g: Traced, asked_alone: Traced, over_level: Traced, line_grams: Traced) -> Traced:
    """What a gram was billed at, without what is asked about its price. Unit: money per g.

    >>> price_left(150, 30, 60, 3)
    120.0
    """
    return billed_per_g - ratio(asked_alone + over_level, line_grams, 0)


@figure("Grams over", "grams")
def grams_over(counts: Traced, line_grams: Traced, of_usual: Traced, middle_before: Traced) -> Traced:
    """The line's grams above what they would be if its castings were as they were; negative: under. Unit: g.

    >>> round(grams_over(1, 4.2, 1.4, 1.0), 9), round(grams_over(1, 2.7, 0.9, 1.0), 9)
    (1.2, -0.3)
    """
    return counts * (line_grams - line_grams * ratio(middle_before, of_usual, 1))


@figure("Money of the grams over", "money")
def grams_money(grams_over: Traced, price_left: Traced) -> Traced:
    """What those grams come to. Unit: money."""
    return grams_over * price_left
