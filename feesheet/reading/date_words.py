"""Dates that are typed as words or whole numbers, and which of day and month comes first.

The order is decided once for a column of a sheet, from the dates that can be read in one way only.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from datetime import date

_ISO = re.compile(r"(\d{4})([-/.])(\d{1,2})\2(\d{1,2})(?:[T ]\d{1,2}:\d{2}(?::\d{2}(?:\.\d+)?)?Z?)?")
_THREE = re.compile(r"(\d{1,2})([-/. ])(\d{1,2})\2(\d{4}|\d{2})\.?(?: 0?0:00(?::00)?)?")
_NAMED = re.compile(r"(?:(\d{1,2})[-. ]+([A-Za-z]{3,9})|([A-Za-z]{3,9})[. ]+(\d{1,2}))\.?[-, ]+(\d{4})")
MONTHS = (
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
)


def plain_date(text: str) -> date | None:
    """The day of a text that can be read in one way in any country: year first, or the month in words.

    >>> plain_date("2026-03-04"), plain_date("20260304"), plain_date("4 March 2026"), plain_date("03/04/2026")
    (datetime.date(2026, 3, 4), datetime.date(2026, 3, 4), datetime.date(2026, 3, 4), None)
    """
    match = _ISO.fullmatch(text)
    if match:
        return day_of(int(match[1]), int(match[3]), int(match[4]))
    if len(text) == 8 and text.isascii() and text.isdigit():
        return day_of(int(text[:4]), int(text[4:6]), int(text[6:]))
    match = _NAMED.fullmatch(text)
    if match:
        word = (match[2] or match[3]).lower()
        months = [
            number
            for number, name in enumerate(MONTHS, start=1)
            if name.startswith(word[:3] if word == "sept" else word)
        ]
        return day_of(int(match[5]), months[0], int(match[1] or match[4])) if len(months) == 1 else None
    return None


def three_numbers(text: str) -> tuple[int, int, int] | None:
    """The numbers of a date like 03/04/2026, a year of two digits taken as 20yy; None for anything else."""
    match = _THREE.fullmatch(text)
    if match is None:
        return None
    year = int(match[4])
    return int(match[1]), int(match[3]), year + 2000 if len(match[4]) == 2 else year


def day_of(year: int, month: int, day: int) -> date | None:
    """That day, None where the calendar has none."""
    try:
        return date(year, month, day)
    except ValueError:
        return None


def readings(numbers: tuple[int, int, int]) -> dict[str, date]:
    """The days that three numbers can mean, by the order "day first" or "month first"."""
    first, second, year = numbers
    both = {"day first": day_of(year, second, first), "month first": day_of(year, first, second)}
    return {order: day for order, day in both.items() if day}


def is_dotted(text: str) -> bool:
    """Whether a date's three numbers stand with dots between them."""
    match = _THREE.fullmatch(text)
    return match is not None and match[2] == "."


def meant(text: str, shown: Mapping[str, str]) -> dict[str, date]:
    """The days that a text can mean where those orders are shown.

    With dots the day stands first in all countries that write them (common practice, no source), unless a
    dotted date shows the month first.

    >>> meant("03.04.2026", {}), len(meant("03/04/2026", {}))
    ({'day first': datetime.date(2026, 4, 3)}, 2)
    """
    numbers = three_numbers(text)
    known = readings(numbers) if numbers else {}
    if is_dotted(text) and "day first" in known and not is_dotted(shown.get("month first", "")):
        return {"day first": known["day first"]}
    return known


def orders(texts: Iterable[str]) -> dict[str, str]:
    """For each order shown for certain by any of the texts, the first such text.

    A dotted date with its day first shows nothing of dates without dots, and counts only against another dotted one.
    """
    shown: dict[str, str] = {}
    dotted = ""
    for text in texts:
        numbers = three_numbers(text)
        known = readings(numbers) if numbers else {}
        if len(known) == 1 and is_dotted(text) and "day first" in known:
            dotted = dotted or text
        elif len(known) == 1:
            shown.setdefault(next(iter(known)), text)
    if dotted and is_dotted(shown.get("month first", "")):
        shown.setdefault("day first", dotted)
    return shown
