"""Amounts of labs that bill in another currency, at the practice's own exchange rates; never added up unconverted."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd

from feesheet.practice import Practice
from feesheet.problems import Problem

_MONEY = {"invoice_lines": ("amount", "unit_price")}


def converted(practice: Practice) -> tuple[Practice, list[Problem]]:
    """The practice with foreign lines, totals and statement entries in its own currency, and the rates that were used.

    Lines get `billed_amount`, `billed_currency` and `exchange_rate`, as they were billed. What has no rate stays as it is, for another
    check to refuse.
    """
    own = practice.settings.get("currency")
    rates = practice.tables["exchange_rates"]
    if not isinstance(own, str) or rates.empty:
        return practice, []
    lines = practice.tables["invoice_lines"]
    rate, day = _rates(lines, rates, own)
    foreign = rate.notna().to_numpy()
    documents, entries = (
        _paper(frame, rates, own, column)
        for frame, column in ((practice.documents, "total"), (practice.entries, "amount"))
    )
    practice = replace(practice, documents=documents, entries=entries)
    if not foreign.any():
        return practice, []
    problems = _told(practice, lines[foreign], rate[foreign], day[foreign], own)
    factor = rate.fillna(1.0).to_numpy(dtype=float)
    columns = {name: lines[name] * factor for name in _MONEY["invoice_lines"]}
    currency = lines["currency"].astype(object).mask(foreign, own).astype("category")
    lines = lines.assign(
        billed_amount=lines["amount"],
        billed_currency=lines["currency"].astype(str).where(foreign, own),
        exchange_rate=factor,
        **columns,
        currency=_with_blank(currency),
    )
    return replace(practice, tables={**practice.tables, "invoice_lines": lines}), problems


def _with_blank(words: pd.Series) -> pd.Series:
    known = [str(word) for word in words.cat.categories]
    return words.cat.set_categories(sorted({"", *known}))


def _rates(frame: pd.DataFrame, rates: pd.DataFrame, own: str) -> tuple[pd.Series, pd.Series]:
    """Each row's rate and its day: the latest on or before the row's date; NaN and NaT where none is needed or known."""
    rows = pd.DataFrame(
        {
            "at": np.arange(len(frame)),
            "foreign": frame["currency"].astype(str).str.upper().array,
            "date": frame["date"].to_numpy(),
        }
    )
    rows = rows[(rows["foreign"] != "") & (rows["foreign"] != own) & rows["date"].notna()].sort_values("date")
    quotes = (
        rates[["rate_date", "foreign", "rate"]]
        .dropna()
        .assign(foreign=rates["foreign"].astype(str).str.upper())
    )
    found = pd.merge_asof(
        rows, quotes.sort_values("rate_date"), left_on="date", right_on="rate_date", by="foreign"
    ).set_index("at")
    every = found.reindex(range(len(frame)))
    every.index = frame.index
    return every["rate"], every["rate_date"]


def _paper(frame: pd.DataFrame, rates: pd.DataFrame, own: str, column: str) -> pd.DataFrame:
    if frame.empty:
        return frame
    rate, _ = _rates(frame, rates, own)
    return frame.assign(
        **{column: frame[column] * rate.fillna(1.0), "currency": frame["currency"].mask(rate.notna(), own)}
    )


def _told(
    practice: Practice, lines: pd.DataFrame, rate: pd.Series, day: pd.Series, own: str
) -> list[Problem]:
    """One notice for each file, currency and rate: what was billed and what it comes to."""
    table = lines.assign(rate=rate, day=day, foreign=lines["currency"].astype(str))
    problems = []
    for (source, foreign, of, when), group in table.groupby(["source", "foreign", "rate", "day"], sort=False):
        billed = group["amount"].sum()
        what = (
            f"{len(group)} line(s), the first here, are in {foreign}: {billed:,.2f} {foreign} come to "
            f"{billed * of:,.2f} {own} at the rate {of:g} of {when.date().isoformat()}."
        )
        first = practice.sources[int(source)]
        cell = first.cell("amount", int(group["row"].iloc[0]))
        problems.append(
            Problem("assumed", what, "Nothing, if that is the rate you paid.", first.file, first.sheet, cell)
        )
    return problems
