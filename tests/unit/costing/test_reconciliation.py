"""Every invoice is held against its own paper and the lab's statement, to the cent."""

from __future__ import annotations

from datetime import date

import pytest
from invoiced import Row, billed_abroad, entry, line, outcome, paper, practice_of, said, table

LINES = [
    line(200, teeth="16"),
    line(120, kind="extra", product="Model", teeth="16"),
    line(72.30, kind="tax", product="Tax"),
]
"""Invoice A-9: 392.30 with its tax."""


def row_of(lines: list[Row] = LINES, **more: object) -> Row:
    """The first invoice as the Checks sheet has it."""
    return table(outcome(practice_of(lines, **more))[0], "invoice_totals")[0]  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("total", "gap", "verdict"),
    [
        (392.30, 0.0, "agrees"),
        (392.29, 0.01, "rounding"),
        (392.31, -0.01, "rounding"),
        (392.28, 0.02, "DIFFERS"),
        (391.30, 1.0, "DIFFERS"),
    ],
)
def test_a_coin_is_rounding_and_more_is_not(total: float, gap: float, verdict: str) -> None:
    """The same to half a cent agrees; a cent is accepted as rounding and shown; anything more differs."""
    row = row_of(papers=[paper("A-9", total)], entries=[entry("a 9", total)])

    assert (row["lines_read"], row["paper_total"]) == (pytest.approx(392.30), total)
    assert (row["off_paper"], row["against_paper"]) == (pytest.approx(gap), verdict)
    assert (row["off_statement"], row["against_statement"]) == (pytest.approx(gap), verdict)


def test_no_total_is_no_agreement() -> None:
    """Without a total on paper the cells are blank and the invoice counts as one without; so a statement that is silent."""
    priced, _ = outcome(practice_of(LINES, papers=[paper("A-9", None)]))
    (row,) = table(priced, "invoice_totals")

    assert (row["off_paper"], row["against_paper"]) == ("", "no total")
    assert (row["off_statement"], row["against_statement"]) == ("", "not listed")
    assert table(priced, "understanding")[0]["without_total"] == 1


def test_a_plain_sheet_s_total_line_is_its_total() -> None:
    """A control line that is the invoice's total stands in where there is no paper; subtotals never do."""
    lines = [
        *LINES,
        line(200, kind="subtotal", product="Subtotal"),
        line(392.30, kind="invoice total", product="Total"),
    ]
    row = row_of(lines)

    assert (row["paper_total"], row["against_paper"]) == (392.30, "agrees")


def test_a_total_without_tax_is_compared_without_tax() -> None:
    """A total that is the lines' sum without tax agrees, and the row says that it leaves tax out."""
    row = row_of(papers=[paper("A-9", 320.0)])

    assert (row["tax_read"], row["net"], row["off_paper"]) == (72.30, 1, 0)
    assert row["against_paper"] == "agrees"


def test_differences_are_counted_and_told_and_fail_no_check() -> None:
    """A difference is a notice with its place and a count on the Checks sheet; the master check is for the workbook's own sums."""
    priced, problems = outcome(
        practice_of(LINES, papers=[paper("A-9", 391.30)], entries=[entry("A-9", 392.29)])
    )
    found = [problem for problem in problems if problem.kind == "does not match its total"]

    assert table(priced, "understanding")[0]["off_paper"] == 1
    assert table(priced, "understanding")[0]["off_statement"] == 0
    assert table(priced, "state")[0]["number"] == 0
    assert "A-9 391.30 EUR, its lines 392.30 EUR: 1.00 EUR less" in found[0].what
    assert (found[0].place, found[1].place) == ("A-9.xlsx, Invoice, D9", "statement.xlsx, September, row 12")
    assert found[1].do.startswith("Accepted as rounding")


def test_a_difference_abroad_is_told_in_both_currencies() -> None:
    """The total in the practice's currency, the lines as billed beside it."""
    practice = billed_abroad(practice_of(LINES, papers=[paper("A-9", 391.30)]), "CAD", 2)

    (what,) = said(outcome(practice)[1], "does not match its total")
    assert "A-9 391.30 EUR, its lines 392.30 EUR (billed as 784.60 CAD): 1.00 EUR less" in what


def test_an_invoice_that_only_a_statement_knows() -> None:
    """It has a row with nothing read, its money is told, and it is counted."""
    priced, problems = outcome(practice_of(LINES, entries=[entry("A-9", 392.30), entry("A-77", 165)]))
    row = table(priced, "invoice_totals")[1]

    assert (row["invoice"], row["lines_read"], row["statement_total"]) == ("A-77", 0, 165)
    assert (row["off_statement"], row["against_statement"]) == (-165, "DIFFERS")
    assert table(priced, "understanding")[0]["without_lines"] == 1
    (what,) = said(problems, "not understood")
    assert "1 invoice(s) that its statement lists are in no file, worth 165.00 EUR in all: A-77" in what


def test_copies_count_once_and_are_shown_apart() -> None:
    """A second paper marked a copy adds no total; lines that stand twice add no lines, and the file's own sum still agrees."""
    again = [paper("A-9", 392.30), paper("A-9", 392.30, repeats=True, file="again.xlsx")]
    row = row_of(papers=again)

    assert (row["paper_total"], row["against_paper"]) == (392.30, "agrees")


def test_an_invoice_on_two_papers_has_both_totals() -> None:
    """One number, two papers: their totals add up, and if one has none, nothing is compared."""
    assert row_of(papers=[paper("A-9", 300), paper("A-9", 92.30)])["against_paper"] == "agrees"
    assert row_of(papers=[paper("A-9", 300), paper("A-9", None)])["against_paper"] == "no total"


def test_the_first_statement_counts() -> None:
    """A later statement may list what is left of an invoice; two rows of one statement are one invoice."""
    later = entry("A-9", 100, sheet="October")
    parts = [entry("A-9", 400), entry("A-9", -7.70), later]

    assert row_of(entries=parts)["against_statement"] == "agrees"


def test_a_statement_s_own_total_is_nobody_s() -> None:
    """The sum that a statement asks for is no invoice's total."""
    row = row_of(papers=[paper("A-9", 5000, kind="statement")])

    assert row["against_paper"] == "no total"


def test_a_net_negative_invoice_agrees() -> None:
    """An invoice of credits alone is an invoice like any other."""
    lines = [*LINES, line(-250, kind="credit", product="Credit", invoice="A-10", date=date(2026, 10, 1))]
    priced, _ = outcome(practice_of(lines, papers=[paper("A-10", -250)]))

    assert table(priced, "invoice_totals")[1]["against_paper"] == "agrees"
