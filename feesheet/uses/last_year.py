"""Last year's fee-schedule workbook read as the figures that a review is compared with, each with its cell."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from feesheet.costing.roster import Roster
from feesheet.pricing.review.last_year import Label, LastYear, rows_then
from feesheet.problems import Problem, errors
from feesheet.reading.gate import Refusal
from feesheet.schema import plain
from feesheet.uses.delivered import Delivered, open_delivered
from feesheet.uses.last_year_cells import ISSUE_SHEET, NEEDED, Reader
from feesheet.uses.last_year_checks import kept_apart, missing_columns, worked_out

_NAMED = 3
"""Codes that a notice names."""


def read_last_year(
    path: Path, who: Roster, currency: str, practice_name: str = ""
) -> tuple[LastYear | None, list[Problem]]:
    """The workbook's figures, and what is wrong with it or differs from the present schedule; None where an error stops it.

    `practice_name` is the present practice's, "" if the names are not to be compared.
    """
    book, problems = open_delivered(path)
    if book is None:
        return None, problems
    try:
        problems = kept_apart(book) or missing_columns(book, NEEDED)
        if problems:
            return None, problems
        problems = worked_out(book, NEEDED)
        if errors(problems):
            return None, problems
        reader = Reader(book)
        found = reader.last_year()
        problems += [*_other_currency(found, currency, book), *reader.problems]
        return (found if not errors(problems) else None), [
            *problems,
            *_differences(found, who, practice_name),
        ]
    except Refusal as refusal:
        return None, [refusal.problem(path.name)]


def _other_currency(found: LastYear, currency: str, book: Delivered) -> list[Problem]:
    if plain(found.currency) == plain(currency) or not found.currency:
        return []
    what = f"The workbook is in {found.currency}, the practice in {currency}."
    do = "Compare with a workbook in the practice's own currency."
    return [Problem("mixed currency", what, do, book.path.name, ISSUE_SHEET)]


def _differences(found: LastYear, who: Roster, practice_name: str) -> list[Problem]:
    """Notices: another practice's name, items that are gone, and items that are new."""
    problems = []
    if practice_name and plain(practice_name) != plain(found.practice_name):
        what = f"The workbook is of “{found.practice_name}”, the practice is called “{practice_name}”."
        do = "Make sure that it is the same practice."
        problems.append(Problem("caution", what, do, found.file, ISSUE_SHEET))
    now = list(zip(who.items["code"], who.items["site"], strict=True))
    numbers = rows_then(now, found.items)
    still = {*numbers}
    gone = [row for number, row in enumerate(found.items, start=1) if number not in still]
    if gone:
        what = f"{_listed([row.label for row in gone])} no longer on the schedule."
        do = "They stand apart in the comparison; nothing to do if that is so."
        place = gone[0].figures["unit_cost"]
        problems.append(Problem("assumed", what, do, found.file, place.sheet, place.cell))
    new = [label for label, number in zip(now, numbers, strict=True) if not number]
    if new:
        what = f"{_listed(new)} not on last year's schedule."
        problems.append(
            Problem("assumed", what, "They count as new; check the spelling of codes and sites.", found.file)
        )
    return problems


def _listed(labels: Sequence[Label]) -> str:
    named = ", ".join(f"{code} at {site}" for code, site in labels[:_NAMED])
    more = f" and {len(labels) - _NAMED} more" if len(labels) > _NAMED else ""
    return f"{named}{more} {'are' if len(labels) > 1 else 'is'}"
