"""Which table a sheet holds: a lab's letterhead and its columns are not taken for a table of the practice."""

from __future__ import annotations

from typing import Any

import pytest

from feesheet.reading.find import Found, find
from feesheet.reading.grids import Grid


def table_of(*rows: list[Any], name: str = "Sheet1") -> str:
    """The table that a sheet of those rows holds, "" for none."""
    found = find(Grid(name, list(rows)), name, "a.xlsx")
    return found.table.name if isinstance(found, Found) else ""


@pytest.mark.parametrize(
    "heading",
    [
        ["Date", "Invoice no.", "Account", "Clinic", "Description", "Qty", "Amount"],
        ["Product name", "Material", "Tooth", "Qty", "Amount"],
        ["Date", "Metal", "Price", "Unit", "Description", "Qty", "Amount", "Invoice no"],
    ],
)
def test_an_invoice_that_has_the_columns_of_another_table_too_is_an_invoice(heading: list[str]) -> None:
    """It is left to the invoice readers, since it answers to more headings of invoice lines."""
    assert table_of(["Sample laboratory"], heading, ["x"] * len(heading)) == ""


def test_the_labels_of_a_letterhead_are_no_heading() -> None:
    """An account number and a clinic beside their labels are no table of accounts."""
    assert table_of(["Account:", "20417", "Clinic:", "North"], ["Description", "Qty", "Amount"]) == ""
    assert table_of(["Account", 20417, "Clinic", "North"], ["Description", "Qty", "Amount"]) == ""


def test_tables_are_still_found_by_their_headings() -> None:
    """With columns of one's own beside them, and by the sheet's name however many those are."""
    assert table_of(["Account", "Clinic"], ["20417", "North"]) == "lab_accounts"
    assert table_of(["Plan", "Share", "Remark"], ["plan one", 0.3, ""]) == "plans"
    own = [f"Own {number}" for number in range(9)]
    assert table_of(["Plan", "Share", *own], ["plan one", 0.3], name="Plans") == "plans"
