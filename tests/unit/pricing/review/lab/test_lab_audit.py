"""The lab audit as a whole: a line that is asked back whole is asked for nothing more."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from alloy_audit import LAST, PALE, Rows, alloy, at_price, rows_of, unit
from priced import read_rows

from feesheet.formula.model import Setting
from feesheet.pricing.review.findings import Finding
from feesheet.pricing.review.lab.audit import asked_once, findings
from feesheet.pricing.review.lab.every import TESTS
from feesheet.pricing.review.period import Period, as_of
from feesheet.uses.annual_update import price


def _found(rows: Rows) -> list[Finding]:
    practice = as_of(read_rows(rows), Period(LAST, 12))
    priced = price(practice)[0]
    priced.model.settings["least_finding"] = Setting(
        "least_finding", "Smallest finding", "money", 1.0, "typed", 0.0, 1e6
    )
    return findings(TESTS, priced.model, practice, priced.who, priced.parts, priced.numbers)


def _kinds(rows: Rows, line: int) -> set[str]:
    return {one.kind for one in _found(rows) if line in one.lines[:1]}


@pytest.mark.parametrize(
    ("lines", "line", "kinds"),
    [
        ([unit("A-9"), alloy(1800.0, 9.0, "A-9")], 9, {"alloy premium", "grams"}),
        ([unit("A-9", product="Zirconia crown", amount=150), alloy(1800.0, 9.0, "A-9")], 9, {"alloy without metal"}),
        ([unit("A-9"), alloy(1800.0, 9.0, "A-9"), alloy(1800.0, 9.0, "A-9")], 10, {"alloy in the price"}),
        (
            [
                unit("A-9", case="1"), alloy(1800.0, 9.0, "A-9", case="1"),
                unit("A-10", case="1", date=date(2026, 9, 9)),
                alloy(1800.0, 9.0, "A-10", case="1", date=date(2026, 9, 9)),
            ],
            11,
            {"billed twice"},
        ),
    ],
)  # fmt: skip
def test_an_alloy_line_that_is_asked_back_whole_is_asked_back_once(
    lines: list[dict[str, Any]], line: int, kinds: set[str]
) -> None:
    """9 g at 200 a gram are dear and heavy; where the whole line is asked back, neither is asked for too."""
    assert _kinds(rows_of([*at_price(120.25), *lines]), line) == kinds


def test_the_first_of_two_equal_works_may_still_be_dear() -> None:
    """Of work on two invoices only the later one is asked back whole."""
    first = [
        Finding("billed twice", "lab A", "North", "A-10", (11, 9), "twice_tests", 1, 1800.0, ""),
        Finding("grams", "lab A", "North", "A-9", (9,), "gram_tests", 5, 700.0, ""),
    ]
    assert asked_once(first) == first
    later = Finding("grams", "lab A", "North", "A-10", (11,), "gram_tests", 6, 700.0, "")
    assert asked_once([*first, later]) == first


def test_both_findings_of_a_line_come_to_no_more_than_its_amount() -> None:
    """Premium and grams together are the amount less the usual grams at the price held against."""
    rows = rows_of([*at_price(120.25), unit("A-9"), alloy(1800.0, 9.0, "A-9")])
    assert sum(one.money for one in _found(rows) if one.lines == (9,)) == pytest.approx(1800 - 3 * 120.25)


def _of_every_sort(mill: str) -> Rows:
    """Lab A's lines give reason for many findings; the mill in the house goes by that name."""
    again, crown = {"case": "1", "date": date(2026, 9, 9)}, {"product": "Zirconia crown", "amount": 150}
    rows = rows_of(
        [
            *at_price(120.25), unit("A-9"), alloy(1800.0, 9.0, "A-9"),
            unit("A-10"), alloy(180.0, 3.0, "A-10", alloy=PALE, alloy_class="noble"),
            unit("A-11", case="1", **crown), unit("A-12", **again, **crown),
            unit("A-13", case="5"), unit("A-14", unit_price=150), unit("A-15", **crown), alloy(90.0, 1.0, "A-15"),
            unit("A-16", kind="remake"),
        ]
    )  # fmt: skip
    rows["seated"] = [
        {"seated_on": date(2026, 9, 20), "code": "Z-M", "site": "North", "units": 1, "case": "5"}
    ]
    rows["lab_prices"] = [row for row in rows["lab_prices"] if row["material"] != "zirconia"]
    rows["milling"] = [
        {
            "lab": mill, "material": "zirconia", "site": "North", "machine_cost_month": 1200, "units_month": 30,
            "block": 24, "burs": 3, "role": "assistant", "staff_min": 25,
        }
    ]  # fmt: skip
    return rows


def test_the_own_mill_is_asked_about_nothing() -> None:
    """What is many kinds of finding at a lab is none at the practice's own mill, however its name is spelled."""
    kinds = {one.kind for one in _found(_of_every_sort("lab B"))}
    assert kinds >= {
        "alloy premium", "grams", "class", "not as prescribed", "billed twice", "units times price", "alloy without metal",
    }  # fmt: skip
    assert _found(_of_every_sort("Lab  a")) == []
