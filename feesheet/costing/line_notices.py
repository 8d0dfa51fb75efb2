"""What is said about invoice lines that are in no cost: those set aside for a reason, and those not understood."""

from __future__ import annotations

from collections.abc import Iterator

import pandas as pd

from feesheet.costing.line_uses import ALONE, FOREIGN, NO_KIND, NOT_UNDERSTOOD, UNMAPPED, UNNAMED, USED
from feesheet.costing.meaning import CONTROL
from feesheet.costing.money_words import billed_abroad, money
from feesheet.costing.wording import without_names
from feesheet.practice import Practice
from feesheet.problems import Problem, Sort
from feesheet.wording import HIDDEN

_CURE = {
    UNMAPPED: 'Add the wording to "Product names", with its material or "not a crown"; until then it is in no fee.',
    UNNAMED: "Name the alloy on the line, or give its crown's wording a material with an alloy.",
    FOREIGN: 'Add the wording of the product that it is for to "Product names".',
    ALONE: "Check whether its crowns stand under another invoice number. Money that is for no crown, such as a discount for early payment, stays in no fee.",
    NO_KIND: "Type what kind of line it is.",
    "alloy without a weight: the alloy is costed from grams": (
        "Ask the lab for the weight and type it. The sheet Alloy lines shows what the amount would buy."
    ),
}

_HIDDEN_CURE = (
    "None of its words is known, so that they may be a person's and are hidden. Look at the invoice line and type the "
    'product\'s own words into the sheet "Product names", with its material or "not a crown"; until then it is in no fee.'
)


def line_notices(practice: Practice, parts: pd.DataFrame) -> list[Problem]:
    """Every notice of this module, the most money first."""
    loud = parts[~parts["use"].isin(USED) & (parts["treatment"] != CONTROL) & (parts["amount"] != 0)]
    loud = loud.assign(money=loud["amount"] * loud["share"])
    unknown = loud["use"].isin(NOT_UNDERSTOOD)
    return [*_not_understood(practice, loud[unknown]), *_set_aside(practice, loud[~unknown])]


def _not_understood(practice: Practice, lines: pd.DataFrame) -> Iterator[Problem]:
    """One notice for each reason, lab and wording: how many lines, how much money, where the first stands."""
    lines = lines.assign(words=without_names(practice, lines["product"]).astype(object))
    buckets = [group for _, group in lines.groupby(["use", "lab", "words"], observed=True, sort=False)]
    for group in sorted(buckets, key=lambda group: -group["money"].abs().sum()):
        use, lab, words = (str(group[column].iloc[0]) for column in ("use", "lab", "words"))
        named = f'"{words}"' if words else "a line without words"
        what = f"{lab}: {named}, {counted(practice, group)}, is not understood: {use}."
        hidden = use == UNMAPPED and HIDDEN in words and not any(map(str.isalpha, words))
        alike = _sort(practice, group) if use == UNMAPPED and not hidden else None
        do = _HIDDEN_CURE if hidden else _CURE[use]
        yield Problem("not understood", what, do, *first_place(practice, group), alike)


def _set_aside(practice: Practice, lines: pd.DataFrame) -> Iterator[Problem]:
    """One notice for each reason."""
    for use, group in lines.groupby("use"):
        what = f"{counted(practice, group)}, set aside: {use}."
        kind = "copy" if str(use).startswith("copy") else "set aside"
        yield Problem(kind, what, _CURE.get(str(use), ""), *first_place(practice, group))


def _sort(practice: Practice, group: pd.DataFrame) -> Sort:
    """What notices of product names have in common."""
    currency = str(practice.settings["currency"])
    do = "feesheet map lists them with a best guess; until they are named they are in no fee."
    return Sort("product names are not on the map", do, float(group["money"].sum()), currency)


def counted(practice: Practice, group: pd.DataFrame) -> str:
    """How many lines there are, in how many files, and their money, also as billed where that is in another currency."""
    files = group["source"].map(lambda source: practice.sources[source].file).nunique()
    where = f" in {files} files, the first" if files > 1 else ""
    worth = f"worth {money(practice, group['money'].sum())} in all{billed_abroad(practice, group)}"
    return f"{group['line'].nunique()} line(s){where} here, {worth}"


def first_place(practice: Practice, group: pd.DataFrame) -> tuple[str, str, str]:
    """File, sheet and row of the first of the lines."""
    source = practice.sources[int(group["source"].iloc[0])]
    return source.file, source.sheet, f"row {int(group['row'].iloc[0])}"
