"""Amounts held against quantity × price: per weight, less a discount, and one notice for a file."""

from __future__ import annotations

import pytest
from lab_grids import invoice, one, read, said, sheet

TOLD = "does not match its total"


def test_a_price_per_weight_is_not_multiplied_by_units() -> None:
    """Hard case 57: 2.1 dwt at 150.00 are 315.00, once."""
    line = "14 | High noble alloy 2.1 dwt @ 150.00/dwt | 1 | 315.00 | 315.00"
    found = invoice(line)
    assert said(found, TOLD) == [] and (found.lines[0].weight, found.lines[0].unit_price) == (2.1, 150.0)


@pytest.mark.parametrize(
    ("heading", "cell"),
    [
        ("Disc 10%", "10.00"),
        ("Disc", "10"),
        ("Discount", "10%"),
        ("Discount", "0.1"),
        ("Disc %", "10"),
        ("Disc", "-10.00"),
    ],
)
def test_a_discount_is_taken_off_first(heading: str, cell: str) -> None:
    """As money or as a share: 1 × 100.00 less 10.00 is 90.00."""
    head = f"Description | Qty | Unit price | {heading} | Amount"
    found = one("Invoice no | 1", head, f"FCZ crown | 1 | 100.00 | {cell} | 90.00")
    assert said(found, TOLD) == []


def test_a_discount_that_does_not_explain_the_amount_is_told() -> None:
    """1 × 100.00 less 10.00 is not 80.00."""
    head = "Description | Qty | Unit price | Disc | Amount"
    found = one("Invoice no | 1", head, "FCZ crown | 1 | 100.00 | 10.00 | 80.00")
    assert said(found, TOLD) == [("E3", "1 × 100.00 is 90.00, but 80.00 is charged: 10.00 less.")]


def test_rows_of_one_file_are_one_notice() -> None:
    """It names the first row, their number and what they are off by together, on however many papers."""
    head = "Description | Qty | Unit price | Amount"
    first = sheet(
        "Invoice no | 1", head, "FCZ crown | 1 | 100.00 | 80.00", "PFM crown | 2 | 50.00 | 110.00", name="a"
    )
    second = sheet("Invoice no | 2", head, "FCZ crown | 3 | 10.00 | 31.00", name="b")
    told = [problem for paper in read(first, second) for problem in paper.problems if "×" in problem.what]
    assert [(problem.sheet, problem.cell) for problem in told] == [("a", "D3")]
    assert "in 3 rows" in told[0].what and told[0].what.endswith("31.00 in all.")
