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
from feesheet.tables import PRACTICE

LONGEST = int(PRACTICE.field("invoice_months").high or 0)
"""The most months of a period: the most that a pricing window may have."""

EARLIEST = date(1911, 1, 1)
"""The first day that may be typed: a workbook's days begin in 1900, and two of the longest periods end on it."""

MOST = 1e6
"""The most that the smallest money of a finding may be."""

FULL_MONTH = 28
"""Days without anything at the beginning of a period that are asked about."""

NOTHING = "none"
"""Typed for the comparison where none is wanted."""


@dataclass(frozen=True)
class ReviewAsked:
    """What is asked, as it was typed. `to` and `against` are last days (yyyy-mm-dd, "" for the usual one, `against` also
    "none"), `months` the length of both periods (None: the practice's invoice months), `last_year` a fee-schedule workbook
    in place of a comparison period, `least` the smallest money of a finding."""

    to: str = ""
    months: int | None = None
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
    empty = _empty(practice, now)
    if asked.last_year or asked.against == NOTHING:
        return now, None, empty
    then = Period(against, months) if against else now.before
    compared, problems = _compared(practice, now, then, bool(against))
    return now, compared, [*empty, *problems]


def _not_possible(asked: ReviewAsked) -> list[Problem]:
    problems = []
    if asked.months is not None and not 1 <= asked.months <= LONGEST:
        what = f"--months {asked.months} is no length of a period."
        problems.append(Problem("out of range", what, f"Type a whole number of months from 1 to {LONGEST}."))
    if asked.last_year and asked.against:
        what = "--against and --last-year both say what the period is compared with."
        problems.append(Problem("two tables fit", what, "Leave one of them out."))
    if not 0 <= asked.least <= MOST:
        what = f"--least {asked.least} is no smallest money of a finding."
        problems.append(Problem("out of range", what, f"Type an amount from 0 to {MOST:,.0f}."))
    return problems


def _day(text: str, option: str) -> tuple[date | None, list[Problem]]:
    if not text:
        return None, []
    try:
        day = date.fromisoformat(text)
    except ValueError:
        what = f'{option} "{text}" is no day.'
        return None, [Problem("not a date", what, "Type it as yyyy-mm-dd, for example 2026-10-31.")]
    if day >= EARLIEST:
        return day, []
    what = f"{option} {text} is too long ago for a workbook."
    return None, [Problem("out of range", what, f"Type a day from {EARLIEST} on.")]


def _days(practice: Practice) -> pd.Series:
    """The days of all invoice lines and of all work seated."""
    tables = practice.tables
    return pd.concat([tables["invoice_lines"]["date"], tables["seated"]["seated_on"]]).dropna()


def _holds_anything(practice: Practice, period: Period) -> bool:
    """Whether the folder has an invoice line or work seated from the period."""
    return bool(period.holds(_days(practice)).any())


def _empty(practice: Practice, now: Period) -> list[Problem]:
    """A period without anything: its figures are nought, its costs those of quotes and starting values."""
    if _holds_anything(practice, now):
        return []
    what = f"The folder has no invoice line and no work seated from {now.title}: its crowns are not known."
    return [Problem("empty table", what, "Add them, or name another last day with --to.")]


def _compared(
    practice: Practice, now: Period, then: Period, named: bool
) -> tuple[Period | None, list[Problem]]:
    """The comparison period, if it ends before the period begins and the folder has something of it."""
    if then.last >= now.first:
        what = f"--against {then.last} is not before the period, which begins on {now.first}."
        return None, [Problem("out of range", what, "Name a day before it.")]
    if _holds_anything(practice, then):
        return then, _held_in_part(practice, then)
    if not named:
        what = f"The folder has nothing from {then.title}: the period is compared with nothing."
        cure = "Name another day with --against, or last year's workbook with --last-year."
        return None, [Problem("empty table", what, cure)]
    what = f"The folder has no invoice line and no work seated from {then.title}."
    cure = "Add them, name another day, or compare with last year's workbook: --last-year."
    return None, [Problem("out of range", what, cure)]


def _held_in_part(practice: Practice, then: Period) -> list[Problem]:
    """A comparison period that begins before anything in the folder: it would look smaller than it was."""
    first = _days(practice).min().date()
    if (first - then.first).days < FULL_MONTH:
        return []
    what = f"The comparison period begins on {then.first}, but the folder's first day is {first}: what came before is missing."
    return [Problem("dates out of order", what, "Name fewer months with --months, or another period.")]


def without_future(practice: Practice, now: Period) -> list[Problem]:
    """A period that ends after the pricing date: what is not there yet is missing from it."""
    if now.last <= practice.day("pricing_date"):
        return []
    what = f"The period ends on {now.last}, after the pricing date {practice.day('pricing_date')}."
    return [Problem("dates out of order", what, "What is billed later is not in it.")]
