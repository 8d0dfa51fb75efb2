"""Units held against the teeth that the line names."""

from __future__ import annotations

from typing import Any

import pytest
from lab_audited import GOLD, Audited, audited, line, money_is_live, practice_of

from feesheet.pricing.review.lab import line_sums, price_list, teeth_named


def _found(*lines: dict[str, Any], **more: Any) -> Audited:
    return audited(practice_of(lines, **more), teeth_named)


def test_three_units_for_two_teeth_are_found() -> None:
    """The third is asked back, or what it is for."""
    one = _found(line(426.0, teeth="16, 26", units=3))
    (finding,) = one.found

    assert (finding.kind, finding.lines, finding.money) == ("units over teeth", (0,), pytest.approx(142.0))
    assert finding.sentence == (
        "Invoice A-9 of 4 September 2026, teeth 16 and 26 (ISO): 3 units of zirconia were billed for 2 teeth. "
        "Please credit 142.00 EUR, or tell us what the 1 unit more was for."
    )
    assert money_is_live(one)


@pytest.mark.parametrize(
    ("teeth", "units", "over"),
    [
        ("14-16", 3, 0), ("14-16", 4, 1), ("14x16", 3, 0), ("11-21", 2, 0), ("16", 1, 0), ("16", 3, 2), ("14, 15, 16", 2, 0),
        ("16, 26, 16", 3, 0), ("14-16, 16", 4, 0), (None, 3, 0), ("UR", 3, 0), ("upper", 3, 0), ("16 (A3)", 1, 0), ("55", 2, 0),
        ("16", None, 0),
    ],
)  # fmt: skip
def test_a_span_is_all_its_teeth(teeth: str | None, units: int | None, over: int) -> None:
    """Spans and lists are counted; jaws, no teeth, primary teeth and a tooth of two patients tell nothing."""
    found = _found(line(142.0 * (units or 1), teeth=teeth, units=units)).found
    assert [one.money for one in found] == [pytest.approx(142.0 * over)] * (over > 0)


@pytest.mark.parametrize(
    "other",
    [
        {"kind": "extra"}, {"kind": "remake"}, {"role": "implant"}, {"product": "Something new"}, {"amount": 0.0},
        {"product": "Zirconia crown, screw retained"},
    ],
)  # fmt: skip
def test_what_is_no_crown_on_a_tooth_is_left_out(other: dict[str, Any]) -> None:
    """Extras, remakes, implants with their parts and products without a material may have any number of units."""
    named = {"product_map": [{"wording": "Zirconia crown, screw retained", "material": "zirconia"}]}
    assert len(_found(line(284.0, units=2), tables=named).found) == 1
    assert _found(line(284.0, units=2) | other, tables=named).found == []


def test_a_wrong_sum_is_not_asked_twice() -> None:
    """3 × 142.00 is 426.00 and 456.00 was charged: 30.00 for the sum, 142.00 for the third unit."""
    practice = practice_of([line(456.0, teeth="16,26", units=3, unit_price=142.0)])
    found = {one.kind: one.money for one in audited(practice, line_sums, teeth_named).found}
    assert found == {"units times price": pytest.approx(30.0), "units over teeth": pytest.approx(142.0)}


def test_what_is_above_the_list_is_not_asked_twice() -> None:
    """3 units at 150.00 are 24.00 above the list; the third unit is then the list's 142.00, and both are all over 284.00."""
    practice = practice_of([line(450.0, teeth="16,26", units=3)])
    found = {one.kind: one.money for one in audited(practice, price_list, teeth_named).found}
    assert found == {"over the price list": pytest.approx(24.0), "units over teeth": pytest.approx(142.0)}


def test_a_credit_settles_it() -> None:
    """What came back for the line is taken off, in part or whole."""
    credit = {"kind": "credit", "product": "Credit", "units": None}
    lines = line(426.0, teeth="16,26", units=3), line(-42.0, teeth="16,26", **credit)
    (finding,) = _found(*lines).found
    assert finding.money == pytest.approx(100.0)
    assert "42.00 EUR of it was taken off already. Please credit 100.00 EUR" in finding.sentence
    assert _found(lines[0], line(-142.0, teeth="16,26", **credit)).found == []


def test_a_line_of_two_regions_is_one_finding() -> None:
    """Teeth of several regions are all counted."""
    assert _found(line(568.0, teeth="11,15,16", units=3)).found == []
    (finding,) = _found(line(768.0, teeth="11,15,16", units=4, product=GOLD)).found
    assert finding.money == pytest.approx(192.0)


def test_work_that_is_asked_back_whole_is_left_out() -> None:
    """Billed on a second invoice, the line is asked back whole."""
    first = line(426.0, teeth="16,26", units=3, case="1")
    assert [one.lines for one in _found(first, {**first, "invoice": "A-10"}).found] == [(0,)]
