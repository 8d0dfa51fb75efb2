"""Work without a case that was billed again: its alloy weighs the same."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from lab_audited import GOLD, ZIRCONIA, alloy, audited, line, practice_of

from feesheet.pricing.review.lab import twice

LATER = {"invoice": "A-10", "date": date(2026, 9, 11)}
RUSH = line(47.64, kind="rush", product="Rush", teeth=None, units=None)


def _work(*, crown: Any = (), metal: Any = (), **both: Any) -> list[dict[str, Any]]:
    """A gold crown and its alloy of 1.99 g."""
    return [
        {**line(192.0, product=GOLD), **both, **dict(crown)},
        {**alloy(192.87, 1.99), **both, **dict(metal)},
    ]


def _lines(*lines: dict[str, Any]) -> list[tuple[int, ...]]:
    practice = practice_of(lines, labs=[{"lab": "lab B"}])
    return sorted(found.lines for found in audited(practice, twice).found)


def test_the_same_weight_on_two_invoices_is_found() -> None:
    """Crown and alloy of the later invoice are asked back, whatever else stands beside them."""
    assert _lines(*_work(), RUSH, *_work(**LATER)) == [(3, 0), (4, 1)]


def test_an_invoice_that_is_the_same_is_asked_back_whole() -> None:
    """The rush charge of both invoices goes with the work."""
    assert _lines(*_work(), RUSH, *_work(**LATER), {**RUSH, **LATER}) == [(3, 0), (4, 1), (5, 2)]


def test_other_work_on_the_two_invoices_is_left() -> None:
    """Two monthly invoices share one work; a zirconia crown of one tooth and price on both is two patients'."""
    zirconia = line(142.0, product=ZIRCONIA, teeth="26")
    more = line(142.0, product=ZIRCONIA, teeth="36", **LATER)
    assert _lines(*_work(), zirconia, *_work(**LATER), {**zirconia, **LATER}, more) == [(3, 0), (4, 1)]


@pytest.mark.parametrize(
    "other",
    [
        {"metal": {"weight": 2.0}},
        {"metal": {"amount": 192.88}},
        {"metal": {"teeth": "17"}},
        {"metal": {"alloy": "white alloy"}},
        {"crown": {"amount": 190.0}},
        {"crown": {"teeth": "17"}},
        {"crown": {"kind": "remake"}},
        {"site": "Hill"},
        {"lab": "lab B"},
        {"invoice": "A-9"},
    ],
)
def test_what_differs_in_one_thing_is_other_work(other: dict[str, Any]) -> None:
    """Another weight, amount, tooth, alloy, unit, site or lab, or on one invoice: two patients' crowns."""
    base = {**LATER, **other}
    alloys = [{"alloy": "white alloy", "gold": 0.5, "silver": 0.5, "density": 14.0}]
    first = _work(metal={"alloy": "yellow alloy"}) if "alloy" in other.get("metal", {}) else _work()
    practice = practice_of([*first, *_work(**base)], labs=[{"lab": "lab B"}], tables={"alloys": alloys})
    assert audited(practice, twice).found == []


@pytest.mark.parametrize("weight", [2.0, 1.9, 1.95])
def test_a_weight_in_round_steps_says_little(weight: float) -> None:
    """A lab that weighs to the tenth or the twentieth bills two crowns of one weight by chance."""
    metal = {"weight": weight}
    assert _lines(*_work(metal=metal), *_work(metal=metal, **LATER)) == []


def test_a_round_weight_of_a_lab_that_weighs_to_the_hundredth_tells() -> None:
    """Its other weights show that 2.00 is no round step."""
    others = [
        alloy(100.0 + number, 1.01 + number / 100, invoice=f"B-{number}", teeth="27", product="alloy")
        for number in (1, 2, 5)
    ]
    metal = {"weight": 2.0}
    assert _lines(*others, *_work(metal=metal), *_work(metal=metal, **LATER)) == [(5, 3), (6, 4)]


def test_two_cases_are_two_patients() -> None:
    """Where both have a case they differ by it; where one has none the weight tells."""
    cases = [_work(case="1"), _work(case="2", **LATER)]
    assert _lines(*cases[0], *cases[1]) == []
    assert _lines(*cases[0], *_work(**LATER)) == [(2, 0), (3, 1)]


def test_what_was_credited_is_not_asked_back() -> None:
    """The second invoice was credited line by line on a paper of its own: nothing is left."""
    back = {"kind": "credit", "units": None, "weight": None, "invoice": "A-10-CN", "date": date(2026, 9, 18)}
    credits = [{**row, **back, "amount": -row["amount"]} for row in _work()]
    assert _lines(*_work(), *_work(**LATER), *credits) == []


def test_long_apart_a_weight_may_come_again() -> None:
    """Forty-five days after the first invoice it is the same work, a day later another patient's."""
    assert _lines(*_work(date=date(2026, 7, 28)), *_work(**LATER)) == [(2, 0), (3, 1)]
    assert _lines(*_work(date=date(2026, 7, 27)), *_work(**LATER)) == []
