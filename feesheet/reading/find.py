"""Which table a sheet holds, and where: by its name and by its headings, wherever they stand."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Any

from feesheet.problems import Problem
from feesheet.reading.gate import column_letters
from feesheet.reading.grids import Grid
from feesheet.schema import Table, plain
from feesheet.tables import COLLECTIONS, INVOICE_LINES, SEATED, TABLES

HEADING_ROWS = 40
"""How many rows from the top are searched for headings; banners and titles stand above them."""

VERTICAL = ("setting", "value")
NOTE = "note"
OF_REVIEWS = (SEATED.name, COLLECTIONS.name)
"""Tables whose headings ("received", "billed", "month") are words of labs' papers too, where they say nothing of others."""


@dataclass(frozen=True)
class Found:
    """A table in a sheet: its headings end in row `header` (from 0), `columns` tells where each field stands.

    `doubles` lists further columns that answer to a field; `note` is the column of notes, if there is one.
    """

    table: Table
    header: int
    columns: dict[str, int]
    doubles: tuple[tuple[str, int], ...] = ()
    note: int | None = None

    @property
    def missing(self) -> list[str]:
        """Headings of required columns that the sheet lacks."""
        if self.table.vertical:
            return [word.capitalize() for word in VERTICAL if word not in self.columns]
        return [field.heading for field in self.table.required_fields if field.name not in self.columns]


plain_of = lru_cache(maxsize=20000)(plain)
"""A heading made plain, remembered: the same words come back in file after file."""


@cache
def _fields_by_heading(table: str) -> dict[str, str]:
    """Field name by each heading that answers to it; the first declared wins."""
    if TABLES[table].vertical:
        return {word: word for word in VERTICAL}
    names: dict[str, str] = {}
    for field in TABLES[table].fields:
        for name in field.names:
            names.setdefault(name, field.name)
    return names


@cache
def _tables_by_heading() -> dict[str, tuple[str, ...]]:
    found: dict[str, list[str]] = {}
    for table in TABLES:
        for heading in _fields_by_heading(table):
            found.setdefault(heading, []).append(table)
    return {heading: tuple(tables) for heading, tables in found.items()}


def find(grid: Grid, name: str, file: str) -> Found | Problem | None:
    """The table of the sheet, None where it has none, a `Problem` where two fit equally well.

    `name` is the sheet's name, or the file's own where a sheet has none.
    """
    named = next((table for table in TABLES.values() if plain_of(name) in table.names), None)
    best: list[Found] = []
    for index in range(min(HEADING_ROWS, len(grid.rows))):
        fits = list(_fits(grid, index))
        complete = [fit for fit in fits if not fit.missing]
        own = next((fit for fit in complete if fit.table is named), None)
        if own:
            return own
        likely = [fit for fit in complete if fit.table is named or _is_heading(fit, fits, grid)]
        most = max((len(fit.columns) for fit in likely), default=0)
        top = [fit for fit in likely if len(fit.columns) == most and (most > 1 or fit.table is named)]
        if len(top) > 1:
            return _two_fit(top, file, grid.name)
        if top:
            return top[0]
        best += [fit for fit in fits if fit.table is named]
    return max(best, key=lambda fit: len(fit.columns), default=None)


def _is_heading(fit: Found, fits: Sequence[Found], grid: Grid) -> bool:
    """Whether a row is more likely the heading of that table than the labels or the heading of a lab's invoice.

    A letterhead's "Account: 20417 Clinic: North" holds as much else as it holds headings.
    """
    as_lines = max((len(other.columns) for other in fits if other.table is INVOICE_LINES), default=0)
    words = (cell for cell in grid.rows[fit.header] if cell is not None and cell != "")
    strangers = sum(
        1 for word in words if not (isinstance(word, str) and _is_known(plain_of(word), fit.table))
    )
    return len(fit.columns) >= as_lines and len(fit.columns) > strangers


def _is_known(word: str, table: Table) -> bool:
    """Whether some table has that heading, which for a review's tables must be the table itself."""
    return any(name == table.name or name not in OF_REVIEWS for name in _tables_by_heading().get(word, ()))


def _two_fit(top: list[Found], file: str, sheet: str) -> Problem:
    names = " and ".join(f'"{fit.table.sheet}"' for fit in top)
    return Problem(
        "two tables fit",
        f"The headings of this sheet fit {names}.",
        "Name the sheet after the one you mean.",
        file,
        sheet,
        f"row {top[0].header + 1}",
    )


