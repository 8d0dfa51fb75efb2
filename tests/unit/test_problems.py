"""A list of problems has what matters first, and what there is very much of in one line."""

from __future__ import annotations

from feesheet.problems import FEW, KINDS, Problem, Sort, as_records, as_text


def names(count: int) -> list[Problem]:
    """Notices of product names worth 1.50 each."""
    alike = Sort("product names are not on the map", "feesheet map lists them.", 1.5, "EUR")
    return [
        Problem("not understood", f"Name {n}.", "Name it.", "a.xlsx", "Lines", f"row {n}", alike)
        for n in range(7, 7 + count)
    ]


def test_money_comes_before_trifles() -> None:
    """Errors, then money in no fee or that does not match, then the rest, however many trifles came first."""
    trifles = [Problem("assumed", f"Taken {n}.", "") for n in range(50)]
    kinds = ("no charge", "caution", "copy", "old workbook", "does not match its total", "open credit",
             "set aside", "empty table", "mixed currency", "not understood")  # fmt: skip
    lines = as_text([*trifles, *(Problem(kind, kind, "") for kind in kinds)]).split("\n")

    assert lines[0] == "mixed currency"
    assert set(lines[1:6]) == {
        "copy",
        "does not match its total",
        "open credit",
        "set aside",
        "not understood",
    }
    assert lines[6] == "caution" and lines[-1] == "… and 20 more"


def test_ranks_are_for_notices() -> None:
    """An error comes first whatever its rank."""
    assert {kind.rank for kind in KINDS.values() if kind.severity == "error"} == {2}


def test_many_names_are_one_line_that_names_the_first_place() -> None:
    """More than a few: their number, their money, where the first stands, and what lists them."""
    text = as_text([*names(FEW + 1), Problem("copy", "A copy.", "")])

    assert text.split("\n") == [
        "a.xlsx, Lines, row 7: 4 product names are not on the map, the first here, worth 6.00 EUR in all. feesheet map lists them.",
        "A copy.",
    ]


def test_a_few_names_are_told_one_by_one() -> None:
    """As they are."""
    assert len(as_text(names(FEW)).split("\n")) == FEW


def test_sheets_without_rows_are_one_line() -> None:
    """No money is told where there is none."""
    alike = Sort("sheets have headings but no rows", "Fill them in, or leave them out.")
    found = [Problem("empty table", f"{n}", "", "b.xlsx", f"Sheet {n}", "row 1", alike) for n in range(9)]

    assert as_text(found) == (
        "b.xlsx, Sheet 0, row 1: 9 sheets have headings but no rows, the first here. Fill them in, or leave them out."
    )


def test_machines_get_them_all() -> None:
    """Each problem on its own, with its severity and no more than its place and words."""
    records = as_records(names(9))

    assert len(records) == 9
    assert records[0] == {
        "kind": "not understood", "what": "Name 7.", "do": "Name it.", "file": "a.xlsx", "sheet": "Lines", "cell": "row 7",
        "severity": "notice",
    }  # fmt: skip
