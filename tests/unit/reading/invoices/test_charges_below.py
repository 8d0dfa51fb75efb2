"""Charges under a table whose words stand in another column than that of the products."""

from __future__ import annotations

import pytest
from lab_grids import invoice, said

CROWN = "14 | FCZ crown | 1 | 100.00 | 100.00"


@pytest.mark.parametrize(
    "place", ["{} | | | | {}", "| | {} | | {}", "| | | {} | {}"], ids=["teeth", "quantity", "price"]
)
def test_their_only_words_are_their_wording(place: str) -> None:
    """Freight, discount and rush are lines of their kind, without teeth, and nothing is asked."""
    rows = [
        ("Subtotal:", "100.00"),
        ("Discount:", "-10.00"),
        ("Shipping:", "5.00"),
        ("Rush:", "7.00"),
        ("Total:", "102.00"),
    ]
    found = invoice(CROWN, *(place.format(*row) for row in rows))
    assert [line.kind for line in found.lines] == ["unit fee", "discount", "freight", "rush"]
    assert all(line.product for line in found.lines) and {line.teeth for line in found.lines[1:]} == {""}
    assert found.total == 102.0 and found.problems == []


def test_words_of_no_charge_stay_untaken() -> None:
    """A row with an amount beside words that may be anybody's is told."""
    found = invoice(CROWN, "| | | Smith | 9.00")
    assert [line.kind for line in found.lines] == ["unit fee", "note"] and said(found, "not understood")


def test_teeth_beside_a_product_are_teeth() -> None:
    """The wording of another column takes nothing from the teeth."""
    found = invoice(CROWN, "15 | | 1 | Rush | 7.00")
    assert [(line.kind, line.teeth) for line in found.lines] == [("unit fee", "14"), ("rush", "15")]
