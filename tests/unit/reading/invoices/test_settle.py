"""The day of a line: its invoice's, else its own, else that of the last line; and the total without what was carried over."""

from __future__ import annotations

import math

import pytest

from feesheet.reading.invoices.context import Context, LabKnown
from feesheet.reading.invoices.document import Document, Line
from feesheet.reading.invoices.settle import settled
from feesheet.reading.messages import FileContent

KNOWN = Context(labs=(LabKnown("lab A"),), sites=("North",))


def days(kind: str, own: float, *lines: float) -> tuple[list[float], list[str]]:
    """The days that lines with those of their own are given on a paper of that kind and day, and what was told."""
    rows = [Line(row, "unit fee", "crown", 100.0, day=day) for row, day in enumerate(lines, start=6)]
    paper = Document("statement" if kind == "statement" else "invoice", "A-1", own, lines=rows)
    content = FileContent()
    settled(content, [paper], "a.csv", KNOWN)
    return list(content.pieces[0].data["date"]), [problem.kind for problem in content.problems]


@pytest.mark.parametrize(
    ("kind", "own", "lines", "found", "told"),
    [
        ("invoice", 20000.0, (19990.0, math.nan), [20000.0, 20000.0], []),
        ("invoice", math.nan, (19990.0, 19995.0, math.nan), [19990.0, 19995.0, 19995.0], ["assumed"]),
        ("invoice", math.nan, (19990.0, 19990.0, math.nan), [19990.0] * 3, []),
        ("statement", 20000.0, (19990.0, math.nan), [19990.0, 20000.0], []),
    ],
    ids=["its invoice's", "its own, else the last", "the one of all", "a statement's lines keep theirs"],
)
def test_every_line_has_a_day(
    kind: str, own: float, lines: tuple[float, ...], found: list[float], told: list[str]
) -> None:
    """Where lines of one invoice keep days of their own, that is told."""
    assert days(kind, own, *lines) == (found, told)


def test_lines_without_any_day_are_a_problem() -> None:
    """They can't be placed in time."""
    assert days("invoice", math.nan, math.nan)[1] == ["missing value"]


@pytest.mark.parametrize(("total", "own"), [(778.0, 278.0), (278.0, 278.0), (300.0, 300.0)])
def test_what_was_carried_over_is_no_part_of_an_invoices_total(total: float, own: float) -> None:
    """500.00 of other invoices, in a total of 778.00, leave 278.00; a total that fits neither way stays."""
    lines = [Line(6, "unit fee", "crown", 278.0), Line(7, "balance", "previous balance", 500.0)]
    paper = Document("invoice", "A-1", 20000.0, lines=lines, total=total)
    content = FileContent()
    settled(content, [paper], "a.csv", KNOWN)
    assert content.documents[0].total == own


def test_a_payment_takes_off_whatever_its_column() -> None:
    """In a column of credits it stands without a sign."""
    lines = [Line(6, "balance", "previous balance", 500.0), Line(7, "balance", "payment", 500.0)]
    content = FileContent()
    settled(content, [Document("statement", "S", 20000.0, lines=lines)], "a.csv", KNOWN)
    assert list(content.pieces[0].data["amount"]) == [500.0, -500.0]
