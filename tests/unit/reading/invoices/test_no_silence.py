"""No amount of a paper is left out, doubled or turned round without a word."""

from __future__ import annotations

import pytest
from lab_grids import amounts, invoice, one, read, said, sheet

from feesheet.reading.grids import Grid, Marked
from feesheet.reading.invoices.document import Document

LIST = ("Description | Qty | Unit price | Amount | Invoice no", "FCZ crown | 1 | 145.00 | 145.00 | A-1")
OTHER = "Custom stain | 1 | 20.00 | 20.00 | A-2"


def problems(documents: list[Document]) -> list[tuple[str, str]]:
    """Kind and cell of all problems of a file."""
    return [(problem.kind, problem.cell) for document in documents for problem in document.problems]


@pytest.mark.parametrize("word", ["Total", "Total due", "Rechnungsbetrag"])
def test_a_total_of_several_invoices_is_held_against_all_their_lines(word: str) -> None:
    """Whatever it is called: 165.00 agrees, and a line twice, lost or with its sign turned is told."""
    foot = f"| | {word} | 165.00 |"

    assert problems(read(sheet(*LIST, OTHER, foot))) == []
    for wrong in (
        [OTHER, OTHER],
        ["Custom stain | 1 | 25.00 | 25.00 | A-2"],
        [OTHER.replace("20.00", "-20.00")],
    ):
        told = problems(read(sheet(*LIST, *wrong, foot)))
        assert told == [("does not match its total", f"D{len(wrong) + 3}")]


def test_an_amount_due_after_a_payment_is_no_sum_of_lines() -> None:
    """What was paid is taken off, so the lines of several invoices don't add up to it."""
    feet = ["| | Payment received | 100.00 |", "| | Balance due | 65.00 |"]

    assert problems(read(sheet(*LIST, OTHER, *feet))) == []


def test_a_charge_below_nothing_is_told() -> None:
    """1 × 72.16 charged as -72.16; a credit or a discount may be so."""
    turned = invoice("| Rush fee | 1 | 72.16 | -72.16")

    ((cell, words),) = said(turned, "does not match its total")
    assert cell == "E4" and "less than nothing" in words
    assert amounts(turned) == [-72.16]
    assert not invoice("| Volume discount | 1 | 72.16 | -72.16").problems
    assert not invoice("| Rush fee | -1 | 72.16 | -72.16").problems


def test_a_line_above_the_headings_is_told() -> None:
    """A row that was moved up is no line, and its amount is named; words of a letterhead are not."""
    moved = one(
        "Sample lab | Mill Lane",
        "14 | FCZ crown | 1 | 145.00 | 145.00",
        *LETTERHEAD,
        "15 | FCZ crown | 1 | 20.00 | 20.00",
    )

    assert amounts(moved) == [20]
    ((cell, words),) = said(moved, "not understood")
    assert cell == "E2" and "above the headings" in words


LETTERHEAD = ("Invoice no | L-1", "Date | 2026-03-04", "Tooth | Description | Qty | Unit price | Amount")


def test_a_table_without_products_is_read_and_asked_for() -> None:
    """Its lines have no words, and its total still holds."""
    found = one(
        "Invoice no | L-1",
        "Date | Qty | Unit price | Amount",
        "2026-03-04 | 2 | 145.00 | 290.00",
        "2026-03-04 | 1 | 20.00 | 20.00",
        "| | Total | 310.00",
    )

    assert [(line.product, line.amount) for line in found.lines] == [("", 290), ("", 20)]
    assert found.total == 310
    assert [words for _, words in said(found, "missing column")] == [
        "No column holds the products of the lines."
    ]


def test_headings_that_have_slipped_sideways_are_told() -> None:
    """Figures where the headings name words: each row is named."""
    found = one(
        "Invoice no | L-1",
        "| Description | Price each | Amount | Unit | Qty",
        "FCZ crown | 145.00 | 145.00 | | 1 |",
        "Custom stain | 20.50 | 41.00 | | 2 |",
    )

    assert [cell for cell, _ in said(found, "not understood")] == ["C3", "C4"]


