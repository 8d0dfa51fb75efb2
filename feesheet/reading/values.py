"""One column of raw cells -> one column of one kind, every bad cell a problem with its place.

Whole columns of numbers take a short way; all else is read once for each different cell content.
"""

from __future__ import annotations

import math
from array import array
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, TypeAlias

from feesheet.problems import Problem
from feesheet.reading import date_words
from feesheet.reading.cells import nothing, read
from feesheet.reading.faults import Evidence, Fault
from feesheet.reading.no_charge import AMOUNT, is_free, told
from feesheet.schema import NUMERIC_KINDS, Field

MOST_FAULTS = 100
"""Bad cells of one column that are named one by one; the rest are counted."""


@dataclass(frozen=True)
class Words:
    """A column of words: the different ones, and the position of each cell's word among them."""

    distinct: list[str]
    codes: array[int]


Column: TypeAlias = "array[float] | Words"
"""Numbers, days since 1970 and yes/no (1.0, 0.0) as floats with NaN for a blank; all else as words."""


@dataclass(frozen=True)
class Place:
    """Where a column stands; `rows` are the sheet's own row numbers of its cells."""

    file: str
    sheet: str
    letter: str
    rows: Sequence[int]


def convert(
    field: Field, cells: list[Any], place: Place, marks: dict[str, str]
) -> tuple[Column, list[Problem]]:
    """The column in `field`'s kind, and a problem for each cell that can't be read (it becomes a blank)."""
    fast = _all_floats(field, cells)
    if fast is not None:
        return fast, []
    different, codes = _factorised(cells)
    orders = (
        date_words.orders(c.strip() for c in different if isinstance(c, str)) if field.kind == "date" else {}
    )
    evidence = Evidence(marks, orders)
    free = {number: cell for number, cell in enumerate(different) if field == AMOUNT and is_free(cell)}
    results: list[Any] = [
        0.0 if number in free else read(field, cell, evidence) for number, cell in enumerate(different)
    ]
    faults = {number: result for number, result in enumerate(results) if isinstance(result, Fault)}
    problems = _placed(faults, codes, place) if faults else []
    if free:
        rows = [row for row, code in zip(place.rows, codes, strict=True) if code in free]
        cell = f"{place.letter}{rows[0]}"
        problems.append(told(list(free.values()), len(rows), (place.file, place.sheet, cell)))
    values = [nothing(field) if isinstance(result, Fault) else result for result in results]
    if isinstance(nothing(field), str):
        return _words(values, codes), problems
    return array("d", map(values.__getitem__, codes)), problems


def _all_floats(field: Field, cells: list[Any]) -> array[float] | None:
    if field.kind not in NUMERIC_KINDS or field.kind == "whole" or set(map(type, cells)) != {float}:
        return None
    numbers = array("d", cells)
    low = -math.inf if field.low is None else field.low
    high = math.inf if field.high is None else field.high
    sound = math.isfinite(sum(numbers)) and min(numbers) >= low and max(numbers) <= high
    return numbers if sound else None


def _factorised(cells: list[Any]) -> tuple[list[Any], array[int]]:
    """The different cell contents, and the position of each cell's content among them; TRUE is not 1."""
    index: dict[Any, int] = {}
    place = index.setdefault
    if bool in set(map(type, cells)):
        codes = array("i", [place((type(cell), cell), len(index)) for cell in cells])
        return [cell for _, cell in index], codes
    codes = array("i", [place(cell, len(index)) for cell in cells])
    return list(index), codes


def _words(values: list[str], codes: array[int]) -> Words:
    index: dict[str, int] = {}
    new = [index.setdefault(value, len(index)) for value in values]
    return Words(list(index), codes if len(index) == len(values) else array("i", map(new.__getitem__, codes)))


def _placed(faults: dict[int, Fault], codes: array[int], place: Place) -> list[Problem]:
    bad = [(row, code) for row, code in zip(place.rows, codes, strict=True) if code in faults]
    problems = [
        Problem(
            faults[code].kind,
            faults[code].what,
            faults[code].do,
            place.file,
            place.sheet,
            f"{place.letter}{row}",
        )
        for row, code in bad[:MOST_FAULTS]
    ]
    if len(bad) > MOST_FAULTS:
        kind, rest = faults[bad[MOST_FAULTS][1]].kind, len(bad) - MOST_FAULTS
        problems.append(
            Problem(
                kind,
                f"{rest:,} more cells of this column can't be read.",
                "Look at the whole column.",
                place.file,
                place.sheet,
                f"{place.letter}{bad[MOST_FAULTS][0]}",
            )
        )
    return problems
