"""Work seated against what the lab billed for its case: material, and the class of the alloy."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from alloy_audit import PALE, YEAR, Audit, alloy, audit, rows_of, unit
from rows_held import practice_of

from feesheet.formula.numbers import Numbers
from feesheet.pricing.review.lab import prescribed
from feesheet.pricing.review.period import as_of
from feesheet.uses.annual_update import price


def _found(code: str, *lines: dict[str, Any], **seated: Any) -> Audit:
    rows = rows_of([{**line, "case": "K-77"} for line in lines], dispute_days=90)
    plainly = {"seated_on": date(2026, 9, 20), "code": code, "site": "North", "units": 1, "case": "k-77"}
    rows["seated"] = [{**plainly, **seated}]
    return audit(prescribed, rows)


def test_another_material_than_was_seated() -> None:
    """Zirconia seated, a gold crown with its alloy billed: both lines, 200 and 360; gold seated: nothing."""
    lines = (unit("A-1"), alloy(360, 3, "A-1"))
    found = _found("Z-M", *lines)

    (one,) = found.found
    assert (one.kind, one.lines, one.days_left) == ("not as prescribed", (0, 1), 30)
    assert one.money == pytest.approx(560) == found.money_of(one)
    assert one.sentence == (
        "Invoice A-1 of 1 September 2026, 2 lines for tooth 16 (ISO): 560.00 EUR were billed for cast gold (yellow alloy, "
        "high noble), while zirconia was ordered and seated. Please tell us what was made, and send us the certificate."
    )
    assert "77" not in one.sentence
    assert _found("G-M", *lines).found == []


def test_case_50_high_noble_ordered_base_alloy_billed() -> None:
    """The right material in an alloy of another class: the alloy's line alone."""
    found = _found("G-M", unit("A-1"), alloy(180, 3, "A-1", alloy=PALE))
    assert [(one.lines, one.money) for one in found.found] == [((1,), 180.0)]
    assert (
        "cast gold (pale alloy, predominantly base), while cast gold (yellow alloy, high noble)"
        in found.found[0].sentence
    )


@pytest.mark.parametrize("seated", [{"case": "K-78"}, {"units": -1}, {"case": None}])
def test_work_of_no_such_case_is_not_compared(seated: dict[str, Any]) -> None:
    """Another case, a row taken back, no case: no line stands in the table."""
    assert _found("Z-M", unit("A-1"), **seated).table("prescribed_lines") == []


def test_two_works_of_one_case() -> None:
    """A gold and a zirconia crown seated of one case: each line finds its own."""
    rows = rows_of([unit("A-1", case="K-1"), unit("A-1", case="K-1", product="Zirconia crown", teeth="26")])
    plainly = {"seated_on": date(2026, 9, 20), "site": "North", "units": 1, "case": "K-1"}
    rows["seated"] = [{**plainly, "code": "Z-M"}, {**plainly, "code": "G-M"}]
    assert audit(prescribed, rows).found == []


def test_a_copy_of_an_invoice_is_not_compared() -> None:
    """The invoice stands in two files: its line is one finding's, once."""
    rows = rows_of([unit("A-1", case="K-1")] * 2)
    rows["seated"] = [
        {"seated_on": date(2026, 9, 20), "code": "Z-M", "site": "North", "units": 1, "case": "K-1"}
    ]
    practice = as_of(practice_of(rows, ["one.xlsx", "two.xlsx"]), YEAR)
    priced = price(practice)[0]
    prescribed.add(priced.model, practice, priced.who, priced.parts)

    assert list(priced.parts["copy"]) == [False, True]
    (one,) = prescribed.found(priced.model, practice, priced.who, priced.parts, Numbers(priced.model))
    assert (one.lines, one.money) == ((0,), 200)


def test_alloy_is_compared_by_the_case_of_its_unit() -> None:
    """The case stands on the crown alone: its alloy is asked about too; alloy of another tooth is not."""
    rows = rows_of([unit("A-1", case="K-1"), alloy(360, 3, "A-1"), alloy(120, 1, "A-1", teeth="26")])
    rows["seated"] = [
        {"seated_on": date(2026, 9, 20), "code": "Z-M", "site": "North", "units": 1, "case": "K-1"}
    ]
    (one,) = audit(prescribed, rows).found
    assert (one.lines, one.money) == ((0, 1), 560)
