"""Names made one: a site typed "north" on one sheet is the "North" of the Sites table on every sheet, "US dollars" are USD."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace

import pandas as pd

from feesheet.practice import Practice
from feesheet.reading import currency_words
from feesheet.tables import NOT_A_CROWN

LISTS: dict[str, tuple[tuple[str, str], ...]] = {
    "site": (("sites", "site"),),
    "region": (("sites", "region"),),
    "material": (("materials", "material"),),
    "alloy": (("alloys", "alloy"),),
    "lab": (("labs", "lab"), ("milling", "lab")),
    "role": (("staff", "role"),),
    "plan": (("plans", "plan"),),
    "code": (("fees", "code"),),
}
"""Where each sort of name is listed; every other table must use a name from there."""

ALL = "all"
_CURRENCIES = frozenset({"currency", "lab_currency", "foreign"})
"""Columns of currencies. Only in the first may a name that several share, such as dollar, be the practice's own."""


def key(name: str) -> str:
    """A name as names are compared: without case or doubled spaces.

    >>> key(" North   Clinic") == key("north clinic")
    True
    """
    return " ".join(name.split()).casefold()


def listed(practice: Practice, sort: str) -> dict[str, str]:
    """The names of that sort as their own table spells them, by `key`."""
    names: dict[str, str] = {}
    for table, column in LISTS[sort]:
        for name in practice.tables[table][column].astype(object).drop_duplicates():
            if name:
                names.setdefault(key(name), name)
    return names


def fee_sites(practice: Practice) -> dict[str, str]:
    """What a fee row's site may be: a site, a region of the Sites table, or all."""
    return {**listed(practice, "region"), **listed(practice, "site"), ALL: ALL}


def as_listed(practice: Practice) -> Practice:
    """The practice with every known name spelled as in the table that lists it; others stay as they are."""
    tables = {name: _respelled(practice, name, frame) for name, frame in practice.tables.items()}
    return replace(practice, tables=tables, settings=_settings(practice))


def _settings(practice: Practice) -> Mapping[str, object]:
    base = practice.settings.get("base_site")
    if not isinstance(base, str):
        return practice.settings
    return {**practice.settings, "base_site": listed(practice, "site").get(key(base), base)}


def _respelled(practice: Practice, table: str, frame: pd.DataFrame) -> pd.DataFrame:
    changed = {
        column: series
        for column in frame.columns
        if (spelled := _speller(practice, table, column))
        and (series := _mapped(frame[column], spelled)) is not None
    }
    return frame.assign(**changed) if changed else frame


def _speller(practice: Practice, table: str, column: str) -> Callable[[str], str] | None:
    """How names in that column are spelled, None for a column that holds no listed names."""
    if column == "site" and table == "fees":
        return _by(fee_sites(practice))
    if column == "roles":
        return _roles(listed(practice, "role"))
    if column in _CURRENCIES:
        own = practice.settings.get("currency") if column == "currency" else ""
        return lambda word: currency_words.code_of(word, str(own)) or word
    if column not in LISTS:
        return None
    own = {key(NOT_A_CROWN): NOT_A_CROWN} if column == "material" and table == "product_map" else {}
    return _by({**listed(practice, column), **own})


def _by(names: Mapping[str, str]) -> Callable[[str], str]:
    return lambda word: names.get(key(word), word)


def _roles(names: Mapping[str, str]) -> Callable[[str], str]:
    return lambda word: (
        " + ".join(names.get(key(role), role.strip()) for role in word.split("+")) if word else word
    )


def _mapped(column: pd.Series, spelled: Callable[[str], str]) -> pd.Series | None:
    """The column with its names spelled so, None where nothing changes."""
    words = list(column.cat.categories)
    new = [spelled(word) for word in words]
    if new == words:
        return None
    categories = sorted(set(new))
    place = {word: number for number, word in enumerate(categories)}
    codes = pd.Series([place[word] for word in new], dtype="int64").to_numpy()[column.cat.codes.to_numpy()]
    return pd.Series(
        pd.Categorical.from_codes(codes, categories=pd.Index(categories, dtype="str")), index=column.index
    )


def split_roles(words: str) -> Iterable[str]:
    """The roles of a step, one by one."""
    return [role.strip() for role in words.split("+") if role.strip()]
