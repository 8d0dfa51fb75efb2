"""Dates of labs' papers: behind the number in one cell, and with dots between their numbers."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from golden_practice import write_tables
from lab_grids import one, said

from feesheet.reading import date_words
from feesheet.reading.cells import day
from feesheet.reading.folder import read_folder

TABLE = ("Description | Amount", "FCZ crown | 145.00")


@pytest.mark.parametrize(
    ("words", "number", "when"),
    [
        ("Rechnung Nr. R2 vom 26.03.2026", "R2", date(2026, 3, 26)),
        ("Invoice 123 of 3 March 2026", "123", date(2026, 3, 3)),
        ("Facture n° 12 du 26/03/2026", "12", date(2026, 3, 26)),
        ("Invoice No: 7 dated 2026-03-05", "7", date(2026, 3, 5)),
        ("Factura 8 del 26/03/2026", "8", date(2026, 3, 26)),
        ("Factuur 9 van 26-03-2026", "9", date(2026, 3, 26)),
        ("Rechnung Nr. | R2 vom 03.04.2026", "R2", date(2026, 4, 3)),
        ("Rechnung vom 26.03.2026", "", date(2026, 3, 26)),
    ],
)
def test_a_date_behind_the_number(words: str, number: str, when: date) -> None:
    """Number and date of one cell are two facts."""
    found = one(words, *TABLE)
    assert (found.number, day(found.day)) == (number, when)


def test_dotted_dates_are_day_first() -> None:
    """They are read without being asked about, and show nothing of dates with slashes."""
    found = one("Invoice no | 1", "Date | 03.04.2026", *TABLE)
    assert day(found.day) == date(2026, 4, 3) and not said(found, "unclear date")
    slashes = one("Invoice no | 1", "Date | 03/04/2026", "Due date | 26.05.2026", *TABLE)
    assert said(slashes, "unclear date")


def test_a_dotted_date_with_the_month_first_counts() -> None:
    """Where a dotted date can only have its month first, so has the next."""
    shown = date_words.orders(["03.27.2026", "03.04.2026"])
    assert date_words.meant("03.04.2026", shown).keys() == {"day first", "month first"}
    assert date_words.orders(["03.27.2026", "27.03.2026"]).keys() == {"day first", "month first"}


def test_a_rate_is_not_asked_for_while_the_date_is(tmp_path: Path) -> None:
    """Lines of a currency with a rate lack a date alone."""
    rates = [{"rate_date": date(2026, 1, 1), "foreign": "CAD", "rate": 0.75}]
    write_tables(tmp_path, {"exchange_rates": rates})
    paper = "C Lab of the North\nInvoice no:,C-1\nClinic:,North\nDate:,03/04/2026\nTooth,Description,Amount\n16,FCZ crown,200.00\n"
    (tmp_path / "c.csv").write_text(paper, encoding="utf-8")
    _, problems = read_folder(tmp_path)

    kinds = {problem.kind for problem in problems if problem.file == "c.csv"}
    assert "unclear date" in kinds and "mixed currency" not in kinds
