"""A practice folder -> a `Practice` and every problem in it, in one go."""

from __future__ import annotations

import hashlib
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pandas as pd

from feesheet.practice import FileRead, Practice, Source
from feesheet.problems import Problem, errors
from feesheet.reading import frames, gate, spelling
from feesheet.reading.consistency import disagreements
from feesheet.reading.courier import Courier
from feesheet.reading.messages import FileContent, Piece
from feesheet.tables import PRACTICE, TABLES

Progress = Callable[[str, int, int], None]
"""Called for each file: its name, how many are done, how many there are."""

SKIPPED_FOLDERS = frozenset({"fee schedules"})
"""Folders, in lower case, that hold results and no inputs."""


@dataclass(frozen=True)
class SheetFound:
    """One sheet of the folder, the table it holds (None: none) and its rows. A csv file has no sheet name."""

    file: str
    sheet: str
    table: str | None
    rows: int


@dataclass(frozen=True)
class FolderContent:
    """All files of a folder as they came back from the reading process, in the order of their names."""

    files: tuple[tuple[str, str, FileContent], ...]

    @property
    def problems(self) -> list[Problem]:
        """What is wrong within single files."""
        return [problem for _, _, content in self.files for problem in content.problems]

    def pieces(self) -> Iterator[tuple[str, Piece]]:
        """Every piece of a table, with its file."""
        for file, _, content in self.files:
            for piece in content.pieces:
                yield file, piece


def read_folder(folder: Path, progress: Progress | None = None) -> tuple[Practice, list[Problem]]:
    """The practice that the folder's files describe, and everything that is wrong with them.

    Where a table or a cell can't be read, the practice holds a blank in its place and the problems say so.
    """
    content = _content(folder, progress)
    problems = [*content.problems, *_table_problems(content)]
    practice, setting_problems = _practice(content)
    practice = spelling.as_listed(practice)
    told = {problem.place for problem in content.problems if problem.cell and problem.kind != "no charge"}
    disagreeing = disagreements(practice, list(content.pieces()), _unread(content))
    problems += [*setting_problems, *(problem for problem in disagreeing if problem.place not in told)]
    return practice, problems


def survey(folder: Path) -> list[SheetFound]:
    """What the folder holds, sheet by sheet, for "here is what was found"."""
    return [
        SheetFound(file, seen.sheet, seen.table or None, seen.rows)
        for file, _, content in _content(folder, None).files
        for seen in content.seen
    ]


def input_files(folder: Path) -> list[Path]:
    """The files that are read, in the order of their names: no hidden, lock or result files."""
    found = []
    for path in folder.rglob("*"):
        inner = path.relative_to(folder)
        hidden = any(part.startswith((".", "~$")) for part in inner.parts)
        result = any(part.lower() in SKIPPED_FOLDERS for part in inner.parts[:-1])
        if path.suffix.lower() in gate.EXTENSIONS and not hidden and not result and path.is_file():
            found.append(path)
    return sorted(found, key=lambda path: path.relative_to(folder).as_posix())


def _content(folder: Path, progress: Progress | None) -> FolderContent:
    paths = input_files(folder)
    jobs = [(path, path.relative_to(folder).as_posix()) for path in paths]
    files = []
    with Courier() as courier:
        for number, ((path, name), content) in enumerate(
            zip(jobs, courier.read_all(jobs), strict=True), start=1
        ):
            files.append((name, _sha256(path), content))
            if progress:
                progress(name, number, len(paths))
    return FolderContent(tuple(files))


def _sha256(path: Path) -> str:
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
        rows.update(_rows(inside))
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


def _practice(content: FolderContent) -> tuple[Practice, list[Problem]]:
    by_table: dict[str, list[tuple[int, Piece]]] = defaultdict(list)
    sources: list[Source] = []
    seen_once: set[str] = set()
    for file, piece in content.pieces():
        if piece.table in seen_once and not TABLES[piece.table].many:
            continue
        seen_once.add(piece.table)
        by_table[piece.table].append((len(sources), piece))
        sources.append(frames.source(file, piece))
    tables: dict[str, pd.DataFrame] = {
        name: frames.frame(table, by_table[name]) for name, table in TABLES.items() if not table.vertical
    }
    settings, cells, problems = _settings(content)
    files = tuple(FileRead(name, sha256, _rows(inside)) for name, sha256, inside in content.files)
    return Practice(settings, cells, tables, tuple(sources), files), problems


def _rows(inside: FileContent) -> dict[str, int]:
    counts: Counter[str] = Counter()
    for seen in inside.seen:
        if seen.table:
            counts[seen.table] += seen.rows
    return dict(counts)


def _settings(
    content: FolderContent,
) -> tuple[dict[str, Any], dict[str, tuple[str, str, str]], list[Problem]]:
    """Every setting's value and cell; defaults where a row is missing, a problem where it must not be."""
    settings: dict[str, Any] = {}
    cells: dict[str, tuple[str, str, str]] = {}
    problems = []
    place: tuple[str, str] | None = None
    for file, _, inside in content.files:
        for setting in inside.settings:
            place = place or (file, setting.sheet)
            if setting.name not in cells:
                settings[setting.name], cells[setting.name] = (
                    setting.value,
                    (file, setting.sheet, setting.cell),
                )
            elif cells[setting.name][:2] == (file, setting.sheet):
                problems.append(
                    Problem(
                        "duplicate",
                        f'The setting "{setting.name}" is listed twice, also in {cells[setting.name][2]}.',
                        "Delete one of the rows.",
                        file,
                        setting.sheet,
                        setting.cell,
                    )
                )
    for field in PRACTICE.fields:
        if field.name in settings:
            continue
        settings[field.name] = field.default
        if field.required and place:
            problems.append(
                Problem(
                    "missing value",
                    f'There is no row for the setting "{field.heading}".',
                    f'Add a row with "{field.heading}" and its value.',
                    *place,
                )
            )
    return settings, cells, problems
