"""The published reference tables in `shared/`, read once. Each row carries its source."""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from functools import cache

from feesheet.paths import SHARED


@cache
def rows(name: str) -> tuple[dict[str, str], ...]:
    """The rows of `shared/<name>.csv`, as text."""
    with (SHARED / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return tuple(csv.DictReader(file))


@dataclass(frozen=True)
class Metal:
    """A metal that an alloy may hold. `density` in g/cm³, None where no single metal is meant."""

    name: str
    symbol: str
    noble: bool
    density: float | None


@cache
def metals() -> dict[str, Metal]:
    """The metals by name; "other" stands for the rest of a composition."""
    return {
        row["metal"]: Metal(
            row["metal"],
            row["symbol"],
            row["noble"] == "1",
            float(row["density_g_cm3"]) if row["density_g_cm3"] else None,
        )
        for row in rows("metals")
    }


@cache
def mass_units() -> dict[str, float]:
    """Grams in a unit of mass, by every name the unit goes by, in lower case."""
    table = {}
    for row in rows("mass_units"):
        for name in (row["unit"], *row["also"].split("|")):
            table[name] = float(row["grams"])
    return table


UNCLEAR_UNITS = frozenset({"oz", "ounce", "ounces", "onz", "gr"})
"""Unit words that name two masses: an ounce of 31.10 or 28.35 g, a gram or a grain."""


def grams_in(unit: str) -> float | None:
    """Grams in one such unit of mass; None if the word is unknown or may name two masses.

    A number before the unit multiplies it, as in "30 g".

    >>> grams_in("Troy ounce"), grams_in("30 g"), grams_in("oz")
    (31.1034768, 30.0, None)
    """
    words = " ".join(unit.lower().replace("_", " ").rstrip(".").split())
    match = re.fullmatch(r"(\d+(?:[.,]\d+)?)?\s*([a-z ]+)", words)
    if match is None or match[2] in UNCLEAR_UNITS or match[2] not in mass_units():
        return None
    count = float(match[1].replace(",", ".")) if match[1] else 1.0
    return count * mass_units()[match[2]] or None


@cache
def line_kinds() -> dict[str, tuple[str, str, str]]:
    """Kind, treatment and reason of an invoice line, by every name the kind goes by."""
    return {
        name: (row["kind"], row["treatment"], row["reason"])
        for row in rows("line_kinds")
        for name in (row["kind"], *row["also"].split("|"))
    }


@cache
def tooth_regions() -> dict[str, frozenset[int]]:
    """Tooth positions (1 to 8 from the midline, ISO 3950) of each tooth region."""
    table = {}
    for row in rows("tooth_regions"):
        first, _, last = row["positions"].partition("-")
        table[row["region"]] = frozenset(range(int(first), int(last or first) + 1))
    return table


@cache
def minor_digits() -> dict[str, int]:
    """Decimal digits of each currency's minor unit (ISO 4217)."""
    return {row["currency"]: int(row["minor_digits"]) for row in rows("currencies")}


@dataclass(frozen=True)
class FixedNumber:
    """A number with a meaning and a source that no practice sets."""

    name: str
    heading: str
    value: float
    unit: str
    source: str


@cache
def fixed_numbers() -> dict[str, FixedNumber]:
    """The fixed numbers by name."""
    return {
        row["name"]: FixedNumber(row["name"], row["heading"], float(row["value"]), row["unit"], row["source"])
        for row in rows("fixed_numbers")
    }


def fixed(name: str) -> float:
    """The value of one fixed number."""
    return fixed_numbers()[name].value
