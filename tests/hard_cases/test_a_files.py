"""Hard cases of files and layouts: what is a line, what is a check, what counts once."""

from __future__ import annotations

from pathlib import Path

from drawn_sheets import Drawing
from hard_case_papers import FILE, A, paper, read_lines, read_papers, said, semicolons, told
from read_back import added

from feesheet.writing.export import safe

CASE_TOTALS = """
A Lab of Ceramics
Invoice no | A-1
Invoice date | 2026-03-05
Clinic: North
Case | Tooth | Item | Amount
77 | 16 | Full contour zirconia crown | 185.00
77 | | Custom stain | 42.30
Case total | | | 227.30
78 | 24 | Lithium disilicate crown | 165.00
Case total | | | 165.00
TOTAL | | | 392.30
"""

STATEMENT = """
B Crown and Bridge Works
STATEMENT
Statement date | 2026-03-31
Account | 20417
Date | Invoice | Description | Amount
| | Previous balance | 1204.50
2026-03-10 | | Payment - thank you | -1204.50
2026-03-04 | B-1 | Invoice | 392.30
| | Amount due | 392.30
"""

INVOICE = paper(
    "1 | 14 | FCZ crown | 1 | 185.00 | 185.00",
    "1 | 14 | Custom stain | 1 | 42.30 | 42.30",
    "2 | 19 | FCZ crown | 1 | 165.00 | 165.00",
    "| | | | TOTAL | 392.30",
)


def test_case_01_six_banners_and_a_heading_over_two_rows(tmp_path: Path) -> None:
    """The heading is found and joined over its two rows; no banner becomes a line."""
    drawn = Drawing(
        """
B Crown and Bridge Works
12 Quay Street
Telephone 555 0100
Invoice no: B-1
Invoice date: 2026-03-04
Account: 20417
| | | Unit |
Tooth | Description | Qty | Price | Amount
14 | FCZ crown | 2 | 92.50 | 185.00
| Shipping | 1 | 12.00 | 12.00
""",
        merged=("A1:E1", "A7:A8"),
    )
    read = read_papers(tmp_path, {"paper.xlsx": drawn})

    found = [(line["row"], line["unit_price"], line["amount"]) for line in read.lines("paper.xlsx")]
    assert found == [("9", "92.5", "185"), ("10", "12", "12")]


def test_case_02_totals_are_checks_and_no_lines(tmp_path: Path) -> None:
    """Three lines make 392.30; two case totals and a total agree with them in silence."""
    read = read_papers(tmp_path, {FILE: CASE_TOTALS})

    assert read.column(FILE, "amount") == ["185", "42.3", "165"]
    assert read.documents(FILE)[0]["total"] == "392.3"
    assert told(read, "total") == []


def test_case_02_totals_that_are_wrong_are_told(tmp_path: Path) -> None:
    """A case total or a total that is a dollar off is told at its row; the lines stay as they are."""
    case = CASE_TOTALS.replace("227.30", "228.30")
    whole = CASE_TOTALS.replace("392.30", "393.30").replace("A-1", "A-2")
    read = read_papers(tmp_path, {"case.csv": case, "whole.csv": whole})

    for name, row in (("case.csv", "8"), ("whole.csv", "11")):
        assert added(read.column(name, "amount")) == 3923000
        (problem,) = said(read, "does not match its total", file=name)
        assert problem.cell == f"D{row}"
        assert "1.00" in problem.what


def test_case_03_balances_and_payments_are_no_cost(tmp_path: Path) -> None:
    """Of a statement with charges of 392.30, 392.30 is cost, whatever came before and was paid."""
    text = STATEMENT.replace("| B-1 | Invoice |", "| B-1 | FCZ crown #14 |")
    read = read_papers(tmp_path, {FILE: text})

    charged = added(read.column(FILE, "amount")) or added(str(amount) for _, amount in read.entries(FILE))
    assert charged == 3923000
    assert read.documents(FILE)[0] | {"invoice": ""} == {
        "kind": "statement",
        "invoice": "",
        "date": "2026-03-31",
        "total": "392.3",
        "copy": False,
    }


def test_case_04_a_statement_and_its_invoices_count_once(tmp_path: Path) -> None:
    """The invoice's lines count; the statement lists it and holds no charge of its own."""
    read = read_papers(tmp_path, {FILE: INVOICE, "statement.csv": STATEMENT})

    assert added(read.column(FILE, "amount")) == 3923000
    assert read.lines("statement.csv") == []
    assert read.entries("statement.csv") == [("B-1", 392.3)]
    assert told(read, "392", file="statement.csv") == []


def test_case_04_a_statement_that_differs_is_told(tmp_path: Path) -> None:
    """The statement is the control total: an invoice that it lists with another amount is told, with the cents."""
    other = STATEMENT.replace("392.30", "402.30")
    read = read_papers(tmp_path, {FILE: INVOICE, "statement.csv": other})

    assert told(read, "statement", "B-1", "10.00", "row 8", file="statement.csv")


