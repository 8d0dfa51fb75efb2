"""Rows whose quantity × price is not their amount: what each should come to, and one notice for a file."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from feesheet import number_words
from feesheet.problems import Problem
from feesheet.reading.gate import column_letters
from feesheet.reading.invoices.amounts import number
from feesheet.reading.invoices.columns import Columns
from feesheet.reading.invoices.evidence import Evidence
from feesheet.reading.invoices.wordings import Misfit, Reading

_DO = "The amount charged is kept; ask the lab which is right."


def told(found: Sequence[Misfit]) -> list[Problem]:
    """One notice at the first row, with the number of rows and what they are off by together."""
    if not found:
        return []
    first, off = found[0], math.fsum(abs(one.gap) for one in found)
    gap = f"{abs(first.gap):,.2f} {'less' if first.gap > 0 else 'more'}"
    what = f"{first.words}: {gap}."
    if len(found) > 1:
        what = f"Quantity × price is not the amount in {len(found):,} rows (the first: {first.words}), {off:,.2f} in all."
    cell = f"{column_letters(first.column + 1)}{first.row + 1}"
    return [Problem("does not match its total", what, _DO, "", first.sheet, cell)]


@dataclass(frozen=True)
class Discounted:
    """What quantity × price can come to after the discount in the row's own columns."""

    row: list[Any]
    columns: Columns
    reading: Reading

    def fits(self, whole: float) -> list[float]:
        """A column of discounts holds money or a share; a share is a fraction or out of a hundred."""
        rate = self._share("discount_rate")
        if not math.isnan(rate):
            return [whole * (1 - rate)]
        off = number(self.row, self.columns.column("discount"), self.reading)
        share = self._share("discount")
        money = [whole if math.isnan(off) else whole - abs(off)]
        return money if math.isnan(share) else [*money, whole * (1 - share)]

    def _share(self, name: str) -> float:
        """The share in a column, as a fraction; NaN where it has none."""
        at = self.columns.column(name)
        value = _percent(self.row[at], self.reading.evidence) if 0 <= at < len(self.row) else math.nan
        if math.isnan(value):
            value = abs(number(self.row, at, self.reading))
            value = value / 100 if value > 1 else value
        return abs(value) if abs(value) <= 1 else math.nan


def _percent(cell: Any, evidence: Evidence) -> float:
    """The fraction that a text such as "10 %" names, NaN for others."""
    word = number_words.taken_apart(cell) if isinstance(cell, str) else None
    value = number_words.value(word, evidence.decimal) if word is not None and word.percent else None
    return math.nan if value is None else value
