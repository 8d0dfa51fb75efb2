"""The lines of the labs' invoices as a summary counts them: lab, month, money, whether understood, and what papers add up to."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pandas as pd

from feesheet import reference
from feesheet.costing.line_uses import NOT_UNDERSTOOD
from feesheet.costing.lines import understand
from feesheet.costing.meaning import CONTROL
from feesheet.costing.product_names import with_kinds
from feesheet.practice import Practice

NO_LAB, NO_MONTH = "lab not known", "no date"
STATEMENT = "statement"
LONGEST_MONTHS = 1200
"""Months of invoices that are looked at where the practice does not say how many."""


def lines_of(practice: Practice) -> pd.DataFrame:
    """Every charge, or part of one, that was read: `lab`, `month`, `line`, `invoice`, `money`, `understood`, `source`, `row`.

    Totals, balances and payments are no charges; of an invoice that stands twice, one copy counts.
    """
    parts, _ = understand(with_kinds(_datable(practice)))
    parts = parts[(parts["treatment"] != CONTROL) & ~parts["copy"]]
    return pd.DataFrame(
        {
            "lab": _labs(parts["lab"]),
            "month": months(parts["date"]),
            "line": parts["line"],
            "invoice": parts["invoice"].astype(object),
            "money": (parts["amount"] * parts["share"]).fillna(0.0),
            "understood": ~parts["use"].isin(NOT_UNDERSTOOD),
            "source": parts["source"],
            "row": parts["row"],
        }
    ).reset_index(drop=True)


def _labs(names: pd.Series) -> pd.Series:
    """The labs' names; "lab not known" where a paper's lab could not be told."""
    return names.astype(object).where(names != "", NO_LAB)


def _datable(practice: Practice) -> Practice:
    """The practice with a pricing date and a window, where its own could not be read: then every line counts."""
    days = practice.tables["invoice_lines"]["date"].dropna()
    last = days.max().date() if len(days) else date(2100, 1, 1)
    kept = {name: value for name, value in practice.settings.items() if value is not None}
    stand_in = {"pricing_date": last, "invoice_months": LONGEST_MONTHS}
    return replace(practice, settings={**practice.settings, **stand_in, **kept})


def months(days: pd.Series) -> pd.Series:
    """Each day's month as 2026-03; "no date" where there is none."""
    return days.dt.strftime("%Y-%m").fillna(NO_MONTH).astype(object)


def documents_of(practice: Practice) -> pd.DataFrame:
    """Every document once, by `lab`, `invoice` and whether it is a statement (`paper`), with the `month` of its date."""
    lines, papers = practice.tables["invoice_lines"], practice.documents
    found = pd.DataFrame(
        {
            "lab": [*_labs(lines["lab"]), *_labs(papers["lab"])],
            "invoice": [*lines["invoice"], *papers["invoice"]],
            "paper": [*["invoice"] * len(lines), *_papers(papers)],
            "month": [*months(lines["date"]), *months(papers["date"])],
        },
        dtype=object,
    )
    return found.drop_duplicates(["lab", "invoice", "paper"])


def _papers(documents: pd.DataFrame) -> np.ndarray:
    return np.where(documents["kind"] == STATEMENT, STATEMENT, "invoice")


def differences(practice: Practice, lines: pd.DataFrame) -> pd.DataFrame:
    """What invoices and statements say of themselves less their lines: `lab`, `month`, `paper`, `gap`, one row a total."""
    digits = reference.minor_digits().get(str(practice.settings.get("currency")), 2)
    papers = practice.documents
    totals = papers[(papers["kind"] != STATEMENT) & papers["total"].notna() & ~papers["repeats"].astype(bool)]
    totals = totals.rename(columns={"total": "said"}).assign(paper="invoice")
    entries = practice.entries.rename(columns={"amount": "said"}).assign(paper=STATEMENT)
    columns = ["lab", "invoice", "date", "paper", "said"]
    told = pd.concat([totals[columns], entries[columns]], ignore_index=True)
    told = told.assign(lab=_labs(told["lab"])).drop_duplicates(["lab", "invoice", "paper"])
    added = lines.groupby(["lab", "invoice"])["money"].sum()
    read = [added.get((lab, invoice), 0.0) for lab, invoice in zip(told["lab"], told["invoice"], strict=True)]
    gap = (told["said"] - np.array(read, dtype=float)).round(digits)
    return told.assign(month=months(told["date"]), gap=gap)[["lab", "month", "paper", "gap"]]
