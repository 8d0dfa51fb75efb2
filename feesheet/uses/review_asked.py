"""What a review was asked: its period, what it is compared with, and what of it can't be."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path

import pandas as pd

from feesheet.costing.meaning import window_start
from feesheet.practice import Practice
from feesheet.pricing.review.period import Period
from feesheet.problems import Problem

LONGEST = 60
"""The most months of a period: the most that a pricing window may have."""

NOTHING = "none"
"""Typed for the comparison where none is wanted."""


@dataclass(frozen=True)
class ReviewAsked:
    """What is asked, as it was typed. `to` and `against` are last days (yyyy-mm-dd, "" for the usual one, `against` also
    "none"), `months` the length of both periods (0: the practice's invoice months), `last_year` a fee-schedule workbook
    in place of a comparison period, `least` the smallest money of a finding."""

    to: str = ""
    months: int = 0
    against: str = ""
    last_year: Path | None = None
    least: float = 1.0


def periods(practice: Practice, asked: ReviewAsked) -> tuple[Period | None, Period | None, list[Problem]]:
    """The period, and the one before it that it is compared with; None where there is none."""
    problems = _not_possible(asked)
    last, more = _day(asked.to, "--to")
    against, again = _day("" if asked.against == NOTHING else asked.against, "--against")
    problems += [*more, *again]
    if problems:
        return None, None, problems
    months = asked.months or int(practice.settings["invoice_months"])
    usual = not last and months == int(practice.settings["invoice_months"])
    now = Period(
        last or practice.day("pricing_date"), months, window_start(practice).date() if usual else None
    )
    if asked.last_year or asked.against == NOTHING:
        return now, None, []
    then = Period(against, months) if against else now.before
    return now, *_compared(practice, now, then, bool(against))


def _not_possible(asked: ReviewAsked) -> list[Problem]:
    problems = []
    if not 0 <= asked.months <= LONGEST:
        what = f"--months {asked.months} is no length of a period."
        problems.append(Problem("out of range", what, f"Type a whole number of months from 1 to {LONGEST}."))
    if asked.last_year and asked.against:
        what = "--against and --last-year both say what the period is compared with."
        problems.append(Problem("two tables fit", what, "Leave one of them out."))
    if not asked.least >= 0:
        what = f"--least {asked.least} is no amount."
        problems.append(Problem("out of range", what, "Type the smallest money of a finding, 0 or more."))
    return problems


def _day(text: str, option: str) -> tuple[date | None, list[Problem]]:
    if not text:
        return None, []
    try:
        return date.fromisoformat(text), []
    except ValueError:
        what = f'{option} "{text}" is no day.'
        return None, [Problem("not a date", what, "Type it as yyyy-mm-dd, for example 2026-10-31.")]


def _compared(
    practice: Practice, now: Period, then: Period, named: bool
) -> tuple[Period | None, list[Problem]]:
    """The comparison period, if it ends before the period begins and the folder has something of it."""
    if then.last >= now.first:
        what = f"--against {then.last} lies inside the period, which begins on {now.first}."
        return None, [Problem("out of range", what, "Name a day before it.")]
    days = [practice.tables["invoice_lines"]["date"], practice.tables["seated"]["seated_on"]]
    if any(then.holds(pd.Series(of)).any() for of in days):
        return then, []
    if not named:
        return None, []
    what = f"The folder has no invoice line and no work seated from {then.title}."
    cure = "Add them, name another day, or compare with last year's workbook: --last-year."
    return None, [Problem("out of range", what, cure)]


def without_future(practice: Practice, now: Period) -> list[Problem]:
    """A period that ends after the pricing date: what is not there yet is missing from it."""
    if now.last <= practice.day("pricing_date"):
        return []
    what = f"The period ends on {now.last}, after the pricing date {practice.day('pricing_date')}."
    return [Problem("dates out of order", what, "What is billed later is not in it.")]
