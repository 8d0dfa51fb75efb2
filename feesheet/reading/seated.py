"""Work seated and money that came in: what must hold within those tables before a review may count them."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

import numpy as np
import pandas as pd

from feesheet.practice import Practice
from feesheet.problems import Problem
from feesheet.reading.spelling import ALL, key, listed
from feesheet.tables import COLLECTIONS, SEATED

MOST_YEARS = 20
"""Years between a day of these tables and the pricing date; one further off is a slip of the pen."""

_DAYS = (
    (SEATED.name, "seated_on"),
    (SEATED.name, "received_on"),
    (COLLECTIONS.name, "month_end"),
)


def seated(practice: Practice, unread: frozenset[str]) -> list[Problem]:
    """Everything that is wrong within the two tables. `unread` names tables that could not be read."""
    at_no_site = [] if {"fees", "sites"} & unread else list(_without_fee(practice))
    return [*_no_units(practice), *at_no_site, *_far_off(practice), *_months_twice(practice)]


def _no_units(practice: Practice) -> Iterator[Problem]:
    """Rows of no units: their money would be a mean of nothing."""
    for row in np.flatnonzero((practice.tables[SEATED.name]["units"] == 0).to_numpy()):
        what, do = "The row is for 0 units.", "Type how many, or delete the row."
        yield Problem("out of range", what, do, *practice.place(SEATED.name, int(row), "units"))


def _without_fee(practice: Practice) -> Iterator[Problem]:
    """Codes of the fee schedule that have no fee at the row's site."""
    codes, sites = listed(practice, "code"), listed(practice, "site")
    held = _held(practice)
    frame = practice.tables[SEATED.name]
    pairs = zip(frame["code"].astype(object), frame["site"].astype(object), strict=True)
    for row, (code, site) in enumerate(pairs):
        if key(code) in codes and key(site) in sites and (key(code), key(site)) not in held:
            what = f'The code "{codes[key(code)]}" has no fee at {sites[key(site)]}.'
            do = 'Correct the code or the site, or add the fee to the sheet "Current fees".'
            yield Problem("unknown name", what, do, *practice.place(SEATED.name, row, "code"))


def _held(practice: Practice) -> set[tuple[str, str]]:
    """Each code with each site that one of its fee rows holds for."""
    places = practice.tables["sites"]
    answers: dict[str, set[str]] = {}
    for site, region in zip(places["site"].astype(object), places["region"].astype(object), strict=True):
        for where in (key(site), key(region), ALL, ""):
            answers.setdefault(where, set()).add(key(site))
    fees = practice.tables["fees"]
    rows = zip(fees["code"].astype(object), fees["site"].astype(object), strict=True)
    return {(key(code), site) for code, where in rows for site in answers.get(key(where), ())}


def _far_off(practice: Practice) -> Iterator[Problem]:
    """Days so far from the pricing date that no review would ever see them; the day itself is not repeated."""
    pricing = practice.settings.get("pricing_date")
    if not isinstance(pricing, date):
        return
    years = pd.DateOffset(years=MOST_YEARS)
    first, last = pd.Timestamp(pricing) - years, pd.Timestamp(pricing) + years
    for table, field in _DAYS:
        days = practice.tables[table][field]
        for row in np.flatnonzero(((days < first) | (days > last)).to_numpy()):
            what = f"The day is more than {MOST_YEARS} years from the pricing date."
            place = practice.place(table, int(row), field)
            yield Problem("out of range", what, "Correct its year.", *place)


def _months_twice(practice: Practice) -> Iterator[Problem]:
    """Two rows of one month and site under different days; the very same day is told with the other duplicates."""
    frame = practice.tables[COLLECTIONS.name]
    seen: dict[tuple[str, str], tuple[pd.Timestamp, int]] = {}
    for row, (day, site) in enumerate(zip(frame["month_end"], frame["site"].astype(object), strict=True)):
        if pd.isna(day) or not site:
            continue
        first = seen.setdefault((f"{day:%Y-%m}", key(site)), (day, row))
        if first[0] != day:
            file, sheet, cell = practice.place(COLLECTIONS.name, row, "month_end")
            other = practice.place(COLLECTIONS.name, first[1], "month_end")
            shown = other[2] if other[:2] == (file, sheet) else ", ".join(filter(None, other))
            what = f"The row is for the same month and site as {shown}."
            yield Problem("duplicate", what, "Delete one of the rows or correct it.", file, sheet, cell)
