"""Many alloy lines of a lab together: held against the agreed premium, else against the lab's own of the year before."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import numpy as np
import pytest
from alloy_audit import Audit, Row, Rows, alloy, at_price, audit, rows_of, unit

from feesheet.pricing.review.lab import drift, premium
from feesheet.pricing.review.lab.runs import middle_of, middle_rows
from feesheet.pricing.review.period import Period

VALUE = 96.2
"""What a gram of the yellow alloy's metal is worth, at the one quote of all days."""
HALF = Period(date(2026, 10, 31), 6)
"""May to October 2026."""


def _lines(start: date, premiums: list[float], first: int, **more: Any) -> list[Row]:
    """One alloy line of 3 g every fifth day from that one, at those premiums."""
    return [
        row
        for at, share in enumerate(premiums)
        for row in at_price(
            (1 + share) * VALUE, 1, first=first + at, date=start + timedelta(days=5 * at), **more
        )
    ]


def _practice(lines: list[Row], step: int = 365, **lab: Any) -> Rows:
    """Those lines with quotes so many days apart, at one and the same price."""
    rows = rows_of(lines, **lab)
    days = [date(2025, 4, 1) + timedelta(days=at) for at in range(0, 550, step)]
    rows["metal_prices"] = [
        {"date": day, "metal": metal, "price": price, "unit": "gram", "confirmed": "yes"}
        for day in days
        for metal, price in (("gold", 120), ("silver", 2))
    ]
    return rows


def _risen(premiums: list[float], before: list[float], **more: Any) -> Audit:
    lines = [*_lines(date(2025, 11, 3), before, 1), *_lines(date(2026, 6, 1), premiums, 50)]
    return audit(drift, _practice(lines, **more), HALF)


def test_a_premium_that_jumped_with_the_period_is_one_finding() -> None:
    """Six lines of 3 g at 25 % before May, six at 60 % since: each is usual beside the others, 6 × 3 × 96.20 × 0.35 = 606.06."""
    found = _risen([0.6] * 6, [0.25] * 6)
    (one,) = found.found

    assert (one.kind, one.lab, one.site, one.invoice) == (
        "premium of many lines",
        "lab A",
        "North",
        "6 invoices",
    )
    assert len(one.lines) == 6 and one.days_left is None
    assert one.money == pytest.approx(606.06, abs=0.05) == found.money_of(one)
    assert one.sentence == (
        "Yellow alloy, 6 lines from 1 June 2026 to 26 June 2026: by the metal prices that we have, the middle premium over the "
        "metal's value is 60 %; on 6 lines from 3 November 2025 to 28 November 2025 it was 25 %. At 25 %, the lines would have "
        f"come to {one.money:.2f} EUR less. Please tell us what has changed. Invoices above that: A-50, A-51, A-52, A-53, "
        "A-54, A-55."
    )


def test_the_same_premium_as_before_says_nothing() -> None:
    """25 % before and since: no finding, and no money in the tests."""
    found = _risen([0.25, 0.27, 0.24, 0.26, 0.25, 0.31], [0.25, 0.23, 0.28, 0.25, 0.24])

    assert found.found == [] and [row["money"] for row in found.table("premium_runs")] == [0]


@pytest.mark.parametrize(("over", "count"), [(0.095, 0), (0.105, 1)])
def test_ten_points_over_the_middle_before_are_let_pass(over: float, count: int) -> None:
    """9.5 points over what was usual pass, 10.5 do not."""
    assert len(_risen([0.25 + over] * 6, [0.25] * 6).found) == count


@pytest.mark.parametrize(
    ("over", "step", "risen"), [(0.045, 3, 0), (0.055, 3, 1), (0.055, 30, 0), (0.105, 30, 1)]
)
def test_five_points_over_an_agreed_premium_are_let_pass(over: float, step: int, risen: int) -> None:
    """Five on fresh quotes, ten on old ones; no year before is needed."""
    (run,) = _risen([0.25 + over] * 6, [], step=step, agreed_premium=0.25).table("premium_runs")
    assert (run["is_risen"], run["level"]) == (risen, 0.25)


