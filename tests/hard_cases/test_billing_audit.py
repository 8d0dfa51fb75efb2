"""Hard cases as the lab audit sees them: what is asked of the lab, and what is not."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from invoiced import paper
from lab_audited import GOLD, alloy, audited, line, practice_of

from feesheet.pricing.review.findings import Finding
from feesheet.pricing.review.lab import credits, included, line_sums, no_metal, price_list, totals, twice

TESTS = (twice, line_sums, price_list, no_metal, included, credits, totals)


def _found(*lines: dict[str, Any], **more: Any) -> list[Finding]:
    return audited(practice_of(lines, **more), *TESTS).found


def _kinds(found: list[Finding]) -> list[str]:
    return [one.kind for one in found]


def test_case_05_a_copy_is_nothing_to_ask_for() -> None:
    """The same invoice number on the same lines is a copy: nobody was charged twice."""
    assert (
        _found(line(142.0, case="1"), papers=[paper("A-9", 142.0), paper("A-9", 142.0, repeats=True)]) == []
    )


def test_case_24_a_sum_that_is_too_small_stays_with_the_lab() -> None:
    """3 × 145.00 charged at 425.00 is 10.00 less, and no claim; at 445.00 it is 10.00 to ask for."""
    three = {"teeth": "14,15,16", "units": 3, "unit_price": 145.0, "product": GOLD}
    assert _found(line(425.0, **three)) == []
    assert [(one.kind, round(one.money, 2)) for one in _found(line(445.0, **three))] == [
        ("units times price", 10.0)
    ]


def test_case_33_the_units_of_a_bridge_are_held_against_the_list() -> None:
    """Three units at the list's price are in order, though the line is dearer than one crown."""
    bridge = {"teeth": "14-16", "units": 3, "role": "bridge"}
    assert _found(line(426.0, **bridge)) == []
    assert [round(one.money, 2) for one in _found(line(456.0, **bridge))] == [30.0]


def test_case_62_alloy_of_a_bridge_on_one_line() -> None:
    """One line of 4.2 g for three units is neither too much nor twice."""
    bridge = {"teeth": "14-16", "units": 3}
    assert _found(line(576.0, product=GOLD, **bridge), alloy(405.09, 4.2, unit_price=96.45, **bridge)) == []


def test_case_67_a_remake_at_half_price() -> None:
    """Half of the price is within what is reckoned with; whether it is due at all is asked."""
    (one,) = _found(line(71.0, kind="remake", case="1"))
    assert (one.kind, one.money) == ("remake to settle", pytest.approx(71.0))
    assert one.sentence.endswith(
        "That is within the 50 % of the list price that we reckon with for a remake, here 71.00 EUR. "
        "Please tell us on whose side the cause was, and credit it if it was on yours."
    )


def test_case_68_a_remake_and_its_credit() -> None:
    """Charged and credited by its case, nothing is open."""
    credit = line(
        -142.0,
        kind="remake credit",
        product="Credit",
        units=None,
        case="1",
        invoice="A-10",
        date=date(2026, 9, 20),
    )
    assert _found(line(142.0, kind="remake", case="1"), credit) == []


def test_case_70_an_invoice_of_less_than_nothing() -> None:
    """It agrees with its total: no difference is found."""
    credit = line(-242.0, kind="credit", product="Credit", teeth=None, units=None)
    assert _found(line(142.0), credit, papers=[paper("A-9", -100.0)]) == []


def test_case_75_a_deposit_comes_back() -> None:
    """Returned it is settled, not returned it is asked for."""
    paid = line(50.0, kind="deposit", product="Return deposit", units=None)
    assert _kinds(_found(paid)) == ["credit open"]
    assert _found(paid, {**paid, "amount": -50.0}) == []


def test_case_76_another_lab_is_another_work() -> None:
    """The same tooth at a second lab three weeks later is asked of the practice, not charged to either lab as twice."""
    second = line(142.0, lab="lab B", invoice="B-1", date=date(2026, 9, 25), case="88")
    assert _found(line(142.0, case="1"), second, labs=[{"lab": "lab B"}]) == []


def test_case_77_two_days_left_to_claim() -> None:
    """28 of 30 days have gone: 2 are left, and the words for the lab don't say so."""
    (one,) = _found(line(142.0, kind="remake", case="1", date=date(2026, 9, 2)), dispute_days=30)
    assert one.days_left == 2
    assert "dispute" not in one.sentence


def test_case_78_cancelled_in_the_making() -> None:
    """A part charged for work that was never finished is no unit: the price list says nothing of it."""
    assert _found(line(160.0, kind="extra", product="Cancelled in production, partial charge")) == []
