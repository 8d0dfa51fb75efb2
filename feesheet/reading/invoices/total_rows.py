"""Rows of totals, and tables of how old debts are: which amount they state, and of what."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from feesheet.reading.invoices.evidence import Evidence
from feesheet.reading.invoices.headings import AMOUNTS, Heading
from feesheet.reading.invoices.sections import text_at, total_label
from feesheet.reading.invoices.vocabulary import Vocabulary, label_words
from feesheet.schema import plain


@dataclass(slots=True)
class Check:
    """A row of totals: what sort it is, its cell (from 0), its amount, its words, the lines before it."""

    kind: str
    row: int
    column: int
    amount: float
    text: str
    before: int


@dataclass(frozen=True)
class TotalRows:
    """Reads rows of totals under a heading, `before` lines of the paper being above them."""

    heading: Heading | None
    vocabulary: Vocabulary
    evidence: Evidence
    before: int

    def beside(self, kind: str, index: int, at: int, row: Sequence[Any]) -> list[Check]:
        """The total whose words stand in column `at`, and the one without tax beside it; none where no amount is."""
        column, amount = amount_in(row, at, self.heading, self.evidence)
        if math.isnan(amount):
            return []
        return [*self._net(kind, index, at, row), self._check(kind, index, column, amount, row, at)]

    def below(self, index: int, row: Sequence[Any], under: Sequence[Any]) -> list[Check]:
        """Totals whose words stand side by side, with their amounts in the row below; none if it holds words."""
        if any(_has_letters(cell) for cell in under):
            return []
        found = []
        for at, cell in enumerate(row[: len(under)]):
            kind = self.vocabulary.total(cell) if isinstance(cell, str) and cell else ""
            value = self.evidence.plain_number(under[at]) if kind else math.nan
            if not math.isnan(value):
                found.append(self._check(kind, index + 1, at, value, row, at))
        return found

    def _net(self, kind: str, index: int, at: int, row: Sequence[Any]) -> list[Check]:
        columns = self.heading.columns if self.heading else {}
        if kind != "total" or not {"net", "gross"} <= set(columns) or columns["net"] >= len(row):
            return []
        net = self.evidence.plain_number(row[columns["net"]])
        return [] if math.isnan(net) else [self._check("net", index, columns["net"], net, row, at)]

    def _check(self, kind: str, index: int, column: int, amount: float, row: Sequence[Any], at: int) -> Check:
        return Check(kind, index, column, amount, text_at(row, at), self.before)


def _has_letters(cell: Any) -> bool:
    return isinstance(cell, str) and any(sign.isalpha() for sign in cell)


def is_product(
    kind: str,
    row: Sequence[Any],
    at: int,
    heading: Heading | None,
    vocabulary: Vocabulary,
    evidence: Evidence,
) -> bool:
    """Whether a row with a total's words in column `at` is a line: it has teeth, or a price of its own.

    In a list of several invoices, tax with an invoice's number is a line of that invoice. Words of a total in a
    column of other things, beside a product with its price, make no total.
    """
    columns = heading.columns if heading is not None else {}
    product = columns.get("description", -1)
    words = text_at(row, product)
    if heading is None or (at != product and (not words or vocabulary.total(words) != "")):
        return False
    if kind == "tax" and at == product and text_at(row, columns.get("invoice", -1)):
        return True
    price = columns.get("unit_price", -1) if any(name in columns for name in AMOUNTS) else -1
    has_price = 0 <= price < len(row) and isinstance(evidence.number(row[price]), float)
    return has_price or text_at(row, columns.get("teeth", -1)) != ""


def amount_in(row: Sequence[Any], at: int, heading: Heading | None, evidence: Evidence) -> tuple[int, float]:
    """A total's column and amount: in a column of amounts, else the last number, else inside the words at `at`."""
    columns = heading.columns if heading else {}
    order = [columns[name] for name in ("gross", *AMOUNTS) if name in columns]
    for column in [*order, *range(len(row) - 1, -1, -1)]:
        if column < len(row) and column != at and row[column] not in ("", None):
            value = evidence.plain_number(row[column])
            if not math.isnan(value):
                return column, value
    text = text_at(row, at)
    for words in (text.rpartition(":")[2], text.rpartition(" ")[2]):
        value = evidence.plain_number(words) if any(sign.isdigit() for sign in words) else math.nan
        if not math.isnan(value):
            return at, value
    return at, math.nan


def ageing_rows(row: Sequence[Any], under: Sequence[Any], vocabulary: Vocabulary) -> int:
    """How many rows from this one tell how old debts are: 0 for other rows, 2 where the amounts stand below."""
    texts = [cell for cell in row if isinstance(cell, str) and cell.strip()]
    hits = [text for text in texts if len(text) < 30 and _is_age(text)]
    if not hits or (not any(_has_letters(text) for text in hits) and len(hits) < 3):
        return 0
    if len(hits) == 1 and hits[0] is not texts[0]:
        return 0
    if len(hits) == 1 or not any(cell not in ("", None) for cell in under):
        return 1
    has_words = any(_has_letters(cell) for cell in under)
    return 1 if has_words and total_label(under, vocabulary)[0] else 2


@lru_cache(maxsize=20_000)
def _is_age(text: str) -> bool:
    return plain(text.partition(":")[0]) in label_words("ageing")
