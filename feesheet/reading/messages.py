"""What the reading process sends back: plain values only, no cell of a column that no table knows."""

from __future__ import annotations

from array import array
from dataclasses import dataclass, field
from typing import Any

from feesheet.problems import Problem
from feesheet.reading.values import Column


@dataclass(frozen=True)
class Piece:
    """The rows of one table on one sheet.

    `columns` gives each field's column letter, `rows` the sheet's row numbers, and `currencies` each
    currency that its amounts show, with a cell that shows it.
    """

    table: str
    sheet: str
    header_row: int
    columns: dict[str, str]
    rows: array[int]
    data: dict[str, Column]
    currencies: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Setting:
    """One row of the settings: its name, its value (None where nothing is known) and its cell."""

    name: str
    value: Any
    sheet: str
    cell: str


@dataclass(frozen=True)
class Seen:
    """One sheet as it was found: its name, the table it holds (None: none), and its rows."""

    sheet: str
    table: str | None
    rows: int


@dataclass
class FileContent:
    """What one file holds, in plain values that can travel between processes."""

    pieces: list[Piece] = field(default_factory=list)
    settings: list[Setting] = field(default_factory=list)
    seen: list[Seen] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
