"""The amount of a row: from its column or columns, from quantity × price, or from its words; what is wrong with it."""

from __future__ import annotations

import math
from typing import Any

from feesheet.reading.invoices import words
from feesheet.reading.invoices.columns import Columns
from feesheet.reading.invoices.evidence import Trouble
from feesheet.reading.invoices.rows import Item
from feesheet.reading.invoices.told import Told
from feesheet.reading.invoices.wordings import Reading, Understood

NAN = math.nan
_AMOUNT = "Make the cell a number."


def amounts_of(
    item: Item, row: list[Any], columns: Columns, reading: Reading, said: Understood
) -> tuple[float, float]:
    """Amount without tax, and the tax of the row; NaN for an amount that is missing or can't be read (told)."""
    at = columns.column("amount")
    tax = number(row, columns.column("tax"), reading)
    value = reading.evidence.number(row[at]) if 0 <= at < len(row) else None
    if columns.minus >= 0 and value is None:
        value = _negative(number(row, columns.minus, reading))
    if columns.multiplies:
        value = product(row, columns, reading)
    if value is None:
        return _blank(item, columns, reading, said), tax
    if isinstance(value, Trouble):
        return trouble(value.kind, item.row, at, reading, said), tax
    if columns.without_tax and not math.isnan(tax):
        value = round(value - tax, 6)
    gross = columns.column("gross")
    if math.isnan(tax) and gross >= 0 and gross != at:
        tax = round(number(row, gross, reading) - value, 6)
    return value, tax


def _negative(value: float) -> float | None:
    return None if math.isnan(value) else -abs(value)


def product(row: list[Any], columns: Columns, reading: Reading) -> float | None:
    """Quantity × price of a row; None where it has no price."""
    price = number(row, columns.column("unit_price"), reading)
    quantity = count(row, columns.column("quantity"), reading)
    value = price if math.isnan(quantity) else quantity * price
    return None if math.isnan(value) else round(value, 6)


def number(row: list[Any], at: int, reading: Reading) -> float:
    """The number in a column of a row, NaN where it has none."""
    return reading.evidence.plain_number(row[at]) if 0 <= at < len(row) else NAN


def count(row: list[Any], at: int, reading: Reading) -> float:
    """The quantity in a column of a row, NaN where it has none."""
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


def trouble(kind: str, row: int, at: int, reading: Reading, said: Understood) -> float:
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
