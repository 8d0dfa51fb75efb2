"""Typed columns that may be typed over in the workbook."""

from __future__ import annotations

from feesheet.formula.model import Block
from feesheet.practice import Practice
from feesheet.tables import TABLES


def entry(
    block: Block,
    practice: Practice,
    table: str,
    field: str,
    heading: str,
    unit: str,
    name: str = "",
) -> None:
    """A typed column of an input table as cells that may be typed over."""
    declared = TABLES[table].field(field)
    values = practice.tables[table][field].fillna(declared.default or 0.0).to_numpy()
    block.given(
        name or field,
        heading,
        [float(value) for value in values],
        unit,
        entry=True,
        low=declared.low,
        high=declared.high,
        places=[practice.place(table, p, field) for p in range(len(values))],
        meaning=declared.help,
    )
