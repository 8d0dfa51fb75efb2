"""The period of a review and the one it is compared with, and every question that can't be asked told in words."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest
from earned_cuts import with_seated
from practices import random_practice
from priced import Rows, read_rows

from feesheet.costing.meaning import window_start
from feesheet.practice import Practice
from feesheet.pricing.review.period import Period
from feesheet.problems import Problem, errors
from feesheet.uses.review_asked import EARLIEST, LONGEST, ReviewAsked, periods, without_future

SEED = 2
"""A practice of twelve invoice months; its lines are of the year before its pricing date and some before that."""


def rows() -> Rows:
    """The practice's rows."""
    return random_practice(SEED, sites=1, materials=3, lines=60, plans=1)


@pytest.fixture(scope="module")
def practice() -> Practice:
    """The practice without work seated."""
    return read_rows(rows())


def asked_of(practice: Practice, asked: ReviewAsked) -> tuple[Period, Period | None]:
    """The periods of a question that can be asked."""
    now, then, problems = periods(practice, asked)
    assert now is not None and errors(problems) == []
    return now, then


def refused(practice: Practice, asked: ReviewAsked) -> list[Problem]:
    """The errors of a question that can't be asked; each has something to do about it."""
    _, _, problems = periods(practice, asked)
    found = errors(problems)
    assert found and all(one.what.endswith((".", ":")) and one.do for one in found)
    return found


def test_usually_it_is_the_pricing_window(practice: Practice) -> None:
    """Nothing typed: the very window whose lines the fee schedule counts."""
    now, _ = asked_of(practice, ReviewAsked())
    assert now.last == practice.day("pricing_date")
    assert now.day_before == window_start(practice).date()
    assert now.months == practice.settings["invoice_months"]


def test_the_length_and_the_last_day_can_be_typed(practice: Practice) -> None:
    """Months to a month's last day are calendar months; the comparison has as many and ends the day before."""
    now, then = asked_of(practice, ReviewAsked(to="2026-06-30", months=3))
    assert (now.first, now.last) == (date(2026, 4, 1), date(2026, 6, 30))
    assert then is not None and (then.first, then.last) == (date(2026, 1, 1), date(2026, 3, 31))


def test_the_months_stand_for_both_periods(practice: Practice) -> None:
    """A comparison that is named has the length of the period."""
    _, then = asked_of(practice, ReviewAsked(to="2026-09-30", months=2, against="2026-02-28"))
    assert then is not None and (then.first, then.last) == (date(2026, 1, 1), date(2026, 2, 28))


def test_a_comparison_can_be_unwanted(practice: Practice) -> None:
    """ "none", or last year's workbook in its place."""
    for asked in (ReviewAsked(against="none", months=6), ReviewAsked(last_year=Path("book.xlsx"), months=6)):
        assert asked_of(practice, asked)[1] is None


def test_before_the_first_line_there_is_nothing_to_compare(practice: Practice) -> None:
    """A comparison that nobody named is left out where the folder has nothing of it, and a notice says so."""
    first = practice.tables["invoice_lines"]["date"].min().date()
    now, then, problems = periods(
        practice, ReviewAsked(to=(first + timedelta(days=40)).isoformat(), months=3)
    )
    (notice,) = problems
    assert now is not None and then is None and errors(problems) == []
    assert "the period is compared with nothing" in notice.what


def test_a_comparison_that_is_held_in_part_is_said(practice: Practice) -> None:
    """Months without anything at its beginning would look like growth; a few days would not."""
    first = practice.tables["invoice_lines"]["date"].min().date()
    to, against = practice.day("pricing_date").isoformat(), (first + timedelta(days=60)).isoformat()
    _, then, problems = periods(practice, ReviewAsked(to=to, months=4, against=against))
    said = f"the folder's first day is {first}"
    assert then is not None and any(said in problem.what for problem in problems)
    _, then, problems = periods(practice, ReviewAsked(to=to, months=2, against=against))
    assert then is not None and not any(said in problem.what for problem in problems)


