"""An invoice's own total line held against its other lines."""

from __future__ import annotations

import numpy as np
import pandas as pd

from feesheet import reference
from feesheet.practice import Practice, line_treatments
from feesheet.problems import Problem
from feesheet.reading.line_facts import MOST_INVOICES, invoice_numbers, some
from feesheet.total_lines import is_total


def totals(practice: Practice) -> list[Problem]:
    """Totals that differ from the sum of their invoice's lines: two notices a sheet at most.

    A total agrees if it is the sum of its sheet's lines, with or without tax, or of all sheets' lines.
    """
    lines = practice.tables["invoice_lines"]
    rows = np.flatnonzero(is_total(lines))
    if not len(rows):
        return []
    digits = reference.minor_digits().get(str(practice.settings.get("currency")), 2)
    said, sums = lines["amount"].to_numpy(dtype=float)[rows], _sums(lines)[:, rows]
    off = np.abs(said - sums) > 0.5 * 10.0**-digits
    off[:, np.isnan(said - sums).any(axis=0)] = False
    apart = np.flatnonzero(off.all(axis=0))
    table = pd.DataFrame({"at": rows, "said": said, "added": sums[0]}).iloc[apart]
    table["gap"] = (table["said"] - table["added"]).round(digits)
    table["source"] = lines["source"].to_numpy()[table["at"]]
    table["close"] = table["gap"].abs() <= 10.0**-digits
    groups = table.groupby(["source", "close"], sort=True)
    return [_notice(practice, bool(close), group, digits) for (_, close), group in groups]


def _sums(lines: pd.DataFrame) -> np.ndarray:
    """What each line's invoice adds up to: on its sheet, on its sheet without tax, and on all sheets."""
    treatment, amounts = line_treatments(lines), lines["amount"].to_numpy(dtype=float)
    charges = np.where(treatment == "control", 0.0, amounts)
    sheet, whole = invoice_numbers(lines, "source"), invoice_numbers(lines)
    net = np.where(treatment == "tax", 0.0, charges)
    return np.array(
        [
            np.bincount(of, weights=money)[of]
            for of, money in ((sheet, charges), (sheet, net), (whole, charges))
        ]
    )


def _notice(practice: Practice, close: bool, told: pd.DataFrame, digits: int) -> Problem:
    """The notice about all totals of a sheet that are off by a rounding, or by more."""
    invoices = practice.tables["invoice_lines"]["invoice"]
    listed = [
        f"{invoices.iloc[total.at]} says {total.said:,.{digits}f}, its lines add up to {total.added:,.{digits}f}: "
        f"{abs(total.gap):,.{digits}f} {'more' if total.gap > 0 else 'less'}"
        for total in told.head(MOST_INVOICES).itertuples()
    ]
    do = (
        "Accepted as rounding: the lines count."
        if close
        else "Look for a line that is missing or mistyped: the lines count, not the total."
    )
    what = f"The total of an invoice differs from its lines. {some(listed, len(told))}."
    place = practice.place("invoice_lines", int(told["at"].iloc[0]), "amount")
    return Problem("does not match its total", what, do, *place)
