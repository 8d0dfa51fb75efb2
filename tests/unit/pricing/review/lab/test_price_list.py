"""Units held against the lab's own price list."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from invoiced import billed_abroad
from lab_audited import GOLD, Audited, audited, line, money_is_live, practice_of

from feesheet.pricing.review.lab import line_sums, price_list


def _found(*lines: dict[str, object], **more: object) -> Audited:
    return audited(practice_of(lines, **more), price_list)


def test_a_unit_above_the_list_is_found_with_its_difference() -> None:
    """165.00 against 142.00 is 23.00, in a sentence that could be sent."""
    one = _found(line(165.0), dispute_days=30)
    (finding,) = one.found

    assert (finding.kind, finding.lines, finding.site) == ("over the price list", (0,), "North")
    assert finding.money == pytest.approx(23.0)
    assert finding.days_left == 4
    assert finding.sentence == (
        "Invoice A-9 of 4 September 2026, tooth 16 (ISO): 1 unit of zirconia was billed at 165.00 EUR; "
        "your price list has 142.00 EUR. Please credit 23.00 EUR."
    )
    assert money_is_live(one)


def test_the_list_itself_or_less_is_none() -> None:
    """At the list's price, a coin's half above it, or below it, there is nothing to say."""
    lines = [line(price, invoice=f"A-{number}") for number, price in enumerate((142.0, 142.004, 120.0))]
    assert _found(*lines).found == []


def test_several_units_of_a_line_are_each_held_against_the_list() -> None:
    """A line of three teeth in two regions is one finding over all its units."""
    (finding,) = _found(line(480.0, teeth="14,15,16", units=3)).found

    assert finding.money == pytest.approx(54.0)
    assert "teeth 14, 15 and 16 (ISO): 3 units of zirconia were billed at 160.00 EUR each" in finding.sentence


def test_the_lines_own_discount_counts_against_it() -> None:
    """What a discount of the same teeth on the invoice took off is not asked back; another tooth's takes off nothing."""
    off = {"kind": "discount", "product": "Discount", "units": None}
    one = _found(line(165.0), line(-10.0, **off), line(-9.0, teeth="26", **off))
    (finding,) = one.found

    assert finding.money == pytest.approx(13.0)
    assert "10.00 EUR of it was taken off already. Please credit 13.00 EUR." in finding.sentence


def test_a_later_credit_of_the_same_case_settles_it() -> None:
    """The lab has put it right: nothing is left."""
    credit = {
        "kind": "credit",
        "product": "Credit",
        "units": None,
        "invoice": "A-10",
        "date": date(2026, 9, 20),
    }
    assert _found(line(165.0, case="1"), line(-23.0, case="1", **credit)).found == []


def test_a_credit_of_another_case_settles_nothing() -> None:
    """Another patient's credit is not this one's, be it of the same teeth and invoice."""
    credit = {"kind": "credit", "product": "Credit", "units": None}
    (finding,) = _found(line(165.0, case="1"), line(-23.0, case="2", **credit)).found
    assert finding.money == pytest.approx(23.0)


def test_what_is_no_unit_of_the_period_is_left_out() -> None:
    """Extras, remakes, lines before the period and materials without a price are not held against the list."""
    others = [
        line(300.0, kind="extra", product="Model"),
        line(300.0, kind="remake"),
        line(300.0, date=date(2025, 9, 4), invoice="A-1"),
    ]
    assert _found(*others).found == []
    assert _found(line(300.0, lab="lab B"), labs=[{"lab": "lab B"}]).found == []


def test_a_wrong_sum_is_asked_for_once() -> None:
    """1 × 150.00 charged at 165.00: 15.00 by its own sum, and 8.00 by the list, together the 23.00 above it."""
    one = audited(practice_of([line(165.0, unit_price=150.0)]), price_list, line_sums)
    assert sorted((found.kind, round(found.money, 2)) for found in one.found) == [
        ("over the price list", 8.0),
        ("units times price", 15.0),
    ]


@pytest.mark.parametrize(
    ("back", "due"),
    [(15.0, {"over the price list": 8.0}), (20.0, {"over the price list": 3.0}), (23.0, {})],
)
def test_what_came_back_settles_the_wrong_sum_first(back: float, due: dict[str, float]) -> None:
    """Of the 15.00 and the 8.00, what was credited settles the wrong sum, and only the rest of it the price."""
    lines = [line(165.0, unit_price=150.0), line(-back, kind="discount", product="Discount", units=None)]
    one = audited(practice_of(lines), price_list, line_sums)
    assert {found.kind: round(found.money, 2) for found in one.found} == due


def test_a_price_that_says_it_holds_the_alloy_is_no_list_price() -> None:
    """Where the wording includes the alloy and the list does not, the two can't be compared."""
    wording = "Full cast crown incl. alloy"
    names = {"product_map": [{"wording": wording, "material": "cast gold"}]}
    assert _found(line(480.0, product=wording), tables=names).found == []
    assert _found(line(480.0, product=GOLD)).found != []


