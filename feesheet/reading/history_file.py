"""A price history: one file of metal quotes, read like a file of the practice but never a part of it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from feesheet.practice import Practice
from feesheet.problems import Problem
from feesheet.reading import invoices_agree
from feesheet.reading.known_names import duplicates
from feesheet.reading.one_file import read_table
from feesheet.reading.spelling import as_listed
from feesheet.tables import METAL_PRICES


def read_history(path: Path, practice: Practice) -> tuple[Practice, list[Problem]]:
    """The quotes of one file as a practice that holds nothing else, with the settings of `practice`, and what is wrong with the file.

    What the file holds besides the table "Metal prices" is not used. The quotes must be in the practice's currency.
    """
    found, one, problems = read_table(path, METAL_PRICES, practice)
    found = as_listed(found)
    return found, [
        *problems,
        *invoices_agree.units(found),
        *map(_in_own_currency, invoices_agree.currencies(found, list(one.pieces()))),
        *duplicates(found),
    ]


def _in_own_currency(problem: Problem) -> Problem:
    """The same problem with a cure that fits quotes, which no exchange rate of the practice is used for."""
    do = "Take a history in the practice's own currency, or convert every quote to it."
    return replace(problem, do=do)
