"""Hard cases of credits, remakes and other charges: what a crown costs, and what only stands on its invoice."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from hard_case_papers import FILE, A, paper, read_lines, read_papers, said, told
from read_back import added

from feesheet.costing.lines import understand
from feesheet.practice import line_treatments

CROWN = "1 | 14 | FCZ crown | 1 | 185.00 | 185.00"


def _uses(folder: Path, *lines: str) -> list[tuple[str, str]]:
    """Kind and treatment of each charge of an invoice of those lines."""
    read = read_lines(folder, *lines)
    assert read.errors(FILE) == []
    frame = read.rows(FILE)
    return list(zip(frame["kind"].astype(str), line_treatments(frame), strict=True))


def test_case_67_a_remake_at_half_price(tmp_path: Path) -> None:
    """Its 92.50 are kept, and it is one remake, no crown more."""
    read = read_lines(tmp_path, "1 | 14 | Remake FCZ crown 50 % | 1 | 92.50 | 92.50")
    (line,) = read.lines(FILE)

    assert (line["kind"], line["units"], line["amount"]) == ("remake", "1", "92.5")
    parts, _ = understand(read.practice)
    assert list(parts["use"]) == ["remake: counted, costed through the remake rate"]


JANUARY = paper("501 | 14 | Remake FCZ crown | 1 | 185.00 | 185.00", number="B-1", day="2026-01-12")
FEBRUARY = paper(
    "501 | 14 | Credit for remake FCZ crown | 1 | -185.00 | -185.00", number="B-2", day="2026-02-09"
)


def test_case_68_a_remake_and_its_credit(tmp_path: Path) -> None:
    """Both are of one case and come to nothing; no credit is open."""
    read = read_papers(tmp_path, {"january.csv": JANUARY, "february.csv": FEBRUARY})
    cases = [set(read.rows(name)["case"].astype(str)) for name in ("january.csv", "february.csv")]

    assert cases[0] == cases[1] != {""}
    assert added(read.column("january.csv", "amount") + read.column("february.csv", "amount")) == 0
    assert read.column("february.csv", "kind") == ["remake credit"]
    assert said(read, "open credit", file="january.csv") == []


def test_case_68_in_january_the_credit_is_open(tmp_path: Path) -> None:
    """A remake that was charged and not yet credited is told."""
    read = read_papers(tmp_path, {"january.csv": JANUARY}, None, {"pricing_date": date(2026, 1, 31)})
    assert said(read, "open credit", file="january.csv")


def test_case_70_an_invoice_of_less_than_nothing(tmp_path: Path) -> None:
    """It is accepted, and agrees with its total."""
    read = read_lines(tmp_path, CROWN, "| | Credit | | | -285.00", "| | | | TOTAL | -100.00")

    assert read.errors(FILE) == []
    assert read.documents(FILE)[0]["total"] == "-100"
    assert added(read.column(FILE, "amount")) == -1000000
    assert said(read, "does not match its total") == []


def test_case_72_a_finance_charge(tmp_path: Path) -> None:
    """It is a cost of money, not of a crown."""
    found = _uses(tmp_path, CROWN, "| | Finance charge 2 % | | | 7.85")
    assert found == [("unit fee", "unit"), ("finance charge", "aside")]


def test_case_74_rush(tmp_path: Path) -> None:
    """Speed has a line of its own, apart from the price of the crown."""
    found = _uses(tmp_path, CROWN, "1 | 14 | Rush 25 % | 1 | 46.25 | 46.25")
    assert found == [("unit fee", "unit"), ("rush", "cost")]


def test_case_75_a_deposit_comes_back(tmp_path: Path) -> None:
    """Paid and returned, it is no cost of a crown."""
    found = _uses(
        tmp_path,
        CROWN,
        "1 | 14 | Return deposit | 1 | 50.00 | 50.00",
        "1 | 14 | Return deposit returned | 1 | -50.00 | -50.00",
    )
    assert found == [("unit fee", "unit"), ("deposit", "aside"), ("deposit", "aside")]


def test_case_76_the_same_tooth_at_another_lab(tmp_path: Path) -> None:
    """One patient's tooth again, three weeks later, from a second lab: asked whether it is a remake."""
    heading = "Case | Patient | Tooth | Description | Qty | Unit price | Amount"
    first = paper("1 | Quillfeather | 14 | FCZ crown | 1 | 185.00 | 185.00", heading=heading)
    second = paper(
        "88 | Quillfeather | 26 | FCZ crown | 1 | 150.00 | 150.00",
        heading=heading,
        lab=A,
        number="A-1",
        day="2026-03-25",
    )
    read = read_papers(tmp_path, {"first.csv": first, "second.csv": second})

    assert told(read, "remake", "21 days", file="second.csv")
    assert not any("quillfeather" in str(problem).lower() for problem in read.found)
    assert added(read.column("first.csv", "amount") + read.column("second.csv", "amount")) == 3350000


def test_case_77_two_days_left_to_claim(tmp_path: Path) -> None:
    """A credit that is open for 28 of a lab's 30 days is told with the 2 days that are left."""
    remake = paper("501 | 14 | Remake FCZ crown | 1 | 185.00 | 185.00", day="2026-03-04")
    read = read_papers(tmp_path, {FILE: remake}, None, {"pricing_date": date(2026, 4, 1)})

    (problem,) = said(read, "open credit")
    assert "2 of 30 days are left" in problem.what


def test_case_78_cancelled_in_the_making(tmp_path: Path) -> None:
    """A part charged for work that was never finished is a cost without a unit."""
    found = _uses(tmp_path, "1 | 14 | Cancelled in production, partial charge | 1 | 60.00 | 60.00")
    assert found == [("extra", "cost")]
