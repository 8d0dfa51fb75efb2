"""Alloy for work that holds none."""

from __future__ import annotations

import pytest
from lab_audited import GOLD, Audited, alloy, audited, line, money_is_live, practice_of

from feesheet.pricing.review.lab import included, no_metal

SURCHARGE = {"kind": "alloy surcharge", "product": "Alloy surcharge", "units": None}


def _found(*lines: dict[str, object]) -> Audited:
    return audited(practice_of(lines), no_metal)


def test_alloy_for_the_teeth_of_a_ceramic_crown_is_found() -> None:
    """Its whole amount is asked back."""
    one = _found(line(142.0), alloy(290.75, 3.0))
    (finding,) = one.found

    assert (finding.kind, finding.lines, finding.money) == (
        "alloy without metal",
        (1,),
        pytest.approx(290.75),
    )
    assert finding.sentence == (
        "Invoice A-9 of 4 September 2026, tooth 16 (ISO): alloy at 290.75 EUR was billed, but the work is of zirconia, "
        "which holds no alloy. Please credit 290.75 EUR."
    )
    assert money_is_live(one)


def test_a_surcharge_is_alloy_too() -> None:
    """A flat charge for alloy on a ceramic crown is asked back."""
    (finding,) = _found(line(142.0), line(25.0, **SURCHARGE)).found
    assert finding.money == pytest.approx(25.0)
    assert "an alloy surcharge of 25.00 EUR was billed" in finding.sentence


def test_alloy_for_a_cast_crown_is_none() -> None:
    """Metal is what it is made of, be a ceramic crown beside it on the invoice."""
    assert _found(line(192.0, product=GOLD), alloy(290.75, 3.0), line(142.0, teeth="26")).found == []


def test_without_teeth_the_whole_invoice_tells() -> None:
    """Alloy without a tooth is for any of the invoice's units: only where none is cast is there nothing that it is for."""
    loose = alloy(290.75, 3.0, teeth=None)
    assert len(_found(line(142.0), line(142.0, teeth="26"), loose).found) == 1
    assert _found(line(142.0), line(192.0, teeth="26", product=GOLD), loose).found == []


def test_the_case_tells_before_the_invoice_does() -> None:
    """A surcharge of the ceramic case is found although another case of the invoice is cast."""
    others = line(142.0, case="1"), line(192.0, teeth="26", product=GOLD, case="2")
    (finding,) = _found(*others, line(25.0, **{**SURCHARGE, "teeth": None}, case="1")).found
    assert finding.money == pytest.approx(25.0)
    assert _found(*others, line(25.0, **{**SURCHARGE, "teeth": None}, case="2")).found == []


def test_an_unknown_product_or_an_implant_may_hold_metal() -> None:
    """What is not on the map, or stands on an implant with a cast part, is not judged."""
    assert _found(line(142.0, product="Something new"), line(25.0, **SURCHARGE)).found == []
    assert _found(line(142.0, role="implant"), line(25.0, **SURCHARGE)).found == []


def test_a_credit_is_none_and_settles_one() -> None:
    """Alloy that was given back is not asked for."""
    assert _found(line(142.0), alloy(290.75, 3.0), alloy(-290.75, -3.0)).found == []


def test_the_alloy_is_asked_back_once() -> None:
    """Of a lab whose prices hold the alloy, alloy for a ceramic crown is one finding, not two."""
    practice = practice_of([line(142.0), alloy(290.75, 3.0)], alloy_billing="all-in")
    assert [found.kind for found in audited(practice, no_metal, included).found] == ["alloy without metal"]
