"""The day of a line: its invoice's, else its own, else that of the invoice's last line."""

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
