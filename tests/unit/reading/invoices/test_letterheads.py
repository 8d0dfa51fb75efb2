"""What stands above and between tables: numbers, dates, titles, and where one paper ends and the next begins."""

from __future__ import annotations

import math
from datetime import date

import pytest
from lab_grids import CONTEXT, HEAD, amounts, one, read, said, sheet, with_lab

from feesheet.reading.cells import day
from feesheet.reading.grids import Grid
from feesheet.reading.sheet_facts import Facts

TABLE = ("Description | Amount", "FCZ crown | 145.00")


@pytest.mark.parametrize(
    "rows",
    [
        ("Invoice No: 1042",),
        ("Invoice No: | 1042",),
        ("Invoice # | | 1042",),
        ("INVOICE 1042",),
        ("Rechnung Nr. 1042",),
        ("Facture n° 1042",),
        ("Terms | Invoice Number | Account", "30 days | 1042 | A-7"),
    ],
)
def test_an_invoice_number_in_one_cell_beside_or_below(rows: tuple[str, ...]) -> None:
    """Label and value in one cell, in neighbouring cells, or one above the other."""
    assert one(*rows, *TABLE).number == "1042"


def test_zeros_that_a_cell_shows_are_kept() -> None:
    """A number formatted to five figures is 01042, as the paper shows it."""
    rows = [["Invoice no", 1042.0], ["Description", "Amount"], ["FCZ crown", 145.0]]
    (document,) = read(Grid("", rows, Facts(padded={(0, 1): 5})))

    assert document.number == "01042"


@pytest.mark.parametrize("words", ["2026-03-04", "4 March 2026", "March 4, 2026", "25/03/2026", "20260304"])
def test_dates_that_read_in_one_way(words: str) -> None:
    """Clear dates need no setting."""
    found = one(f"Date: {words}", *TABLE)

    assert day(found.day).year == 2026 and day(found.day).month == 3
    assert said(found, "unclear date") == []


def test_the_order_of_dates_is_the_file_s() -> None:
    """Hard case 22: 03/04/2025 is 3 April where 25/04/2025 stands in the same file."""
    (document,) = read(
        sheet("Date | 03/04/2025", "Date | Description | Amount", "25/04/2025 | FCZ crown | 145.00")
    )

    assert day(document.day) == date(2025, 4, 3)


def test_a_date_that_reads_in_two_ways_is_asked_unless_the_lab_s_habit_is_known() -> None:
    """Without evidence the lab's setting decides; without that it is asked at the cell."""
    rows = ("Date | 03/04/2025", *TABLE)

    assert said(one(*rows), "unclear date")[0][0] == "B1"
    assert math.isnan(one(*rows).day)
    assert day(one(*rows, context=with_lab(date_order="month first")).day) == date(2025, 3, 4)


@pytest.mark.parametrize("mark", ["COPY", "DUPLICATE", "Invoice copy", "*** REPRINT ***", "Duplikat"])
def test_a_paper_marked_as_a_copy(mark: str) -> None:
    """Hard case 5: the mark is seen, and it is no line."""
    assert one(mark, *HEAD, "14 | FCZ crown | 1 | 145.00 | 145.00").repeats
    assert not one(*HEAD, "14 | FCZ crown | 1 | 145.00 | 145.00").repeats


def test_a_copy_below_its_original_is_a_paper_of_its_own() -> None:
    """Same number, after the total, marked COPY: two documents, of which the second repeats."""
    paper = ("Invoice no | L-1", *TABLE, "Total | 145.00")
    first, second = read(sheet(*paper, "", "COPY", *paper))

    assert (first.number, first.repeats, second.number, second.repeats) == ("L-1", False, "L-1", True)


def test_several_invoices_below_one_another() -> None:
    """Each letterhead begins a paper; the second table may do without headings."""
    first, second = read(
        sheet(
            "Invoice no | 1",
            *TABLE,
            "Total | 145.00",
            "",
            "Invoice no | 2",
            "FCZ crown | 150.00",
            "Total | 150.00",
        )
    )

    assert [(one.number, amounts(one), one.total) for one in (first, second)] == [
        ("1", [145], 145),
        ("2", [150], 150),
    ]


def test_a_letterhead_that_comes_again_on_each_page_is_one_paper() -> None:
    """The same number before the total goes on with the same invoice."""
    (document,) = read(sheet("Invoice no | 1", *TABLE, "Invoice no | 1", *TABLE, "Total | 290.00"))

    assert amounts(document) == [145, 145]


def test_a_list_of_invoices_is_split_by_number_and_clinic() -> None:
    """One table of several invoices: a document for each, with its own day and clinic, and its own total."""
    found = read(
        sheet(
            "Invoice | Date | Clinic | Description | Amount",
            "1 | 2026-03-04 | North | FCZ crown | 145.00",
            "1 | | | Shipping | 12.00",
            "1 | | | Total | 157.00",
            "2 | 2026-03-05 | South | FCZ crown | 150.00",
            " | | | Grand total | 307.00",
        )
    )

    assert [(one.number, one.accounts, amounts(one)) for one in found] == [
        ("1", ["North"], [145, 12]),
        ("2", ["South"], [150]),
    ]
    assert found[0].total == 157
    assert not any(one.problems for one in found)


def test_sheets_of_one_file_are_papers_of_their_own() -> None:
    """Each sheet has its own letterhead."""
    grids = [sheet(f"Invoice no | {number}", *TABLE, name=f"S{number}") for number in (1, 2)]

    assert [(one.number, one.sheet) for one in read(*grids)] == [("1", "S1"), ("2", "S2")]


def test_case_labels_name_the_case_of_the_lines_below() -> None:
    """A case number leaves only as a hash, a patient's name beside it not at all."""
    found = one("Invoice no | 1", "Description | Amount", "Case: 501 | Patient: SMITH", "FCZ crown | 145.00")

    assert found.lines[0].case == CONTEXT.hashed("501")
    assert "SMITH" not in repr((found.lines, found.names, found.problems))


def test_the_lab_s_names_and_the_account_are_kept_for_settling() -> None:
    """What may name the lab and what the lab calls the clinic."""
    found = one("Quality Dental Lab", "Account: 20417", *TABLE)

    assert "Quality Dental Lab" in found.names
    assert found.accounts == ["20417"]


def test_the_currency_is_read_from_a_label_or_from_all_amounts() -> None:
    """A dollar sign alone names no currency."""
    assert one("Currency | CAD", *TABLE).currency == "CAD"
    assert one("Description | Amount", "FCZ crown | € 145,00").currency == "EUR"
    assert one("Description | Amount", "FCZ crown | $145.00").currency == ""
