"""Sites without an overhead ledger of their own, and accounts that chair time or invoices may hold already."""

from __future__ import annotations

import re

import numpy as np
import pandas as pd

from feesheet.practice import Practice
from feesheet.problems import Problem
from feesheet.reading.spelling import key, listed
from feesheet.schema import plain

_PER_ITEM = re.compile(
    r"\b(labs?|laborator\w*|(dental|crown|clinical) suppl\w+|dentists?|associates?|owners? (s )?(pay|draw\w*|salary))\b"
)
"""Accounts, made plain, whose money invoices, supplies or chair time are likely to bring in already."""


def missing(practice: Practice) -> list[Problem]:
    """Sites without a ledger of their own need a base site with one, and both regions' index of one year."""
    kept = {key(site) for site in practice.tables["overhead"]["site"].astype(object)}
    sites = practice.tables["sites"]
    without = [row for row, site in enumerate(sites["site"].astype(object)) if site and key(site) not in kept]
    if not without or kept - set(listed(practice, "site")) - {""}:
        return []  # a ledger under a misspelled name is likely the one that is missing
    base = practice.settings.get("base_site")
    if not isinstance(base, str):
        return [_no_base(practice, row, "no base site is set") for row in without]
    if key(base) not in listed(practice, "site"):
        return []
    if key(base) not in kept:
        return [_no_base(practice, row, f'the base site "{base}" has none either') for row in without]
    return _indexes(practice, base, without)


def _no_base(practice: Practice, row: int, why: str) -> Problem:
    site = practice.tables["sites"]["site"].iloc[row]
    return Problem(
        "nothing to start from",
        f'The site "{site}" has no overhead ledger and {why}.',
        'Fill in its ledger, or set "Base site" to a site that has one.',
        *practice.place("sites", row, "site"),
    )


def _indexes(practice: Practice, base: str, without: list[int]) -> list[Problem]:
    sites, index = practice.tables["sites"], practice.tables["region_index"]
    years = {
        key(region): year for region, year in zip(index["region"].astype(object), index["year"], strict=True)
    }
    regions = {
        key(site): region
        for site, region in zip(sites["site"].astype(object), sites["region"].astype(object), strict=True)
    }
    home, problems = regions[key(base)], []
    for row in without:
        own = sites["region"].iloc[row]
        if not own or not home or key(own) == key(home):
            continue
        place = practice.place("sites", row, "region")
        lacking = [region for region in dict.fromkeys((home, own)) if key(region) not in years]
        problems += [
            Problem(
                "nothing to start from",
                f'The region "{region}" has no price index.',
                'Add it to the sheet "Region index".',
                *place,
            )
            for region in lacking
        ]
        if not lacking and not _same_year(years[key(home)], years[key(own)]):
            problems.append(
                Problem(
                    "does not add up",
                    f'The indexes of "{home}" and "{own}" are of different years.',
                    "Type both for one and the same year.",
                    *place,
                )
            )
    return problems


def _same_year(one: float, other: float) -> bool:
    """Whether two years agree, or one of them is not known."""
    return bool(pd.isna(one) or pd.isna(other) or one == other)


def counted_twice(practice: Practice) -> list[Problem]:
    """Accounts that sound like lab, supplies or a dentist's pay, but are not said to be costed per item."""
    ledger = practice.tables["overhead"]
    names = ledger["account"].astype(object)
    alike = {name for name in ledger["account"].cat.categories if _PER_ITEM.search(plain(name))}
    amounts = ledger["amount"].fillna(0.0)
    open_rows = ledger["account"].isin(alike) & ~ledger["costed_per_item"] & (amounts != 0)
    problems = []
    for name in names[open_rows].drop_duplicates():
        rows = np.flatnonzero((open_rows & (names == name)).to_numpy())
        where = f" in {len(rows)} rows, the first here" if len(rows) > 1 else ""
        what = f'The account "{name}" ({amounts.iloc[rows].sum():,.2f} a year{where}) counts as overhead.'
        do = 'If invoices, supplies or chair time bring it in already, set "Costed per item" to yes.'
        place = practice.place("overhead", int(rows[0]), "costed_per_item")
        problems.append(Problem("may count twice", what, do, *place))
    return problems
