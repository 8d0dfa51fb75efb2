"""Remakes that were charged and deposits that were paid, and what came back."""

from __future__ import annotations

from datetime import date

import pytest
from lab_audited import Audited, audited, line, money_is_live, practice_of

from feesheet.pricing.review.lab import credits, remakes

REMAKE = {"kind": "remake", "case": "1"}
CREDIT = {"kind": "remake credit", "product": "Credit", "units": None, "case": "1", "invoice": "A-10"}
SOON = date(2026, 9, 20)


def _found(*lines: dict[str, object], **lab: object) -> Audited:
    return audited(practice_of(lines, **lab), credits, remakes)


def test_an_open_remake_is_told_with_what_is_reckoned_with() -> None:
    """What was charged, that nothing came back, what is reckoned with, and what is asked."""
    one = _found(line(142.0, **REMAKE), dispute_days=30)
    (finding,) = one.found

    assert (finding.kind, finding.lines, finding.money) == ("remake to settle", (0,), pytest.approx(142.0))
    assert finding.days_left == 4
    assert finding.sentence == (
        "Invoice A-9 of 4 September 2026, tooth 16 (ISO): 1 unit of zirconia was made again and charged at 142.00 EUR; "
        "no credit has come for it. We reckon with 50 % of the list price for a remake, here 71.00 EUR. "
        "Please tell us which part is ours and credit the rest."
    )
    assert money_is_live(one)


@pytest.mark.parametrize(
    ("cause", "kinds"),
    [("lab", ["remake of the lab's"]), ("practice", []), ("not settled", ["remake to settle"])],
)
def test_the_cause_decides(cause: str, kinds: list[str]) -> None:
    """The lab's own remake comes back, the practice's does not, and one that is not settled is asked about."""
    assert [found.kind for found in _found(line(71.0, **REMAKE, remake_cause=cause)).found] == kinds


def test_a_credit_settles_it_whole_or_in_part() -> None:
    """What came back is left out; what is left over is asked for."""
    assert _found(line(142.0, **REMAKE), line(-142.0, **CREDIT, date=SOON)).found == []
    (finding,) = _found(line(142.0, **REMAKE), line(-100.0, **CREDIT, date=SOON)).found
    assert finding.money == pytest.approx(42.0)
    assert "only 100.00 EUR of it has come back." in finding.sentence


@pytest.mark.parametrize(("day", "left"), [(date(2026, 8, 30), -1), (SOON, 20)])
@pytest.mark.parametrize("kind", ["remake", "deposit"])
def test_the_lab_is_not_told_the_days(day: date, left: int, kind: str) -> None:
    """Over or not, how many days are left to dispute it stands apart from the words for the lab."""
    (finding,) = _found(line(142.0, kind=kind, case="1", date=day), dispute_days=30).found
    assert finding.days_left == left
    assert "dispute" not in finding.sentence and " day" not in finding.sentence


def test_a_remake_of_the_labs_is_asked_back_plainly() -> None:
    """Its cause was the lab's: no share of the price is reckoned with, and what came back is said."""
    lab_s = line(142.0, **REMAKE, remake_cause="lab")
    (finding,) = _found(lab_s).found
    assert finding.sentence == (
        "Invoice A-9 of 4 September 2026, tooth 16 (ISO): 1 unit of zirconia was made again and charged at 142.00 EUR. "
        "The cause was on your side; please credit 142.00 EUR."
    )
    (finding,) = _found(lab_s, line(-100.0, **CREDIT, date=SOON)).found
    assert finding.sentence.endswith(
        "charged at 142.00 EUR; only 100.00 EUR of it has come back. The cause was on your side; please credit 42.00 EUR."
    )


def test_several_units_are_charged_in_all() -> None:
    """Three units: the charge is that of all, and no credit has come for them."""
    three = {"teeth": "14,15,16", "units": 3}
    (finding,) = _found(line(213.0, **REMAKE, **three)).found
    assert (
        "3 units of zirconia were made again and charged at 213.00 EUR in all; no credit has come for them. "
        "That is within the 50 % of the list price that we reckon with for a remake, here 213.00 EUR. "
        "Please tell us on whose side the cause was, and credit it if it was on yours."
    ) in finding.sentence


def test_a_deposit_comes_back() -> None:
    """Paid and not returned, it is asked for; returned, it is not."""
    paid = line(50.0, kind="deposit", product="Return deposit", units=None)
    (finding,) = _found(paid).found
    assert finding.money == pytest.approx(50.0)
    assert (
        "a return deposit of 50.00 EUR was paid and it has not come back. Please return 50.00 EUR"
        in finding.sentence
    )
    assert _found(paid, {**paid, "amount": -50.0, "invoice": "A-10", "date": SOON}).found == []


def test_remakes_stand_by_lab_and_cause() -> None:
    """Makes of the lab, remakes of each cause, their rate, and money charged, credited and open."""
    lines = [
        *(line(142.0, teeth=tooth) for tooth in ("11", "12", "13")),
        line(71.0, teeth="11", kind="remake", case="1", remake_cause="lab"),
        line(-50.0, **CREDIT, date=SOON, teeth="11"),
        line(71.0, teeth="12", kind="remake", case="2"),
        line(142.0, lab="lab B"),
        line(71.0, kind="remake", date=date(2025, 8, 1), remake_cause="practice"),
    ]
    one = _found(*lines, labs=[{"lab": "lab B"}])
    names = (
        "lab",
        "cause",
        "makes",
        "remakes",
        "rate_of_cause",
        "again_charged",
        "again_credited",
        "again_open",
    )
    assert list(zip(*(one.column("remakes_by_lab", name) for name in names), strict=True)) == [
        ("lab A", "lab", 5.0, 1.0, pytest.approx(0.2), 71.0, -50.0, 21.0),
        ("lab A", "not settled", 5.0, 1.0, pytest.approx(0.2), 71.0, 0.0, 71.0),
        ("lab B", "no remakes", 1.0, 0.0, 0.0, 0.0, 0.0, 0.0),
    ]


def test_what_the_practice_caused_does_not_come_back() -> None:
    """Charged and not credited on either side; what is to come back is the lab's and what is not settled."""
    sides = [("11", "lab", 71.0), ("12", "practice", 80.0), ("13", "", 90.0)]
    one = _found(
        *(
            line(amount, kind="remake", teeth=tooth, case=tooth, remake_cause=cause)
            for tooth, cause, amount in sides
        )
    )
    names = ("cause", "again_open", "to_come_back")
    assert list(zip(*(one.column("remakes_by_lab", name) for name in names), strict=True)) == [
        ("lab", 71.0, 71.0),
        ("not settled", 90.0, 90.0),
        ("practice", 80.0, 0.0),
    ]
    columns = one.priced.model.blocks["remakes_by_lab"].columns
    assert [columns[name].heading for name in names[1:]] == [
        "Charged and not credited",
        "To come back or to settle",
    ]
    assert sum(one.column("remakes_by_lab", "to_come_back")) == pytest.approx(
        sum(found.money for found in one.found)
    )
