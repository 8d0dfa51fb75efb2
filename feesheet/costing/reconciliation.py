"""Invoices three ways: their lines as read, the total on their own paper, and what the lab's statement lists."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable

import numpy as np
import pandas as pd

from feesheet import reference
from feesheet.costing.meaning import CONTROL, TAX
from feesheet.practice import Practice
from feesheet.schema import plain
from feesheet.total_lines import is_total

PAPER, LINE = "its paper", "its total line"
"""Where an invoice's total was read; "" where it has none."""

PLACES = ("file", "sheet", "cell", "statement_file", "statement_sheet", "statement_cell")
"""Where the total stands, and where the statement lists the invoice; "" where there is none."""


def invoice_totals(practice: Practice, parts: pd.DataFrame) -> pd.DataFrame:
    """One row for each invoice of a lab that lines, papers or a statement know, in that order.

    `key`, `lab`, `invoice`, `date`, `lines` and `tax` (sums as read), `total`, `total_from`, `net` (the total leaves
    tax out), `statement`, and the places of both (`PLACES`). NaN: no such figure.
    """
    lines = parts.drop_duplicates("line").assign(key=lambda frame: keys_of(frame))
    charged = lines[(lines["treatment"] != CONTROL) & ~lines["copy"]]
    papers = _not_copied(practice, parts)
    papers, entries = (frame.assign(key=keys_of(frame)) for frame in (papers, practice.entries))
    facts = pd.concat([frame[["key", "lab", "invoice", "date"]].astype({"lab": str, "invoice": str})
                       for frame in (lines, papers, entries)])  # fmt: skip
    table = facts.drop_duplicates("key").set_index("key")
    table["lines"] = charged.groupby("key")["amount"].sum()
    table["tax"] = charged[charged["treatment"] == TAX].groupby("key")["amount"].sum()
    table = table.fillna({"lines": 0.0, "tax": 0.0})
    table = table.join(_totals(practice, papers, lines, table["lines"])).join(_statements(entries))
    for column in PLACES:
        table[column] = table[column].astype(object).fillna("")
    table["total_from"] = table["total_from"].astype(object).fillna("")
    digits = reference.minor_digits().get(str(practice.settings["currency"]), 2)
    near = 0.5 * 10.0**-digits
    gross, net = (
        (table["total"] - table["lines"]).abs(),
        (table["total"] - table["lines"] + table["tax"]).abs(),
    )
    table["net"] = (gross > near) & (net <= near)
    return table.reset_index()


def _not_copied(practice: Practice, parts: pd.DataFrame) -> pd.DataFrame:
    """The invoices and credit notes but for those whose lines are all copies: their totals ask for nothing more."""
    papers = practice.documents[practice.documents["kind"] != "statement"]
    if not parts["copy"].any() or papers.empty:
        return papers
    files = [(source.file, source.sheet) for source in practice.sources]
    lines = parts[["source", "lab", "invoice"]].astype({"lab": str, "invoice": str})
    whole = parts["copy"].groupby([lines["source"], lines["lab"], lines["invoice"]], sort=False).all()
    left_out = {(*files[int(source)], lab, invoice) for source, lab, invoice in whole.index[whole]}
    places = zip(*(papers[name] for name in ("file", "sheet", "lab", "invoice")), strict=True)
    return papers[[place not in left_out for place in places]]


def keys_of(frame: pd.DataFrame) -> list[str]:
    """Lab and invoice number without case, spaces and signs; a nameless invoice is told by its file and sheet."""
    places = ("source",) if "source" in frame else ("file", "sheet")
    labs = _each(frame["lab"], plain)
    numbers = _each(frame["invoice"], lambda number: re.sub(r"[\W_]+", "", number).casefold())
    where = zip(*(frame[name].astype(str) for name in places), strict=True)
    return [
        f"{lab} {number}" if number else "\n".join((lab, *place))
        for lab, number, place in zip(labs, numbers, where, strict=True)
    ]


def _each(words: pd.Series, change: Callable[[str], str]) -> list[str]:
    """The words changed, each distinct one once."""
    codes, distinct = pd.factorize(words.astype(object))
    made = [change(str(word)) for word in distinct]
    return [made[code] for code in codes]


def _totals(practice: Practice, papers: pd.DataFrame, lines: pd.DataFrame, read: pd.Series) -> pd.DataFrame:
    """Each invoice's own total: as its paper says, else as a total line of it says."""
    of_papers = _of_papers(papers)
    frame = practice.tables["invoice_lines"]
    said = lines[is_total(frame)[lines["line"].to_numpy()] & ~lines["copy"] & lines["amount"].notna()]
    said = said[~said["key"].isin(of_papers.index)]
    rows = []
    for key, group in said.groupby("key", sort=False):
        totals = group.groupby("source")["amount"].last()
        choices = [*totals, totals.sum()]
        place = practice.place("invoice_lines", int(group["line"].iloc[0]), "amount")
        rows.append((key, min(choices, key=lambda total: abs(total - read[key])), LINE, *place))
    columns = ["key", "total", "total_from", "file", "sheet", "cell"]
    return pd.concat([of_papers, pd.DataFrame(rows, columns=columns).set_index("key")])


def _of_papers(papers: pd.DataFrame) -> pd.DataFrame:
    """The totals of papers; one of several papers of an invoice without a total leaves it without one."""
    first_hand = papers[~papers["repeats"]]
    repeats = papers[papers["repeats"] & ~papers["key"].isin(first_hand["key"])].drop_duplicates("key")
    counted = pd.concat([first_hand, repeats])
    groups = counted.groupby("key", sort=False)
    found = groups.first()[["file", "sheet", "cell"]].assign(
        total=groups["total"].agg(lambda totals: totals.sum(skipna=False)), total_from=PAPER
    )
    return found[found["total"].notna()]


def _statements(entries: pd.DataFrame) -> pd.DataFrame:
    """What the first statement that lists an invoice asks for it: a later one may list what is left of it."""
    place = ["key", "file", "sheet"]
    listed = (
        entries.groupby(place, sort=False)
        .agg(statement=("amount", "sum"), row=("row", "first"))
        .reset_index()
    )
    listed = listed.drop_duplicates("key").set_index("key")
    listed["statement_cell"] = [f"row {int(row)}" for row in listed.pop("row")]
    return listed.rename(columns={"file": "statement_file", "sheet": "statement_sheet"})


def numbers_of_lines(parts: pd.DataFrame, totals: pd.DataFrame) -> np.ndarray:
    """The row of each line part in the invoice totals; 0 for copies and for balances, payments and totals."""
    rows = dict(zip(totals["key"], range(1, len(totals) + 1), strict=True))
    numbers = np.array([rows[key] for key in keys_of(parts)], dtype=np.int64)
    return np.where((parts["treatment"] == CONTROL) | parts["copy"], 0, numbers)


def listed(names: Iterable[str], most: int = 5) -> str:
    """The first few names, and how many more there are.

    >>> listed("abcdefg")
    'a; b; c; d; e … and 2 more'
    """
    every = list(names)
    rest = len(every) - most
    return "; ".join(every[:most]) + (f" … and {rest} more" if rest > 0 else "")
