"""A price history: one file of metal quotes, read like a file of the practice but never a part of it."""

from __future__ import annotations

import secrets
from dataclasses import replace
from pathlib import Path

from feesheet.practice import Practice
from feesheet.problems import Problem, errors
from feesheet.reading import gate, invoices_agree
from feesheet.reading.assembled import FolderContent, practice_of
from feesheet.reading.courier import Courier
from feesheet.reading.folder import sha256_of
from feesheet.reading.invoices.context import Context
from feesheet.reading.known_names import duplicates
from feesheet.reading.messages import FileContent, Job
from feesheet.tables import METAL_PRICES

FORMS = tuple(form for form in gate.EXTENSIONS if form != ".xml")
"""The files that may hold a price history."""


def read_history(path: Path, practice: Practice) -> tuple[Practice, list[Problem]]:
    """The quotes of one file as a practice that holds nothing else, with the settings of `practice`, and what is wrong with the file.

    What the file holds besides the table "Metal prices" is not used. The quotes must be in the practice's currency.
    """
    content = _content(path)
    one = FolderContent(((path.name, sha256_of(path), _quotes_alone(content)),))
    found, _ = practice_of(one)
    found = replace(found, settings=practice.settings, setting_cells=practice.setting_cells)
    return found, [
        *one.problems,
        *_missing(path.name, one.files[0][2]),
        *invoices_agree.units(found),
        *map(_in_own_currency, invoices_agree.currencies(found, list(one.pieces()))),
        *duplicates(found),
    ]


def _content(path: Path) -> FileContent:
    """What the file holds, opened in the process apart like any other."""
    if path.suffix.lower() not in FORMS:
        what = f"A price history is a workbook or a text file ({', '.join(FORMS)})."
        return FileContent(problems=[Problem("not a workbook", what, "Save it as .xlsx or .csv.", path.name)])
    if not path.is_file():
        what = "There is no such file."
        return FileContent(problems=[Problem("missing table", what, "Check its name and folder.", path.name)])
    with Courier() as courier:
        return next(courier.read_all([Job(str(path), path.name, Context(secrets.token_bytes(32)))]))


def _quotes_alone(content: FileContent) -> FileContent:
    """Without other tables, and without what is wrong with them."""
    others = {seen.sheet for seen in content.seen if seen.table and seen.table != METAL_PRICES.name}
    return FileContent(
        pieces=[piece for piece in content.pieces if piece.table == METAL_PRICES.name],
        seen=[seen for seen in content.seen if seen.sheet not in others],
        problems=[problem for problem in content.problems if problem.sheet not in others],
    )


def _missing(file: str, content: FileContent) -> list[Problem]:
    """One error where there is no quote at all, unless it is said already why."""
    if errors(content.problems) or any(len(piece.rows) for piece in content.pieces):
        return []
    headings = ", ".join(field.heading for field in METAL_PRICES.required_fields)
    has = "has no rows in" if content.pieces else "does not hold"
    what = f'The file {has} the table "{METAL_PRICES.sheet}".'
    do = f'Give one sheet the headings {headings} and a row for each quote; "feesheet templates DIR" writes a blank one.'
    return [Problem("missing table", what, do, file)]


def _in_own_currency(problem: Problem) -> Problem:
    """The same problem with a cure that fits quotes, which no exchange rate of the practice is used for."""
    do = "Take a history in the practice's own currency, or convert every quote to it."
    return replace(problem, do=do)
