"""Where scenarios may stand, and that nothing else is read from there: a saved scenario never moves the fees in force."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

from feesheet.problems import Problem
from feesheet.reading.messages import FileContent
from feesheet.tables import SCENARIOS, TABLES

FOLDER = "scenarios"
"""The folder of saved scenarios inside a practice folder, in lower case."""


def is_saved(inner: Path) -> bool:
    """Whether a file, by its path inside the practice folder, is a saved scenario."""
    return len(inner.parts) > 1 and inner.parts[0].lower() == FOLDER


def alone(content: FileContent, file: str) -> FileContent:
    """Of a saved scenario only its scenarios; any other table in it is told and not used."""
    others = {seen.sheet: seen.table for seen in content.seen if seen.table and seen.table != SCENARIOS.name}
    kept = [problem for problem in content.problems if problem.sheet not in others]
    return FileContent(
        pieces=[piece for piece in content.pieces if piece.table == SCENARIOS.name],
        seen=[replace(seen, table=None) if seen.sheet in others else seen for seen in content.seen],
        problems=kept + [_not_used(file, sheet, table) for sheet, table in others.items()],
    )


def _not_used(file: str, sheet: str, table: str) -> Problem:
    what = f'The table "{TABLES[table].sheet}" stands among the saved scenarios and is not used.'
    do = "Move it into the practice folder itself if its figures should count, or delete the sheet."
    return Problem("unread sheet", what, do, file, sheet)


def left_out(problems: Iterable[Problem], files: Iterable[tuple[str, str, FileContent]]) -> list[Problem]:
    """The problems without those of scenarios: a slip in one stops a what-if, but no fee in force."""
    sheets = {
        (file, seen.sheet)
        for file, _, inside in files
        for seen in inside.seen
        if seen.table == SCENARIOS.name
    }
    return [problem for problem in problems if (problem.file, problem.sheet) not in sheets]
