"""What a whole file shows: its decimal mark and the order of its dates; and its cells read by that."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from feesheet import number_words, reference
from feesheet.reading import date_words
from feesheet.reading.cells import EPOCH
from feesheet.reading.grids import Marked
from feesheet.reading.invoices.sections import Part
from feesheet.reading.no_charge import is_free

NUMBERS = (
    "quantity", "unit_price", "amount", "net", "gross", "tax", "discount", "weight", "alloy_price",
    "alloy_amount", "charges", "credits", "balance",
)  # fmt: skip
"""Fields whose cells show how the file writes decimals."""
_CODES = {
    "$": "",
    "€": "EUR",
    "£": "GBP",
    "₹": "INR",
    "₩": "KRW",
    "₪": "ILS",
    "₽": "RUB",
    "₺": "TRY",
    "฿": "THB",
}
"""Signs that stand for one currency; "$" and "¥" stand for several."""
_DOLLARS = {
    "US$": "USD",
    "CA$": "CAD",
    "C$": "CAD",
    "AU$": "AUD",
    "A$": "AUD",
    "NZ$": "NZD",
    "HK$": "HKD",
    "S$": "SGD",
}
_COUNT = re.compile(r"[x×]?\s*(\d+(?:[.,]\d+)?)\s*(?:x|×|[A-Za-z]{1,6}\.?)?")
_FIRST_SERIAL, _LAST_SERIAL = 29221, 73415
"""Days that spreadsheet programs count for 1980 and 2100."""
_SERIAL_OFFSET = 25569


@dataclass(frozen=True)
class Trouble:
    """A cell that is no number: the kind of its problem, or "free" for a word that says nothing is charged."""

    kind: str


@dataclass
class Evidence:
    """How one file writes numbers and dates, with the answers for texts seen before.

    `marks` and `orders` hold each decimal mark and date order that some text shows for certain.
    """

    marks: dict[str, str] = field(default_factory=dict)
    orders: dict[str, str] = field(default_factory=dict)
    currencies: set[str] = field(default_factory=set)
    order: str = ""
    _numbers: dict[str, float | Trouble | None] = field(default_factory=dict)
    _days: dict[str, float | None] = field(default_factory=dict)

    @property
    def decimal(self) -> str:
        """The file's decimal mark; a point where nothing shows one."""
        return next(iter(self.marks), ".")

    def number(self, cell: Any) -> float | Trouble | None:
        """The cell's number, None for a blank, `Trouble` for anything else."""
        kind = type(cell)
        if kind is float:
            return cell if math.isfinite(cell) else Trouble("not a number")
        if kind is str:
            if cell not in self._numbers:
                self._numbers[cell] = self._typed(cell.strip())
            return self._numbers[cell]
        if cell is None:
            return None
        if isinstance(cell, Marked):
            return Trouble(cell.kind)
        return float(cell) if isinstance(cell, int) and kind is not bool else Trouble("not a number")

    def _typed(self, text: str) -> float | Trouble | None:
        if not text:
            return None
        if is_free(text):
            return Trouble("free")
        for sign, code in _DOLLARS.items():
            if sign in text:
                self.currencies.add(code)
                text = text.replace(sign, "$")
        word = number_words.taken_apart(text)
        if word is None or word.percent:
            return Trouble("not a number")
        self.currencies.update([code] if (code := _code(word.currency)) else [])
        own = number_words.decimal_of(word.body)
        mark = own or (next(iter(self.marks)) if len(self.marks) == 1 else "")
        if not mark and any(sign in word.body for sign in ".,"):
            return Trouble("unclear number")
        value = number_words.value(word, mark or ".")
        return Trouble("unclear number") if value is None else value

    def count(self, cell: Any) -> float:
        """A quantity, also with its unit as in "2 ea" or "x3"; NaN if it is none."""
        value = self.number(cell)
        if isinstance(value, float):
            return value
        match = _COUNT.fullmatch(cell.strip()) if value is not None and isinstance(cell, str) else None
        return float(match[1].replace(",", ".")) if match else math.nan

    def plain_number(self, cell: Any) -> float:
        """The cell's number, NaN for a blank and for anything else."""
        value = self.number(cell)
        return value if isinstance(value, float) else math.nan

    def day(self, cell: Any) -> float | None:
        """Days since 1970 of a date cell, NaN for a blank or no date, None for one that can be read in two ways."""
        if isinstance(cell, datetime | date):
            return float(cell.toordinal() - EPOCH)
        if isinstance(cell, str):
            if cell not in self._days:
                self._days[cell] = self._typed_day(cell.strip())
            return self._days[cell]
        if isinstance(cell, float | int) and not isinstance(cell, bool) and float(cell).is_integer():
            if _FIRST_SERIAL <= cell <= _LAST_SERIAL:
                return float(cell) - _SERIAL_OFFSET
            return self.day(str(int(cell))) if 19800101 <= cell <= 21001231 else math.nan
        return math.nan

    def _typed_day(self, text: str) -> float | None:
        if len(text) == 5 and text.isdigit() and _FIRST_SERIAL <= int(text) <= _LAST_SERIAL:
            return float(int(text) - _SERIAL_OFFSET)
        found = date_words.plain_date(text)
        if found is None:
            known = date_words.meant(text, self.orders)
            if len(set(known.values())) > 1 and self.order not in known:
                return None
            found = known.get(self.order) or next(iter(known.values()), None)
        return math.nan if found is None else float(found.toordinal() - EPOCH)


def _code(sign: str) -> str:
    return sign if sign in reference.minor_digits() else _CODES.get(sign, "")


def gathered(parts: Sequence[Part], decimal: str, date_order: str, habit: str) -> Evidence:
    """The evidence of all papers of a file. A layout's own marks count before it, the lab's `habit` after it."""
    numbers: list[str] = []
    days: list[str] = []
    for part in parts:
        days += [
            fact.value.strip()
            for fact in part.facts()
            if "date" in fact.field and isinstance(fact.value, str)
        ]
        for cells, wanted in ((_texts(part, NUMBERS), numbers), (_texts(part, ("date",)), days)):
            wanted += cells
    marks = {decimal: ""} if decimal else number_words.decimal_marks(dict.fromkeys(numbers))
    orders = date_words.orders(dict.fromkeys(days))
    order = date_order or (next(iter(orders)) if len(orders) == 1 else "" if orders else habit)
    return Evidence(marks, orders, order=order)


def _texts(part: Part, names: Iterable[str]) -> list[str]:
    """The texts that stand in those columns of a part."""
    first = part.first_heading
    columns = [first.columns[name] for name in names if name in first.columns] if first else []
    rows = part.grid.rows[part.start : part.end]
    if not first:
        return [cell for row in rows for cell in row if type(cell) is str]
    return [cell for at in columns for row in rows if at < len(row) and type(cell := row[at]) is str and cell]
