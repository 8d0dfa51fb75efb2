"""Alloy that is paid already."""

from __future__ import annotations

from typing import Any

import pytest
from lab_audited import GOLD, Audited, alloy, audited, line, money_is_live, practice_of

from feesheet.pricing.review.lab import included

CROWN = line(192.0, product=GOLD)
SURCHARGE = line(45.0, kind="alloy surcharge", product="High noble surcharge", units=None)


def _found(*lines: dict[str, Any], **lab: Any) -> Audited:
    return audited(practice_of(lines, **lab), included)


def test_alloy_of_an_all_in_lab_is_found() -> None:
    """Its price holds the alloy: a line for it is asked back whole."""
    one = _found(CROWN, alloy(290.75, 3.0), alloy_billing="all-in")
    (finding,) = one.found

    assert (finding.kind, finding.lines, finding.money) == ("alloy in the price", (1,), pytest.approx(290.75))
    assert finding.sentence == (
        "Invoice A-9 of 4 September 2026, tooth 16 (ISO): alloy at 290.75 EUR was billed, but your prices include the alloy, as agreed. "
        "Please credit 290.75 EUR."
    )
    assert money_is_live(one)


def test_a_lab_that_bills_alloy_apart_may_do_so() -> None:
    """One line of alloy for one crown is what was agreed."""
    assert _found(CROWN, alloy(290.75, 3.0)).found == []


def test_the_same_grams_a_second_time_are_found() -> None:
    """Two lines of 3 g for one crown: the second is asked back."""
    (finding,) = _found(CROWN, alloy(290.75, 3.0), alloy(290.75, 3.0)).found
    assert (finding.lines, finding.money) == ((2,), pytest.approx(290.75))
    assert "3.00 g of the same alloy stand on the invoice for this work already." in finding.sentence


def test_other_grams_or_another_tooth_are_another_casting() -> None:
    """A crown cast in two parts, or two crowns of one weight, are no second time."""
    assert _found(CROWN, alloy(290.75, 3.0), alloy(96.90, 1.0)).found == []
    two = (CROWN, line(192.0, product=GOLD, teeth="26"))
    assert _found(*two, alloy(290.75, 3.0), alloy(290.75, 3.0, teeth="26")).found == []


def test_two_crowns_may_have_two_lines_of_one_weight() -> None:
    """Without teeth on the alloy, each unit may have its own; a third line of that weight has none."""
    two = (CROWN, line(192.0, product=GOLD, teeth="26"))
    loose = alloy(290.75, 3.0, teeth=None)
    assert _found(*two, loose, loose).found == []
    assert [found.lines for found in _found(*two, loose, loose, loose).found] == [(4,)]


def test_two_patients_with_one_tooth_have_two_alloys() -> None:
    """Two crowns for tooth 16 on one invoice have each their alloy, with cases or without."""
    assert _found(CROWN, CROWN, alloy(290.75, 3.0), alloy(290.75, 3.0)).found == []
    cases = [{**row, "case": case} for case in "12" for row in (CROWN, alloy(290.75, 3.0))]
    assert _found(*cases).found == []


def test_alloy_on_top_of_words_that_include_it_is_found() -> None:
    """A lab that bills alloy apart said of this crown that the metal is included: its alloy line is asked back, unless more than a weight may be due."""
    words = f"{GOLD}, metal included"
    named = {"product_map": [{"wording": words, "material": "gold"}]}
    (finding,) = _found(line(480.0, product=words), alloy(290.75, 3.0), tables=named).found

    assert (finding.lines, finding.money) == ((1,), pytest.approx(290.75))
    assert "the price of this work says that alloy is included." in finding.sentence
    some = f"{GOLD} incl. 2.1 dwt alloy"
    up_to = {"product_map": [{"wording": some, "material": "gold"}]}
    assert _found(line(480.0, product=some), alloy(90.75, 0.9), tables=up_to).found == []
    denied = {"product_map": [{"wording": f"{GOLD}, alloy not included", "material": "gold"}]}
    crown = line(192.0, product=f"{GOLD}, alloy not included")
    assert _found(crown, alloy(290.75, 3.0), tables=denied).found == []


