"""Small practices of cast crowns for the lab audit of alloy: lines, what one test finds in them, and its table."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from types import ModuleType
from typing import Any

from priced import Rows, read_rows
from truth.test_by_the_page import gold_crown

from feesheet.formula.model import Model
from feesheet.formula.numbers import Numbers
from feesheet.pricing.review.findings import Finding
from feesheet.pricing.review.period import Period, as_of
from feesheet.uses.annual_update import price

Row = dict[str, Any]
DAY, LAST = date(2026, 9, 1), date(2026, 10, 31)
"""The day of a quote: gold at 120 a gram, silver at 2, so that a gram of yellow alloy is worth 96.20 (0.8 x 120 + 0.1 x 2)."""
YEAR = Period(LAST, 12)
YELLOW, PALE = "yellow alloy", "pale alloy"
GOLD, WHITE = "cast gold", "zirconia"


@dataclass(frozen=True)
class Audit:
    """What a test found, and the model that it added to."""

    found: list[Finding]
    model: Model
    numbers: Numbers

    def table(self, block: str) -> list[Row]:
        """The rows of a block as plain values."""
        columns = self.model.blocks[block].columns
        values = {name: list(self.numbers.of(block, name)) for name in columns}
        return [dict(zip(values, row, strict=True)) for row in zip(*values.values(), strict=True)]

    def money_of(self, finding: Finding) -> float:
        """The live figure behind a finding."""
        return float(self.numbers.of(finding.block, "money")[finding.row - 1])


def alloy(amount: float, grams: float, invoice: str, **more: Any) -> Row:
    """An alloy line of one molar by lab A, weighed in grams."""
    plainly = {
        "date": DAY, "invoice": invoice, "lab": "lab A", "site": "North", "kind": "alloy", "product": "alloy",
        "alloy": YELLOW, "teeth": "16", "units": 1, "weight": grams, "weight_unit": "g",
    }  # fmt: skip
    return {**plainly, "amount": amount, **more}


def unit(invoice: str, **more: Any) -> Row:
    """The unit fee of one gold molar by lab A."""
    plainly = {
        "date": DAY, "invoice": invoice, "lab": "lab A", "site": "North", "kind": "unit fee",
        "product": "Full cast crown", "teeth": "16", "units": 1, "amount": 200,
    }  # fmt: skip
    return {**plainly, **more}


def at_price(price: float, count: int = 4, grams: float = 3.0, **more: Any) -> list[Row]:
    """Alloy lines at a price a gram, each with its crown on an invoice of its own."""
    first = more.pop("first", 1)
    return [
        row
        for number in range(first, first + count)
        for row in (
            unit(
                f"A-{number}",
                **{key: value for key, value in more.items() if key in ("lab", "date", "teeth")},
            ),
            alloy(round(price * grams, 2), grams, f"A-{number}", **more),
        )
    ]


def rows_of(lines: Sequence[Row], **lab: Any) -> Rows:
    """The practice with those lines: two alloys of 15.5 and 11 g/cm³, gold crowns and zirconia ones, silver quoted on the day."""
    rows, _ = gold_crown()
    rows["alloys"] = [
        {"alloy": YELLOW, "gold": 0.8, "silver": 0.1, "other": 0.1, "density": 15.5},
        {"alloy": PALE, "gold": 0.2, "silver": 0.7, "copper": 0.1, "density": 11.0},
    ]
    rows["metal_prices"].append({"date": DAY, "metal": "silver", "price": 2, "unit": "gram"})
    rows["materials"].append({**rows["materials"][0], "material": WHITE, "alloy": ""})
    rows["chair_time"] += [{**step, "material": WHITE} for step in rows["chair_time"]]
    rows["fees"].append({**rows["fees"][0], "code": "Z-M", "material": WHITE})
    rows["lab_prices"].append({"lab": "lab A", "material": WHITE, "quoted_price": 150})
    rows["product_map"].append({"wording": "Zirconia crown", "material": WHITE})
    rows["labs"] = [{**rows["labs"][0], **lab}, {**rows["labs"][0], "lab": "lab B"}]
    rows["invoice_lines"] = list(lines)
    return rows


def audit(test: ModuleType, rows: Rows, period: Period = YEAR) -> Audit:
    """One test of the audit over the period, the twelve months to 31 October 2026 unless another is said."""
    practice = as_of(read_rows(rows), period)
    priced = price(practice)[0]
    test.add(priced.model, practice, priced.who, priced.parts)
    numbers = Numbers(priced.model)
    return Audit(test.found(priced.model, practice, priced.who, priced.parts, numbers), priced.model, numbers)
