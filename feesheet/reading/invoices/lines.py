"""One row of a table -> the lines that it bills: the unit, its alloy, its tax. Words are read once for each text."""

from __future__ import annotations

import math
from typing import Any

from feesheet import reference
from feesheet.reading import currency_words
from feesheet.reading.invoices import cell_damage, words
from feesheet.reading.invoices.alloy_lines import alloy_of, weigh, without_alloy
from feesheet.reading.invoices.amounts import amounts_of, count, number
from feesheet.reading.invoices.columns import CENT, Columns
from feesheet.reading.invoices.document import Line
from feesheet.reading.invoices.labels import code
from feesheet.reading.invoices.misfits import Discounted
from feesheet.reading.invoices.rows import Item
from feesheet.reading.invoices.sections import text_at
from feesheet.reading.invoices.wordings import Misfit, Reading, Understood
from feesheet.schema import plain

NAN = math.nan
HALF_CENT = 0.005
"""How far off a price is that was rounded to the cent, for each unit."""
_MADE = frozenset({"unit fee", "remake"})
_CLASSED = frozenset({"unit fee", "remake", "alloy", "alloy surcharge", "credit", "remake credit"})

_CHARGES = frozenset({"unit fee", "extra", "freight", "rush", "alloy", "alloy surcharge", "remake"})
"""Kinds of line whose amounts are not below nothing on an invoice."""


def lines_of(item: Item, columns: Columns, reading: Reading) -> list[Line]:
    """The lines that a row bills; none where its amount can't be read, which is told."""
    row = reading.part.grid.rows[item.row]
    said = reading.wordings.understood(_text(item, row, columns))
    amount, tax = amounts_of(item, row, columns, reading, said)
    alloy = alloy_of(item, row, columns, reading, said)
    if alloy is not None and not math.isnan(amount):
        amount = without_alloy(amount, alloy.amount, row, columns, reading)
    found = [] if math.isnan(amount) else [_line(item, row, columns, reading, said, amount)]
    found += [alloy] if alloy is not None else []
    if tax and not math.isnan(tax):
        found.append(Line(item.row + 1, "tax", "tax", tax))
    _name(found, item, row, columns, reading, said)
    return found


def _text(item: Item, row: list[Any], columns: Columns) -> str:
    """The description with the words of a column of materials or alloys beside it."""
    text = item.text or text_at(row, columns.column("description"))
    more = text_at(row, columns.column("extra_text"))
    return f"{text} {more}".strip() if more and more not in text else text


def _line(
    item: Item, row: list[Any], columns: Columns, reading: Reading, said: Understood, amount: float
) -> Line:
    """The line of the row's own amount."""
    weight = number(row, columns.column("weight"), reading)
    quantity = count(row, columns.column("quantity"), reading)
    price = number(row, columns.column("unit_price"), reading)
    unit = text_at(row, columns.column("unit"))
    is_mass = bool(unit) and unit.lower().rstrip(".") in reference.mass_units()
    has_weight = is_mass or said.weight is not None or not math.isnan(weight)
    kind = _kind(row, columns, reading, said, amount, has_weight)
    if kind == "balance" and _is_charge(row, columns, quantity * price, amount):
        kind = "extra"
    line = Line(item.row + 1, kind, said.product, amount, quantity, price)
    if columns.divides and price and not math.isnan(price):
        line.units = _quotient(amount, price)
    if math.isnan(quantity) and kind in _MADE and _has_words(row, columns.column("quantity")):
        _unread_quantity(line, item, columns, reading)
    if kind in _CLASSED:
        line.alloy, line.alloy_class = said.alloy, said.alloy_class
    if kind == "alloy" or (
        kind == "unit fee" and not math.isnan(weight) and "alloy_amount" not in columns.at
    ):
        weigh(line, weight, text_at(row, columns.column("weight_unit")), said, reading)
    if kind == "alloy" and math.isnan(line.weight) and (is_mass or not _is_whole(line.units)):
        line.weight, line.weight_unit, line.weight_basis = line.units, unit or reading.weight_unit, "billed"
    if kind == "alloy" and not math.isnan(line.weight):
        line.units = NAN
    _check(line, item, row, columns, reading, quantity)
    return line


def _is_charge(row: list[Any], columns: Columns, product: float, amount: float) -> bool:
    """Whether a row that is worded like a total is a charge of its own: it has teeth, or its quantity × price is its amount."""
    return text_at(row, columns.column("teeth")) != "" or abs(product - amount) <= CENT


def _has_words(row: list[Any], at: int) -> bool:
    return 0 <= at < len(row) and isinstance(row[at], str) and any(sign.isalnum() for sign in row[at])


def _unread_quantity(line: Line, item: Item, columns: Columns, reading: Reading) -> None:
    """A quantity in words, such as "two": amount / price where that is a whole number, else a question."""
    at = columns.column("quantity")
    if not line.amount:
        return
    if math.isnan(line.units) and line.unit_price and not math.isnan(line.unit_price):
        line.units = _quotient(line.amount, line.unit_price)
    if line.units >= 1 and _is_whole(line.units):
        what = f"The quantity is no number; it is taken to be {line.units:g}, the amount / the price."
        reading.told.add("assumed", what, "Type it in digits if it is another.", item.row, at)
    else:
        line.units = NAN
        what = "The quantity is no number, and the amount is no whole number of prices."
        reading.told.add("not a number", what, "Type the quantity in digits.", item.row, at)


