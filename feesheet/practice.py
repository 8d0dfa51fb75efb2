"""What a practice folder holds once it is read: tidy tables, and where each figure came from."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

import numpy as np
import pandas as pd

from feesheet import reference
from feesheet.schema import NUMERIC_KINDS, Table, plain


@dataclass(frozen=True)
class Source:
    """One sheet that a table, or a part of it, was read from. `columns` gives each field's column letter."""

    file: str
    sheet: str
    table: str
    header_row: int
    columns: Mapping[str, str]

    def cell(self, field: str, row: int) -> str:
        """The cell of that field in that sheet row, or "row 14" where the field has no column."""
        letter = self.columns.get(field)
        return f"{letter}{row}" if letter else f"row {row}"


@dataclass(frozen=True)
class FileRead:
    """One file of the folder: its name relative to it, its SHA-256, and rows read by table."""

    name: str
    sha256: str
    rows: Mapping[str, int]


DOCUMENTS: dict[str, Any] = {"file": str, "sheet": str, "cell": str, "lab": str, "invoice": str, "date": "datetime64[s]", "kind": str,
             "total": float, "repeats": bool, "replaces": bool, "currency": str}  # fmt: skip
"""Columns of `Practice.documents`: one row per invoice, credit note or statement as a file holds it; `total` with tax, NaN
where the paper has none, in `currency`; `cell` is the total's; `repeats` where the paper says that it is a copy, `replaces` where it says that it is a corrected invoice."""

ENTRIES: dict[str, Any] = {"file": str, "sheet": str, "row": float, "lab": str, "invoice": str, "date": "datetime64[s]", "amount": float,
           "currency": str}  # fmt: skip
"""Columns of `Practice.entries`: one row per invoice that a lab's statement lists."""


def columns_of(kinds: Mapping[str, Any]) -> pd.DataFrame:
    """A frame of those columns without rows."""
    return pd.DataFrame({name: pd.Series([], dtype=kind) for name, kind in kinds.items()})


@dataclass(frozen=True)
class Practice:
    """A practice folder as tidy tables.

    `settings` holds one value a field of the Practice table (None where nothing is known).
    `tables` has one frame for every other table, empty where the folder has none: a column a field, and
    `source` (index into `sources`) and `row` (the sheet's own row number), so that every figure can be found
    again. Numbers are float64 with NaN for a blank, days datetime64, yes/no bool, words categories with ""
    for a blank. `documents` and `entries` are what the labs' papers say of themselves (`DOCUMENTS`, `ENTRIES`).
    """

    settings: Mapping[str, Any]
    setting_cells: Mapping[str, tuple[str, str, str]]
    tables: Mapping[str, pd.DataFrame]
    sources: tuple[Source, ...]
    files: tuple[FileRead, ...]
    documents: pd.DataFrame = field(default_factory=lambda: columns_of(DOCUMENTS))
    entries: pd.DataFrame = field(default_factory=lambda: columns_of(ENTRIES))

    def place(self, table: str, position: int, field: str) -> tuple[str, str, str]:
        """File, sheet and cell of one figure."""
        frame = self.tables[table]
        source = self.sources[int(frame["source"].iloc[position])]
        return source.file, source.sheet, source.cell(field, int(frame["row"].iloc[position]))

    def day(self, setting: str) -> date:
        """A setting that is a day."""
        value = self.settings[setting]
        assert isinstance(value, date)
        return value


def line_treatments(lines: pd.DataFrame) -> np.ndarray[Any, Any]:
    """The treatment of each invoice line's kind as `shared/line_kinds.csv` names it; "" for a kind that is unread."""
    kinds = reference.line_kinds()
    names = [kinds[plain(word)][1] if plain(word) in kinds else "" for word in lines["kind"].cat.categories]
    return np.asarray(np.array(names, dtype=object)[lines["kind"].cat.codes.to_numpy()])


def as_compared(lines: pd.DataFrame, treatments: Any) -> pd.DataFrame:
    """What makes lines of two papers one and the same. Papers word a tax, and count a charge without units, each in its own way."""
    treatment = pd.Series(treatments, index=lines.index)
    made = treatment.isin(("unit", "remake", "alloy"))
    words = {word: " ".join(sorted(re.findall(r"\w+", word))) for word in lines["teeth"].astype(str).unique()}
    return lines[["date", "kind", "amount", "weight"]].assign(
        product=lines["product"].astype(str).where(treatment != "tax", ""),
        units=lines["units"].fillna(1.0).where(made),
        teeth=lines["teeth"].astype(str).map(words),
    )


def empty(table: Table) -> pd.DataFrame:
    """The table without rows, each column of its kind."""
    columns: dict[str, Any] = {}
    for one in table.fields:
        if one.kind in NUMERIC_KINDS:
            columns[one.name] = np.array([], dtype=float)
        elif one.kind == "date":
            columns[one.name] = np.array([], dtype="datetime64[s]")
        elif one.kind == "yes_no":
            columns[one.name] = np.array([], dtype=bool)
        else:
            columns[one.name] = pd.Categorical([], categories=[""])
    columns["source"] = np.array([], dtype=np.int64)
    columns["row"] = np.array([], dtype=np.int64)
    return pd.DataFrame(columns)
