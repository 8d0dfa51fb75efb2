"""What spreadsheet programs do to teeth and case numbers, and what can be restored."""

from __future__ import annotations

import re
from datetime import date
from typing import Any

from feesheet.reading.faults import shortest

_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_DAY = re.compile(r"(\d{1,2})[-. ]([A-Za-z]{3})\.?|([A-Za-z]{3})[-. ](\d{1,2})")
_LOST = re.compile(r"\d(?:[.,]\d+)?E\+\d{2}", re.IGNORECASE)


def is_lost(text: str) -> bool:
    """Whether a spreadsheet program has cut a long number short.

    >>> is_lost("1.23E+11"), is_lost("123456789012")
    (True, False)
    """
    return _LOST.fullmatch(text) is not None


def teeth(cell: Any, order: str) -> tuple[str, bool]:
    """The teeth of a cell, and whether they were restored from a date.

    A range such as 3-5 that was read as 5 March goes back to month-day, or to day-month where the file
    writes days first.

    >>> teeth(date(2026, 3, 5), ""), teeth("5-Mar", "month first"), teeth("3-5", "")
    (('3-5', True), ('3-5', True), ('3-5', False))
    """
    if isinstance(cell, date):
        return _range(cell.month, cell.day, order), True
    if not isinstance(cell, str):
        return ("" if cell is None else shortest(cell)), False
    text = cell.strip()
    match = _DAY.fullmatch(text) if text[-3:].isalpha() or text[:3].isalpha() else None
    month = (match[2] or match[3]).lower() if match else ""
    if match and month in _MONTHS:
        return _range(_MONTHS.index(month) + 1, int(match[1] or match[4]), order), True
    return text, False


def _range(month: int, day: int, order: str) -> str:
    return f"{day}-{month}" if order == "day first" else f"{month}-{day}"
