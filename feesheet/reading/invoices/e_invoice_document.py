"""An electronic invoice -> the document and lines that every invoice reader makes."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from decimal import Decimal

from feesheet.number_words import decimal_marks
from feesheet.problems import Problem
from feesheet.reading.invoices.context import Context
from feesheet.reading.invoices.document import NAN, Document, Line
from feesheet.reading.invoices.e_invoice import Adjustment, EInvoice, Position, TotalName, summed
from feesheet.reading.invoices.e_invoice_lines import Reading, line_of_adjustment, line_of_position
from feesheet.reading.invoices.e_invoice_rules import broken_rules
from feesheet.reading.invoices.unit_codes import PIECES, WEIGHTS
from feesheet.schema import plain


def document(invoice: EInvoice, context: Context) -> Document:
    """The invoice as a document: amounts of a credit note negative, totals with the rounding that was agreed."""
    problems = [*invoice.problems, *broken_rules(invoice), *_unsettled(invoice)]
    result = Document("credit note" if invoice.credit else "invoice", invoice.number, invoice.day)
    result.currency = invoice.currency
    result.repeats, result.replaces = invoice.repeats, invoice.replaces
    result.lab, result.names = (invoice.names or [""])[0], invoice.names
    result.site, result.accounts = _delivered_to(invoice, context), _accounts(invoice, context)
    reading = Reading(context, _known_lab(invoice, context), -1 if invoice.credit else 1, _decimal(invoice))
    result.lines = [*_lines(invoice, reading, problems), *_closing(invoice, reading)]
    result.total, result.total_cell = _total(invoice, "total", reading)
    result.net, result.net_cell = _total(invoice, "net", reading)
    result.assumed = [*_other_units(invoice), *_other_tax(invoice), *_odd_credit(invoice)]
    result.problems = problems
    return result


def _lines(invoice: EInvoice, reading: Reading, problems: list[Problem]) -> Iterator[Line]:
    for position in _flat(invoice.positions, problems):
        yield line_of_position(position, reading)
    for adjustment in invoice.adjustments:
        if adjustment.adds is not None:
            yield line_of_adjustment(adjustment, reading)


def _flat(positions: Iterable[Position], problems: list[Problem]) -> Iterator[Position]:
    """Lines within a line stand for it where they add up to it; where not, it is counted and the rest told."""
    for position in positions:
        inner = summed(part.amount for part in position.parts)
        outer = position.amount.value if position.amount else None
        if not position.parts:
            yield position
        elif inner == outer:
            yield from _flat(position.parts, problems)
        else:
            yield position
            problems.append(_parts_differ(position, inner, outer))


def _parts_differ(position: Position, inner: Decimal | None, outer: Decimal | None) -> Problem:
    figures = f" ({inner:,.2f} and {outer:,.2f})" if inner is not None and outer is not None else ""
    what = f"The lines within this line don't add up to it{figures}; the line itself is counted."
    return Problem(
        "does not match its total", what, "Ask the lab which is right.", cell=f"line {position.row}"
    )


def _closing(invoice: EInvoice, reading: Reading) -> Iterator[Line]:
    """Tax, rounding and what was paid before, as lines of their own."""
    closing: tuple[tuple[TotalName, str, str, int], ...] = (
        ("tax", "tax", "tax", 1),
        ("rounding", "extra", "rounding", 1),
        ("prepaid", "balance", "prepaid", -1),
    )
    for name, kind, product, sign in closing:
        figure = invoice.totals.get(name)
        if figure is not None and figure.value:
            yield Line(figure.row, kind, product, sign * reading.signed(figure.value))


def _total(invoice: EInvoice, name: TotalName, reading: Reading) -> tuple[float, str]:
    """A total and its place; the one with tax is what is asked for, so the rounding that was agreed is in it."""
    figure = invoice.totals.get(name)
    if figure is None:
        return NAN, ""
    rounding = invoice.totals.get("rounding") if name == "total" else None
    value = summed((figure, rounding))
    return (NAN if value is None else reading.signed(value)), f"line {figure.row}"


def _known_lab(invoice: EInvoice, context: Context) -> str:
    """The practice's own name of the lab, where the file names it in so many words."""
    said = {plain(name) for name in invoice.names}
    return next(
        (lab.name for lab in context.labs if said & {plain(one) for one in (lab.name, *lab.on_invoices)}), ""
    )


def _own_words(context: Context) -> set[str]:
    """The names and account words, made plain, that the practice itself uses for its clinics."""
    return {plain(site) for site in context.sites} | {plain(words) for _, words, _ in context.accounts}


def _delivered_to(invoice: EInvoice, context: Context) -> str:
    """Where the work went, if the practice knows the place by that name."""
    own = _own_words(context)
    return next((words for words in invoice.deliveries if plain(words) in own), "")


def _accounts(invoice: EInvoice, context: Context) -> list[str]:
    """Who was billed. A reference or a place of delivery may name a patient: it stays only where it is known."""
    own = _own_words(context)
    known = [words for words in (*invoice.deliveries, *invoice.references) if plain(words) in own]
    return list(dict.fromkeys((*invoice.buyers, *known)))


def _decimal(invoice: EInvoice) -> str:
    """The decimal mark of the numbers within the lab's words; a point where they show none for certain."""
    words = [word for position in invoice.positions for word in position.text.split()]
    return next(iter(decimal_marks(words)), ".")


def _unsettled(invoice: EInvoice) -> list[Problem]:
    """Amounts that are neither an allowance nor a charge, and a total that is missing."""
    problems = [_neither(one) for one in invoice.adjustments if one.adds is None and one.amount]
    if "total" not in invoice.totals:
        what = "The file has no total with tax, so nothing shows whether a line is missing."
        problems.append(Problem("does not match its total", what, "Ask the lab for a complete invoice."))
    return problems


def _neither(adjustment: Adjustment) -> Problem:
    value = adjustment.amount.value if adjustment.amount else None
    amount = f" of {value:,.2f}" if value is not None else ""
    what = f"An amount{amount} is marked neither as an allowance nor as a charge, so it is not counted."
    return Problem(
        "not understood", what, "Ask the lab for a correct invoice.", cell=f"line {adjustment.row}"
    )


def _other_units(invoice: EInvoice) -> list[str]:
    codes = {position.unit for position in invoice.positions if position.quantity}
    if codes <= PIECES | WEIGHTS.keys():
        return []
    return ["Quantities that are neither pieces nor weights are not counted as units."]


def _other_tax(invoice: EInvoice) -> list[str]:
    if not invoice.other_tax_row:
        return []
    return [
        f"The tax in another currency (line {invoice.other_tax_row}) is for the tax office; it is not counted."
    ]


def _odd_credit(invoice: EInvoice) -> list[str]:
    total = invoice.totals.get("total")
    if not (invoice.credit and total and total.value and total.value < 0):
        return []
    return ["A credit note with a negative total asks for money; it is counted as a charge."]
