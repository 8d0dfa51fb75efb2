"""Columns headed only "Ref": jobs beside an invoice's own number, else numbers of invoices."""

from __future__ import annotations

import pytest
from lab_grids import CONTEXT, amounts, one, read, sheet

ROWS = ("J1 | FCZ crown | 100.00", "J2 | FCZ crown | 120.00", "| Total | 220.00")


@pytest.mark.parametrize("heading", ["Ref", "Reference", "Ref no", "Document"])
def test_beside_the_letterheads_number_they_are_jobs(heading: str) -> None:
    """One invoice, its total held to both lines, and the jobs leave only as hashes."""
    found = one("Invoice F3301", f"{heading} | Description | Amount", *ROWS)
    assert (found.number, found.total, amounts(found)) == ("F3301", 220.0, [100.0, 120.0])
    assert [line.case for line in found.lines] == [CONTEXT.hashed("J1"), CONTEXT.hashed("J2")]
    assert {line.invoice for line in found.lines} == {""}


@pytest.mark.parametrize("rows", [("Lab A", "Ref"), ("Invoice F3301", "Invoice")])
def test_else_they_are_invoices(rows: tuple[str, str]) -> None:
    """Without a number in the letterhead, or under a heading that says so."""
    top, heading = rows
    found = read(sheet(top, f"{heading} | Description | Amount", *ROWS))
    assert [paper.number for paper in found] == ["J1", "J2"]


def test_a_column_that_repeats_the_letterheads_number_is_of_invoices() -> None:
    """A list whose references are the invoice's own number and others."""
    found = read(sheet("Invoice J1", "Ref | Description | Amount", *ROWS))
    assert [paper.number for paper in found] == ["J1", "J2"]
