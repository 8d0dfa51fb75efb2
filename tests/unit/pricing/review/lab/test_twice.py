"""Work on two invoices of one lab, and twice on one."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from lab_audited import GOLD, Audited, alloy, audited, line, money_is_live, practice_of

from feesheet.pricing.review.lab import price_list, twice

LATER = {"invoice": "A-10", "date": date(2026, 9, 11)}


def _found(*lines: dict[str, object], **more: object) -> Audited:
    return audited(practice_of(lines, **more), twice)


def test_one_case_on_two_invoices_is_found() -> None:
    """The later line is asked back whole, and both are named."""
    one = _found(line(142.0, case="1"), line(142.0, case="1", **LATER), dispute_days=30)
    (finding,) = one.found

    assert (finding.kind, finding.lines, finding.money) == ("billed twice", (1, 0), pytest.approx(142.0))
    assert (finding.invoice, finding.days_left) == ("A-10", 11)
    assert finding.sentence == (
        "Invoice A-10 of 11 September 2026, tooth 16 (ISO): 1 unit of zirconia was billed at 142.00 EUR, "
        "as for the same work on invoice A-9 of 4 September 2026. Please credit 142.00 EUR."
    )
    assert money_is_live(one)


@pytest.mark.parametrize(
    "other", [{"case": "2"}, {"teeth": "26"}, {"units": 2}, {"product": GOLD}, {"kind": "remake"}, {"lab": "lab B"}]
)  # fmt: skip
def test_what_differs_in_one_thing_is_other_work(other: dict[str, object]) -> None:
    """Another case, tooth, amount, product, kind or lab is not billed twice."""
    amount = 142.0 * float(str(other.get("units", 1)))
    second = line(amount, **{"case": "1", **LATER, **other})
    assert _found(line(142.0, case="1"), second, labs=[{"lab": "lab B"}]).found == []


def test_a_tooth_without_a_case_may_be_another_patients() -> None:
    """The same tooth, product and price without a case is no evidence, be it on one day."""
    assert _found(line(142.0), line(142.0, **LATER)).found == []
    assert _found(line(142.0), line(142.0, invoice="A-10")).found == []


@pytest.mark.parametrize(
    ("number", "count"), [("A-9-R", 1), ("A-9 copy", 1), ("A-9/2", 1), ("A-91", 0), ("B-9", 0)]
)
def test_a_second_issue_is_told_by_its_number(number: str, count: int) -> None:
    """A-9-R repeats A-9; A-91 is an invoice of its own."""
    assert len(_found(line(142.0), line(142.0, invoice=number, date=date(2026, 9, 11))).found) == count


def test_invoices_that_are_one_line_for_line_are_found() -> None:
    """Three works and the freight again, a fortnight later: all of it is asked back. Two works alone may be two patients'."""
    teeth, freight = (
        ("16", "26", "36"),
        {"kind": "freight", "product": "Freight", "teeth": None, "units": None},
    )
    works = [line(142.0, teeth=tooth) for tooth in teeth]
    every = [*works, line(12.0, **freight)]
    assert sum(
        found.money for found in _found(*every, *({**row, **LATER} for row in every)).found
    ) == pytest.approx(438.0)
    assert _found(*works[:2], *({**row, **LATER} for row in works[:2])).found == []


def test_what_belongs_to_the_work_goes_with_it() -> None:
    """Alloy and stain of the case stand on both invoices: each is a finding with its own money."""
    work = [line(192.0, product=GOLD), alloy(290.75, 3.0), line(18.0, kind="extra", product="Stain")]
    first = [{**row, "case": "1"} for row in work]
    one = _found(*first, *({**row, **LATER} for row in first))
    assert sorted(found.money for found in one.found) == pytest.approx([18.0, 192.0, 290.75])


def test_what_was_credited_is_settled() -> None:
    """Credited after the second invoice, or before it as a correction, the work is paid once."""
    credit = line(-142.0, kind="credit", product="Credit", units=None, case="1", invoice="A-11")
    pair = line(142.0, case="1"), line(142.0, case="1", **LATER)
    assert _found(*pair, {**credit, "date": date(2026, 9, 20)}).found == []
    assert _found(*pair, {**credit, "date": date(2026, 9, 8)}).found == []


def test_a_copy_is_counted_once_already() -> None:
    """The same invoice number twice is no second invoice."""
    assert _found(line(142.0, case="1"), line(142.0, case="1", invoice="A 9")).found == []


def test_a_line_asked_back_whole_is_asked_for_nothing_more() -> None:
    """The repeated line is not held against the price list too."""
    practice = practice_of([line(165.0, case="1"), line(165.0, case="1", **LATER)])
    found = audited(practice, price_list, twice).found
    assert [(one.kind, one.lines[0]) for one in found] == [("over the price list", 0), ("billed twice", 1)]


def test_long_apart_it_is_new_work() -> None:
    """A case number that comes again after half a year is another case."""
    assert _found(line(142.0, case="1", date=date(2026, 1, 5)), line(142.0, case="1", **LATER)).found == []


