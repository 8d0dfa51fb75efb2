"""What the reading process sends back: plain values only, no cell of a column that no table knows."""

from __future__ import annotations

from array import array
from dataclasses import dataclass, field
from typing import Any

from feesheet.problems import Problem
from feesheet.reading.invoices.context import Context
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


@dataclass(frozen=True)
class Job:
    """One file to read: its path, its name in the folder, and what is known of the practice.

    `sheets` names the sheets to read as invoices of any layout; None on the first reading, for tables alone.
    """

    path: str
    name: str
    context: Context = field(default_factory=Context)
    sheets: tuple[str, ...] | None = None


@dataclass(frozen=True)
class DocumentFact:
    """What one paper says of itself; amounts in `currency`, days since 1970, NaN where it says nothing."""

    kind: str
    lab: str
    invoice: str
    day: float
    currency: str
    total: float
    repeats: bool
    replaces: bool
    sheet: str
    cell: str


@dataclass(frozen=True)
class EntryFact:
    """One invoice as a statement lists it."""

    lab: str
    invoice: str
    day: float
    currency: str
    amount: float
    sheet: str
    row: int


@dataclass(frozen=True)
class MadeFact:
    """One unit made for one person: a keyed hash that lives for this run only, to find a remake at another lab."""

    patient: str
    lab: str
    teeth: str
    day: float
    sheet: str
    row: int


@dataclass
class FileContent:
    """What one file holds, in plain values that can travel between processes.

    `open_sheets` are those that hold no table and may hold invoices of any layout, `read_sheets` those that did,
    by the names that they have in the file; `shown_sheets` is what such sheets are called outside it.
    """

    pieces: list[Piece] = field(default_factory=list)
    settings: list[Setting] = field(default_factory=list)
    seen: list[Seen] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    open_sheets: list[str] = field(default_factory=list)
    read_sheets: list[str] = field(default_factory=list)
    shown_sheets: dict[str, str] = field(default_factory=dict)
    documents: list[DocumentFact] = field(default_factory=list)
    entries: list[EntryFact] = field(default_factory=list)
    made: list[MadeFact] = field(default_factory=list)
