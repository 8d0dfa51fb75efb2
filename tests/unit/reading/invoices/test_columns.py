"""Columns whose headings leave open what they hold: quantity, price, amount, with tax or without."""

from __future__ import annotations

import math

import pytest
from lab_grids import amounts, one, said

ROWS = ((2, 145.0), (1, 160.0), (3, 20.0))


def table(heading: str, *rows: str) -> tuple[str, ...]:
    """An invoice of those rows."""
    return ("Invoice no | 1", "Date | 2026-03-04", heading, *rows)


def test_a_quantity_without_a_column_is_amount_over_price() -> None:
    """Hard case 9: inferred over all rows, and shown."""
    found = one(*table("Amount | Description | Each", *(f"{n * p} | FCZ crown | {p}" for n, p in ROWS)))

    assert [line.units for line in found.lines] == [2, 1, 3]
    assert "amount / price" in found.assumed[0]


def test_it_is_asked_where_the_amounts_are_no_multiples() -> None:
    """More than 2 % of the rows that don't fit: no guess."""
    rows = [f"{n * p} | FCZ crown | {p}" for n, p in ROWS * 10]
    one_off = one(*table("Amount | Description | Each", *rows, *["146.31 | FCZ crown | 145.00"]))
    assert said(one_off, "missing column")[0][0] == "row 3"
    assert all(math.isnan(line.units) for line in one_off.lines)

    rows *= 2
    rare = one(*table("Amount | Description | Each", *rows, *["146.31 | FCZ crown | 145.00"]))
    assert said(rare, "missing column") == []


def test_an_unknown_column_that_makes_the_amount_is_the_quantity() -> None:
    """Its heading is a word that no list knows."""
    found = one(
        *table("Zz | Description | Each | Amount", *(f"{n} | FCZ crown | {p} | {n * p}" for n, p in ROWS))
    )

    assert [line.units for line in found.lines] == [2, 1, 3]
    assert "Column A is taken for the quantities" in found.assumed[0]


def test_an_unknown_column_that_quantity_times_price_makes_is_the_amount() -> None:
    """Without one, the amount is quantity × price, which is shown."""
    known = one(
        *table("Qty | Description | Each | Zz", *(f"{n} | FCZ crown | {p} | {n * p}" for n, p in ROWS))
    )
    assert amounts(known) == [290, 160, 60]
    assert "Column D is taken for the amounts" in known.assumed[0]

    none = one(*table("Qty | Description | Each", *(f"{n} | FCZ crown | {p}" for n, p in ROWS)))
    assert amounts(none) == [290, 160, 60]
    assert "quantity × price" in none.assumed[0]


def test_a_price_that_adds_up_to_the_total_is_the_line_s_amount() -> None:
    """ "Price" is what the whole line costs where the total says so."""
    found = one(*table("Qty | Description | Price", "2 | FCZ crown | 290.00", " | Total | 290.00"))

    assert amounts(found) == [290]


def test_of_two_amounts_the_one_that_is_quantity_times_price_counts() -> None:
    """ "Total" with tax beside "Amount" without."""
    found = one(
        *table(
            "Description | Qty | Each | Total | Amount",
            *(f"FCZ crown | {n} | {p} | {n * p * 1.2} | {n * p}" for n, p in ROWS),
        )
    )

    assert amounts(found) == [290, 160, 60]


def test_amounts_with_tax_are_told_by_the_total() -> None:
    """A column of tax beside amounts that add up to the total with tax: the tax is taken out of each row."""
    rows = ("FCZ crown | 180.00 | 30.00", "FCZ crown | 120.00 | 20.00")
    within = one(*table("Description | Amount | VAT", *rows, "Total | 300.00 | "))
    assert amounts(within) == [150, 30, 100, 20]

    beside = one(*table("Description | Amount | VAT", *rows, "Total | 350.00 | "))
    assert amounts(beside) == [180, 30, 120, 20]


def test_a_column_of_alloy_holds_names_or_amounts() -> None:
    """What stands in it decides."""
    named = one(*table("Description | Alloy | Amount", "PFM crown | Testalloy | 160.00"))
    assert [(line.kind, line.alloy) for line in named.lines] == [("unit fee", "Testalloy")]

    billed = one(*table("Description | Amount | Alloy", "PFM crown | 160.00 | 138.60"))
    assert [(line.kind, line.amount) for line in billed.lines] == [("unit fee", 160), ("alloy", 138.6)]


def test_products_under_a_heading_that_no_list_knows() -> None:
    """The column with the words of the trade, not the one with names."""
    found = one(*table("Tooth | Zz | Qq | Amount", "14 | Smith Jane | FCZ crown | 145.00"))

    assert found.lines[0].product == "FCZ crown"
    assert "Column C is taken for the products" in found.assumed[0]


def test_discounts_in_their_own_column_explain_the_amount() -> None:
    """A rate or an amount taken off: no gap to tell."""
    rate = one(
        *table("Description | Qty | Price | Discount % | Amount", "FCZ crown | 2 | 100.00 | 10 | 180.00")
    )
    off = one(
        *table("Description | Qty | Price | Discount | Amount", "FCZ crown | 2 | 100.00 | 20.00 | 180.00")
    )

    assert said(rate, "does not match its total") == said(off, "does not match its total") == []


@pytest.mark.parametrize(
    ("quantity", "price", "amount", "units", "kind"),
    [
        ("two", "139.00", "278.00", 2.0, "assumed"),
        ("two", "139.00", "200.00", math.nan, "not a number"),
        ("two", "", "278.00", math.nan, "not a number"),
        ("2 ea", "139.00", "278.00", 2.0, ""),
        ("", "139.00", "139.00", math.nan, ""),
    ],
)
def test_a_quantity_in_words_is_never_dropped_in_silence(
    quantity: str, price: str, amount: str, units: float, kind: str
) -> None:
    """It is what the amount and the price make of it, and told; or it is asked."""
    line = f"14 | FCZ crown | {quantity} | {price} | {amount}"
    paper = one(*table("Tooth | Description | Qty | Unit price | Amount", line))
    assert paper.lines[0].units == pytest.approx(units, nan_ok=True)
    told = {problem.kind for problem in paper.problems} & {"assumed", "not a number"}
    assert told == ({kind} if kind else set())