def test_another_currency_is_not_held_against_the_list() -> None:
    """Its amount moves with the rate; the list does not."""
    assert audited(billed_abroad(practice_of([line(165.0)]), "USD", 1.25), price_list).found == []


def test_the_own_mill_is_not_asked() -> None:
    """A list of one's own mill is no agreement with a lab."""
    practice = practice_of([line(165.0)])
    mill = practice.tables["milling"].iloc[:0].assign(lab=[], material=[])
    assert audited(replace(practice, tables={**practice.tables, "milling": mill}), price_list).found != []


def test_one_price_again_and_again_is_one_finding() -> None:
    """Three invoices at 165.00 are one thing to take up, with all their lines and money; a fourth price is its own."""
    lines = [line(165.0, invoice=f"A-{number}", date=date(2026, 9, number)) for number in (1, 2, 3)]
    one = _found(*lines, line(150.0, invoice="A-8"))
    single, group = one.found

    assert (single.lines, single.money) == ((3,), pytest.approx(8.0))
    assert (group.lines, group.block, group.invoice) == ((0, 1, 2), "price_groups", "3 invoices")
    assert group.money == pytest.approx(69.0)
    assert group.sentence == (
        "From 1 September 2026 to 3 September 2026, 3 units of zirconia on 3 invoices were billed at 165.00 EUR each; your "
        "price list has 142.00 EUR. Please credit 69.00 EUR, or send us the list that holds. Invoices: A-1, A-2, A-3."
    )
    assert money_is_live(one)


REBATE = {"kind": "discount", "product": "Rebate", "teeth": None, "units": None, "invoice": "A-1"}


@pytest.mark.parametrize(
    ("rebate", "said"),
    [
        ({}, True),
        ({"kind": "credit"}, True),
        ({"teeth": "26"}, False),
        ({"case": "7"}, False),
        ({"kind": "remake credit"}, False),
        ({"lab": "lab B", "invoice": "B-1"}, False),
        ({"date": date(2025, 9, 1), "invoice": "A-0"}, False),
    ],
)
def test_rebates_on_whole_invoices_are_not_counted_and_that_is_said(
    rebate: dict[str, object], said: bool
) -> None:
    """69.00 is asked whatever came off a whole invoice; only where this lab took something off in the period is it said."""
    lines = [line(165.0, invoice=f"A-{number}") for number in (1, 2, 3)]
    one = _found(*lines, line(-20.0, **{**REBATE, **rebate}), labs=[{"lab": "lab B"}])
    (group,) = one.found
    assert group.money == pytest.approx(69.0)
    assert group.sentence.endswith("A-3. Rebates on whole invoices are not counted.") == said
    assert ("ebates" in group.sentence) == said
    assert "rebates on whole invoices are not counted" in one.priced.model.blocks["price_tests"].note


def test_two_lines_at_one_price_stay_two() -> None:
    """What happened twice may be two slips."""
    lines = [line(165.0, invoice=f"A-{number}") for number in (1, 2)]
    assert [one.lines for one in _found(*lines).found] == [(0,), (1,)]


def test_a_credited_line_takes_nothing_off_the_others() -> None:
    """Of four at one price one was credited whole and one got 30.00 off: 69.00 and nothing below it is due for the rest."""
    days = [date(2026, 9, number) for number in (1, 2, 3, 4)]
    lines = [line(165.0, invoice=f"A-{day.day}", date=day, case=str(day.day)) for day in days]
    credit = {"kind": "credit", "product": "Credit", "units": None, "date": date(2026, 9, 20)}
    (group,) = _found(*lines, line(-165.0, invoice="A-20", case="1", **credit)).found
    assert group.money == pytest.approx(69.0)
    (group,) = _found(*lines, line(-30.0, invoice="A-20", case="1", **credit)).found
    assert group.money == pytest.approx(69.0)
    assert "30.00 EUR of it was taken off already." in group.sentence


def test_what_can_still_be_disputed_is_not_mixed_with_what_cannot() -> None:
    """Three lines within the lab's days and three past them are two findings, each with its own days left."""
    days = [date(2026, 7, 1), date(2026, 7, 2), date(2026, 7, 3)]
    days += [date(2026, 9, 10), date(2026, 9, 11), date(2026, 9, 12)]
    lines = [line(165.0, invoice=f"A-{number}", date=day) for number, day in enumerate(days)]
    past, open_ = sorted(_found(*lines, dispute_days=30).found, key=lambda one: one.days_left or 0)
    assert (past.lines, open_.lines) == ((0, 1, 2), (3, 4, 5))
    assert past.days_left is not None and past.days_left < 0
    assert open_.days_left == 10


def test_primary_teeth_are_not_held_against_the_list() -> None:
    """A crown of a milk tooth is other work than the list's; the same price for tooth 16 is over it."""
    assert _found(line(165.0, teeth="54")).found == []
    assert len(_found(line(165.0, teeth="54"), line(165.0)).found) == 1