def _quotient(amount: float, price: float) -> float:
    times = round(amount / price, 2)
    return abs(times) if abs(times * price - amount) <= CENT else NAN


def _is_whole(number: float) -> bool:
    return math.isnan(number) or number == round(number)


def _kind(
    row: list[Any], columns: Columns, reading: Reading, said: Understood, amount: float, has_weight: bool
) -> str:
    typed = (
        reference.line_kinds().get(plain(text_at(row, columns.column("kind"))))
        if "kind" in columns.at
        else None
    )
    if typed is not None:
        return typed[0]
    if not said.rest and said.teeth:
        return "unit fee"
    kind = reading.kind(said.rest, amount, has_weight)
    is_weighed = kind == "unit fee" and has_weight and said.alloy
    return "alloy" if is_weighed and not words.is_crown(said.rest, reading.context) else kind


def _check(
    line: Line, item: Item, row: list[Any], columns: Columns, reading: Reading, quantity: float
) -> None:
    """Tell where quantity × price is not the amount; what was charged is kept."""
    times, price = quantity, number(row, columns.column("unit_price"), reading)
    if math.isnan(times * price):
        times, price = line.weight, line.unit_price
    if math.isnan(times * price * line.amount) or columns.multiplies or columns.with_tax:
        return
    if line.amount < 0 < times * price and line.kind in _CHARGES and not reading.is_credit:
        what = (
            f"{times:g} × {price:,.2f} is charged, but the amount is {line.amount:,.2f}: less than nothing."
        )
        do = "The amount is kept and lowers the cost; ask the lab if it is a credit."
        reading.told.add("does not match its total", what, do, item.row, columns.column("amount"))
        return
    gaps = [fit - abs(line.amount) for fit in Discounted(row, columns, reading).fits(abs(times * price))]
    nearest: float = min(gaps, key=abs)
    gap = round(nearest, 2)
    tax = number(row, columns.column("tax"), reading)
    if (
        abs(gap) > max(CENT, HALF_CENT * abs(times))
        and not abs(gap + (0.0 if math.isnan(tax) else tax)) <= CENT
        and line.amount
    ):
        words_ = f"{times:g} × {price:,.2f} is {abs(line.amount) + gap:,.2f}, but {abs(line.amount):,.2f} is charged"
        place = reading.part.grid.name, item.row, columns.column("amount")
        reading.misfits.append(Misfit(*place, words_, gap))


def _name(
    found: list[Line], item: Item, row: list[Any], columns: Columns, reading: Reading, said: Understood
) -> None:
    """Give all lines of a row its teeth, role, day, case, patient and invoice."""
    if not found:
        return
    teeth = _teeth(item, row, columns, reading) or said.teeth
    day = _day(item, row, columns, reading)
    case = _code(item, row, columns.column("case"), reading)
    patient = text_at(row, columns.column("patient"))
    hashed = reading.wordings.hashed
    invoice = _code(item, row, columns.column("invoice"), reading)
    if "currency" in columns.at and (currency := text_at(row, columns.at["currency"])):
        reading.currencies.add(currency_words.code_of(currency) or currency.upper())
    for line in found:
        line.teeth, line.day = teeth, day
        line.case = hashed(case) if case else item.case
        line.patient = hashed(patient) if patient else item.patient
        line.invoice = invoice or item.invoice
        line.role = reading.wordings.role(said.rest, teeth, line.units) if teeth else ""


def _teeth(item: Item, row: list[Any], columns: Columns, reading: Reading) -> str:
    at = columns.column("teeth")
    if not 0 <= at < len(row) or row[at] == "" or text_at(row, at) == item.text:
        return ""
    teeth, restored = cell_damage.teeth(row[at], reading.evidence.order)
    if restored:
        what = f"The spreadsheet program had turned the teeth into a date; they are read as {teeth}."
        do = "Make the cell text and type the teeth again if they are others."
        reading.told.add("assumed", what, do, item.row, at)
    return teeth


def _day(item: Item, row: list[Any], columns: Columns, reading: Reading) -> float:
    at = columns.column("date")
    day = reading.evidence.day(row[at]) if 0 <= at < len(row) else NAN
    if day is None:
        unclear_day(reading, item.row, at)
        return NAN
    return day


def unclear_day(reading: Reading, row: int, column: int) -> None:
    """Tell that a date can be read in two ways."""
    what = "The date can be read with the day or with the month first, and no other date of the file tells."
    do = 'Say which comes first for the lab on the sheet "Labs", or make it a real date cell.'
    reading.told.add("unclear date", what, do, row, column)


def _code(item: Item, row: list[Any], at: int, reading: Reading) -> str:
    if not 0 <= at < len(row) or row[at] in ("", None):
        return ""
    text = code(row[at], item.row, at, reading.part.grid)
    if cell_damage.is_lost(text):
        what = "The spreadsheet program has cut a long number short; the case is taken as not known."
        reading.told.add("assumed", what, "Make the column text and export the file again.", item.row, at)
        return ""
    return text