def test_words_of_one_patient_s_crown_are_not_another_s() -> None:
    """Of two crowns on the invoice the alloy is the one's whose tooth it names; without a tooth it may be either's."""
    words = f"{GOLD}, metal included"
    named = {"product_map": [{"wording": words, "material": "gold"}]}
    two = (CROWN, line(480.0, product=words, teeth="26"))

    assert _found(*two, alloy(290.75, 3.0), tables=named).found == []
    assert _found(*two, alloy(290.75, 3.0, teeth=None), tables=named).found == []
    assert [one.lines for one in _found(*two, alloy(290.75, 3.0, teeth="26"), tables=named).found] == [(2,)]


def test_a_crown_of_another_alloy_is_no_second_work() -> None:
    """Tooth 16 of two patients on one invoice, one in zirconia: two equal lines of alloy are one too many."""
    two = (CROWN, line(142.0))
    found = _found(*two, alloy(290.75, 3.0), alloy(290.75, 3.0)).found
    assert [one.lines for one in found] == [(3,)]


def test_a_surcharge_on_weighed_alloy_is_found() -> None:
    """The alloy of the crown is billed by its grams: what is the surcharge for?"""
    one = _found(CROWN, alloy(290.75, 3.0), SURCHARGE)
    (finding,) = one.found

    assert (finding.kind, finding.lines, finding.money) == ("alloy in the price", (2,), pytest.approx(45.0))
    assert finding.sentence == (
        "Invoice A-9 of 4 September 2026, tooth 16 (ISO): an alloy surcharge of 45.00 EUR was billed, but the alloy of this work "
        "is billed by weight on the invoice already. Please tell us what it is for, and credit 45.00 EUR if it is for the same metal."
    )
    assert money_is_live(one)


def test_a_surcharge_alone_is_how_a_lab_bills() -> None:
    """Without weighed alloy for its work, one unit of several without, or with a weight of another tooth or invoice, nothing is said."""
    other = {"teeth": "26"}
    assert _found(CROWN, SURCHARGE).found == []
    assert _found(CROWN, alloy(290.75, 3.0) | {"weight": None}, SURCHARGE).found == []
    assert _found(CROWN, CROWN | other, alloy(290.75, 3.0), SURCHARGE | other).found == []
    assert _found(CROWN, CROWN | other, alloy(290.75, 3.0), SURCHARGE | {"teeth": "16, 26"}).found == []
    assert (
        _found(CROWN, alloy(290.75, 3.0), CROWN | {"invoice": "A-8"}, SURCHARGE | {"invoice": "A-8"}).found
        == []
    )
    assert _found(CROWN | {"role": "implant"}, alloy(290.75, 3.0), SURCHARGE).found == []


def test_a_surcharge_of_the_whole_invoice_needs_all_its_metal_weighed() -> None:
    """A ceramic crown needs none; a second cast one does."""
    loose = SURCHARGE | {"teeth": None}
    assert len(_found(CROWN, line(142.0, teeth="26"), alloy(290.75, 3.0), loose).found) == 1
    assert _found(CROWN, CROWN | {"teeth": "26"}, alloy(290.75, 3.0), loose).found == []


def test_weighed_alloy_without_teeth_is_for_what_is_cast_from_it() -> None:
    """The gold of the gold crown says nothing of the base metal whose surcharge stands beside it."""
    base = {
        "alloys": [{"alloy": "base alloy", "cobalt": 0.7, "chromium": 0.3}],
        "materials": [{"material": "base", "alloy": "base alloy"}],
        "product_map": [{"wording": "Base crown", "material": "base"}],
    }
    lines = CROWN, line(110.0, product="Base crown", teeth="26"), SURCHARGE | {"teeth": "26"}
    for gold in (alloy(290.75, 3.0, teeth=None, alloy="yellow alloy"), alloy(290.75, 3.0, teeth=None)):
        assert _found(*lines, gold, tables=base).found == []
    cast_from_it = alloy(12.0, 3.0, teeth=None, alloy="base alloy")
    assert [one.lines for one in _found(*lines, cast_from_it, tables=base).found] == [(2,)]


def test_a_surcharge_that_came_back_or_is_paid_by_agreement_is_asked_once() -> None:
    """At an all-in lab both are asked back; a credited one is settled."""
    credit = line(-45.0, kind="credit", product="Credit of the surcharge", units=None)
    assert _found(CROWN, alloy(290.75, 3.0), SURCHARGE, credit).found == []
    both = _found(CROWN, alloy(290.75, 3.0), SURCHARGE, alloy_billing="all-in").found
    assert [one.lines for one in both] == [(1,), (2,)]
    assert all("your prices include the alloy" in one.sentence for one in both)
