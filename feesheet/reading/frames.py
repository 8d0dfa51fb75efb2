"""Pieces of many sheets -> one frame a table, columns of the kinds that `practice.py` promises."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pandas as pd

from feesheet.practice import Source, empty
from feesheet.reading.messages import Piece
from feesheet.reading.values import Words
from feesheet.schema import NUMERIC_KINDS, Field, Table


def frame(table: Table, pieces: Sequence[tuple[int, Piece]]) -> pd.DataFrame:
    """The table's rows from all its pieces, each given with its position among the practice's sources."""
    filled = [(number, piece) for number, piece in pieces if len(piece.rows)]
    if not filled:
        return empty(table)
    columns = {field.name: _column(field, [piece for _, piece in filled]) for field in table.fields}
    columns["source"] = np.repeat([number for number, _ in filled], [len(piece.rows) for _, piece in filled])
    columns["row"] = np.concatenate([np.asarray(piece.rows, dtype=np.int64) for _, piece in filled])
    return pd.DataFrame(columns, copy=False)


def _column(field: Field, pieces: list[Piece]) -> object:
    parts = [piece.data[field.name] for piece in pieces]
    words = [part for part in parts if isinstance(part, Words)]
    if words:
        return _categories(words)
    numbers = np.concatenate(
        [np.frombuffer(part, dtype=float) for part in parts if not isinstance(part, Words)]
    )
    if field.kind in NUMERIC_KINDS:
        return numbers
    return days(numbers) if field.kind == "date" else numbers == 1.0


def days(numbers: np.ndarray) -> np.ndarray:
    """Days since 1970, NaN for none, as days of the calendar."""
    blank = np.isnan(numbers)
    days = np.where(blank, 0, numbers).astype("int64").astype("datetime64[D]").astype("datetime64[s]")
    days[blank] = np.datetime64("NaT")
    return days


def _categories(parts: list[Words]) -> pd.Categorical:
    """The words of all parts, each different one once, in alphabetical order."""
    index: dict[str, int] = {}
    codes = [
        np.array([index.setdefault(word, len(index)) for word in part.distinct], dtype=np.int64)[
            np.frombuffer(part.codes, dtype=np.int32)
        ]
        for part in parts
    ]
    index.setdefault("", len(index))
    words = sorted(index)
    order = {word: number for number, word in enumerate(words)}
    new = np.array([order[word] for word in index], dtype=np.int64)
    return pd.Categorical.from_codes(new[np.concatenate(codes)], categories=pd.Index(words, dtype="str"))


def words(column: pd.Series) -> pd.Categorical:
    """The words of a column, each different one once, in alphabetical order, "" always among them."""
    return pd.Categorical(column, categories=pd.Index(sorted({"", *column}), dtype="str"))


def source(file: str, piece: Piece) -> Source:
    """Where a piece came from."""
    return Source(file, piece.sheet, piece.table, piece.header_row, piece.columns)
