"""Hard cases of numbers, money and dates: what was charged is kept, what is inferred is shown."""

from __future__ import annotations

from pathlib import Path

import pytest
from drawn_sheets import Drawing
from hard_case_papers import FILE, A, C, paper, read_lines, read_papers, said, told

from feesheet.uses.import_summary import summary_of


@pytest.mark.parametrize("written", ["(185.00)", "185.00-", "185.00 CR", "−185.00"])
def test_case_17_negative_in_every_hand(tmp_path: Path, written: str) -> None:
    """Brackets, a minus behind, CR and the typographer's minus all make 185 less."""
    read = read_lines(
        tmp_path, "1 | 14 | FCZ crown | 1 | 285.00 | 285.00", f"1 | 14 | Credit | | | {written}"
    )

    assert read.column(FILE, "amount") == ["285", "-185"]


def test_case_18_the_decimal_mark_is_each_files_own(tmp_path: Path) -> None:
    """1.234,56 € in one file and 1,234.56 in another are both 1234.56."""
    comma = paper("1 | 16 | FCZ crown | 1 | 1.234,56 € | 1.234,56 €", lab=A, number="A-1")
    point = paper("1 | 14 | FCZ crown | 1 | 1,234.56 | 1,234.56")
    read = read_papers(
        tmp_path, {"comma.csv": Drawing(comma, mark=";"), "point.csv": point}, None, {"currency": "EUR"}
    )

    assert read.column("comma.csv", "amount") == read.column("point.csv", "amount") == ["1234.56"]


def test_case_21_dollars_of_another_country(tmp_path: Path) -> None:
    """The lab's own currency says which dollar is meant; the rate and its day are shown."""
    read = read_lines(tmp_path, "1 | 16 | FCZ crown | 1 | $200.00 | $200.00", lab=C, number="C-1")

    assert read.column(FILE, "amount") == ["150"]
    assert told(read, "CAD", "0.75", "2026-03-01")


def test_case_21_without_a_rate_nothing_is_added_up(tmp_path: Path) -> None:
    """An amount that can't be converted stops the run."""
    read = read_lines(
        tmp_path,
        "1 | 16 | FCZ crown | 1 | $200.00 | $200.00",
        lab=C,
        number="C-1",
        changed={"exchange_rates": []},
    )

    assert [problem.severity for problem in read.problems(FILE, "mixed currency")] == ["error"]


def test_case_22_one_day_past_twelve_settles_the_file(tmp_path: Path) -> None:
    """25/04/2025 makes 03/04/2025 the third of April."""
    heading = "Invoice | Date | Tooth | Description | Qty | Unit price | Amount"
    lines = [
        f"C-{n} | {day} | 16 | FCZ crown | 1 | 145.00 | 145.00"
        for n, day in ((1, "03/04/2025"), (2, "25/04/2025"))
    ]
    read = read_papers(tmp_path, {FILE: "\n".join([C, "Account | 20417", heading, *lines])})

    assert read.column(FILE, "date") == ["2025-04-03", "2025-04-25"]


def test_case_22_without_evidence_the_day_is_asked(tmp_path: Path) -> None:
    """A lab without a known order and a date that can be read in two ways: the date is asked, not guessed."""
    read = read_lines(
        tmp_path, "1 | 16 | FCZ crown | 1 | 145.00 | 145.00", lab=C, number="C-1", day="03/04/2026"
    )

    assert read.problems(FILE, "unclear date")


def test_case_24_what_was_charged_is_kept(tmp_path: Path) -> None:
    """3 times 145.00 charged as 425.00 stays 425.00, and the 10.00 between are told at the row."""
    read = read_lines(tmp_path, "1 | 3-5 | Zirconia bridge | 3 | 145.00 | 425.00", "| | | | TOTAL | 425.00")

    assert read.column(FILE, "amount") == ["425"]
    assert [text for text in told(read, "10.00") if "6" in text], read.problems(FILE)


@pytest.mark.parametrize(("total", "gap", "accepted"), [("392.29", "0.01", True), ("391.30", "1.00", False)])
def test_case_25_a_cent_is_rounding(tmp_path: Path, total: str, gap: str, accepted: bool) -> None:
    """Lines of 392.30 against 392.29 differ by a rounding, against 391.30 by a dollar; both are shown."""
    read = read_lines(
        tmp_path,
        "1 | 14 | FCZ crown | 1 | 227.30 | 227.30",
        "2 | 15 | FCZ crown | 1 | 165.00 | 165.00",
        f"| | | | TOTAL | {total}",
    )

    (problem,) = said(read, "does not match its total")
    assert gap in problem.what
    assert ("rounding" in problem.do.lower()) == accepted


@pytest.mark.parametrize("word", ["N/C", "—", "incl."])
def test_case_27_words_for_no_charge_are_nought_with_a_reason(tmp_path: Path, word: str) -> None:
    """The amount is 0 and the word is told."""
    read = read_lines(
        tmp_path, "1 | 14 | FCZ crown | 1 | 145.00 | 145.00", f"1 | 14 | Custom stain | 1 | | {word}"
    )

    assert read.column(FILE, "amount") == ["145", "0"]
    assert [problem.cell for problem in read.problems(FILE, "no charge")] == ["F7"]


def test_case_27_a_crown_without_an_amount_is_told(tmp_path: Path) -> None:
    """A blank is not a nought where a crown is named."""
    read = read_lines(tmp_path, "1 | 14 | FCZ crown | 1 | 145.00 | 145.00", "2 | 15 | FCZ crown | 1 | |")

    assert [problem for problem in read.problems(FILE) if "7" in problem.cell]
    assert "0" not in read.column(FILE, "amount")


def test_case_28_many_small_amounts_add_up_exactly(tmp_path: Path) -> None:
    """A hundred thousand lines of 0.10 are 10,000.00, in agreement with their total."""
    lines = ["Lab | Invoice | Date | Site | Tooth | Description | Amount"]
    lines += ["lab B | B-1 | 2026-03-04 | North | | Custom stain | 0.10"] * 100_000
    lines += ["lab B | B-1 | 2026-03-04 | North | | Total | 10000.00"]
    read = read_papers(tmp_path, {FILE: "\n".join(lines)})

    assert len(read.rows(FILE)) >= 100_000
    assert said(read, "does not match its total") == []
    assert f"{summary_of(read.practice, read.found).rows[-1].charged:.6f}" == "10000.000000"
