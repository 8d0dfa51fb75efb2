"""The totals of a paper: which of them is the whole, what they check, and tax that stands among them."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate

from feesheet.reading.gate import column_letters
from feesheet.reading.invoices.columns import CENT
from feesheet.reading.invoices.document import Document, Line
from feesheet.reading.invoices.told import Told
from feesheet.reading.invoices.total_rows import Check

ROUNDING = 0.0101
"""Largest gap between a total and its lines that a rounding explains."""
_OUTSIDE = frozenset({"balance", "note", "tax"})
"""Kinds of line that no total without tax holds."""


@dataclass
class Sums:
    """The lines of a paper as running sums: `upto[n]` adds up the first n rows with lines, tax apart."""

    amounts: list[float]
    taxes: list[float]

    def __post_init__(self) -> None:
        """Add up once, however many totals are held to the lines."""
        self._upto = list(accumulate(self.amounts, initial=0.0))
        self._tax_upto = list(accumulate(self.taxes, initial=0.0))

    def between(self, first: int, last: int) -> tuple[float, float]:
        """Sum of the lines of rows `first` to `last` (without it), without and with their tax."""
        net = self._upto[last] - self._upto[first]
        return net, net + self._tax_upto[last] - self._tax_upto[first]


def sums_of(lines_by_row: Sequence[Sequence[Line]]) -> Sums:
    """Amounts and taxes of each row's lines."""
    charges, taxes = [], []
    for some in lines_by_row:
        known = [line for line in some if not math.isnan(line.amount)]
        charges.append(math.fsum([line.amount for line in known if line.kind not in _OUTSIDE]))
        taxes.append(math.fsum([line.amount for line in known if line.kind == "tax"]))
    return Sums(charges, taxes)


def settle(
    document: Document, checks: Sequence[Check], sums: Sums, starts: Sequence[int], told: Told, with_tax: bool
) -> None:
    """Give the document its total and net, add the tax that its totals name, and hold the other totals to the lines."""
    whole = whole_of(checks, any(check.kind in ("balance", "payment") for check in checks))
    taxes = [check for check in checks if check.kind == "tax"]
    if whole is not None:
        document.total, document.total_cell = whole.amount, _cell(whole)
    net = next((check for check in reversed(checks) if check.kind == "net"), None)
    earlier = [check for check in checks if check.kind in ("total", "subtotal") and check is not whole]
    if net is None and taxes and earlier and whole is not None:
        near = [check for check in earlier if abs(check.amount + _sum(taxes) - whole.amount) < CENT]
        net = near[-1] if near else None
    if net is not None:
        document.net, document.net_cell = net.amount, _cell(net)
    _add_tax(document, taxes, sums, whole, with_tax)
    _hold([check for check in earlier if check is not net], sums, starts, told)


def whole_of(checks: Sequence[Check], carried: bool) -> Check | None:
    """The total of the whole paper: the last one; the amount due where there is none and nothing was carried over."""
    found = [check for check in checks if check.kind == "total"]
    due = [check for check in checks if check.kind == "due"]
    if found or not due or carried:
        return found[-1] if found else None
    return due[-1]


def _sum(checks: Sequence[Check]) -> float:
    return math.fsum(check.amount for check in checks)


def _cell(check: Check) -> str:
    return f"{column_letters(check.column + 1)}{check.row + 1}"


def _add_tax(
    document: Document, taxes: Sequence[Check], sums: Sums, whole: Check | None, with_tax: bool
) -> None:
    """A line for each tax among the totals, unless the rows bill tax themselves or their amounts hold it."""
    net, gross = sums.between(0, len(sums.amounts))
    if not taxes or with_tax or abs(gross - net) > CENT:
        return
    tax = _sum(taxes)
    if whole is not None and abs(net - whole.amount) < abs(net + tax - whole.amount):
        document.assumed.append(
            "The amounts of the lines are taken to hold tax: they add up to the total with it."
        )
        return
    document.lines += [Line(check.row + 1, "tax", "tax", check.amount) for check in taxes if check.amount]


def _hold(checks: Sequence[Check], sums: Sums, starts: Sequence[int], told: Told) -> None:
    """Hold each total of a case, a page or the lines so far to the lines above it."""
    begun, ordered = 0, sorted({0, *starts})
    for check in checks:
        case = ordered[max(bisect_left(ordered, check.before) - 1, 0)]
        fits = [sum_ for first in {begun, case, 0} for sum_ in sums.between(first, check.before)]
        gap = min((check.amount - sum_ for sum_ in fits), key=abs)
        if abs(gap) > CENT:
            own = sums.between(max(begun, case) if begun < check.before else 0, check.before)[0]
            differs(check, own, told)
        begun = check.before


def differs(check: Check, own: float, told: Told) -> None:
    """Tell that a total is not the sum of its lines; a gap of a rounding is accepted."""
    gap = round(check.amount - own, 2)
    if not gap:
        return
    what = (
        f"This total says {check.amount:,.2f}, its lines add up to {own:,.2f}: "
        f"{abs(gap):,.2f} {'more' if gap > 0 else 'less'}."
    )
    close = abs(gap) <= ROUNDING
    do = "Accepted as rounding: the lines count." if close else "Look for a line that is missing or mistyped."
    told.add("does not match its total", what, do, check.row, check.column)
