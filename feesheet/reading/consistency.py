"""Figures and tables that must agree with each other: all that disagrees at once, each with its place.

Where a cell could not be read, the checks that need it stay silent: its own problem is enough.
"""

from __future__ import annotations

import numpy as np

from feesheet import reference
from feesheet.practice import Practice
from feesheet.problems import Problem
from feesheet.reading import (
    days,
    invoice_copies,
    invoice_totals,
    invoices_agree,
    ledgers,
    unit_counts,
)
from feesheet.reading.days import METALS
from feesheet.reading.known_names import duplicates, unknown_names
from feesheet.reading.messages import Piece
from feesheet.reading.seated import seated
from feesheet.reading.spelling import key

_SUM_TOLERANCE = 0.005
_TIMES = ("low_min", "likely_min", "high_min")


def disagreements(
    practice: Practice, pieces: list[tuple[str, Piece]], unread: frozenset[str] = frozenset()
) -> list[Problem]:
    """Everything on which the tables of a practice disagree.

    `unread` names the tables that should be there but could not be read: what needs them stays silent.
    """
    return [
        *unknown_names(practice, unread),
        *duplicates(practice),
        *_steps(practice),
        *_alloys(practice),
        *_plans(practice),
        *_hours(practice),
        *([] if "starting_grams" in unread else _starting_grams(practice)),
        *([] if "metal_prices" in unread else days.unpriced(practice)),
        *days.out_of_order(practice),
        *([] if "overhead" in unread else ledgers.missing(practice)),
        *ledgers.counted_twice(practice),
        *invoices_agree.units(practice),
        *invoices_agree.teeth(practice),
        *invoices_agree.currencies(practice, pieces),
        *invoice_totals.totals(practice),
        *invoice_copies.copies(practice),
        *unit_counts.units_and_teeth(practice),
        *seated(practice, unread),
    ]


def _steps(practice: Practice) -> list[Problem]:
    """Chair-time rows that belong to nothing, or whose three figures don't stand in order."""
    problems = []
    steps = practice.tables["chair_time"]
    times = steps[list(_TIMES)].to_numpy(dtype=float)
    for row, (code, material) in enumerate(
        zip(steps["code"].astype(object), steps["material"].astype(object), strict=True)
    ):
        if not code and not material:
            problems.append(
                Problem(
                    "missing value",
                    "The step is for no code and no material.",
                    "Type one of the two.",
                    *practice.place("chair_time", row, "material"),
                )
            )
        elif code and material:
            problems.append(_code_and_material(practice, row))
        problems += _minutes(practice, row, times[row])
    return problems


def _code_and_material(practice: Practice, row: int) -> Problem:
    return Problem(
        "code and material",
        "The step names a code and a material: it counts for the code alone, and the material is not used.",
        "Clear one of the two.",
        *practice.place("chair_time", row, "material"),
    )


def _minutes(practice: Practice, row: int, minutes: np.ndarray) -> list[Problem]:
    given = ~np.isnan(minutes)
    if not given.any() or given.sum() == 2:
        at = int(np.argmin(given)) if given.any() else 1
        what = "Only two of the three times are given." if given.any() else "No time is given."
        return [
            Problem(
                "missing value",
                what,
                "Type the likely time alone, or all three.",
                *practice.place("chair_time", row, _TIMES[at]),
            )
        ]
    if given.all() and not minutes[0] <= minutes[1] <= minutes[2]:
        shown = ", ".join(f"{value:g}" for value in minutes)
        return [
            Problem(
                "out of range",
                f"The times {shown} min do not rise from low over likely to high.",
                "Correct them.",
                *practice.place("chair_time", row, "likely_min"),
            )
        ]
    return []


def _alloys(practice: Practice) -> list[Problem]:
    """Alloys whose fractions don't add up to 1."""
    frame = practice.tables["alloys"]
    sums = frame[list(METALS)].sum(axis=1, skipna=False)
    return [
        Problem(
            "does not add up",
            f"The fractions of the alloy add up to {total:.6g}, not 1.",
            'Correct them from the data sheet; "Other" takes what is not named.',
            *practice.place("alloys", row, "alloy"),
        )
        for row, total in enumerate(sums)
        if round(abs(total - 1), 9) > _SUM_TOLERANCE
    ]


def _plans(practice: Practice) -> list[Problem]:
    """Plans that together take more patients than there are."""
    shares = practice.tables["plans"]["plan_share"]
    total = shares.sum(skipna=False)
    if shares.empty or not round(total, 9) > 1:
        return []
    return [
        Problem(
            "does not add up",
            f"The plans' shares add up to {total:.6g}, more than 1.",
            "Correct them.",
            *practice.place("plans", len(shares) - 1, "plan_share"),
        )
    ]


def _hours(practice: Practice) -> list[Problem]:
    """Sites without chair hours, roles without productive hours, mills without units: no divisor."""
    problems = []
    sites = practice.tables["sites"]
    for field in ("operatories", "weeks", "hours_per_week", "practical_capacity"):
        for row in np.flatnonzero(sites[field] == 0):
            problems.append(
                Problem(
                    "out of range",
                    f'The site "{sites["site"].iloc[row]}" has no chair hours.',
                    "Type more than 0, or take the site out.",
                    *practice.place("sites", int(row), field),
                )
            )
    for table, field, words in (
        ("staff", "productive_hours", "productive hours"),
        ("milling", "units_month", "units a month"),
    ):
        for row in np.flatnonzero(practice.tables[table][field] == 0):
            problems.append(
                Problem(
                    "out of range",
                    f"With 0 {words} a cost can't be shared out.",
                    "Type more than 0.",
                    *practice.place(table, int(row), field),
                )
            )
    return problems


def _starting_grams(practice: Practice) -> list[Problem]:
    """Cast materials without starting grams for the tooth regions that the fee schedule names."""
    materials, fees = practice.tables["materials"], practice.tables["fees"]
    cast = {
        key(name)
        for name, alloy in zip(
            materials["material"].astype(object), materials["alloy"].astype(object), strict=True
        )
        if alloy and name
    }
    grams = practice.tables["starting_grams"]
    known: dict[str, set[int]] = {}
    for name, region in zip(
        grams["material"].astype(object), grams["tooth_region"].astype(object), strict=True
    ):
        known.setdefault(key(name), set()).update(reference.tooth_regions().get(region, ()))
    problems = []
    for row, (name, region) in enumerate(
        zip(fees["material"].astype(object), fees["tooth_region"].astype(object), strict=True)
    ):
        positions = reference.tooth_regions().get(region, frozenset())
        if key(name) in cast and not positions <= known.get(key(name), set()):
            problems.append(
                Problem(
                    "nothing to start from",
                    f'"{name}" has no starting grams for the region "{region}".',
                    'Add a row to the sheet "Starting grams".',
                    *practice.place("fees", row, "material"),
                )
            )
    return problems
