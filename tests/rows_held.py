"""Plain rows as a practice without the way through workbooks: frames as reading makes them, in a hundredth of the time."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import pandas as pd

from feesheet.practice import DOCUMENTS, ENTRIES, FileRead, Practice, Source, columns_of, empty
from feesheet.schema import NUMERIC_KINDS, Field, Table
from feesheet.tables import PRACTICE, TABLES

Row = dict[str, Any]
FIRST_ROW = 5
"""Row of a sheet in which the first line stands."""


def practice_of(
    rows: Mapping[str, Sequence[Row]],
    line_files: Sequence[str] = (),
    documents: Sequence[Row] = (),
    entries: Sequence[Row] = (),
) -> Practice:
    """The practice that the rows make; `line_files` names the file of each invoice line, where there are several."""
    files = {name: f"{TABLES[name].workbook}.xlsx" for name in TABLES}
    names = list(line_files) or [files["invoice_lines"]] * len(rows.get("invoice_lines", ()))
    of_lines = list(dict.fromkeys(names))
    sources = [_source(files[name], table) for name, table in TABLES.items() if not table.vertical]
    numbers = {source.table: number for number, source in enumerate(sources)}
    first = len(sources)
    sources += [_source(name, TABLES["invoice_lines"]) for name in of_lines]
    tables = {name: _frame(TABLES[name], rows.get(name, ()), numbers[name]) for name in numbers}
    lines = tables["invoice_lines"]
    if len(lines):
        lines["source"] = pd.factorize(np.array(names, dtype=object))[0] + first
        lines["row"] = lines.groupby("source").cumcount() + FIRST_ROW
    given = rows["practice"][0]
    settings = {field.name: given.get(field.name, field.default) for field in PRACTICE.fields}
    cells = {
        field.name: (files["practice"], "Practice", f"C{row}")
        for row, field in enumerate(PRACTICE.fields, FIRST_ROW)
    }
    read = tuple(FileRead(name, "0" * 64, {}) for name in dict.fromkeys([*files.values(), *of_lines]))
    return Practice(
        settings,
        cells,
        tables,
        tuple(sources),
        read,
        _papers(DOCUMENTS, documents),
        _papers(ENTRIES, entries),
    )


def _source(file: str, table: Table) -> Source:
    letters = {field.name: chr(ord("B") + at) for at, field in enumerate(table.fields[:24])}
    return Source(file, table.sheet, table.name, FIRST_ROW - 1, letters)


def _frame(table: Table, rows: Sequence[Row], source: int) -> pd.DataFrame:
    if not rows:
        return empty(table)
    columns = {field.name: _column(field, [row.get(field.name) for row in rows]) for field in table.fields}
    columns["source"] = np.full(len(rows), source)
    columns["row"] = np.arange(FIRST_ROW, FIRST_ROW + len(rows))
    return pd.DataFrame(columns)


def _column(field: Field, values: list[Any]) -> Any:
    """One column of the kind that the practice promises; a blank that the table has a value for takes it."""
    filled = [field.default if value in (None, "") else value for value in values]
    if field.kind in NUMERIC_KINDS:
        return np.array([np.nan if value in (None, "") else float(value) for value in filled])
    if field.kind == "date":
        return np.array(filled, dtype="datetime64[s]")
    if field.kind == "yes_no":
        return np.array([value in (True, "yes") for value in filled])
    words = ["" if value is None else str(value) for value in filled]
    return pd.Categorical(words, categories=sorted({*words, ""}))


def _papers(kinds: Mapping[str, Any], rows: Sequence[Row]) -> pd.DataFrame:
    """What the labs' papers, or their statements, say of themselves."""
    return pd.DataFrame(list(rows), columns=list(kinds)).astype(dict(kinds)) if rows else columns_of(kinds)
