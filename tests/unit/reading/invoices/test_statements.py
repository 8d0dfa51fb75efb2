"""Statements: what came before and was paid is no cost; what they list is held against what is due."""

from __future__ import annotations

from lab_grids import amounts, one, read, said, sheet

HEAD = ("STATEMENT", "Statement date | 2026-03-31", "Date | Invoice | Description | Amount")
BEFORE = (" | | Previous balance | 1,204.50", "2026-03-10 | | Payment | -1,204.50")


def test_balance_and_payment_are_no_cost() -> None:
    """Hard case 3: charges of 392.30 are the one entry, whatever came before and was paid."""
    found = one(*HEAD, *BEFORE, "2026-03-04 | L-1 | Invoice | 392.30", " | | Amount due | 392.30")

    assert [(line.kind, line.amount) for line in found.lines] == [("balance", 1204.5), ("balance", -1204.5)]
    assert [(entry.invoice, entry.amount, entry.row) for entry in found.entries] == [("L-1", 392.3, 6)]
    assert (found.kind, found.total, found.total_cell) == ("statement", 392.3, "D7")
    assert found.problems == []


def test_charges_that_name_no_invoice_are_a_line() -> None:
    """Without a table: previous, payment, charges, due; the charges are not lost."""
    found = one(
        "STATEMENT",
        "Previous balance | 1,204.50",
        "Payment | -1,204.50",
        "Charges | 392.30",
        "Amount due | 392.30",
    )

    assert [(line.kind, line.product, line.amount) for line in found.lines][-1] == ("extra", "charges", 392.3)
    assert found.problems == []


def test_lines_listed_again_carry_their_invoice() -> None:
    """A statement that repeats all lines names each one's invoice."""
    found = one(
        "STATEMENT",
        "Invoice | Date | Tooth | Description | Amount",
        "L-1 | 2026-03-04 | 14 | FCZ crown | 145.00",
        "L-1 | 2026-03-04 | | Shipping | 12.00",
        " | | | Amount due | 157.00",
    )

    assert [(line.invoice, line.amount) for line in found.lines] == [("L-1", 145), ("L-1", 12)]
    assert found.entries == []


def test_a_finance_charge_is_a_line_of_its_kind() -> None:
    """Hard case 72: it is neither an invoice nor crown cost."""
    found = one(*HEAD, "2026-03-31 | | Finance charge 2 % | 7.85", " | | Amount due | 7.85")

    assert [(line.kind, line.amount) for line in found.lines] == [("finance charge", 7.85)]


def test_an_ageing_table_is_left_out() -> None:
    """Neither its heading nor its amounts are charges."""
    found = one(
        *HEAD,
        "2026-03-04 | L-1 | Invoice | 392.30",
        " | | Amount due | 392.30",
        "Current | 31-60 days | 61-90 days | Over 90 days",
        "392.30 | 10.00 | 20.00 | 0.00",
    )

    assert found.lines == [] and len(found.entries) == 1
    assert said(found, "not understood") == []


def test_case_numbers_and_teeth_are_no_ages_of_debts() -> None:
    """Cases 30, 60 and 90 and teeth 1-30 look like the headings of an ageing table, and are lines."""
    found = one(
        "Invoice no | 1",
        "Case | Tooth | Description | Amount",
        *(f"{case} | 31 | FCZ crown | 145.00" for case in (30, 60, 90, 120)),
        "90 | 1-30 | PFM bridge | 290.00",
    )

    assert amounts(found) == [145, 145, 145, 145, 290]


def test_debits_and_credits_in_columns_of_their_own() -> None:
    """A credit column takes off; a running balance is left out."""
    found = one(
        "STATEMENT",
        "Date | Reference | Charges | Credits | Balance",
        "2026-03-04 | L-1 | 392.30 | | 392.30",
        "2026-03-08 | C-1 | | 92.30 | 300.00",
    )

    assert [(entry.invoice, entry.amount) for entry in found.entries] == [("L-1", 392.3), ("C-1", -92.3)]


def test_what_is_due_and_does_not_add_up_is_told() -> None:
    """The amount due is held against what was carried over, paid and charged."""
    found = one(*HEAD, *BEFORE, "2026-03-04 | L-1 | Invoice | 392.30", " | | Amount due | 402.30")

    assert said(found, "does not match its total")[0][0] == "D7"


def test_a_statement_and_invoices_in_one_workbook() -> None:
    """Each sheet is read as what it is."""
    bill = sheet("Invoice no | L-1", "Description | Amount", "FCZ crown | 145.00")
    listing = sheet(*HEAD, "2026-03-04 | L-1 | Invoice | 145.00", name="Statement")

    found = read(bill, listing)
    assert [one.kind for one in found] == ["invoice", "statement"]
    assert amounts(found[0]) == [145]
