"""The summary of an import counts every line once, shows what is not understood, and is not stopped by other faults."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from reading_inputs import SETTINGS, good, write_practice

from feesheet.practice import DOCUMENTS, ENTRIES, Practice, columns_of
from feesheet.problems import Problem
from feesheet.reading.folder import read_folder
from feesheet.uses.import_summary import ImportSummary, Read, import_summary, summary_of

TOTAL = {"file": "all.xlsx", "sheet": "Invoice lines", "cell": "I9", "lab": "lab A", "kind": "invoice"}
TOTAL |= {
    "invoice": "A-1",
    "date": pd.Timestamp("2026-03-04"),
    "repeats": False,
    "replaces": False,
    "currency": "EUR",
}
"""What invoice A-1 of the small practice, whose lines add up to 572.50, may say of itself."""


def practice(tmp_path: Path, **tables: object) -> Practice:
    """The small practice with other tables, as read."""
    return read_folder(write_practice(tmp_path, {**good(), **tables}))[0]  # type: ignore[dict-item]


def with_papers(read: Practice, totals: list[float], entries: list[tuple[str, float]]) -> Practice:
    """The practice with totals of invoice A-1 and the entries of a statement of lab A."""
    documents = pd.DataFrame([{**TOTAL, "total": total} for total in totals], columns=list(DOCUMENTS))
    listed = [
        {"file": "s.xlsx", "sheet": "S", "row": 4.0, "lab": "lab A", "invoice": invoice, "amount": amount}
        | {"date": pd.Timestamp("2026-03-31"), "currency": "EUR"}
        for invoice, amount in entries
    ]
    statement = pd.DataFrame(listed, columns=list(ENTRIES)) if listed else columns_of(ENTRIES)
    return replace(read, documents=documents, entries=statement)


def row(summary: ImportSummary, lab: str, month: str = "") -> Read:
    """The row of that lab and month."""
    return next(row for row in summary.rows if (row.lab, row.month) == (lab, month))


def test_months_add_up_to_labs_and_labs_to_the_whole(tmp_path: Path) -> None:
    """Documents, lines and money of the months are those of the lab; those of the labs are the last row's."""
    lines = good()["invoice_lines"]
    april = {**lines[0], "date": date(2026, 4, 2), "invoice": "A-2", "amount": 10}
    summary = summary_of(practice(tmp_path, invoice_lines=[*lines, april]), [])

    assert [(r.lab, r.month) for r in summary.rows] == [
        ("lab A", "2026-03"),
        ("lab A", "2026-04"),
        ("lab A", ""),
        ("lab B", "2026-03"),
        ("lab B", ""),
        ("", ""),
    ]
    whole, a, b = row(summary, ""), row(summary, "lab A"), row(summary, "lab B")
    assert (a.documents, a.lines, a.charged) == (2, 4, 582.5)
    assert (whole.documents, whole.lines, whole.charged) == (3, 5, a.charged + b.charged)


def test_money_of_an_unknown_product_is_not_understood(tmp_path: Path) -> None:
    """The share is of money without its sign, so that a credit does not hide a charge; it is never rounded up to the whole."""
    lines = good()["invoice_lines"]
    strange = {**lines[0], "product": "Something new", "amount": 0.05}
    credit = {**lines[0], "product": "Goodwill", "kind": "credit", "amount": -50, "units": ""}
    summary = summary_of(practice(tmp_path, invoice_lines=[*lines, strange, credit]), [])
    whole = row(summary, "")

    assert whole.weighed == pytest.approx(671.5 + 50.05)
    assert whole.weighed - whole.understood == pytest.approx(0.05)
    assert "99.9% of the money understood" in summary.lines()[0]


def test_differences_from_totals_and_statements_are_shown_without_sign(tmp_path: Path) -> None:
    """A cent too much here and a cent too little there are two cents; an invoice that is nowhere is off by its amount."""
    read = with_papers(practice(tmp_path), [572.49], [("A-1", 572.51), ("A-9", 40.0)])
    summary = summary_of(read, [])
    a = row(summary, "lab A", "2026-03")

    assert (a.off_totals, a.off_statements) == (0.01, 40.01)
    assert row(summary, "lab B").off_totals is None
    assert "–" in next(line for line in summary.lines() if line.startswith("lab B"))


def test_a_total_that_agrees_is_nought_and_none_is_a_dash(tmp_path: Path) -> None:
    """0.00 says that it was compared."""
    summary = summary_of(with_papers(practice(tmp_path), [572.5], []), [])

    assert row(summary, "lab A").off_totals == 0
    assert row(summary, "lab A").off_statements is None


def test_a_paper_without_a_total_is_not_compared(tmp_path: Path) -> None:
    """Nothing is made of a total that the paper does not name."""
    summary = summary_of(with_papers(practice(tmp_path), [np.nan], []), [])

    assert row(summary, "lab A").off_totals is None


def test_a_question_is_counted_where_its_line_stands(tmp_path: Path) -> None:
    """An error at row 5 is of that row's lab and month; a notice that wants no answer is no question."""
    asked = Problem("not a number", "No.", "Type it.", "all.xlsx", "Invoice lines", "I5")
    told = Problem("no charge", "N/C.", "", "all.xlsx", "Invoice lines", "I2")
    summary = summary_of(practice(tmp_path), [asked, told])

    assert (row(summary, "lab B").questions, row(summary, "lab A").questions) == (1, 0)
    assert not summary.clean and summary.problems == [asked, told]


def test_what_was_inferred_stands_apart_from_the_problems(tmp_path: Path) -> None:
    """An inference is listed once, in its own part, and is no question."""
    inferred = Problem("assumed", "Dates: day first.", "", "all.xlsx", "Invoice lines", "A2")
    summary = summary_of(practice(tmp_path), [inferred])

    assert summary.assumed == [inferred] and summary.problems == []
    assert "all.xlsx, Invoice lines, A2: Dates: day first." in "\n".join(summary.lines())
    assert row(summary, "").questions == 0


def test_faults_elsewhere_do_not_stand_in_the_way(tmp_path: Path) -> None:
    """Without fees, materials and settings the invoices are summed up all the same, and the rest is pointed to."""
    tables = {
        name: rows for name, rows in good().items() if name not in ("fees", "materials", "starting_grams")
    }
    settings = {
        name: value for name, value in SETTINGS.items() if name not in ("pricing_date", "invoice_months")
    }
    summary = import_summary(write_practice(tmp_path, tables, settings))

    assert row(summary, "").charged == 671.5
    assert summary.elsewhere >= 3
    assert f"{summary.elsewhere} more problem(s)" in summary.lines()[-1]


def test_a_folder_without_invoices_says_so(tmp_path: Path) -> None:
    """No table of nothing."""
    tables = {name: rows for name, rows in good().items() if name != "invoice_lines"}

    assert import_summary(write_practice(tmp_path, tables)).lines() == [
        "No lab invoices were read in this folder."
    ]


def test_figures_stand_under_their_headings(tmp_path: Path) -> None:
    """Every line of the table is as wide as its headings, and its figures end where the headings end."""
    lines = summary_of(practice(tmp_path), []).lines()
    table = [line for line in lines if line.startswith(("Lab ", "lab ", "all labs"))]

    assert len({len(line) for line in table}) == 1
    ends = [table[0].index(word) + len(word) for word in ("Lines", "Charged", "Questions")]
    assert all(line[end - 1].isdigit() for line in table[1:] for end in ends)
