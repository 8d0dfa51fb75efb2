"""A practice given as plain rows, taken the whole way: written, read back, priced; and frames as plain rows."""

from __future__ import annotations

import tempfile
from datetime import date
from pathlib import Path
from typing import Any

import pandas as pd
from practices import write_practice

from feesheet.practice import Practice
from feesheet.problems import errors
from feesheet.reading.folder import read_folder
from feesheet.schema import Field
from feesheet.tables import TABLES
from feesheet.uses.annual_update import Priced, price

Rows = dict[str, list[dict[str, Any]]]


def read_rows(rows: Rows) -> Practice:
    """The practice as it is read from workbooks that hold the rows; an error in reading is a failure."""
    with tempfile.TemporaryDirectory() as folder:
        practice, problems = read_folder(write_practice(rows, Path(folder) / "practice"))
    wrong = [str(problem) for problem in errors(problems)]
    if wrong:
        raise AssertionError(f"the rows are no valid practice: {wrong}")
    return practice


def price_rows(rows: Rows) -> Priced:
    """The practice priced, whatever it says about single items."""
    return price(read_rows(rows))[0]


def rows_of(practice: Practice) -> Rows:
    """A practice as plain rows, as they would be typed."""
    rows = {"practice": [dict(practice.settings)]}
    for name, frame in practice.tables.items():
        fields = TABLES[name].fields
        columns = [[_typed(field, value) for value in frame[field.name].astype(object)] for field in fields]
        made = zip(*columns, strict=True)
        rows[name] = [dict(zip((field.name for field in fields), row, strict=True)) for row in made]
    return rows


def _typed(field: Field, value: Any) -> Any:
    """One cell as typed."""
    if field.kind == "yes_no":
        return "yes" if value else "no"
    if pd.isna(value):
        return None
    return date(value.year, value.month, value.day) if field.kind == "date" else value
