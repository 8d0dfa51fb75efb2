"""Days of the settings that don't follow each other, and metals without a quote by the pricing date."""

from __future__ import annotations

from datetime import date

import numpy as np
import pandas as pd

from feesheet import reference
from feesheet.practice import Practice
from feesheet.problems import Problem

METALS = tuple(reference.metals())
UNPRICED_METALS = frozenset({"other"})
"""Parts of an alloy that can't have a price of their own."""


def out_of_order(practice: Practice) -> list[Problem]:
    """New fees in force before the pricing date, or current fees set after it."""
    pricing, effective, fixed = (
        practice.settings.get(name) for name in ("pricing_date", "effective_date", "fees_set_on")
    )
    if not isinstance(pricing, date):
        return []
    problems = []
    if isinstance(effective, date) and effective < pricing:
        what = f"The effective date {effective} is before the pricing date {pricing}."
        problems.append(_disorder(practice, what, "effective_date"))
    if isinstance(fixed, date) and fixed > pricing:
        what = f"The current fees were set on {fixed}, after the pricing date {pricing}."
        problems.append(_disorder(practice, what, "fees_set_on"))
    return problems


def _disorder(practice: Practice, what: str, setting: str) -> Problem:
    do = "Correct whichever is wrong; the run goes on with both."
    return Problem("dates out of order", what, do, *practice.setting_cells.get(setting, ()))


def unpriced(practice: Practice) -> list[Problem]:
    """One notice that lists the metals of the alloys that have no quote on or before the pricing date."""
    quotes, pricing = practice.tables["metal_prices"], practice.settings.get("pricing_date")
    late = (
        quotes["date"] > pd.Timestamp(pricing)
        if isinstance(pricing, date)
        else quotes["date"] != quotes["date"]
    )
    known = set(quotes["metal"].astype(object)[~late]) | UNPRICED_METALS
    later = set(quotes["metal"].astype(object)[late]) - known
    parts = practice.tables["alloys"][list(METALS)].to_numpy(dtype=float)
    held = [metal for metal, column in zip(METALS, parts.T, strict=True) if (column > 0).any()]
    lacking = [metal for metal in held if metal not in known]
    if not lacking:
        return []
    row = int(np.argmax(parts[:, METALS.index(lacking[0])] > 0))
    what = _unquoted(
        [metal for metal in lacking if metal not in later], [m for m in lacking if m in later], pricing
    )
    cure = 'They count nothing in an alloy; add quotes to the sheet "Metal prices" if they matter.'
    return [Problem("no price", what, cure, *practice.place("alloys", row, lacking[0]))]


def _unquoted(never: list[str], late: list[str], pricing: object) -> str:
    """What is said of metals without any quote, and of those quoted only after the pricing date."""
    said = [f"No price is quoted for {', '.join(never)}."] if never else []
    if late:
        said.append(f"The first price of {', '.join(late)} is later than the pricing date {pricing}.")
    return " ".join(said)
