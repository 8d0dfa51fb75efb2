"""The sums that an electronic invoice promises: rules BR-CO-10 to BR-CO-17 of EN 16931-1, and quantity × price."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from decimal import Decimal

from feesheet.problems import Problem
from feesheet.reading.invoices.e_invoice import Adjustment, EInvoice, Position, TotalName, summed

HALF_CENT = Decimal("0.005")
SLACK = Decimal("0.02")
"""How far quantity × price may be from the amount of a line, for prices are rounded (rule R120 of Peppol BIS Billing 3)."""

_DO = "Ask the lab which is right. The lines are counted as they stand."


def broken_rules(invoice: EInvoice) -> list[Problem]:
    """A notice for each sum that is not what the file says, with both figures. Unread figures are not judged."""
    found = [*_products(invoice.positions), *_parts(invoice), *_wholes(invoice), *_taxes(invoice)]
    return [_differs(rule, said, worked, row) for rule, said, worked, row in found if said != worked]


_Check = tuple[str, Decimal, Decimal, int]


def _products(positions: Iterable[Position]) -> Iterator[_Check]:
    """Quantity × price, with the line's own allowances and charges, against its amount."""
    for position in positions:
        figures = (position.quantity, position.price, position.amount)
        quantity, price, amount = (figure.value if figure else None for figure in figures)
        per = position.per.value if position.per else Decimal(1)
        extras = [one.signed for one in position.adjustments]
        known = [extra for extra in extras if extra is not None]
        if quantity is None or price is None or amount is None or not per or len(known) < len(extras):
            continue
        worked = quantity * price / per + sum(known, Decimal(0))
        if abs(worked - amount) > SLACK:
            yield (
                f"The amount of the line of {quantity.normalize():f} × {price:,.2f}",
                amount,
                worked,
                position.row,
            )
        yield from _products(position.parts)


def _parts(invoice: EInvoice) -> Iterator[_Check]:
    """Lines, allowances, charges and tax amounts against the sums that the file gives of them."""
    details = [position.amount for position in invoice.positions if position.sort == "detail"]
    yield from _check(invoice, "lines", "The lines' sum (BR-CO-10)", summed(details))
    off, on = _sum_of(invoice.adjustments, False), _sum_of(invoice.adjustments, True)
    yield from _check(invoice, "allowances", "The allowances' sum (BR-CO-11)", off, needed=True)
    yield from _check(invoice, "charges", "The charges' sum (BR-CO-12)", on, needed=True)
    if invoice.tax_parts:
        taxes = summed(part.tax for part in invoice.tax_parts)
        yield from _check(invoice, "tax", "The tax of all rates (BR-CO-14)", taxes)


def _wholes(invoice: EInvoice) -> Iterator[_Check]:
    """The totals of the file against each other."""
    worked = _combined(invoice, ("lines", 1), ("allowances", -1), ("charges", 1))
    yield from _check(invoice, "net", "The total without tax (BR-CO-13)", worked)
    worked = _combined(invoice, ("net", 1), ("tax", 1))
    yield from _check(invoice, "total", "The total with tax (BR-CO-15)", worked)
    worked = _combined(invoice, ("total", 1), ("prepaid", -1), ("rounding", 1))
    yield from _check(invoice, "due", "The amount due (BR-CO-16)", worked)


def _taxes(invoice: EInvoice) -> Iterator[_Check]:
    """The tax of each rate against what is taxed, to half a cent."""
    for part in invoice.tax_parts:
        base, percent, tax = (one.value if one else None for one in (part.base, part.percent, part.tax))
        if base is None or percent is None or tax is None or part.tax is None:
            continue
        worked = base * percent / 100
        if abs(worked - tax) > HALF_CENT:
            yield f"The tax at {percent.normalize():f} % (BR-CO-17)", tax, worked, part.tax.row


def _check(
    invoice: EInvoice, name: TotalName, title: str, worked: Decimal | None, needed: bool = False
) -> Iterator[_Check]:
    """What the file says beside what it comes to; nothing where either is missing, unless a missing one is nought."""
    figure = invoice.totals.get(name)
    if figure is None and needed and worked:
        yield title, Decimal(0), worked, _last_row(invoice)
    if figure is not None and figure.value is not None and worked is not None:
        yield title, figure.value, worked, figure.row


def _last_row(invoice: EInvoice) -> int:
    return max((figure.row for figure in invoice.totals.values()), default=1)


def _sum_of(adjustments: list[Adjustment], adds: bool) -> Decimal | None:
    """The sum of the allowances, or of the charges; None where one can't be told or read."""
    signed = [one.signed for one in adjustments]
    known = [one for one in signed if one is not None]
    if len(known) < len(signed):
        return None
    return summed(one.amount for one in adjustments if one.adds is adds)


def _combined(invoice: EInvoice, *terms: tuple[TotalName, int]) -> Decimal | None:
    """The sum of those totals, each with its sign; an absent one is nought, but not the first, nor an unread one."""
    total = Decimal(0)
    if terms[0][0] not in invoice.totals:
        return None
    for name, sign in terms:
        figure = invoice.totals.get(name)
        if figure is not None:
            if figure.value is None:
                return None
            total += sign * figure.value
    return total


def _differs(rule: str, said: Decimal, worked: Decimal, row: int) -> Problem:
    what = (
        f"{rule} is {_money(said)} in the file but comes to {_money(worked)}: {_money(said - worked)} apart."
    )
    return Problem("does not match its total", what, _DO, cell=f"line {row}")


def _money(value: Decimal) -> str:
    return f"{value:,.2f}"
