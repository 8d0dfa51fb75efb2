"""What all files of a folder hold -> one `Practice`: frames, settings, sources."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import pandas as pd

from feesheet.practice import DOCUMENTS, ENTRIES, FileRead, Practice, Source, columns_of
from feesheet.problems import Problem
from feesheet.reading import frames
from feesheet.reading.invoice_numbers import told_apart
from feesheet.reading.messages import FileContent, Piece
from feesheet.tables import INVOICE_LINES, PRACTICE, TABLES


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


def practice_of(content: FolderContent) -> tuple[Practice, list[Problem]]:
    """The practice that the files describe, and settings that are missing or stand twice."""
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
    files = tuple(FileRead(name, sha256, rows_by_table(inside)) for name, sha256, inside in content.files)
    documents, entries = _papers(content)
    _name_invoices(tables[INVOICE_LINES.name], documents, entries)
    return Practice(settings, cells, tables, tuple(sources), files, documents, entries), problems


def _name_invoices(*tables: pd.DataFrame) -> None:
    """Give each invoice the number that it has outside, the same in the lines, the papers and the statements' entries."""
    numbers = [str(number) for table in tables for number in table["invoice"].unique()]
    known = told_apart(numbers)
    if all(number == name for number, name in known.items()):
        return
    for table in tables:
        named = table["invoice"].astype(object).map(known)
        is_lines = table["invoice"].dtype == "category"
        table["invoice"] = frames.words(named) if is_lines else named.astype(str)


def rows_by_table(inside: FileContent) -> dict[str, int]:
    """How many rows of each table one file holds."""
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


def _papers(content: FolderContent) -> tuple[pd.DataFrame, pd.DataFrame]:
    """What the labs' papers say of themselves, and the invoices that statements list."""
    documents = [
        (
            file,
            one.sheet,
            one.cell,
            one.lab,
            one.invoice,
            one.day,
            one.kind,
            one.total,
            one.repeats,
            one.replaces,
            one.currency,
        )
        for file, _, inside in content.files
        for one in inside.documents
    ]
    entries = [
        (file, one.sheet, float(one.row), one.lab, one.invoice, one.day, one.amount, one.currency)
        for file, _, inside in content.files
        for one in inside.entries
    ]
    return _typed(documents, DOCUMENTS), _typed(entries, ENTRIES)


def _typed(rows: list[tuple[Any, ...]], kinds: dict[str, Any]) -> pd.DataFrame:
    if not rows:
        return columns_of(kinds)
    frame = pd.DataFrame(rows, columns=list(kinds))
    frame["date"] = frames.days(frame["date"].to_numpy(dtype=float))
    return frame.astype({name: kind for name, kind in kinds.items() if name != "date"})
