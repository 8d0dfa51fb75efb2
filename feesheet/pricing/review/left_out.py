"""What a review can't place: seated work and lab units that are in no margin, and money that nobody typed."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pandas as pd

from feesheet.formula.numbers import Numbers
from feesheet.practice import Practice
from feesheet.problems import Problem, Sort

CORRECT = "Correct its code, site or plan, or type the fee row or the plan that it belongs to."
GIVE_A_FEE = "Type the current fee of a code for them, or what was seated."
OTHER_PERIOD = "Ask for another period, or add what was seated in this one."
TYPE_IT = 'Type what came in under "Received".'


def seated_left_out(practice: Practice, rows: pd.DataFrame, numbers: Numbers) -> list[Problem]:
    """Rows of the period's seated work that are in no margin, each with its money; and those counted as promised."""
    currency = str(practice.settings["currency"])
    money = np.asarray(numbers.of("seated", "money"), dtype=float)
    problems = []
    for number, row in rows[rows["in_now"] & (rows["why"] != "")].iterrows():
        worth = float(money[int(str(number))])
        what = (
            f"{row['units']:g} unit(s) of {row['code']} at {row['site']}, worth {worth:,.2f} {currency}, are in "
            f"no margin: {row['why']}."
        )
        many = Sort("rows of work seated that are in no margin", CORRECT, worth, currency)
        place = practice.place("seated", int(row["position"]), "code")
        problems.append(Problem("in no fee", what, CORRECT, *place, sort=many))
    return [*problems, *_counted_as_promised(practice, rows, money)]


def _counted_as_promised(practice: Practice, rows: pd.DataFrame, money: np.ndarray) -> Iterator[Problem]:
    """One notice for all rows of the period without money received, at the first of them."""
    untyped = rows["in_now"] & (rows["why"] == "") & rows["received"].isna()
    if untyped.any():
        what = (
            f"{int(untyped.sum())} row(s) of work seated don't say what came in; {money[untyped].sum():,.2f} "
            f"{practice.settings['currency']} is counted for them, as fees and plans promise."
        )
        first = int(rows.loc[untyped, "position"].iloc[0])
        yield Problem("assumed", what, TYPE_IT, *practice.place("seated", first, "received"))


def other_days_only(practice: Practice) -> Iterator[Problem]:
    """One notice if work seated is given, but none of the period: what is known of the labs stands in for it."""
    rows = practice.tables["seated"]
    if len(rows):
        what = (
            f"None of the {len(rows)} row(s) of work seated is of the period; units are taken from the labs' "
            "invoices, money from fees and plans."
        )
        yield Problem("assumed", what, OTHER_PERIOD, *practice.place("seated", 0, "seated_on"))


def lab_units_left_out(practice: Practice, parts: pd.DataFrame, numbers: Numbers) -> list[Problem]:
    """Places whose lab units no code with a fee takes, each at its first line."""
    of_line = np.asarray(numbers.of("lines", "lab_no"), dtype=int)
    counted = np.asarray(numbers.of("lines", "units_counted"), dtype=float) != 0
    columns = ("material", "region", "site", "place_no", "units_in_no_code")
    places = zip(*(numbers.of("period_places", column) for column in columns), strict=True)
    problems = []
    for material, region, site, place_no, units in places:
        here = np.flatnonzero(counted & (of_line == int(place_no)))
        if units == 0 or not len(here):
            continue
        line = parts.iloc[here[0]]
        source = practice.sources[int(line["source"])]
        where = ", ".join(word for word in (material, region, site) if word)
        what = (
            f"{units:g} lab unit(s) of the period are in no margin ({where}): no code with a fee takes them."
        )
        many = Sort("places whose lab units are in no margin", GIVE_A_FEE)
        cell = source.cell("product", int(line["row"]))
        problems.append(Problem("in no fee", what, GIVE_A_FEE, source.file, source.sheet, cell, many))
    return problems
