"""The rows of labs' tables: what is a line, what a check, what is restored, and what is told."""

from __future__ import annotations

import math
from datetime import date

import pytest
from lab_grids import CONTEXT, amounts, invoice, one, read, said, with_lab

from feesheet.reading.grids import Grid, Marked
from feesheet.reading.invoices.document import Document


def numbers(document: Document) -> list[tuple[float, float]]:
    """Units and amount of each line."""
    return [(line.units, line.amount) for line in document.lines]


def test_case_totals_are_checks() -> None:
    """Hard case 2: three lines make 392.30; the three totals agree in silence."""
    found = one(
        "Invoice no | 1",
        "Case | Description | Amount",
        "7 | FCZ crown | 185.00",
        "7 | Custom stain | 42.30",
        "Case total | | 227.30",
        "8 | FCZ crown | 165.00",
        "Case total | | 165.00",
        "TOTAL | | 392.30",
    )

    assert amounts(found) == [185, 42.3, 165]
    assert (found.total, found.total_cell, found.problems) == (392.3, "C8", [])


def test_a_case_total_that_differs_is_told_at_its_cell() -> None:
    """The lines stay; the gap is named to the cent, and a cent is a rounding."""
    lines = ["| FCZ crown | 1 | 185.00 | 185.00", "| Custom stain | 1 | 42.30 | 42.30"]

    ((cell, words),) = said(invoice(*lines, "| Case total | | | 228.30"), "does not match its total")
    assert cell == "E6" and "1.00 more" in words
    (cent,) = invoice(*lines, "| Case total | | | 227.29").problems
    assert cent.do == "Accepted as rounding: the lines count."


def test_a_total_without_words_is_no_line() -> None:
    """An amount alone that adds up what is above it; another is told and counts as a note."""
    line = "14 | FCZ crown | 1 | 145.00 | 145.00"

    assert amounts(invoice(line, "| | | | 145.00")) == [145]
    other = invoice(line, "| | | | 99.00")
    assert [one.kind for one in other.lines] == ["unit fee", "note"]
    assert said(other, "not understood")[0][0] == "E5"


@pytest.mark.parametrize("text", ["(185.00)", "185.00-", "185.00 CR", "−185.00", "-$185.00"])
def test_amounts_below_nothing(text: str) -> None:
    """Hard case 17: all are -185.00, and a paper of less than nothing is accepted (hard case 70)."""
    found = invoice(f"14 | Credit FCZ crown | | | {text}")

    assert amounts(found) == [-185]
    assert found.problems == []


@pytest.mark.parametrize("text", ["1.234,56 €", "1,234.56", "1'234.56", "$1,234.56", "US$ 1,234.56"])
def test_the_decimal_mark_is_the_file_s(text: str) -> None:
    """Hard case 18: each file's own evidence."""
    assert amounts(invoice(f"14 | FCZ crown | 1 | | {text}")) == [1234.56]


def test_an_amount_that_reads_in_two_ways_is_asked() -> None:
    """Nothing else in the file shows what 1,234 means; one sure amount settles it."""
    assert said(one("Description | Amount", "FCZ crown | 1,234"), "unclear number")[0][0] == "B2"
    assert amounts(one("Description | Amount", "FCZ crown | 1,234", "Model | 8,50")) == [1.234, 8.5]


def test_what_was_charged_is_kept() -> None:
    """Hard case 24: 3 × 145.00 with the amount 425.00 is 425.00, and 10.00 are told."""
    found = invoice("14 | FCZ crown | 3 | 145.00 | 425.00")

    assert numbers(found) == [(3, 425)]
    ((cell, words),) = said(found, "does not match its total")
    assert cell == "E4" and "10.00 less" in words


def test_no_charge_and_missing_amounts() -> None:
    """Hard case 27: words for no charge are 0 and told once; a crown without an amount is told; else it is a note."""
    found = invoice(
        "14 | FCZ crown | 1 | 145.00 | N/C",
        "14 | Custom stain | 1 | | —",
        "14 | Model | 1 | | incl.",
        "15 | FCZ crown | 1 | 145.00 | ",
        "| please call | 1 | | ",
    )

    assert amounts(found) == [0, 0, 0, 0]
    assert len(said(found, "no charge")) == 1
    assert [cell for cell, _ in said(found, "missing value")] == ["E7"]
    assert found.lines[-1].kind == "note"


