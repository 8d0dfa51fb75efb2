"""One row of a table -> the lines that it bills: the unit, its alloy, its tax. Words are read once for each text."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from feesheet import reference
from feesheet.reading.invoices import cell_damage, tooth_words, weight_words, words
from feesheet.reading.invoices.columns import CENT, Columns
from feesheet.reading.invoices.context import Context
from feesheet.reading.invoices.document import Line
from feesheet.reading.invoices.evidence import Evidence, Trouble
from feesheet.reading.invoices.labels import code
from feesheet.reading.invoices.rows import Item, text_at
from feesheet.reading.invoices.sections import Part
from feesheet.reading.invoices.told import Told
from feesheet.schema import plain

NAN = math.nan
_AMOUNT = "Make the cell a number."
_CLASSED = frozenset({"unit fee", "remake", "alloy", "alloy surcharge", "credit", "remake credit"})


class Understood(NamedTuple):
    """What the words of a description say: teeth, the rest, the product's clean words, alloy, class, weight."""

    teeth: str
    rest: str
    product: str
    alloy: str
    alloy_class: str
    weight: weight_words.WeightFound | None


@dataclass
class Reading:
    """All that is known while the rows of one paper are read; `free` are cells that say nothing is charged."""

    part: Part
    evidence: Evidence
    context: Context
    told: Told
    lab: str = ""
    weight_unit: str = ""
    is_credit: bool = False
    free: list[tuple[int, int]] = field(default_factory=list)
    currencies: set[str] = field(default_factory=set)
    understood: dict[str, Understood] = field(default_factory=dict)
    kinds: dict[tuple[str, int, bool], str] = field(default_factory=dict)

    def words(self, text: str) -> Understood:
        """What a description says."""
        found = self.understood.get(text)
        if found is None:
            teeth, rest = tooth_words.teeth_in(text)
            found = self.understood[text] = Understood(
                teeth,
                rest,
                words.product_of(rest, self.context),
                words.alloy_of(rest, self.context),
                words.class_of(rest),
                weight_words.weight_in(rest, decimal=self.evidence.decimal),
            )
        return found

    def kind(self, text: str, amount: float, has_weight: bool) -> str:
        """The line kind of a description with an amount of that sign."""
        amount = -abs(amount) if self.is_credit else amount
        key = text, (amount > 0) - (amount < 0), has_weight
        found = self.kinds.get(key)
        if found is None:
            found = self.kinds[key] = words.kind_of(text, amount, self.context, self.lab, has_weight)
        return found


def lines_of(item: Item, columns: Columns, reading: Reading) -> list[Line]:
    """The lines that a row bills; none where its amount can't be read, which is told."""
    row = reading.part.grid.rows[item.row]
    said = reading.words(_text(item, row, columns))
    amount, tax = _amount(item, row, columns, reading, said)
    alloy = _alloy(item, row, columns, reading, said)
    if alloy is not None and not math.isnan(amount):
        amount = _without_alloy(amount, alloy.amount, row, columns, reading)
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


def _amount(
    item: Item, row: list[Any], columns: Columns, reading: Reading, said: Understood
) -> tuple[float, float]:
    """Amount without tax, and the tax of the row; NaN for an amount that is missing or can't be read (told)."""
    at = columns.column("amount")
    tax = _number(row, columns.column("tax"), reading)
    value = reading.evidence.number(row[at]) if 0 <= at < len(row) else None
    if columns.minus >= 0 and value is None:
        value = _negative(_number(row, columns.minus, reading))
    if columns.multiplies:
        value = _product(row, columns, reading)
    if value is None:
        return _blank(item, columns, reading, said), tax
    if isinstance(value, Trouble):
        return _trouble(value.kind, item.row, at, reading, said), tax
    if columns.without_tax and not math.isnan(tax):
        value = round(value - tax, 6)
    gross = columns.column("gross")
    if math.isnan(tax) and gross >= 0 and gross != at:
        tax = round(_number(row, gross, reading) - value, 6)
    return value, tax


def _negative(value: float) -> float | None:
    return None if math.isnan(value) else -abs(value)


def _product(row: list[Any], columns: Columns, reading: Reading) -> float | None:
    price = _number(row, columns.column("unit_price"), reading)
    quantity = _count(row, columns.column("quantity"), reading)
    value = price if math.isnan(quantity) else quantity * price
    return None if math.isnan(value) else round(value, 6)


def _number(row: list[Any], at: int, reading: Reading) -> float:
    return reading.evidence.plain_number(row[at]) if 0 <= at < len(row) else NAN


def _count(row: list[Any], at: int, reading: Reading) -> float:
    return reading.evidence.count(row[at]) if 0 <= at < len(row) and row[at] != "" else NAN


def _blank(item: Item, columns: Columns, reading: Reading, said: Understood) -> float:
    """A blank amount: the one in the words, or a fault where a crown is named, else a note of no amount."""
    if said.weight is not None and not math.isnan(said.weight.amount):
        return said.weight.amount
    if "alloy_amount" in columns.at and not words.is_crown(said.rest, reading.context):
        return NAN
    if words.is_crown(said.rest, reading.context):
        missing(reading.told, item.row, columns.column("amount"))
        return NAN
    return 0.0


def missing(told: Told, row: int, column: int) -> None:
    """Tell that a crown has no amount."""
    do = "Ask the lab, and type the amount; 0 only if it really was free."
    told.add("missing value", "A crown is named, but its amount is blank.", do, row, column)


def _trouble(kind: str, row: int, at: int, reading: Reading, said: Understood) -> float:
    """An amount that is no number: 0 for no charge, else NaN and a fault at its cell."""
    if kind == "free":
        reading.free.append((row, at))
        return 0.0
    what = {
        "unclear number": "The amount can be read in two ways, and no other cell of the file tells.",
        "error cell": "The amount's cell shows an error.",
        "formula without value": "The amount's formula has never been calculated.",
    }.get(kind, "The amount is no number.")
    reading.told.add(kind, what, _AMOUNT, row, at)
    return NAN


