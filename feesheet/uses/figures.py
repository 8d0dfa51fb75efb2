"""How a figure of a delivered workbook is said: decimals and unit as its column has them."""

from __future__ import annotations

import re
from datetime import date
from typing import Any

_MONEY = re.compile(r"[A-Z]{3}")


def said(value: Any, unit: str, money_digits: int = 2) -> str:
    """The value in words of its unit; the same decimals as the workbook shows.

    >>> said(0.22, "share"), said(4015, "USD"), said(2.345, "g"), said("pass", "")
    ('22.0%', '4,015.00 USD', '2.35 g', 'pass')
    """
    if isinstance(value, date):
        return value.isoformat()[:10]
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return str(value).strip()
    if unit in ("share", "fraction"):
        return f"{value:.1%}"
    if unit == "0 to 1":
        return f"{value:.2f}"
    digits = _digits(unit, money_digits)
    number = f"{value:,.4f}".rstrip("0").rstrip(".") if digits is None else f"{value:,.{digits}f}"
    return number if unit in ("", "number") else f"{number} {unit}"


def _digits(unit: str, money_digits: int) -> int | None:
    """Decimals of a unit; None for as many as it takes, four at most."""
    if _MONEY.fullmatch(unit):
        return money_digits
    if _MONEY.match(unit):
        return max(money_digits, 2) + (2 if unit.endswith("min") else 0)
    return {"g": 2, "min": 1, "units": 1}.get(unit)
