"""Cash beside accrual, one small function each: what was charged and paid, billed and received."""

from __future__ import annotations

from feesheet.formula.model import figure
from feesheet.formula.operations import as_text, joined, known, pick, ratio, same, size, smaller, when
from feesheet.formula.tree import Traced
from feesheet.reference import fixed

NO_STATEMENT = "no statement says what was paid"
LAB, OWN_MILL = "lab", "own mill"
"""Who charges: a mill of the practice sends no paper that could be held against anything."""

ALL_TOLD, UNTOLD, OLDER = "paid or owed", "no statement covers it", "older invoices"
"""What explains that a lab was not paid what it charged: the rest is owed; nothing tells; more was paid than charged."""


@figure("Paid on this line", "money")
def paid_amount(part_amount: Traced, payment: Traced) -> Traced:
    """What the line says was paid to the lab in the period, whichever sign it was written with. Unit: money.

    >>> paid_amount(-4210.35, 1), paid_amount(185.0, 0)
    (4210.35, 0.0)
    """
    return size(part_amount) * payment


@figure("Charged less paid", "money")
def not_paid(charged: Traced, paid: Traced) -> Traced:
    """Accrual less cash: what the lab charged in the period less what it was paid in it. Unit: money."""
    return charged - paid


@figure("Still owed", "money")
def still_owed(balance: Traced) -> Traced:
    """The latest balance on a statement; nought where none is known. Unit: money."""
    return when(known(balance), balance, 0)


@figure("On no statement", "money")
def not_told(not_paid: Traced, still_owed: Traced) -> Traced:
    """Charged in the period, and by no statement paid or still owed. Unit: money."""
    return not_paid - still_owed


@figure("Off", "whole")
def is_off(not_told: Traced, money_tolerance: Traced) -> Traced:
    """1 if that is half of the smallest coin or more."""
    return size(not_told) > money_tolerance


@figure("The difference", "text")
def difference_told(payments: Traced, is_off: Traced, not_told: Traced) -> Traced:
    """Whether statements tell what became of all that was charged."""
    case = 1 + (payments > 0) * (1 + is_off + is_off * (not_told < 0))
    return pick(case, NO_STATEMENT, ALL_TOLD, UNTOLD, OLDER)


@figure("Charged by a lab", "money")
def by_lab(lab_is: Traced, charged: Traced) -> Traced:
    """What was charged, but by the practice's own mill. Unit: money."""
    return when(same(lab_is, LAB), charged, 0)


@figure("Share held", "fraction")
def held_share(held: Traced, charged_by_labs: Traced) -> Traced:
    """How much of the labs' charges has a total to be held against, at most all. Unit: fraction."""
    return smaller(ratio(held, charged_by_labs, 0), 1)


@figure("In words", "text")
def held_words(held_share: Traced, hundred: Traced = fixed("hundred")) -> Traced:
    """The same in percent."""
    return joined(as_text(held_share * hundred, 0), "% of charges held")


@figure("Billed, else 0", "money")
def billed_known(billed: Traced) -> Traced:
    """What was billed; nought where it is not typed. Unit: money."""
    return when(known(billed), billed, 0)


@figure("Received, else 0", "money")
def received_known(received: Traced) -> Traced:
    """What came in; nought where it is not known yet. Unit: money."""
    return when(known(received), received, 0)


@figure("Not known yet", "whole")
def receipt_missing(received: Traced) -> Traced:
    """1 if nothing is typed as received."""
    return 1 - known(received)


@figure("Adds", "money")
def moved(sign: Traced, kind_money: Traced) -> Traced:
    """What the step adds to those above it, or takes off. Unit: money."""
    return sign * kind_money