def _fits(grid: Grid, index: int) -> Iterable[Found]:
    """The tables whose headings stand in this row, or in it and the next together."""
    row = grid.rows[index]
    single = [plain_of(cell) if isinstance(cell, str) and len(cell) < 100 else "" for cell in row]
    joined = _joined(grid, index)
    known = _tables_by_heading()
    candidates = {
        table for words in (single, *(joined or ())) for word in words for table in known.get(word, ())
    }
    for name in TABLES:
        if name in candidates:
            one = _fit(TABLES[name], index, [single])
            two = _fit(TABLES[name], index + 1, list(joined)) if joined else one
            yield two if len(two.columns) > len(one.columns) else one


def _joined(grid: Grid, index: int) -> tuple[list[str], list[str], list[str]] | None:
    """Upper and lower heading together, lower alone, upper alone; None if the next row can't be headings."""
    if index + 1 >= len(grid.rows):
        return None
    upper, lower = grid.rows[index], grid.rows[index + 1]
    if not any(isinstance(cell, str) and cell for cell in lower) or any(
        not isinstance(cell, str) for cell in lower
    ):
        return None
    if not _merged_near(grid, index) and not _has_gaps(upper, lower):
        return None
    spread = _spread(grid, index)
    width = max(len(spread), len(lower))
    above = [*spread, *[""] * (width - len(spread))]
    below = [*lower, *[""] * (width - len(lower))]
    both = [plain_of(f"{up} {low}") for up, low in zip(above, below, strict=True)]
    own = [cell if isinstance(cell, str) else "" for cell in upper] + [""] * (width - len(upper))
    return both, [plain_of(low) for low in below], [plain_of(up) for up in own]


def _merged_near(grid: Grid, index: int) -> bool:
    return any(top <= index + 1 and bottom >= index for top, _, bottom, _ in grid.facts.merged)


def _has_gaps(upper: Sequence[Any], lower: Sequence[Any]) -> bool:
    """Whether the upper row is blank over some lower heading, as one over several columns leaves it."""
    return any(low != "" and (at >= len(upper) or upper[at] == "") for at, low in enumerate(lower))


def _spread(grid: Grid, index: int) -> list[str]:
    """The upper headings, each carried over the columns that it is merged across or left blank after it."""
    row = [cell if isinstance(cell, str) else "" for cell in grid.rows[index]]
    spans = {left: right for top, left, _, right in grid.facts.merged if top == index}
    if spans:
        for left, right in spans.items():
            for at in range(left + 1, min(right + 1, len(row))):
                row[at] = row[left] if left < len(row) else ""
        return row
    last = ""
    for at, cell in enumerate(row):
        last = cell or last
        row[at] = last
    return row


def _fit(table: Table, header: int, rows: list[list[str]]) -> Found:
    """How the headings of one or more readings of each column answer to the table's fields."""
    names = _fields_by_heading(table.name)
    columns: dict[str, int] = {}
    doubles: list[tuple[str, int]] = []
    note = None
    for at in range(len(rows[0])):
        field = next((names[row[at]] for row in rows if row[at] in names), None)
        if field is None:
            note = at if note is None and any(row[at] == NOTE for row in rows) else note
        elif field in columns:
            doubles.append((field, at))
        else:
            columns[field] = at
    return Found(table, header, columns, tuple(doubles), note)


def shape_problems(found: Found, file: str, sheet: str) -> list[Problem]:
    """Columns that are missing, and fields that two columns answer to."""
    row = found.header + 1
    problems = [
        Problem(
            "missing column",
            f'The table "{found.table.sheet}" has no column "{heading}".',
            f'Add a column headed "{heading}" and fill it in.',
            file,
            sheet,
            f"row {row}",
        )
        for heading in found.missing
    ]
    for field, at in found.doubles:
        heading = field.capitalize() if found.table.vertical else found.table.field(field).heading
        cells = f"{column_letters(found.columns[field] + 1)}{row} and {column_letters(at + 1)}{row}"
        problems.append(
            Problem(
                "two columns fit",
                f'Two columns can be meant by "{heading}".',
                "Rename the one that is not meant.",
                file,
                sheet,
                cells,
            )
        )
    return problems