def test_a_crown_without_a_tooth_counts() -> None:
    """Hard case 39: the cost is there, its place is not known."""
    (line,) = invoice("| FCZ crown | 1 | 145.00 | 145.00").lines

    assert (line.kind, line.teeth, line.amount) == ("unit fee", "", 145)


def test_errors_and_formulas_without_a_value_are_told_at_their_cells() -> None:
    """An error is never taken for nothing."""
    rows = [
        ["Description", "Amount"],
        ["FCZ crown", Marked("error cell", "#REF!")],
        ["FCZ crown", Marked("formula without value", "")],
    ]
    (found,) = read(Grid("S", rows))

    assert found.lines == []
    assert [cell for kind in ("error cell", "formula without value") for cell, _ in said(found, kind)] == [
        "B2",
        "B3",
    ]


def test_wrapped_descriptions_are_joined_before_they_are_read() -> None:
    """Behind the line, or before it where the amount stands beside the last row."""
    found = invoice(
        "14 | Full contour | 1 | 145.00 | 145.00",
        "| zirconia crown | | |",
        "",
        "| Lithium disilicate | | |",
        "15 | | 1 | 175.00 | 175.00",
    )

    assert [(line.product, line.amount) for line in found.lines] == [
        ("Full contour zirconia crown", 145),
        ("Lithium disilicate", 175),
    ]


def test_a_crown_of_words_alone_below_a_crown_lacks_its_amount() -> None:
    """It is no continuation: a crown above it is complete already."""
    found = one("Description | Amount", "FCZ crown | 145.00", "PFM crown |")

    assert amounts(found) == [145]
    assert said(found, "missing value")[0][0] == "A3"


def test_teeth_that_became_dates_are_restored_and_told() -> None:
    """3-5 that was read as 5 March; day first where the file writes days first."""
    rows = [
        ["Tooth", "Description", "Amount"],
        [date(2026, 3, 5), "Bridge", 435.0],
        ["5-Mar", "Bridge", 435.0],
    ]
    (found,) = read(Grid("S", rows))

    assert [line.teeth for line in found.lines] == ["3-5", "3-5"]
    assert [cell for cell, _ in said(found, "assumed")] == ["A2", "A3"]
    (other,) = read(Grid("S", rows), context=with_lab(date_order="day first"))
    assert [line.teeth for line in other.lines] == ["5-3", "5-3"]


def test_long_case_numbers_that_were_cut_short_are_unknown() -> None:
    """1.23E+11 may be any of many cases."""
    found = one("Case | Description | Amount", "1.23E+11 | FCZ crown | 145.00", "0042 | FCZ crown | 145.00")

    assert [line.case for line in found.lines] == ["", CONTEXT.hashed("0042")]
    assert said(found, "assumed")[0][0] == "A2"


def test_an_alloy_s_weight_and_price_in_the_words() -> None:
    """Hard case 57: 2.1 dwt at 150.00; without a weight the cost still counts (hard case 60)."""
    weighed, flat = invoice(
        "| Testalloy 2.1 dwt @ 150.00/dwt | | | 315.00", "| Testalloy alloy | | | 138.60"
    ).lines

    assert (weighed.kind, weighed.alloy) == ("alloy", "Testalloy")
    assert (weighed.weight, weighed.weight_unit, weighed.unit_price) == (2.1, "dwt", 150)
    assert (flat.amount, math.isnan(flat.weight)) == (138.6, True)


def test_an_alloy_billed_in_quantity_and_unit() -> None:
    """A quantity in a unit of mass is the weight."""
    found = one(
        "Description | Qty | Unit | Unit price | Amount", "Testalloy alloy | 4.2 | g | 60.00 | 252.00"
    )

    (line,) = found.lines
    assert (line.weight, line.weight_unit, math.isnan(line.units), line.weight_basis) == (
        4.2,
        "g",
        True,
        "billed",
    )