def test_what_was_repeated_before_the_period_is_not_asked_back_now() -> None:
    """Both invoices are of a year ago: nothing is found; where the second one is of the period it is."""
    first = line(142.0, case="1", date=date(2025, 9, 16))
    assert _found(first, line(142.0, case="1", invoice="A-10", date=date(2025, 9, 25))).found == []
    assert len(_found(first, line(142.0, case="1", invoice="A-10", date=date(2025, 10, 2))).found) == 1


def test_alloy_without_a_case_goes_with_its_unit() -> None:
    """The case stands on the crown's line alone: alloy and stain of its tooth, and the freight of an invoice with one case, go with it."""
    freight = line(12.5, kind="freight", product="Freight", teeth=None, units=None)
    stain = line(18.0, kind="extra", product="Stain")
    work = [line(192.0, product=GOLD, case="1"), alloy(290.75, 3.0), stain, freight]
    one = _found(*work, *({**row, **LATER} for row in work))
    assert sorted(found.money for found in one.found) == pytest.approx([12.5, 18.0, 192.0, 290.75])
    other = [{**row, **LATER} for row in work]
    other[0]["case"] = "2"
    assert _found(*work, *other).found == []


def test_a_crown_that_stands_on_one_invoice_twice_is_found() -> None:
    """Both lines are of one case and tooth: the second is asked back; without a case they may be two patients'."""
    pair = [line(142.0, case="1"), line(142.0, case="1")]
    one = _found(*pair)
    (finding,) = one.found
    assert (finding.lines, finding.money, finding.invoice) == ((1, 0), pytest.approx(142.0), "A-9")
    assert finding.sentence == (
        "Invoice A-9 of 4 September 2026, tooth 16 (ISO): 1 unit of zirconia was billed at 142.00 EUR "
        "a second time on the same invoice, for the same case. Please credit 142.00 EUR."
    )
    assert money_is_live(one)
    assert _found(*({**row, "case": ""} for row in pair)).found == []


@pytest.mark.parametrize(
    "other", [{"amount": 100.0}, {"product": GOLD}, {"product": "Zirconia crown, stage"}, {"teeth": "17"}, {"case": "2"},
              {"site": "Hill"}, {"kind": "remake"}]
)  # fmt: skip
def test_two_stages_on_one_invoice_are_no_second_time(other: dict[str, object]) -> None:
    """Another amount, product, wording, tooth, case, site or kind on the same invoice is other work."""
    names = [{"wording": "Zirconia crown, stage", "material": "zirconia"}]
    second = {**line(142.0, case="1"), **other}
    assert _found(line(142.0, case="1"), second, tables={"product_map": names}).found == []


def test_a_line_for_each_tooth_is_no_second_time() -> None:
    """Two lines of one unit for the same two teeth are the two crowns; a third line is one too many."""
    lines = [line(142.0, case="1", teeth="16,15", units=1)] * 3
    freight = line(12.0, kind="freight", product="Freight", teeth=None, units=None)
    assert _found(*lines[:2], freight).found == []
    assert [found.lines for found in _found(*lines, freight).found] == [(2, 0)]


def test_the_alloy_of_a_crown_billed_twice_goes_with_it() -> None:
    """Crown and alloy stand twice beside one freight: both are asked back. A second alloy alone is another test's."""
    crown, metal = line(192.0, product=GOLD, case="1"), alloy(290.75, 3.0)
    freight = line(12.0, kind="freight", product="Freight", teeth=None, units=None)
    found = _found(crown, crown, metal, metal, freight).found
    assert sorted(one.lines for one in found) == [(1, 0), (3, 2)]
    assert _found(crown, metal, metal, freight).found == []


def test_an_invoice_typed_in_twice_is_not_asked_about() -> None:
    """Every line of the invoice stands on the sheet again: the reader says so, and the lab is not asked."""
    crown, metal = line(192.0, product=GOLD, case="1"), alloy(290.75, 3.0)
    assert _found(crown, metal, crown, metal).found == []


def test_a_crown_taken_back_on_its_invoice_is_billed_once() -> None:
    """Billed twice and one of them credited on the same invoice: nothing is left to ask."""
    credit = line(-142.0, kind="credit", product="Credit", units=None, case="1")
    assert _found(line(142.0, case="1"), line(142.0, case="1"), credit).found == []


def test_an_invoice_of_two_sheets_is_not_billed_twice() -> None:
    """Two sheets show invoice A-9 with other lines: the crown on both is one the practice may have typed in twice."""
    crown, stain = line(142.0, case="1"), line(18.0, kind="extra", product="Stain", teeth="26")
    one = practice_of([crown, crown, stain])
    two = replace(one, sources=(*one.sources, one.sources[-1]))
    assert len(audited(one, twice).found) == 1
    two.tables["invoice_lines"].loc[[1, 2], "source"] += 1
    assert audited(two, twice).found == []