def test_case_04_a_statement_alone_is_its_invoices(tmp_path: Path) -> None:
    """Where no file holds the invoices, the lines that a statement repeats count, each on its invoice's own day."""
    heading = "Invoice | Date | Tooth | Description | Qty | Unit price | Amount"
    lines = [f"B-{n} | 2026-04-{n} | 14 | FCZ crown | 1 | 145.00 | 145.00" for n in (15, 20)]
    read = read_lines(tmp_path, *lines, heading=heading, called="Statement", number="", day="2026-04-30")

    assert read.column(FILE, "date") == ["2026-04-15", "2026-04-20"]
    assert read.column(FILE, "invoice") == ["B-15", "B-20"]


def test_case_05_a_copy_counts_once(tmp_path: Path) -> None:
    """The same invoice again, marked COPY, is counted once, and that is told."""
    read = read_papers(tmp_path, {FILE: INVOICE, "second.csv": f"COPY\n{INVOICE}"})

    assert [document["copy"] for document in read.documents("second.csv")] == [True]
    assert added(read.column(FILE, "amount") + read.column("second.csv", "amount")) == 3923000
    assert read.problems("second.csv", "copy")


def test_case_07_a_page_break_inside_a_case(tmp_path: Path) -> None:
    """A heading that comes again is no line, and the case goes on behind it."""
    read = read_lines(
        tmp_path,
        "7 | 14 | FCZ crown | 1 | 145.00 | 145.00",
        "Page 1 of 2",
        "Case | Tooth | Description | Qty | Unit price | Amount",
        "7 | 15 | FCZ crown | 1 | 145.00 | 145.00",
    )

    assert [(line["row"], line["case_group"]) for line in read.lines(FILE)] == [("6", "1"), ("9", "1")]


def test_case_09_columns_that_moved_and_no_quantity(tmp_path: Path) -> None:
    """Units are what times the price makes the amount, in every row, and the assumption is shown."""
    heading = "Amount | Description | Tooth | Each"
    lines = [
        f"{count * 145}.00 | FCZ crown | {tooth} | 145.00" for tooth, count in ((3, 1), (14, 2), (19, 3))
    ]
    read = read_lines(tmp_path, *lines, heading=heading)

    assert read.column(FILE, "units") == ["1", "2", "3"]
    assert read.problems(FILE, "assumed")


def test_case_09_an_assumption_that_fails_is_asked(tmp_path: Path) -> None:
    """Where price and amount make no count in more than one row of fifty, nothing is taken for granted."""
    good = [f"145.00 | FCZ crown | {tooth} | 145.00" for tooth in range(2, 16)]
    bad = [f"{180 + tooth}.37 | FCZ crown | {tooth} | 145.00" for tooth in range(18, 22)]
    read = read_lines(tmp_path, *good, *bad, heading="Amount | Description | Tooth | Each")

    assert added(read.column(FILE, "amount")) == added(["2030", "198.37", "199.37", "200.37", "201.37"])
    asked = {"not understood", "does not add up", "unclear number", "missing column", "missing value"}
    assert {problem.kind for problem in read.problems(FILE)} & asked, read.problems(FILE)


def test_case_11_semicolons_windows_letters_and_decimal_commas(tmp_path: Path) -> None:
    """Text and amounts come out right."""
    known = [{"wording": "Krone Münch", "material": "zirconia, monolithic"}]
    text = paper(
        "1 | 16 | Krone Münch | 1 | 1.185,50 | 1.185,50",
        "1 | | Versand | 1 | 12,30 | 12,30",
        lab=A,
        number="A-1",
    )
    read = read_papers(tmp_path, {FILE: semicolons(text)}, {"product_map": known})

    assert read.column(FILE, "amount") == ["1185.5", "12.3"]
    assert read.column(FILE, "product")[0] == "krone münch"


def test_case_12_headings_alone_or_nothing_at_all(tmp_path: Path) -> None:
    """Such a file has no lines, which is not a cost of nothing, and the other files are read as ever."""
    read = read_papers(tmp_path, {"head.csv": paper(number="B-2"), "empty.csv": "", FILE: INVOICE})

    assert read.problems("head.csv", "empty table")
    assert read.problems("empty.csv", "empty table")
    assert added(read.column(FILE, "amount")) == 3923000


def test_case_13_words_that_begin_like_a_formula(tmp_path: Path) -> None:
    """They are words; on the way out they can't be run."""
    read = read_lines(
        tmp_path,
        '1 | 14 | =HYPERLINK("http://example.invalid","FCZ") | 1 | 145.00 | 145.00',
        "2 | 15 | +1 FCZ crown | 1 | 145.00 | 145.00",
    )

    assert added(read.column(FILE, "amount")) == 2900000
    products = [str(word) for word in read.rows(FILE)["product"]]
    assert not any(safe(word).startswith(("=", "+", "-", "@")) for word in products)
    assert "example" not in " ".join(products)


def test_case_15_a_long_file_and_its_parts_add_up_alike(tmp_path: Path) -> None:
    """Three thousand lines in one file have the totals that they have in three."""
    lines = [
        f"{n} | {n % 32 + 1} | FCZ crown | 1 | {100 + n % 89}.10 | {100 + n % 89}.10" for n in range(3000)
    ]
    parts = {f"part{n}.csv": paper(*lines[n::3], number=f"B-{n}") for n in range(3)}
    whole = read_lines(tmp_path / "whole", *lines, number="B-9")
    split = read_papers(tmp_path / "split", dict(parts))

    amounts = whole.column(FILE, "amount")
    assert len(amounts) == 3000
    assert added(amounts) == sum(added(split.column(name, "amount")) for name in parts)