def test_alloy_in_columns_of_the_crown_s_row_is_a_line_of_its_own() -> None:
    """Hard case 62: the alloy of a bridge in one row keeps its total and its teeth."""
    found = one(
        "Tooth | Description | Qty | Unit price | Amount | Alloy | Alloy wt | Alloy $",
        "3-5 | PFM bridge | 3 | 160.00 | 480.00 | Testalloy | 4.2 | 252.00",
    )

    assert [(line.kind, line.amount, line.teeth, line.row) for line in found.lines] == [
        ("unit fee", 480, "3-5", 2),
        ("alloy", 252, "3-5", 2),
    ]
    assert (found.lines[1].weight, found.lines[1].alloy) == (4.2, "Testalloy")


def test_an_alloy_that_the_row_s_amount_holds_is_taken_out() -> None:
    """Where quantity × price shows that the amount is crown and alloy together."""
    found = one(
        "Description | Qty | Unit price | Alloy wt | Alloy $ | Amount",
        "PFM crown | 1 | 160.00 | 2.0 | 120.00 | 280.00",
    )

    assert amounts(found) == [160, 120]


def test_tax_in_a_column_is_a_line_of_each_row() -> None:
    """Amounts without tax and a line of tax with the same teeth; total and net from their own columns."""
    found = one(
        "Tooth | Description | Net | VAT | Gross",
        "14 | FCZ crown | 150.00 | 30.00 | 180.00",
        " | Total | 150.00 | 30.00 | 180.00",
    )

    assert [(line.kind, line.amount, line.teeth) for line in found.lines] == [
        ("unit fee", 150, "14"),
        ("tax", 30, "14"),
    ]
    assert (found.total, found.net, found.problems) == (180, 150, [])


def test_tax_among_the_totals_is_a_line() -> None:
    """Unless the amounts hold it already, which the total shows."""
    line, tax = "14 | FCZ crown | 1 | 150.00 | 150.00", "| VAT 20 % | | | 30.00"

    without = invoice(line, "| Net total | | | 150.00", tax, "| Total | | | 180.00")
    assert amounts(without) == [150, 30]
    within = invoice(line, tax.replace("30", "25"), "| Total | | | 150.00")
    assert amounts(within) == [150]
    assert "hold tax" in within.assumed[0]


@pytest.mark.parametrize(
    ("words", "kind", "amount"),
    [
        ("Remake FCZ crown", "remake", 92.5),
        ("Finance charge 2 %", "finance charge", 2.0),
        ("Rush 25 %", "rush", 46.25),
        ("Return deposit", "deposit", 50.0),
        ("Return deposit, returned", "deposit", -50.0),
    ],
)
def test_charges_that_are_no_crown(words: str, kind: str, amount: float) -> None:
    """Hard cases 67, 72, 74 and 75: each has its own kind."""
    (line,) = invoice(f"| {words} | | | {amount}").lines

    assert (line.kind, line.amount) == (kind, amount)


def test_a_case_cancelled_on_the_way_is_a_cost_without_a_unit() -> None:
    """Hard case 78: the charge counts, but nothing was made."""
    (line,) = invoice("14 | Case cancelled in production, 50 % charge FCZ | | | 72.50").lines

    assert line.amount == 72.5
    assert line.kind != "unit fee"


def test_a_credit_note_takes_back() -> None:
    """Its amounts are negative, whether the paper writes the sign or not."""
    for sign in ("", "-"):
        found = one(
            "CREDIT NOTE",
            "Credit note no | C-1",
            "Description | Amount",
            f"FCZ crown | {sign}145.00",
            f"Total | {sign}145.00",
        )
        assert (found.kind, found.number, amounts(found), found.total) == ("credit note", "C-1", [-145], -145)


def test_a_row_without_a_case_belongs_to_the_one_above() -> None:
    """Alloy and extras follow their crown; freight is for the whole invoice."""
    found = one(
        "Case | Description | Amount",
        "7 | FCZ crown | 145.00",
        " | Custom stain | 20.00",
        " | Shipping | 12.00",
    )

    assert [bool(line.case) for line in found.lines] == [True, True, False]


def test_many_faults_alike_are_counted() -> None:
    """Fifty cells are named, the rest in one sentence."""
    found = one("Description | Amount", *["FCZ crown | soon"] * 60)

    assert len(said(found, "not a number")) == 51
    assert "10 more cells" in said(found, "not a number")[-1][1]
