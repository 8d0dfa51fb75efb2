"""What the program reads from a folder of labs' files, file by file, in words that a person can compare."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pandas as pd
from golden_practice import NOTATION, write_tables

from feesheet import reference
from feesheet.practice import Practice
from feesheet.problems import Problem, errors
from feesheet.reading.folder import read_folder
from feesheet.schema import plain
from feesheet.teeth import parse_teeth

COLUMNS = (
    "lab",
    "site",
    "invoice",
    "date",
    "kind",
    "product",
    "teeth",
    "role",
    "units",
    "unit_price",
    "amount",
    "alloy_class",
    "weight_g",
    "case_group",
    "row",
)
"""Columns of a `<name>.expected.csv`; a * in one stands for anything."""

NO_CHARGE = frozenset({"balance", "note"})
"""Kinds of line that charge nothing; whether they are kept as lines is the reader's own affair."""


@dataclass(frozen=True)
class ReadBack:
    """One folder as it was read."""

    practice: Practice
    found: list[Problem]

    def rows(self, file: str) -> pd.DataFrame:
        """The invoice lines of a file as they were read, balances and notes among them."""
        of = [number for number, source in enumerate(self.practice.sources) if source.file == file]
        lines = self.practice.tables["invoice_lines"]
        return lines[lines["source"].isin(of)]

    def lines(self, file: str) -> list[dict[str, str]]:
        """The charges of a file in words, by sheet and row."""
        frame = self.rows(file)
        cases: dict[tuple[str, str], str] = {}
        found = [_worded(row, cases) for row in frame.to_dict("records") if not _is_nothing(row)]
        sheets = [int(row["source"]) for row in frame.to_dict("records") if not _is_nothing(row)]
        order = sorted(range(len(found)), key=lambda at: (sheets[at], int(found[at]["row"])))
        return _renumbered([found[at] for at in order])

    def column(self, file: str, name: str) -> list[str]:
        """One column of `lines`."""
        return [line[name] for line in self.lines(file)]

    def documents(self, file: str) -> list[dict[str, Any]]:
        """The documents that a file holds, as the paper says it."""
        frame = self.practice.documents
        return [_document(row) for row in frame[frame["file"] == file].to_dict("records")]

    def entries(self, file: str) -> list[tuple[str, float]]:
        """The invoices that a statement lists, with their amounts."""
        frame = self.practice.entries
        frame = frame[frame["file"] == file]
        return list(zip(frame["invoice"].astype(str), frame["amount"].astype(float), strict=True))

    def problems(self, file: str, *kinds: str) -> list[Problem]:
        """What is said about a file, of some kinds if they are named."""
        return [one for one in self.found if one.file == file and (not kinds or one.kind in kinds)]

    def errors(self, file: str) -> list[str]:
        """What stops the run because of that file."""
        return [str(one) for one in errors(self.problems(file))]


def read_back(folder: Path) -> ReadBack:
    """The folder through the program's own door."""
    practice, problems = read_folder(folder)
    return ReadBack(practice, problems)


def read_beside(folder: Path, changed: Any = None, settings: Any = None) -> ReadBack:
    """The folder, with the golden practice's own tables beside what is in it."""
    write_tables(folder, changed, settings)
    return read_back(folder)


def _is_nothing(row: dict[str, Any]) -> bool:
    return row["kind"] in NO_CHARGE or reference.line_kinds()[plain(row["kind"])][1] == "control"


def _worded(row: dict[str, Any], cases: dict[tuple[str, str], str]) -> dict[str, str]:
    lab, case = str(row["lab"]), str(row["case"])
    group = cases.setdefault((lab, case), str(len(cases) + 1)) if case else ""
    return {
        "lab": lab,
        "site": str(row["site"]),
        "invoice": str(row["invoice"]),
        "date": "" if pd.isna(row["date"]) else f"{row['date']:%Y-%m-%d}",
        "kind": str(row["kind"]),
        "product": plain(row["product"]),
        "teeth": teeth_of(str(row["teeth"]), lab),
        "role": str(row["role"]).replace("single", ""),
        "units": number(row["units"]),
        "unit_price": number(row["unit_price"]),
        "amount": number(row["amount"]),
        "alloy_class": str(row["alloy_class"]),
        "weight_g": number(grams(row["weight"], str(row["weight_unit"]))),
        "case_group": group,
        "row": str(int(row["row"])),
    }


def _renumbered(lines: list[dict[str, str]]) -> list[dict[str, str]]:
    """Case groups numbered from 1 in the order of the lines."""
    numbers: dict[str, str] = {"": ""}
    for line in lines:
        line["case_group"] = numbers.setdefault(line["case_group"], str(len(numbers)))
    return lines


def teeth_of(words: str, lab: str, notation: str = "") -> str:
    """ISO codes of the teeth in the lab's notation, in order, a space between; the words where they name none."""
    codes = parse_teeth(words, notation or NOTATION.get(lab, "ISO"))
    return f"? {words}" if codes is None else " ".join(map(str, sorted(codes)))


def grams(weight: float, unit: str) -> float:
    """A weight in grams to a tenth of a milligram, NaN where the unit is not known."""
    return round(weight * (reference.grams_in(unit) or math.nan), 4)


def number(value: float) -> str:
    """A number without a tail of noughts, a blank for none.

    >>> number(185.0), number(0.1), number(float("nan"))
    ('185', '0.1', '')
    """
    return "" if value is None or math.isnan(value) else re.sub(r"\.?0+$", "", f"{value + 0.0:.4f}")


def _document(row: dict[str, Any]) -> dict[str, Any]:
    return {
        "kind": row["kind"],
        "invoice": row["invoice"],
        "date": "" if pd.isna(row["date"]) else f"{row['date']:%Y-%m-%d}",
        "total": number(row["total"]),
        "copy": bool(row["repeats"]),
    }


def added(amounts: Iterable[str]) -> int:
    """The sum of worded amounts in hundredths of a cent, exactly."""
    return sum(round(float(amount or 0) * 10000) for amount in amounts)
