"""A practice folder -> a `Practice` and every problem in it, in one go."""

from __future__ import annotations

import hashlib
import secrets
from collections import Counter, defaultdict
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

from feesheet.practice import Practice
from feesheet.problems import Problem, errors
from feesheet.reading import exchange, gate, notations, repeats, scenario_files, spelling, suspected
from feesheet.reading.assembled import FolderContent, practice_of, rows_by_table
from feesheet.reading.consistency import disagreements
from feesheet.reading.courier import Courier
from feesheet.reading.invoices.context import Context
from feesheet.reading.known import context_of
from feesheet.reading.messages import FileContent, Job
from feesheet.reading.same_question import over_files
from feesheet.tables import TABLES

Progress = Callable[[str, int, int], None]
"""Called for each file: its name, how many are done, how many there are."""

_QUIET = frozenset({"no charge", "assumed", "does not match its total"})
"""Notices beside which other problems of the same cell are still told."""

SKIPPED_FOLDERS = frozenset({"fee schedules", "reviews", scenario_files.FOLDER, "what-if"})
"""Folders, in lower case, that hold results or saved scenarios, and no inputs of the fees in force."""


@dataclass(frozen=True)
class SheetFound:
    """One sheet of the folder, the table it holds (None: none) and its rows. A csv file has no sheet name."""

    file: str
    sheet: str
    table: str | None
    rows: int


def read_folder(
    folder: Path, progress: Progress | None = None, scenarios: bool = False
) -> tuple[Practice, list[Problem]]:
    """The practice that the folder's files describe, and everything that is wrong with them.

    Where a table or a cell can't be read, the practice holds a blank in its place and the problems say so. With
    `scenarios` those saved in its folder "Scenarios" are read too; without, what is wrong with scenarios is not told.
    """
    content = _content(folder, progress, scenarios)
    problems = over_files(dict.fromkeys([*content.problems, *_table_problems(content)]))
    practice, setting_problems = practice_of(content)
    practice = spelling.as_listed(practice)
    told = {problem.place for problem in content.problems if problem.cell and problem.kind not in _QUIET}
    for settle in (notations.inferred, repeats.counted_once, exchange.converted):
        practice, more = settle(practice)
        problems += more
    disagreeing = disagreements(practice, list(content.pieces()), _unread(content))
    problems += [*setting_problems, *(problem for problem in disagreeing if problem.place not in told)]
    problems += suspected.remakes(practice, content)
    return practice, problems if scenarios else scenario_files.left_out(problems, content.files)


def survey(folder: Path) -> list[SheetFound]:
    """What the folder holds, sheet by sheet, for "here is what was found"."""
    return [
        SheetFound(file, seen.sheet, seen.table or None, seen.rows)
        for file, _, content in _content(folder, None).files
        for seen in content.seen
    ]


def input_files(folder: Path, scenarios: bool = False) -> list[Path]:
    """The files that are read, in the order of their names: no hidden, lock or result files; saved scenarios if asked for."""
    found = []
    for path in folder.rglob("*"):
        inner = path.relative_to(folder)
        hidden = any(part.startswith((".", "~$")) for part in inner.parts)
        result = any(part.lower() in SKIPPED_FOLDERS for part in inner.parts[:-1])
        if scenarios and scenario_files.is_saved(inner):
            result = any(part.lower() in SKIPPED_FOLDERS for part in inner.parts[1:-1]) or _is_xml(path)
        if path.suffix.lower() in gate.EXTENSIONS and not hidden and not result and path.is_file():
            found.append(path)
    return sorted(found, key=lambda path: path.relative_to(folder).as_posix())


def _is_xml(path: Path) -> bool:
    return path.suffix.lower() == ".xml"