def test_no_money_is_asked_twice() -> None:
    """Agreed on 25 %, old quotes; 36 % on six lines is let pass line by line, and a seventh at 60 % is a finding alone.

    Together the six are 6 × 3 × 96.20 × 0.11 = 190.48 over, and the seventh 3 × 96.20 × 0.35 = 101.01.
    """
    dear = _lines(date(2026, 6, 1), [0.36] * 6 + [0.6], 50)
    rows = _practice(dear, agreed_premium=0.25)
    alone, together = audit(premium, rows, HALF).found, audit(drift, rows, HALF).found
    assert sum(one.money for one in [*alone, *together]) == pytest.approx(190.48 + 101.01, abs=0.1)
    assert [one.invoice for one in alone if one.invoice == "A-56"] == ["A-56"]


def test_too_few_lines_tell_nothing() -> None:
    """Four lines on either side are no middle to go by."""
    assert _risen([0.6] * 4, [0.25] * 6).found == []
    assert _risen([0.6] * 6, [0.25] * 4).found == []


def test_a_rise_within_the_period_shows_in_its_last_months() -> None:
    """Nothing before May, five lines at 25 %, seven at 50 % since August: the last three months are held against those before."""
    lines = [*_lines(date(2026, 5, 4), [0.25] * 5, 1), *_lines(date(2026, 8, 3), [0.5] * 7, 50)]
    found = audit(drift, _practice(lines), HALF)
    (one,) = found.found

    assert len(one.lines) == 7 and one.money == pytest.approx(7 * 3 * VALUE * 0.25, abs=0.05)


def test_a_single_dear_line_moves_no_middle() -> None:
    """One of six lines at 90 %: it is a finding alone, and none of many."""
    assert _risen([0.25] * 5 + [0.9], [0.25] * 6).found == []


def test_metal_that_fell_in_the_month_explains_the_lines() -> None:
    """Gold fell by a tenth before each line of a lab that keeps its price: over on the day, not over at the month's highest."""
    rows = _practice([*_lines(date(2025, 11, 3), [0.25] * 6, 1), *_lines(date(2026, 6, 1), [0.25] * 6, 50)])
    rows["metal_prices"].append(
        {"date": date(2026, 5, 31), "metal": "gold", "price": 105, "unit": "gram", "confirmed": "yes"}
    )
    found = audit(drift, rows, HALF)
    (run,) = found.table("premium_runs")

    assert run["middle_now"] > 0.4 and run["is_risen"] == 0 and found.found == []


def test_another_labs_rise_is_its_own() -> None:
    """Lab B takes 60 % and always did; lab A takes 25 %: neither has risen."""
    lines = []
    for lab, share, first in (("lab A", 0.25, 1), ("lab B", 0.6, 200)):
        for start in (date(2025, 11, 3), date(2026, 6, 1)):
            lines += _lines(start, [share] * 6, first, lab=lab)
            first += 50
    assert audit(drift, _practice(lines), HALF).found == []


def test_what_came_back_is_taken_off() -> None:
    """A credit of 100 for the alloy of one of the dear lines: of 606.06, 100 less is asked."""
    lines = [*_lines(date(2025, 11, 3), [0.25] * 6, 1), *_lines(date(2026, 6, 1), [0.6] * 6, 50)]
    credit = alloy(-100, 1, "A-50", product="Credit", weight=None, date=date(2026, 6, 1))
    (one,) = audit(drift, _practice([*lines, credit]), HALF).found

    assert one.money == pytest.approx(506.06, abs=0.05)


def test_the_middle_of_an_odd_and_an_even_count() -> None:
    """The middle row, or the two in the middle, by size and not by place; none of nothing."""
    sizes = np.array([9.0, 1.0, 5.0, 3.0])
    assert [middle_rows(sizes, chosen) for chosen in ([0, 1, 2], [0, 1, 2, 3], [])] == [
        (3, 3),
        (4, 3),
        (0, 0),
    ]
    assert middle_of(sizes, [0, 1, 2, 3]) == 4.0 and middle_of(sizes, []) == 0.0


def test_headings_are_told_apart() -> None:
    """No two columns of a block have one heading."""
    found = _risen([0.6] * 6, [0.25] * 6)
    for name in (drift.LINES, drift.RUNS):
        headings = [column.heading for column in found.model.blocks[name].columns.values()]
        assert len(set(headings)) == len(headings), name


def test_no_alloy_lines_at_all() -> None:
    """A practice without alloy has no runs."""
    assert audit(drift, rows_of([unit("A-1")]), HALF).found == []