def _line(
    item: Item, row: list[Any], columns: Columns, reading: Reading, said: Understood, amount: float
) -> Line:
    """The line of the row's own amount."""
    weight = _number(row, columns.column("weight"), reading)
    quantity = _count(row, columns.column("quantity"), reading)
    price = _number(row, columns.column("unit_price"), reading)
    unit = text_at(row, columns.column("unit"))
    is_mass = bool(unit) and unit.lower().rstrip(".") in reference.mass_units()
    has_weight = is_mass or said.weight is not None or not math.isnan(weight)
    kind = _kind(row, columns, reading, said, amount, has_weight)
    line = Line(item.row + 1, kind, said.product, amount, quantity, price)
    if columns.divides and price and not math.isnan(price):
        line.units = _quotient(amount, price)
    if kind in _CLASSED:
        line.alloy, line.alloy_class = said.alloy, said.alloy_class
    if kind == "alloy" or (
        kind == "unit fee" and not math.isnan(weight) and "alloy_amount" not in columns.at
    ):
        _weigh(line, weight, text_at(row, columns.column("weight_unit")), said, reading)
    if kind == "alloy" and math.isnan(line.weight) and (is_mass or not _is_whole(line.units)):
        line.weight, line.weight_unit, line.weight_basis = line.units, unit or reading.weight_unit, "billed"
    if kind == "alloy" and not math.isnan(line.weight):
        line.units = NAN
    _check(line, item, row, columns, reading, quantity)
    return line


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
    return reading.kind(said.rest, amount, has_weight)


def _weigh(line: Line, weight: float, unit: str, said: Understood, reading: Reading) -> None:
    """Put the weight on a line: from its column, else from the words."""
    if not math.isnan(weight):
        line.weight, line.weight_unit = weight, unit or reading.weight_unit
    elif said.weight is not None:
        line.weight, line.weight_unit = said.weight.weight, said.weight.unit or reading.weight_unit
        if not math.isnan(said.weight.price_per_unit):
            line.unit_price = said.weight.price_per_unit
    line.weight_basis = "" if math.isnan(line.weight) else "billed"


def _check(
    line: Line, item: Item, row: list[Any], columns: Columns, reading: Reading, quantity: float
) -> None:
    """Tell where quantity × price is not the amount; what was charged is kept."""
    times = line.weight if math.isnan(quantity) else quantity
    if math.isnan(times * line.unit_price * line.amount) or columns.multiplies or columns.with_tax:
        return
    discount = _number(row, columns.column("discount"), reading)
    rate = _number(row, columns.column("discount_rate"), reading)
    whole = abs(times * line.unit_price)
    expected = whole - (0.0 if math.isnan(discount) else abs(discount))
    if not math.isnan(rate):
        expected = whole * (1 - abs(rate) / (100 if abs(rate) > 1 else 1))
    gap = round(expected - abs(line.amount), 2)
    tax = _number(row, columns.column("tax"), reading)
    if abs(gap) > CENT and not abs(gap + (0.0 if math.isnan(tax) else tax)) <= CENT and line.amount:
        what = (
            f"{times:g} × {line.unit_price:,.2f} is {expected:,.2f}, but {abs(line.amount):,.2f} is charged: "
            f"{abs(gap):,.2f} {'less' if gap > 0 else 'more'}."
        )
        do = "The amount charged is kept; ask the lab which is right."
        reading.told.add("does not match its total", what, do, item.row, columns.column("amount"))


def _alloy(item: Item, row: list[Any], columns: Columns, reading: Reading, said: Understood) -> Line | None:
    """The alloy that a row bills in columns of its own, None where it bills none."""
    at = columns.column("alloy_amount")
    value = reading.evidence.number(row[at]) if 0 <= at < len(row) else None
    if isinstance(value, Trouble):
        value = _trouble(value.kind, item.row, at, reading, said)
    if value is None or math.isnan(value) or not value:
        return None
    name = text_at(row, columns.column("extra_text"))
    named = reading.words(name) if name else said
    product = named.product if name else said.alloy
    line = Line(
        item.row + 1, "alloy", product or "alloy", value, alloy=named.alloy, alloy_class=named.alloy_class
    )
    line.unit_price = _number(row, columns.column("alloy_price"), reading)
    unit = text_at(row, columns.column("weight_unit"))
    _weigh(line, _number(row, columns.column("weight"), reading), unit, said, reading)
    return line


def _without_alloy(amount: float, alloy: float, row: list[Any], columns: Columns, reading: Reading) -> float:
    """The row's amount without its alloy, where quantity × price shows that the alloy is in it."""
    whole = _product(row, columns, reading)
    is_in = whole is not None and abs(whole + alloy - amount) <= CENT and abs(whole - amount) > CENT
    return round(amount - alloy, 6) if is_in else amount


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
    hashed = reading.context.hashed
    invoice = _code(item, row, columns.column("invoice"), reading)
    if "currency" in columns.at and (currency := text_at(row, columns.at["currency"]).upper()):
        reading.currencies.add(currency)
    for line in found:
        line.teeth, line.day = teeth, day
        line.case = hashed(case) if case else item.case
        line.patient = hashed(patient) if patient else item.patient
        line.invoice = invoice or item.invoice
        line.role = tooth_words.role_of(said.rest, teeth, line.units) if teeth else ""


def _teeth(item: Item, row: list[Any], columns: Columns, reading: Reading) -> str:
    at = columns.column("teeth")
    if not 0 <= at < len(row) or row[at] == "":
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
