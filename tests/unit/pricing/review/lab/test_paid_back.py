"""Credits given to the lines that they are for, on their own invoice and on others."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from lab_audited import GOLD, alloy, audited, line, practice_of

from feesheet.pricing.review.lab import twice
from feesheet.pricing.review.lab.paid_back import credits_of_lines
from feesheet.uses.annual_update import price

CROWN = line(192.0, product=GOLD)
METAL = alloy(290.75, 3.0)
RATE = line(12.5, kind="freight", product="Freight", teeth=None, units=None)


def _credit(amount: float, **more: Any) -> dict[str, Any]:
    """A credit for tooth 16 on a paper of its own, a fortnight later."""
    own = {
        "kind": "credit",
        "product": "Credit",
        "units": None,
        "invoice": "A-9-CN",
        "date": date(2026, 9, 18),
    }
    return line(amount, **{**own, **more})


def _pairs(*lines: dict[str, Any]) -> list[tuple[int, int, float]]:
    """Line, credit and share of each, lines counted from 0."""
    parts = price(practice_of(lines, labs=[{"lab": "lab B"}]))[0].parts
    rows = credits_of_lines(parts)
    numbers = parts["line"].to_numpy()
    return sorted(
        (int(numbers[line - 1]), int(numbers[credit - 1]), float(share))
        for line, credit, share in zip(
            rows["for_line_no"], rows["credit_line_no"], rows["credit_share"], strict=True
        )
    )


def test_a_credit_note_pays_back_the_lines_of_its_teeth_and_amounts() -> None:
    """Crown and alloy were credited on another paper without a case, each by its own amount."""
    assert _pairs(CROWN, METAL, _credit(-192.0), _credit(-290.75)) == [(0, 2, 1.0), (1, 3, 1.0)]
    assert _pairs(CROWN, METAL, _credit(-290.75, kind="alloy", product="alloy")) == [(1, 2, 1.0)]


@pytest.mark.parametrize(
    "other",
    [{"teeth": "17"}, {"teeth": None}, {"site": "Hill"}, {"lab": "lab B"}, {"amount": -191.99}, {"case": "7"},
     {"date": date(2026, 9, 3)}, {"date": date(2027, 4, 1)}, {"kind": "alloy", "product": "alloy"}],
)  # fmt: skip
def test_what_differs_in_one_thing_is_for_no_line(other: dict[str, Any]) -> None:
    """Another tooth, site, lab, amount, a case of its own, before the work or long after, or alloy for a unit: no line of another paper."""
    assert _pairs(CROWN, {**_credit(-192.0), **other}) == []


def test_one_credit_pays_one_line() -> None:
    """Two crowns alike and one credit: that of the invoice which the credit is numbered by, else the latest before it."""
    later = {**CROWN, "invoice": "A-10", "date": date(2026, 9, 11)}
    same_day = {**CROWN, "invoice": "A-11", "date": date(2026, 9, 18)}
    assert _pairs(CROWN, later, same_day, _credit(-192.0)) == [(0, 3, 1.0)]
    assert _pairs(CROWN, later, same_day, _credit(-192.0, invoice="C-1")) == [(1, 3, 1.0)]
    assert _pairs(CROWN, later, _credit(-192.0, invoice="A-91")) == [(1, 2, 1.0)]


def test_one_line_is_paid_back_once() -> None:
    """A second credit of the amount goes to the other crown, a third to none."""
    later = {**CROWN, "invoice": "A-10", "date": date(2026, 9, 11)}
    credits = [_credit(-192.0, invoice=f"C-{number}") for number in (1, 2, 3)]
    assert _pairs(CROWN, later, *credits) == [(0, 3, 1.0), (1, 2, 1.0)]


def test_a_credit_that_its_own_invoice_explains_stays_there() -> None:
    """The same tooth stands on the credit's paper: the credit is for that crown."""
    other = line(142.0, invoice="A-9-CN", date=date(2026, 9, 18))
    assert _pairs(CROWN, other, _credit(-192.0)) == [(1, 2, 1.0)]


def test_a_credit_with_a_case_finds_the_alloy_of_its_unit() -> None:
    """The alloy's line names no case, its unit's does: the credit of its very amount is for the alloy."""
    credit = _credit(-290.75, case="1", teeth=None)
    assert _pairs({**CROWN, "case": "1"}, METAL, credit) == [(1, 2, 1.0)]


def test_a_rebate_on_an_invoice_of_one_case_is_for_no_line() -> None:
    """A discount without teeth is on the whole invoice, though its only case is known."""
    rebate = line(-5.0, kind="discount", product="Discount", teeth=None, units=None)
    assert _pairs({**CROWN, "case": "1"}, rebate) == []


@pytest.mark.parametrize("number", ["A-9-CN", "C-1"])
@pytest.mark.parametrize("case", ["", "1"])
def test_an_invoice_credited_and_issued_again_is_billed_once(number: str, case: str) -> None:
    """Credited on a paper of its own and billed as A-9-R on that day, freight and all: nothing is asked back."""
    work = [{**CROWN, "case": case}, METAL, RATE]
    credits = [_credit(-192.0, invoice=number), _credit(-290.75, invoice=number)]
    issued = [{**row, "invoice": "A-9-R", "date": date(2026, 9, 18)} for row in work]
    assert audited(practice_of([*work, *credits, *issued]), twice).found == []
    assert len(audited(practice_of([*work, *issued]), twice).found) == 3
