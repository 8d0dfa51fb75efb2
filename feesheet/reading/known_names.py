"""Names that no list of the practice knows, and rows that stand twice."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from difflib import get_close_matches

import numpy as np
import pandas as pd

from feesheet.practice import Practice
from feesheet.problems import Problem
from feesheet.reading.spelling import LISTS, fee_sites, key, listed, split_roles
from feesheet.schema import Table
from feesheet.tables import NOT_A_CROWN, PRODUCT_MAP, SEATED, TABLES

MOST_PLACES = 20
"""Cells with one and the same unknown name that are named one by one."""

_HOMES = {sort: TABLES[places[0][0]].sheet for sort, places in LISTS.items()}


def unknown_names(practice: Practice, unread: frozenset[str]) -> list[Problem]:
    """Every name that is used on a sheet but listed nowhere. Silent where a list could not be read."""
    problems: list[Problem] = []
    for table, column, sort in _uses():
        names = listed(practice, sort)
        if any(home in unread for home, _ in LISTS[sort]):
            continue
        if (table, column) == ("fees", "site"):
            names = fee_sites(practice)
        elif (table, column) == ("product_map", "material"):
            names = {**names, key(NOT_A_CROWN): NOT_A_CROWN}
        problems += _unknown(practice, table, column, sort, names)
    roles = [] if "staff" in unread else _unknown_roles(practice)
    return [*problems, *roles, *([] if "sites" in unread else _unknown_base(practice))]


def _uses() -> Iterator[tuple[str, str, str]]:
    """Table, column and sort of each column that uses names listed elsewhere."""
    for table in TABLES.values():
        for field in table.fields:
            homes = LISTS.get(field.name, ())
            if homes and field.kind != "choice" and (table.name, field.name) not in homes:
                yield table.name, field.name, field.name


def _unknown(
    practice: Practice, table: str, column: str, sort: str, names: Mapping[str, str]
) -> list[Problem]:
    series = practice.tables[table][column]
    strange = {word for word in series.cat.categories if word and key(word) not in names}
    if not strange:
        return []
    rows = np.flatnonzero(series.isin(strange).to_numpy() & _in_use(practice, table))
    words = series.astype(object).to_numpy()
    problems, counts = [], dict.fromkeys(strange, 0)
    for row in rows:
        counts[words[row]] += 1
        if counts[words[row]] <= MOST_PLACES:
            place = practice.place(table, int(row), column)
            problems.append(_stranger(words[row], sort, names, place, quoted=table != SEATED.name))
    return problems


def _in_use(practice: Practice, table: str) -> np.ndarray:
    """Whether each row counts: a product's name that nobody has confirmed is not used, so nothing in it stops a run."""
    frame = practice.tables[table]
    if table == PRODUCT_MAP.name:
        return np.asarray(frame["confirmed"], dtype=bool)
    return np.ones(len(frame), dtype=bool)


def _stranger(
    word: str, sort: str, names: Mapping[str, str], place: tuple[str, str, str], quoted: bool = True
) -> Problem:
    """The problem of one such cell. One that is not `quoted` may hold a patient's name, and is not repeated."""
    near = get_close_matches(key(word), list(names), 1, 0.6)
    said = f'The {sort} "{word}"' if quoted else f"The {sort} in this cell"
    hint = f'Did you mean "{names[near[0]]}"? ' if near else ""
    return Problem(
        "unknown name",
        f'{said} is not on the sheet "{_HOMES[sort]}".',
        f"{hint}Correct it here, or add it there.",
        *place,
    )


def _unknown_roles(practice: Practice) -> list[Problem]:
    """Roles of a step that no site, or not every site, has a pay for."""
    names, steps = listed(practice, "role"), practice.tables["chair_time"]
    gaps = _sites_without(practice)
    problems = []
    for row, words in enumerate(steps["roles"].astype(object)):
        for role in split_roles(words):
            place = practice.place("chair_time", row, "roles")
            if key(role) not in names:
                problems.append(_stranger(role, "role", names, place))
            elif gaps[key(role)]:
                shown = ", ".join(gaps[key(role)])
                problems.append(
                    Problem(
                        "missing value",
                        f'The role "{role}" has no pay at {shown}.',
                        'Add a row with a blank site to the sheet "Staff roles", or one for that site.',
                        *place,
                    )
                )
    return problems


def _sites_without(practice: Practice) -> dict[str, list[str]]:
    """For each role, the sites that none of its rows covers."""
    sites = listed(practice, "site")
    covered: dict[str, set[str]] = {}
    staff = practice.tables["staff"]
    for role, site in zip(staff["role"].astype(object), staff["site"].astype(object), strict=True):
        covered.setdefault(key(role), set()).add(key(site))
    return {
        role: [] if "" in known else [name for word, name in sites.items() if word not in known]
        for role, known in covered.items()
    }


def _unknown_base(practice: Practice) -> list[Problem]:
    base, sites = practice.settings.get("base_site"), listed(practice, "site")
    if not isinstance(base, str) or key(base) in sites:
        return []
    return [_stranger(base, "site", sites, practice.setting_cells["base_site"])]


def duplicates(practice: Practice) -> list[Problem]:
    """Rows that no key tells apart, the earlier one named. Silent where a part of the key can't be read."""
    return [
        problem
        for table in TABLES.values()
        if table.key and not table.vertical
        for problem in _duplicates_in(practice, table)
    ]


def _duplicates_in(practice: Practice, table: Table) -> list[Problem]:
    frame = practice.tables[table.name]
    keys = pd.DataFrame({name: _compared(frame[name]) for name in table.key})
    known = _in_use(practice, table.name).copy()
    for name in table.key:
        if table.field(name).required:
            known &= (keys[name].notna() & (keys[name] != "")).to_numpy()
    keys = keys[known]
    repeated = keys[keys.duplicated(keep="first")]
    if repeated.empty:
        return []
    first = {
        tuple(row): int(at)
        for at, row in zip(keys.index[::-1], keys.astype(object).fillna("").to_numpy()[::-1], strict=True)
    }
    problems = []
    for at, row in zip(repeated.index, repeated.astype(object).fillna("").to_numpy(), strict=True):
        place, other = (
            practice.place(table.name, where, table.key[0]) for where in (int(at), first[tuple(row)])
        )
        what = ", ".join(table.field(name).heading.lower() for name in table.key)
        shown = other[2] if other[:2] == place[:2] else ", ".join(part for part in other if part)
        problems.append(
            Problem(
                "duplicate",
                f"The row has the same {what} as {shown}.",
                "Delete one of the rows or correct it.",
                *place,
            )
        )
    return problems


def _compared(column: pd.Series) -> pd.Series:
    """A column as keys are compared: words without case, all else as it is."""
    if column.dtype != "category":
        return column
    folded = np.array([key(word) for word in column.cat.categories], dtype=object)
    return pd.Series(folded[column.cat.codes.to_numpy()], index=column.index)
