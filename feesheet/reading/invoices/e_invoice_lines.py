"""Lines of an electronic invoice -> lines as feesheet knows them: kind, wording, teeth, weight, amounts."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from feesheet.reading.invoices import tooth_words, weight_words, words
from feesheet.reading.invoices.context import Context
from feesheet.reading.invoices.document import NAN, Line
from feesheet.reading.invoices.e_invoice import Adjustment, Figure, Position
from feesheet.reading.invoices.unit_codes import CHARGES, PIECES, WEIGHTS

_GIVEN_BACK = {"unit fee": "credit", "remake": "remake credit"}
"""What a line of a credit note is that would be work on an invoice."""

_NO_CHARGE = frozenset({"unit fee", "note", "credit", "discount", "balance", "remake", "remake credit"})
"""Kinds that the reason of a charge can't mean."""


@dataclass(frozen=True)
class Reading:
    """What the reading of one document's lines needs: the practice, its name for the lab, the sign, the mark."""

    context: Context
    lab: str
    sign: int
    decimal: str

    def signed(self, value: Decimal) -> float:
        """An amount of the file as the document counts it."""
        return float(self.sign * value)


def line_of_position(position: Position, reading: Reading) -> Line:
    """One line. Nothing of its text leaves but teeth, known product words and an alloy of the practice's own list."""
    context, text = reading.context, position.text
    line = Line(position.row, "", words.product_of(text, context))
    line.amount = _signed(position.amount, reading)
    _measure(line, position, reading)
    _weigh_words(line, text, reading)
    line.teeth, _ = tooth_words.teeth_in(text)
    line.role = tooth_words.role_of(text, line.teeth, line.units)
    line.alloy, line.alloy_class = words.alloy_of(text, context), words.class_of(text)
    line.weight_basis = "billed" if line.weight_unit else ""
    line.case = context.hashed(position.case)
    line.kind = _kind(position, line, reading)
    return line


def _kind(position: Position, line: Line, reading: Reading) -> str:
    if position.sort != "detail":
        return "balance" if position.sort == "group" else "note"
    kind = words.kind_of(
        position.text, line.amount, reading.context, reading.lab, has_weight=bool(line.weight_unit)
    )
    return _GIVEN_BACK.get(kind, kind) if reading.sign < 0 else kind


def _measure(line: Line, position: Position, reading: Reading) -> None:
    """Units or weight, with the price of one; what a line's own allowances leave of the price, if it has any."""
    quantity = position.quantity.value if position.quantity else None
    price = _price(position, quantity)
    if position.unit in WEIGHTS and quantity is not None:
        line.weight_unit, size = WEIGHTS[position.unit]
        line.weight = reading.signed(quantity * size)
        price = None if price is None else price / size
    elif position.unit in PIECES and quantity is not None:
        line.units = reading.signed(quantity)
    line.unit_price = NAN if price is None else float(price)


def _price(position: Position, quantity: Decimal | None) -> Decimal | None:
    if position.adjustments:
        amount = position.amount.value if position.amount else None
        return amount / quantity if amount is not None and quantity else None
    per = position.per.value if position.per else Decimal(1)
    price = position.price.value if position.price else None
    return price / per if price is not None and per else None


def _weigh_words(line: Line, text: str, reading: Reading) -> None:
    """A weight that stands in the words of a line billed by the piece."""
    found = None if line.weight_unit else weight_words.weight_in(text, decimal=reading.decimal)
    if found is not None:
        line.weight, line.weight_unit = reading.sign * found.weight, found.unit


def line_of_adjustment(adjustment: Adjustment, reading: Reading) -> Line:
    """An allowance or charge on the whole invoice."""
    amount = NAN if adjustment.signed is None else reading.signed(adjustment.signed)
    kind = _kind_of_adjustment(adjustment, amount, reading)
    product = words.product_of(adjustment.reason, reading.context) or kind
    return Line(adjustment.row, kind, product, amount)


def _kind_of_adjustment(adjustment: Adjustment, amount: float, reading: Reading) -> str:
    """Its kind by its reason, else by its code; a charge for nothing known is an extra."""
    if not adjustment.adds:
        return "discount"
    said = adjustment.reason and words.kind_of(adjustment.reason, abs(amount), reading.context, reading.lab)
    return said if said and said not in _NO_CHARGE else CHARGES.get(adjustment.code, "extra")


def _signed(figure: Figure | None, reading: Reading) -> float:
    return NAN if figure is None or figure.value is None else reading.signed(figure.value)
