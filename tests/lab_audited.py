"""A small practice of two materials and two labs, and what the tests of its labs' lines find in it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from invoiced import line as _line
from rows_held import practice_of as held
from truth.test_by_the_page import gold_crown

from feesheet.formula.numbers import Numbers
from feesheet.practice import Practice
from feesheet.pricing.review.findings import Finding
from feesheet.pricing.review.lab.audit import Test
from feesheet.uses.annual_update import Priced, price

Row = dict[str, Any]

GOLD, ZIRCONIA = "Full cast crown", "Zirconia crown"
GOLD_PRICE, ZIRCONIA_PRICE = 192.0, 142.0
LAST = date(2026, 9, 30)
"""The pricing date: the last day of the period."""


def line(amount: float, **more: Any) -> Row:
    """A unit fee of one zirconia crown for tooth 16 on invoice A-9 of lab A on 4 September 2026, or whatever else is said."""
    plainly = {"date": date(2026, 9, 4), "product": ZIRCONIA, "teeth": "16", "units": 1}
    return _line(amount, **{**plainly, **more})


def alloy(amount: float, weight: float, **more: Any) -> Row:
    """Alloy by weight in grams, for tooth 16."""
    return line(amount, **{"kind": "alloy", "product": "alloy", "weight": weight, "weight_unit": "g", **more})


def practice_of(
    lines: Sequence[Row],
    *,
    labs: Iterable[Row] = (),
    papers: Sequence[Row] = (),
    entries: Sequence[Row] = (),
    tables: dict[str, list[Row]] | None = None,
    **lab: Any,
) -> Practice:
    """Lab A (and more of them) with these lines; `lab` is what else the row of lab A says, `tables` what else other tables hold."""
    rows, _ = gold_crown()
    rows["practice"][0]["pricing_date"] = LAST
    gold = rows["materials"][0]
    rows["materials"].append({**gold, "material": "zirconia", "alloy": ""})
    rows["product_map"].append({"wording": ZIRCONIA, "material": "zirconia"})
    rows["labs"] = [{**rows["labs"][0], **lab}, *({**rows["labs"][0], **more} for more in labs)]
    rows["lab_prices"].append({"lab": "lab A", "material": "zirconia", "quoted_price": ZIRCONIA_PRICE})
    for name, more in (tables or {}).items():
        rows[name] = [*rows.get(name, []), *more]
    rows["invoice_lines"] = list(lines)
    return held(rows, documents=papers, entries=entries)


@dataclass(frozen=True)
class Audited:
    """A priced practice with the blocks of some tests and what they found."""

    priced: Priced
    numbers: Numbers
    found: list[Finding]

    def column(self, block: str, name: str) -> list[Any]:
        """A column as plain values."""
        return list(self.numbers.of(block, name))


def audited(practice: Practice, *tests: Any) -> Audited:
    """The practice through those tests, in that order."""
    priced, _ = price(practice)
    numbers, found = Numbers(priced.model), []
    for test in tests:
        one: Test = test
        one.add(priced.model, practice, priced.who, priced.parts)
    for test in tests:
        found += test.found(priced.model, practice, priced.who, priced.parts, numbers)
    return Audited(priced, numbers, found)


def money_is_live(one: Audited) -> bool:
    """Whether every finding's money is the figure that its block shows in its row."""
    return all(
        abs(float(one.numbers.of(found.block, "money")[found.row - 1]) - found.money) < 1e-9
        for found in one.found
    )
