"""What an electronic invoice says, whatever its syntax: the parts of the model EN 16931-1 that feesheet reads.

Amounts are as the file has them: those of a credit note are positive.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Literal

from feesheet.problems import Problem


@dataclass(frozen=True, slots=True)
class Figure:
    """A number of the file and the line where it stands; `value` is None where it can't be read."""

    value: Decimal | None
    row: int


@dataclass(frozen=True, slots=True)
class Adjustment:
    """An allowance, which is taken off, or a charge, which is put on; `adds` is None where nothing says which.

    `reason` is in the lab's words and may name a person; `code` is of UNTDID 5189 or 7161.
    """

    amount: Figure | None
    adds: bool | None
    reason: str
    code: str
    row: int

    @property
    def signed(self) -> Decimal | None:
        """The amount with its sign, None where either is not known."""
        value = self.amount.value if self.amount else None
        return None if value is None or self.adds is None else value if self.adds else -value


@dataclass(slots=True)
class Position:
    """One line of the invoice. `text` is its name and description, which may hold a person's name.

    `price` is for `per` units of the unit code `unit`. A "group" sums up other lines, "information" has no
    price of its own. `parts` are the lines within it. `teeth` are given apart from the text, if at all.
    `case` is what it refers to, not yet hashed.
    """

    row: int
    text: str = ""
    quantity: Figure | None = None
    unit: str = ""
    price: Figure | None = None
    per: Figure | None = None
    amount: Figure | None = None
    adjustments: list[Adjustment] = field(default_factory=list)
    teeth: str = ""
    case: str = ""
    sort: Literal["detail", "group", "information"] = "detail"
    parts: list[Position] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class TaxPart:
    """One rate of the tax breakdown: what is taxed, the rate in percent as the file has it, and the tax."""

    base: Figure | None
    percent: Figure | None
    tax: Figure | None


TotalName = Literal["lines", "allowances", "charges", "net", "tax", "total", "prepaid", "rounding", "due"]


@dataclass(slots=True)
class EInvoice:
    """One invoice or credit note. `references` may name the clinic or, in careless hands, a patient."""

    credit: bool = False
    repeats: bool = False
    replaces: bool = False
    number: str = ""
    day: float = math.nan
    currency: str = ""
    names: list[str] = field(default_factory=list)
    buyers: list[str] = field(default_factory=list)
    deliveries: list[str] = field(default_factory=list)
    references: list[str] = field(default_factory=list)
    positions: list[Position] = field(default_factory=list)
    adjustments: list[Adjustment] = field(default_factory=list)
    tax_parts: list[TaxPart] = field(default_factory=list)
    totals: dict[TotalName, Figure] = field(default_factory=dict)
    other_tax_row: int = 0
    problems: list[Problem] = field(default_factory=list)


CORRECTED_CODE = "384"
"""Corrected invoice (UNTDID 1001)."""

CREDIT_CODES = frozenset({"81", "83", "261", "262", "296", "308", "381", "396", "420", "458", "532"})
"""Codes of UNTDID 1001 for papers that give money back and show it as a positive amount."""


def summed(figures: Iterable[Figure | None]) -> Decimal | None:
    """Their sum, absent ones counted as nothing, None where one can't be read."""
    total = Decimal(0)
    for figure in figures:
        if figure is not None:
            if figure.value is None:
                return None
            total += figure.value
    return total
