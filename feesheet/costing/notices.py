"""What a priced practice should be told about its costs: minutes, money and quotes that are missing from its fees."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pandas as pd

from feesheet.costing.alloys import composition_rows, not_quoted_then
from feesheet.costing.chair import dentist_is_paid
from feesheet.costing.line_uses import USED
from feesheet.costing.quotes import price_rows
from feesheet.costing.regions import EVERYWHERE
from feesheet.costing.roster import Roster, words
from feesheet.formula.numbers import Numbers
from feesheet.practice import Practice
from feesheet.problems import Problem
from feesheet.schema import plain

_MOST_CODES = 5
"""Codes that a notice names; the others are counted."""


def cost_notices(practice: Practice, who: Roster, figures: Numbers) -> list[Problem]:
    """Every notice of this module."""
    return [
        *no_chair_time(practice, who, figures),
        *no_dentist_pay(practice),
        *charges_in_no_fee(figures),
        *crowns_in_no_fee(figures),
        *alloy_without_quotes(figures),
        *alloy_then_unknown(practice, who),
    ]


def no_chair_time(practice: Practice, who: Roster, figures: Numbers) -> list[Problem]:
    """Fee rows without a step: one notice a material, at the first of them."""
    without = who.items[figures.of("costs", "set_no") == 0]
    do = 'Type their steps in "Chair time", or a row for the material with the tooth region blank.'
    problems = []
    for material, items in without.groupby("material", sort=False):
        named = f"{material}: no" if material else "No"
        what = (
            f"{named} steps are typed for {_few(items['code'])}; priced with 0 minutes of people and chair."
        )
        regions = _step_regions(practice, str(material))
        if regions:
            what += f" The material has steps for {' and '.join(regions)} only."
        place = practice.place("fees", int(items["fee_row"].iloc[0]) - 1, "code")
        problems.append(Problem("no chair time", what, do, *place))
    return problems


def _few(codes: Sequence[object]) -> str:
    """The first codes, and how many more there are."""
    named = list(dict.fromkeys(words(codes)))
    rest = len(named) - _MOST_CODES
    return ", ".join(named[:_MOST_CODES]) + (f" … and {rest} more" if rest > 0 else "")


def _step_regions(practice: Practice, material: str) -> list[str]:
    """The tooth regions that the material has steps of their own for."""
    table = practice.tables["chair_time"]
    named = (
        str(region)
        for code, of, region in zip(table["code"], table["material"], table["tooth_region"], strict=True)
        if material and not str(code) and plain(of) == plain(material)
    )
    return [region for region in dict.fromkeys(named) if region not in ("", EVERYWHERE)]


def no_dentist_pay(practice: Practice) -> list[Problem]:
    """A practice whose steps pay no dentist."""
    if dentist_is_paid(practice):
        return []
    place = practice.place("staff", 0, "dentist") if len(practice.tables["staff"]) else ("", "", "")
    what = "No step pays a dentist: costs and margins are before dentist pay."
    do = 'Mark the dentist\'s role and its yearly cost in "Staff", or read the margins as what pays the dentist.'
    return [Problem("no dentist pay", what, do, *place)]


def charges_in_no_fee(figures: Numbers) -> list[Problem]:
    """The share of whole-invoice charges that falls on units made again or of unknown products."""
    units = figures.of("lines", "units_made") - figures.of("lines", "units_counted")
    money = units * figures.of("lines", "charge_per_unit")
    found = np.flatnonzero(money)
    what = (
        f"{units[found].sum():,.10g} unit(s), the first here, are remakes or of unknown products: "
        f"their share of the charges on whole invoices, {money[found].sum():,.2f} in all, is in no fee."
    )
    return _in_no_fee(figures, found, what, 'Add unknown wordings to "Product names".')


def crowns_in_no_fee(figures: Numbers) -> list[Problem]:
    """Crowns whose tooth region has no lab fee, of materials whose starting value is a quoted price, not their mean."""
    by_mean = figures.of("lab_fees", "material_no")[figures.of("lab_fees", "group_no") == 0]
    money = figures.of("lines", "lab_cost")
    lost = (figures.of("lines", "lab_no") == 0) & ~np.isin(figures.of("lines", "material_no"), by_mean)
    found = np.flatnonzero(lost & (money != 0))
    what = (
        f"{len(found)} line(s), the first here, worth {money[found].sum():,.2f} with their share of charges, "
        "are in no fee: their tooth is not known, or no fee row is for it, and the material starts from a quoted price."
    )
    return _in_no_fee(figures, found, what, "Type their teeth, or a fee row for the tooth region.")


def _in_no_fee(figures: Numbers, found: np.ndarray, what: str, do: str) -> list[Problem]:
    return [Problem("in no fee", what, do, *_line_place(figures, int(found[0])))] if len(found) else []


def _line_place(figures: Numbers, line: int) -> tuple[str, str, str]:
    """File, sheet and row of an invoice line, counted from 0."""
    file, sheet, row = (figures.of("lines", column)[line] for column in ("file", "sheet", "row"))
    return str(file), str(sheet), f"row {int(row)}"


def alloy_without_quotes(figures: Numbers) -> list[Problem]:
    """Alloy lines that the premium would count, but for a metal that had no quote by their day."""
    of = pd.DataFrame(
        {name: figures.of("alloy_lines", name) for name in ("line_no", "alloy_no", "first_part", "priced")}
    ).astype(int)
    uses = np.asarray(figures.of("lines", "use"), dtype=object)[of["line_no"] - 1]
    choice = figures.of("alloys", "premium_choice")[of["alloy_no"] - 1]
    left = ((of["priced"] == 0) & ((uses == USED[2]) | (choice != 1))).to_numpy()
    if not left.any():
        return []
    what = (
        f"{of['first_part'][left].sum()} alloy line(s), the first here, worth "
        f"{figures.of('alloy_lines', 'alloy_billed')[left].sum():,.2f} in all, are left out of the alloy premium: "
        "a metal had no quote by their day."
    )
    first = int(of["line_no"][left].iloc[0]) - 1
    return [Problem("no price", what, "Type older quotes in the metal prices.", *_line_place(figures, first))]


def alloy_then_unknown(practice: Practice, who: Roster) -> list[Problem]:
    """Alloys in use whose price when the current fees were set is not known."""
    late = not_quoted_then(practice, composition_rows(practice), price_rows(practice))
    what = (
        "{}: {} had no quote by {}, when the current fees were set, but a later one. "
        "The alloy's price then is not known, and its materials are not in the chart of then and now."
    )
    return [
        Problem(
            "no price",
            what.format(alloy, " and ".join(late[alloy]), practice.settings["fees_set_on"]),
            "Type a quote of that day or before.",
            *practice.place("alloys", position, "alloy"),
        )
        for position, alloy in enumerate(who.alloys)
        if alloy in late and alloy in who.alloy_of.values()
    ]