def _content(folder: Path, progress: Progress | None, scenarios: bool = False) -> FolderContent:
    """Every file read for tables, then the sheets without one read as invoices, with what the tables tell."""
    paths, key = input_files(folder, scenarios), secrets.token_bytes(32)
    jobs = [
        Job(str(path), path.relative_to(folder).as_posix(), Context(key))
        for path in paths
        if not _is_xml(path)
    ]
    found = {path.relative_to(folder).as_posix(): FileContent() for path in paths}
    with Courier() as courier:
        for number, (job, content) in enumerate(zip(jobs, courier.read_all(jobs), strict=True), start=1):
            saved = scenario_files.is_saved(Path(job.name))
            found[job.name] = scenario_files.alone(content, job.name) if saved else content
            _tell(progress, job, number, len(paths))
        again = [second for path in paths if (second := _second(path, folder, found))]
        if again:
            files = tuple((name, "", content) for name, content in found.items())
            known = context_of(spelling.as_listed(practice_of(FolderContent(files))[0]), key)
            again = [replace(job, context=known) for job in again]
            for number, (job, papers) in enumerate(zip(again, courier.read_all(again), strict=True), start=1):
                found[job.name] = _together(found[job.name], papers)
                _tell(progress, job, number, len(again))
    shas = (sha256_of(path) for path in paths)
    return FolderContent(
        tuple((name, sha, content) for sha, (name, content) in zip(shas, found.items(), strict=True))
    )


def _tell(progress: Progress | None, job: Job, number: int, count: int) -> None:
    if progress:
        progress(job.name, number, count)


def _second(path: Path, folder: Path, found: dict[str, FileContent]) -> Job | None:
    """The second reading of a file, None where the first found a table on every sheet."""
    name = path.relative_to(folder).as_posix()
    sheets = tuple(found[name].open_sheets)
    return Job(str(path), name, sheets=sheets) if sheets or _is_xml(path) else None


def _together(tables: FileContent, papers: FileContent) -> FileContent:
    """Both readings of one file: what the first said of a sheet is void where the second found invoices on it."""
    read, shown = set(papers.read_sheets), papers.shown_sheets
    problems = [problem for problem in tables.problems if problem.sheet not in read or not read]
    return replace(
        papers,
        pieces=tables.pieces + papers.pieces,
        settings=tables.settings,
        seen=[seen for seen in tables.seen if seen.sheet not in read] + papers.seen,
        problems=[replace(problem, sheet=shown.get(problem.sheet, problem.sheet)) for problem in problems]
        + papers.problems,
    )


def sha256_of(path: Path) -> str:
    """The file's SHA-256, "" where it can't be read (its own problem says why)."""
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError:
        return ""


def _table_problems(content: FolderContent) -> list[Problem]:
    """Required tables that are nowhere, and tables that stand in two places."""
    places: dict[str, list[tuple[str, str]]] = defaultdict(list)
    for file, _, inside in content.files:
        for seen in inside.seen:
            if seen.table:
                places[seen.table].append((file, seen.sheet))
    problems = []
    faulty = {(problem.file, problem.sheet) for problem in errors(content.problems)}
    rows: Counter[str] = Counter()
    for _, _, inside in content.files:
        rows.update(rows_by_table(inside))
    unread = any(not inside.seen and inside.problems for _, _, inside in content.files)
    for table in TABLES.values():
        found = places[table.name]
        if table.required and not found:
            problems.append(_missing_table(table.name, unread))
        elif table.required and not (table.vertical or rows[table.name] or faulty & set(found)):
            what = f'The table "{table.sheet}" has no rows, and no fee can be worked out without it.'
            problems.append(Problem("missing table", what, "Fill it in.", *found[0]))
        if len(found) > 1 and not table.many:
            shown = " and ".join(f"{file}, {sheet}" if sheet else file for file, sheet in found)
            problems.append(
                Problem(
                    "two tables fit",
                    f'The table "{table.sheet}" stands in {shown}.',
                    "Keep one of them, or give the other sheet different headings.",
                    *found[1],
                )
            )
    return problems


def _unread(content: FolderContent) -> frozenset[str]:
    """Tables that should be there but were not read: their own problem is enough."""
    read = {piece.table for _, piece in content.pieces()}
    seen = {seen.table for _, _, inside in content.files for seen in inside.seen if seen.table is not None}
    if "" in seen or any(not inside.seen and inside.problems for _, _, inside in content.files):
        return frozenset(TABLES) - read
    return frozenset(name for name, table in TABLES.items() if table.required or name in seen) - read


def _missing_table(name: str, unread: bool) -> Problem:
    table = TABLES[name]
    words = (
        ("Setting", "Value") if table.vertical else tuple(field.heading for field in table.required_fields)
    )
    doubt = " (It may be in the file that could not be read.)" if unread else ""
    return Problem(
        "missing table",
        f'No sheet holds the table "{table.sheet}".{doubt}',
        f'Add a sheet with the headings {", ".join(words)}; "feesheet templates DIR" writes a blank one.',
    )
