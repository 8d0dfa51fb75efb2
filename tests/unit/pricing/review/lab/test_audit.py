"""The lab audit as a whole: a line that is asked back whole is asked for nothing more."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from alloy_audit import LAST, Rows, alloy, at_price, rows_of, unit
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
