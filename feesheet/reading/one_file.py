"""One file that is named by itself, for one table alone: a price history or a scenario."""

from __future__ import annotations

import secrets
from dataclasses import replace
from pathlib import Path

from feesheet.practice import Practice
from feesheet.problems import Problem, errors
from feesheet.reading import gate
from feesheet.reading.assembled import FolderContent, practice_of
from feesheet.reading.courier import Courier
from feesheet.reading.folder import sha256_of
from feesheet.reading.invoices.context import Context
from feesheet.reading.messages import FileContent, Job
from feesheet.schema import Table

FORMS = tuple(form for form in gate.EXTENSIONS if form != ".xml")
"""The files that may hold a table."""


def read_table(path: Path, table: Table, practice: Practice) -> tuple[Practice, FolderContent, list[Problem]]:
    """The rows of one table in a file as a practice that holds nothing else, with the settings of `practice`; what was
    read; and what is wrong with the file. What the file holds besides the table is not used."""
    content = _content(path, table)
    one = FolderContent(((path.name, sha256_of(path), _alone(content, table)),))
    found, _ = practice_of(one)
    found = replace(found, settings=practice.settings, setting_cells=practice.setting_cells)
    return found, one, [*one.problems, *_missing(path.name, one.files[0][2], table)]


def _content(path: Path, table: Table) -> FileContent:
    """What the file holds, opened in the process apart like any other."""
    if path.suffix.lower() not in FORMS:
        forms = ", ".join(FORMS)
        what = f'A file with the table "{table.sheet}" is a workbook or a text file ({forms}).'
        return FileContent(problems=[Problem("not a workbook", what, "Save it as .xlsx or .csv.", path.name)])
    if not path.is_file():
        what = "There is no such file."
        return FileContent(problems=[Problem("missing table", what, "Check its name and folder.", path.name)])
    with Courier() as courier:
        return next(courier.read_all([Job(str(path), path.name, Context(secrets.token_bytes(32)))]))


def _alone(content: FileContent, table: Table) -> FileContent:
    """Without other tables, and without what is wrong with them."""
    others = {seen.sheet for seen in content.seen if seen.table and seen.table != table.name}
    return FileContent(
        pieces=[piece for piece in content.pieces if piece.table == table.name],
        seen=[seen for seen in content.seen if seen.sheet not in others],
        problems=[problem for problem in content.problems if problem.sheet not in others],
    )


def _missing(file: str, content: FileContent, table: Table) -> list[Problem]:
    """One error where there is no row at all, unless it is said already why."""
    if errors(content.problems) or any(len(piece.rows) for piece in content.pieces):
        return []
    headings = ", ".join(field.heading for field in table.required_fields)
    has = "has no rows in" if content.pieces else "does not hold"
    what = f'The file {has} the table "{table.sheet}".'
    do = f'Give one sheet the headings {headings}, with their rows; "feesheet templates DIR" writes a blank one.'
    return [Problem("missing table", what, do, file)]