def test_a_row_that_has_slipped_sideways_is_told() -> None:
    """Nothing stands under "Amount", and the price has another amount beside it."""
    found = invoice("14 | FCZ crown | 1 | 145.00 | 145.00", "| | Custom stain | 1 | | 20.00")

    assert amounts(found)[0] == 145
    assert problems([found]) == [("not understood", "D5")]


def test_a_price_without_an_amount_is_told() -> None:
    """The line counts nothing; a typed 0 and a note without a price stay in peace."""
    assert said(invoice("| Custom stain | 2 | 45.00 |"), "not understood")[0][0] == "D4"
    assert not invoice("| Custom stain | 2 | 45.00 | 0.00").problems
    assert not invoice("| Shade taken at the practice | | |", "14 | FCZ crown | 1 | 145.00 | 145.00").problems


def test_headings_over_two_rows_with_a_word_that_no_list_knows() -> None:
    """The upper row's columns count, although the lower row could do alone."""
    found = one(
        "Qty | Invoice no | Date | Work done | Price |",
        "| | | Description | P.U. | Zz Amount",
        "2 | A-1 | 2026-03-04 | FCZ crown | 145.00 | 290.00",
    )

    assert found.number == "A-1" and [line.units for line in found.lines] == [2]


def test_error_cells_and_check_marks_beside_the_table_hide_nothing() -> None:
    """Unused columns of errors and of TRUE in every row, the headings' too."""
    mark = Marked("error cell", "#REF!")
    grid = sheet(*LETTERHEAD, "14 | FCZ crown | 1 | 145.00 | 145.00", "| Custom stain | 1 | 20.00 | 20.00")
    rows = [[*row, *[""] * (8 - len(row)), mark, True, mark] for row in grid.rows]

    (found,) = read(Grid("Invoice", rows, grid.facts))
    assert (found.number, amounts(found)) == ("L-1", [145, 20])


def test_a_word_like_total_in_another_column_makes_no_total_of_a_product() -> None:
    """The row has a product with its price."""
    row = "Total | Porcelain margin | 1 | 77.94 | 77.94"

    assert amounts(invoice(row)) == [77.94]


def test_a_total_that_cannot_be_read_is_told() -> None:
    """Nothing is held against it."""
    found = invoice("14 | FCZ crown | 1 | 145.00 | 145.00", "| Total | | | see below")

    ((cell, words),) = said(found, "not understood")
    assert cell == "E5" and "can't be read" in words


def test_headings_of_a_further_page_without_rows_are_told() -> None:
    """The file may have been cut off there."""
    head = LETTERHEAD[-1]
    found = invoice("14 | FCZ crown | 1 | 145.00 | 145.00", "Page 2", head)

    ((cell, words),) = said(found, "not understood")
    assert cell == "row 6" and "No row stands below" in words
    assert not invoice(
        "14 | FCZ crown | 1 | 145.00 | 145.00", "Page 2", head, "| Total | | | 145.00"
    ).problems


def test_the_total_below_the_last_of_several_invoices_is_the_whole_papers() -> None:
    """Page totals between them agree with their pages, whatever invoice they cut through."""
    rows = [
        "| | Page total | 165.00 |",
        "Custom stain | 1 | 30.00 | 30.00 | A-2",
        "| | Page total | 30.00 |",
        "| | Total | 195.00 |",
    ]
    assert problems(read(sheet(*LIST, OTHER, *rows))) == []
    found = read(sheet(*LIST, OTHER, rows[1], rows[0], "Custom stain | 1 | 9.00 | 9.00 | A-2", rows[3]))
    assert ("does not match its total", "D7") in problems(found)


def test_several_invoices_without_any_total_are_told() -> None:
    """Nothing shows whether a line is missing; a total of one's own for each is enough."""
    assert problems(read(sheet(*LIST, OTHER))) == [("does not match its total", "row 1")]
    own = ["| | Total | 145.00 |", OTHER, "| | Total | 20.00 |"]
    assert problems(read(sheet(*LIST, *own))) == []