def test_work_seated_is_something_to_compare() -> None:
    """Without any invoice, work that was seated then is enough."""
    made = read_rows({**with_seated(rows(), SEED), "invoice_lines": []})
    last = made.day("pricing_date")
    _, then = asked_of(made, ReviewAsked(months=3))
    assert then is not None and then.last < last


def test_a_named_comparison_without_anything_is_told(practice: Practice) -> None:
    """With the days that were looked for, and what else could be compared."""
    (problem,) = refused(practice, ReviewAsked(months=6, against="1990-06-30"))
    assert "no invoice line and no work seated from 1 January 1990 to 30 June 1990" in problem.what
    assert "--last-year" in problem.do


def test_a_comparison_inside_the_period_is_told(practice: Practice) -> None:
    """Its last day must come before the period's first day; the day before it is near enough."""
    now, _ = asked_of(practice, ReviewAsked(months=6))
    for day in (now.last, now.first):
        (problem,) = refused(practice, ReviewAsked(months=6, against=day.isoformat()))
        assert f"is not before the period, which begins on {now.first}" in problem.what
    _, then = asked_of(practice, ReviewAsked(months=6, against=now.day_before.isoformat()))
    assert then is not None and then.last == now.day_before


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (ReviewAsked(to="31.10.2026"), '--to "31.10.2026" is no day.'),
        (ReviewAsked(to="2026-02-30"), '--to "2026-02-30" is no day.'),
        (ReviewAsked(against="soon"), '--against "soon" is no day.'),
        (ReviewAsked(to="0001-01-05"), "--to 0001-01-05 is too long ago"),
        (ReviewAsked(against="1899-12-31"), "--against 1899-12-31 is too long ago"),
        (ReviewAsked(months=-1), "--months -1 is no length of a period."),
        (ReviewAsked(months=LONGEST + 1), f"--months {LONGEST + 1} is no length of a period."),
        (ReviewAsked(least=-0.01), "--least -0.01 is no smallest money"),
        (ReviewAsked(least=float("nan")), "--least nan is no smallest money"),
        (ReviewAsked(least=float("inf")), "--least inf is no smallest money"),
        (ReviewAsked(least=1e7), "--least 10000000.0 is no smallest money"),
        (ReviewAsked(against="none", last_year=Path("book.xlsx")), "both say what the period is compared"),
    ],
)
def test_what_cannot_be_asked_is_told(asked: ReviewAsked, words: str, practice: Practice) -> None:
    """Each option that is not what it should be has one line that names it."""
    (problem,) = refused(practice, asked)
    assert words in problem.what


def test_all_of_it_is_told_in_one_go(practice: Practice) -> None:
    """Four options that can't be are four problems, and there is no period."""
    now, then, problems = periods(practice, ReviewAsked("today", 99, "soon", None, -1.0))
    assert (now, then, len(errors(problems))) == (None, None, 4)


def test_the_earliest_day_is_a_day(practice: Practice) -> None:
    """The longest periods to the earliest day are still days that a workbook holds."""
    now, _ = asked_of(practice, ReviewAsked(EARLIEST.isoformat(), LONGEST))
    assert now.before.day_before >= date(1900, 12, 31)


def test_an_empty_period_is_said(practice: Practice) -> None:
    """A notice names its days; a period with a line has none."""
    _, _, problems = periods(practice, ReviewAsked(to="1990-06-30", months=6))
    notice = problems[0]
    assert "no invoice line and no work seated from 1 January 1990 to 30 June 1990" in notice.what
    assert errors(problems) == [] and periods(practice, ReviewAsked(against="none"))[2] == []


def test_a_period_that_is_not_over_is_said(practice: Practice) -> None:
    """What is billed after the pricing date is not there yet; up to that day nothing is missing."""
    last = practice.day("pricing_date")
    (notice,) = without_future(practice, Period(last + timedelta(days=1), 6))
    assert str(last) in notice.what and errors([notice]) == []
    assert without_future(practice, Period(last, 6)) == []
