"""Amounts of a lab abroad: the latest rate on or before each day, both amounts kept, nothing added up unconverted."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from golden_practice import write_tables

from feesheet.reading.folder import read_folder

PAPER = "C Lab of the North\nInvoice no:,C-1\nClinic:,North\nDate:,{day}\nTooth,Description,Qty,Unit price,Amount\n16,FCZ crown,1,200.00,200.00\n,Total,,,200.00\n"
RATES = [
    {"rate_date": date(2026, 3, 1), "foreign": "CAD", "rate": 0.75},
    {"rate_date": date(2026, 3, 10), "foreign": "cad", "rate": 0.5},
]


@pytest.mark.parametrize(("day", "amount"), [("2026-03-09", 150.0), ("2026-03-10", 100.0)])
def test_the_latest_rate_by_the_day_counts(tmp_path: Path, day: str, amount: float) -> None:
    """Line, price and total of the paper are converted alike; what was billed and the rate stay beside them."""
    write_tables(tmp_path, {"exchange_rates": RATES})
    (tmp_path / "c.csv").write_text(PAPER.format(day=day), encoding="utf-8")
    practice, problems = read_folder(tmp_path)
    line = practice.tables["invoice_lines"].iloc[-1]
    assert (line["amount"], line["unit_price"], line["billed_amount"]) == (amount, amount, 200.0)
    assert (line["billed_currency"], line["currency"], line["exchange_rate"]) == ("CAD", "USD", amount / 200)
    assert practice.documents["total"].tolist() == [amount]
    assert f"come to {amount:,.2f} USD" in " ".join(map(str, problems))


def test_before_the_first_rate_the_run_stops(tmp_path: Path) -> None:
    """A rate of a later day is not used."""
    write_tables(tmp_path, {"exchange_rates": RATES})
    (tmp_path / "c.csv").write_text(PAPER.format(day="2026-02-28"), encoding="utf-8")
    _, problems = read_folder(tmp_path)
    assert "mixed currency" in {problem.kind for problem in problems if problem.severity == "error"}
