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
from feesheet.costing.reconciliation import invoice_totals, keys_of
from feesheet.practice import Practice
from feesheet.problems import Problem

NO_LAB, NO_MONTH = "lab not known", "no date"
STATEMENT = "statement"
EVERY_MONTH = 1200
"""Months before the last line: every line is looked at, whether or not its day counts for the fees."""


def line_parts(practice: Practice) -> tuple[pd.DataFrame, list[Problem]]:
    """Every line of every day with its meaning, as costing understands it, one row a part; and what it can't understand."""
    days = practice.tables["invoice_lines"]["date"].dropna()
    last = days.max().date() if len(days) else date(2100, 1, 1)
    settings = {**practice.settings, "pricing_date": last, "invoice_months": EVERY_MONTH}
    parts, problems = understand(with_kinds(replace(practice, settings=settings)))
    return parts, [problem for problem in problems if problem.kind == "not understood"]


def charges(parts: pd.DataFrame) -> pd.DataFrame:
    """Every charge, or part of one, that was read: `lab`, `month`, `line`, `money`, `understood`, `source`, `row`.

    Totals, balances and payments are no charges; of an invoice that stands twice, one copy counts.
    """
    parts = parts[(parts["treatment"] != CONTROL) & ~parts["copy"]]
    return pd.DataFrame(
        {
            "lab": _labs(parts["lab"]),
            "month": months(parts["date"]),
            "line": parts["line"],
            "money": (parts["amount"] * parts["share"]).fillna(0.0),
            "understood": ~parts["use"].isin(NOT_UNDERSTOOD),
            "source": parts["source"],
            "row": parts["row"],
        }
    ).reset_index(drop=True)


def _labs(names: pd.Series) -> pd.Series:
    """The labs' names; "lab not known" where a paper's lab could not be told."""
    return names.astype(object).where(names != "", NO_LAB)


def months(days: pd.Series) -> pd.Series:
    """Each day's month as 2026-03; "no date" where there is none."""
    return days.dt.strftime("%Y-%m").fillna(NO_MONTH).astype(object)


def documents_of(practice: Practice) -> pd.DataFrame:
    """Every document once, invoices and statements apart, with `lab` and the `month` of its date."""
    papers = practice.documents
    invoices = papers[papers["kind"] != STATEMENT]
    kinds = (
        (practice.tables["invoice_lines"], ""),
        (invoices, ""),
        (papers[papers["kind"] == STATEMENT], STATEMENT),
    )
    found = pd.DataFrame(
        {
            "lab": [lab for frame, _ in kinds for lab in _labs(frame["lab"])],
            "month": [month for frame, _ in kinds for month in months(frame["date"])],
            "key": [f"{kind} {key}" for frame, kind in kinds for key in keys_of(frame)],
        },
        dtype=object,
    )
    return found.drop_duplicates("key")


def differences(practice: Practice, parts: pd.DataFrame) -> pd.DataFrame:
    """The lines of each invoice less what its paper, or a statement, says: `lab`, `month`, `paper`, `gap`, one row a total."""
    digits = reference.minor_digits().get(str(practice.settings.get("currency")), 2)
    totals = invoice_totals(practice, parts)
    compared = totals["lines"] - np.where(totals["net"], totals["tax"], 0.0)
    gaps = {"invoice": compared - totals["total"], STATEMENT: totals["lines"] - totals["statement"]}
    known = {"lab": _labs(totals["lab"]), "month": months(totals["date"])}
    frames = [
        pd.DataFrame({**known, "paper": paper, "gap": gap.round(digits)}) for paper, gap in gaps.items()
    ]
    return pd.concat(frames, ignore_index=True).dropna(subset="gap")
