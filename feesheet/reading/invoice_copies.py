"""Invoices that may stand twice and are counted twice. Exact copies on two sheets are counted once elsewhere."""

from __future__ import annotations

from collections import defaultdict

import numpy as np
import pandas as pd

from feesheet.practice import Practice, as_compared, line_treatments
from feesheet.problems import Problem
from feesheet.reading.line_facts import invoice_numbers, some

_WHOLE = ["date", "product", "kind", "units", "amount", "weight", "teeth", "site", "alloy"]
_CURE = "Take one out if it is a copy."


def copies(practice: Practice) -> list[Problem]:
    """Invoices that stand on two sheets with different lines, or on one sheet with every line twice."""
    lines = practice.tables["invoice_lines"]
    named = ((lines["invoice"] != "") & (lines["lab"] != "")).to_numpy() & ~_on_marked_copies(practice)
    known = lines[named].assign(at=np.flatnonzero(named), control=line_treatments(lines)[named] == "control")
    if known.empty:
        return []
    return [*_on_two_sheets(practice, known), *_twice_on_one(practice, known)]


def _on_marked_copies(practice: Practice) -> np.ndarray:
    """Whether each line stands on a paper that says it is a copy: what it holds beside its invoice is told elsewhere."""
    lines, papers = practice.tables["invoice_lines"], practice.documents[practice.documents["repeats"]]
    marked = set(zip(*(papers[name] for name in ("file", "sheet", "lab", "invoice")), strict=True))
    if not marked:
        return np.zeros(len(lines), dtype=bool)
    places = [(practice.sources[source].file, practice.sources[source].sheet) for source in lines["source"]]
    numbers = zip(lines["lab"].astype(str), lines["invoice"].astype(str), strict=True)
    return np.array(
        [(*place, *number) in marked for place, number in zip(places, numbers, strict=True)], dtype=bool
    )


def _on_two_sheets(practice: Practice, lines: pd.DataFrame) -> list[Problem]:
    lines = lines.assign(number=invoice_numbers(lines))
    sheets = lines[~lines["control"]][["number", "source"]].drop_duplicates()
    shared = sheets["number"][sheets["number"].duplicated()]
    lines = lines[lines["number"].isin(shared)]
    if lines.empty:
        return []
    alike = pd.util.hash_pandas_object(as_compared(lines, line_treatments(lines)), index=False).to_numpy()
    table = lines.assign(alike=alike).groupby(["number", "source"], sort=True)
    parts = table.agg(
        alike=("alike", "sum"), count=("at", "size"), at=("at", "first"), control=("control", "all")
    )
    parts = parts[~parts["control"]].reset_index().drop_duplicates(["number", "alike", "count"])
    pairs: dict[tuple[int, int], list[int]] = defaultdict(list)
    for _, group in parts[parts["number"].duplicated(keep=False)].groupby("number"):
        first, second = group["source"].iloc[:2]
        pairs[int(first), int(second)].append(int(group["at"].iloc[1]))
    return [_two_sheets(practice, first, rows) for (first, _), rows in pairs.items()]


def _two_sheets(practice: Practice, first: int, rows: list[int]) -> Problem:
    other = practice.sources[first]
    where = f"{other.file}, {other.sheet}" if other.sheet else other.file
    what = f"{_invoices(practice, rows)} here and in {where} with different lines: both are counted."
    return Problem("copy", what, _CURE, *practice.place("invoice_lines", rows[0], "invoice"))


def _invoices(practice: Practice, rows: list[int]) -> str:
    invoices = practice.tables["invoice_lines"]["invoice"]
    names = some([str(invoices.iloc[row]) for row in rows])
    return f"Invoice {names} of one lab stands" if len(rows) == 1 else f"Invoices {names} stand"


def _twice_on_one(practice: Practice, lines: pd.DataFrame) -> list[Problem]:
    """Two crowns alike may share an invoice: a single pair of lines without teeth says nothing."""
    lines = lines[~lines["control"]]
    alike = pd.util.hash_pandas_object(lines[["lab", "invoice", "source", *_WHOLE]], index=False).to_numpy()
    _, where, counts = np.unique(alike, return_inverse=True, return_counts=True)
    numbers = invoice_numbers(lines, "source")
    toothed = np.bincount(numbers, weights=(lines["teeth"] != "").to_numpy()) > 0
    charged = np.bincount(numbers, weights=(lines["amount"].fillna(0.0) != 0).to_numpy()) > 0
    others = np.bincount(numbers, weights=counts[where] != 2) > 0
    doubled = ~others & charged & (toothed | (np.bincount(numbers) > 2))
    few = lines.assign(number=numbers, alike=alike)[doubled[numbers]]
    return [_one_sheet(practice, group) for _, group in few.groupby("source")]


def _one_sheet(practice: Practice, lines: pd.DataFrame) -> Problem:
    """The notice about all lines of a sheet whose invoices stand on it twice."""
    rows, firsts = practice.tables["invoice_lines"]["row"], lines.drop_duplicates("number")["at"]
    first, again = lines["at"][lines["alike"] == lines["alike"].iloc[0]]
    what = (
        f"{_invoices(practice, list(firsts))} here with every line twice, "
        f"the first in rows {rows.iloc[first]} and {rows.iloc[again]}: both are counted."
    )
    return Problem("copy", what, _CURE, *practice.place("invoice_lines", int(again), "invoice"))
