"""Where tables stand on labs' sheets, who takes them, and what a stranger's layout adds."""

from __future__ import annotations

import math
from xml.etree.ElementTree import Element

import pytest
from lab_grids import CONTEXT, amounts, invoice, one, read, said, sheet, taken_by

from feesheet.reading.grids import Grid
from feesheet.reading.invoices import headings
from feesheet.reading.invoices.built_in import LAB_STATEMENT, LAB_TABLE
from feesheet.reading.invoices.layout import Layout, reader
from feesheet.reading.invoices.vocabulary import vocabulary


def test_six_banners_and_a_heading_over_two_merged_rows() -> None:
    """Hard case 1: "Unit" over "Price" is the unit price; no banner becomes a line."""
    banners = [
        "Some Dental Lab",
        "12 Quay Street",
        "INVOICE",
        "Invoice No: L-1",
        "Date: 2026-03-04",
        "Terms: 30 days",
    ]
    found = one(
        *banners,
        "Tooth | Description | Qty | Unit | Line",
        " | | | Price | Total",
        "#14 | FCZ crown | 2 | 92.50 | 185.00",
        merged=((6, 0, 7, 0), (6, 1, 7, 1)),
    )

    assert [(line.row, line.units, line.unit_price, line.amount) for line in found.lines] == [
        (9, 2, 92.5, 185)
    ]
    assert found.header_row == 8


def test_a_row_of_words_under_a_heading_stays_a_row() -> None:
    """A heading of one row does not swallow the words below it."""
    found = one("Invoice no | L-1", "Description | Amount", "Model", "Custom stain | 20.00")

    assert [line.row for line in found.lines] == [4]
    assert found.header_row == 2


def test_labels_over_a_heading_are_no_heading() -> None:
    """The letterhead's last row stays a label, so its value is not lost."""
    found = one(
        "Invoice no | L-1", "Clinic | North", "Tooth | Description | Amount", "14 | FCZ crown | 145.00"
    )

    assert found.accounts == ["North"]
    assert found.header_row == 3


@pytest.mark.parametrize(
    "words",
    [
        "Zahn | Bezeichnung | Menge | Einzelpreis | Betrag",
        "Dent | Désignation | Qté | Prix unitaire | Montant",
        "Diente | Descripción | Cantidad | Precio | Importe",
        "Dente | Descrizione | Quantità | Prezzo unitario | Importo",
        "Tand | Omschrijving | Aantal | Prijs | Bedrag",
        "Teeth | Work | Pcs | Price each | Ext price",
        "Amount (EUR) | Tooth No. | Product | Qty. | Unit Price EUR",
    ],
)
def test_headings_in_several_languages_and_orders(words: str) -> None:
    """Every column is known by its words, wherever it stands."""
    found = headings.find(sheet(words), vocabulary({}, {}, ()))

    assert set(found[0].columns) == {"teeth", "description", "quantity", "unit_price", "amount"}


def test_a_heading_that_comes_again_is_no_line() -> None:
    """Hard case 7: a page break inside a case leaves one case and no line of headings."""
    head = "Case | Tooth | Description | Amount"
    found = one(head, "7 | 14 | FCZ crown | 145.00", "Page 1 of 2", head, "7 | 15 | FCZ crown | 145.00")

    assert [line.row for line in found.lines] == [2, 5]
    assert len({line.case for line in found.lines}) == 1


def test_columns_that_name_people_are_not_read() -> None:
    """Patients, birth dates and the like reach no field of a line; the patient only as a hash of this run."""
    found = one(
        "Invoice no | L-1",
        "Patient name | DOB | Chart # | Tooth | Description | Amount",
        "SMITH, JOHN | 1961-02-03 | 99187 | 14 | FCZ crown | 145.00",
    )

    (line,) = found.lines
    assert line.patient == CONTEXT.hashed("SMITH, JOHN")
    for secret in ("SMITH", "JOHN", "1961", "99187"):
        assert secret not in repr((found.lines, found.problems, found.assumed, found.names))


def test_a_statement_is_taken_by_one_layout_and_an_invoice_by_the_other() -> None:
    """Never by both, never by none; sheets of other things and XML by neither."""
    bill = sheet("Invoice no | L-1", "Description | Amount", "FCZ crown | 145.00")
    listing = sheet("STATEMENT", "Date | Invoice | Amount", "2026-03-04 | L-1 | 145.00")

    assert taken_by(bill) == [LAB_TABLE]
    assert taken_by(listing) == [LAB_STATEMENT]
    assert taken_by(bill, listing) == [LAB_STATEMENT]
    assert taken_by(sheet("Staff | Room", "Ann | 3")) == []
    assert taken_by(Grid("", [])) == []
    assert LAB_TABLE.suits(Element("Invoice"), CONTEXT) == 0


def test_a_file_of_headings_alone_has_no_lines() -> None:
    """Hard case 12: a heading without rows gives a document without lines, never a cost of nothing."""
    assert one("Invoice no | L-1", "Description | Amount").lines == []


def test_hidden_sheets_are_not_read() -> None:
    """What nobody sees is not billed."""
    hidden = sheet("Description | Amount", "FCZ crown | 145.00")
    hidden.hidden = True

    assert taken_by(hidden) == []


def test_a_layout_of_one_lab_takes_files_with_its_marks_alone() -> None:
    """Hard case 5: all marks must stand in the file; then it is surer than the general layouts."""
    own = reader(
        Layout(
            "own",
            {"description": ("Leistungstext",), "amount": ("Zeile",)},
            {"invoice": ("Vorgang",)},
            ("fine work",),
            decimal=",",
        )
    )
    rows = ["Fine Work Dental", "Vorgang: 77", "Leistungstext | Zeile", "FCZ crown | 1.250"]

    assert own.suits([sheet(*rows)], CONTEXT) == 2
    assert own.suits([sheet(*rows[1:])], CONTEXT) == 0
    (document,) = own.read([sheet(*rows)], CONTEXT)
    assert (document.number, amounts(document)) == ("77", [1250])


def test_the_same_file_read_twice_says_the_same() -> None:
    """What is remembered of a file does not leak into the next reading."""
    grid = sheet("Invoice no | L-1", "Description | Amount", "FCZ crown | 145.00")

    first = read(grid)
    assert repr(first) == repr(read(grid))


def test_words_that_begin_like_a_formula_are_words() -> None:
    """Hard case 13: nothing in a cell is worked out."""
    found = invoice(
        '| =HYPERLINK("http://x.test";"FCZ crown") | 1 | 145.00 | 145.00',
        "| +1 crown FCZ | 1 | 145.00 | 145.00",
    )

    assert amounts(found) == [145, 145]
    assert "http" not in repr(found.lines)


def test_empty_rows_and_ragged_rows_do_no_harm() -> None:
    """Rows of any length, blank ones among them."""
    grid = Grid(
        "",
        [
            [],
            ["Description", "Amount"],
            ["FCZ crown"],
            [None, None, None],
            ["FCZ crown", 145.0, "x", 3.0],
            [],
        ],
    )

    (document,) = read(grid)
    assert amounts(document) == [145]
    assert said(document, "missing value")[0][0] == "A3"
    assert math.isnan(document.total)
