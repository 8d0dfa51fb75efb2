"""Lines of an electronic invoice -> lines as feesheet knows them: kind, wording, teeth, weight, amounts."""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal

from feesheet.reading.invoices import tooth_words, weight_words, words
from feesheet.reading.invoices.context import Context
from feesheet.reading.invoices.document import NAN, Line
from feesheet.reading.invoices.e_invoice import Adjustment, Figure, Position
from feesheet.reading.invoices.unit_codes import CHARGES, PIECES, WEIGHTS

_GIVEN_BACK = {"unit fee": "credit", "remake": "remake credit"}
"""What a line of a credit note is that would be work on an invoice."""

_OF_CLASS = frozenset({"unit fee", "remake", "credit", "remake credit", "alloy", "alloy surcharge"})
"""Kinds whose words may name an alloy or its class."""

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
    context = reading.context
    teeth, rest = tooth_words.teeth_in(position.text)
    line = Line(position.row, "", words.product_of(rest, context), _signed(position.amount, reading))
    line.teeth, line.case = position.teeth or teeth, context.hashed(position.case)
    _measure(line, position, reading)
    found = None if line.weight_unit else weight_words.weight_in(rest, decimal=reading.decimal)
    line.kind = _kind(position, rest, line, found is not None, reading)
    if line.kind == "alloy" and found is not None:
        _weigh(line, found)
    if line.kind in _OF_CLASS:
        line.alloy, line.alloy_class = words.alloy_of(rest, context), words.class_of(rest)
    line.weight_basis = "billed" if line.weight_unit else ""
    line.role = tooth_words.role_of(rest, line.teeth, abs(line.units)) if line.teeth else ""
    return line


def _kind(position: Position, rest: str, line: Line, weighed: bool, reading: Reading) -> str:
    if position.sort != "detail":
        return "balance" if position.sort == "group" else "note"
    has_weight = weighed or bool(line.weight_unit)
    if line.teeth and not rest:
        kind = "unit fee"
    else:
        kind = words.kind_of(rest, line.amount, reading.context, reading.lab, has_weight)
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


def _weigh(line: Line, found: weight_words.WeightFound) -> None:
    """Put on the weight that stands in the words of an alloy billed by the piece; it is given back with its amount."""
    line.weight = math.copysign(found.weight, line.amount)
    line.weight_unit, line.unit_price, line.units = found.unit, found.price_per_unit, NAN


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
