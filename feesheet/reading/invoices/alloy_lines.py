"""Alloy that a row bills: its weight and unit, in columns of its own or in the words."""

from __future__ import annotations

import math
from typing import Any

from feesheet.reading.invoices.amounts import number, product, trouble
from feesheet.reading.invoices.columns import CENT, Columns
from feesheet.reading.invoices.document import Line
from feesheet.reading.invoices.evidence import Trouble
from feesheet.reading.invoices.rows import Item
from feesheet.reading.invoices.sections import text_at
from feesheet.reading.invoices.wordings import Reading, Understood


def weigh(line: Line, weight: float, unit: str, said: Understood, reading: Reading) -> None:
    """Put the weight on a line: from its column, else from the words."""
    if not math.isnan(weight):
        line.weight, line.weight_unit = weight, unit or reading.weight_unit
    elif said.weight is not None:
        line.weight, line.weight_unit = said.weight.weight, said.weight.unit or reading.weight_unit
        if not math.isnan(said.weight.price_per_unit):
            line.unit_price = said.weight.price_per_unit
    line.weight_basis = "" if math.isnan(line.weight) else "billed"


def alloy_of(item: Item, row: list[Any], columns: Columns, reading: Reading, said: Understood) -> Line | None:
    """The alloy that a row bills in columns of its own, None where it bills none."""
    at = columns.column("alloy_amount")
    value = reading.evidence.number(row[at]) if 0 <= at < len(row) else None
    if isinstance(value, Trouble):
        value = trouble(value.kind, item.row, at, reading, said)
    if value is None or math.isnan(value) or not value:
        return None
    name = text_at(row, columns.column("extra_text"))
    named = reading.wordings.understood(name) if name else said
    product = named.product if name else said.alloy
    line = Line(
        item.row + 1, "alloy", product or "alloy", value, alloy=named.alloy, alloy_class=named.alloy_class
    )
    line.unit_price = number(row, columns.column("alloy_price"), reading)
    unit = text_at(row, columns.column("weight_unit"))
    weigh(line, number(row, columns.column("weight"), reading), unit, said, reading)
    return line


def without_alloy(amount: float, alloy: float, row: list[Any], columns: Columns, reading: Reading) -> float:
    """The row's amount without its alloy, where quantity × price shows that the alloy is in it."""
    whole = product(row, columns, reading)
    is_in = whole is not None and abs(whole + alloy - amount) <= CENT and abs(whole - amount) > CENT
    return round(amount - alloy, 6) if is_in else amount
