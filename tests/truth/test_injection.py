"""Words that a spreadsheet would run as a formula, in the plain list of fees."""

from __future__ import annotations

import csv

import pytest

from feesheet.writing.export import csv_line, safe


@pytest.mark.parametrize(
    ("words", "line"),
    [
        ('=1+2";=1+2', '''"'=1+2"";=1+2"'''),
        ("""=1+2'" ;,=1+2""", '''"'=1+2'"" ;,=1+2"'''),
    ],
)
def test_two_cells_in_print(words: str, line: str) -> None:
    """OWASP's two dangerous cells come out exactly as its table says.

    Source: OWASP, CSV Injection, commit 0e5e8f0, 1 August 2025.
    """
    assert csv_line([words]) == line
    assert next(csv.reader([line])) == [f"'{words}"]


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r", "\n"])
def test_seven_beginnings(start: str) -> None:
    """A quote goes before words that begin with = + - @, a tab, a carriage return or a line feed.

    Source: OWASP, CSV Injection.
    """
    assert safe(f"{start}1") == f"'{start}1"


@pytest.mark.parametrize("words", ["G-14", "crown = gold", "", " =1", "'=1"])
def test_other_words_stay(words: str) -> None:
    """Words that begin otherwise stay as they are (OWASP, CSV Injection)."""
    assert safe(words) == words


def test_numbers_stay_numbers() -> None:
    """A negative amount is a number and gets no quote (OWASP, CSV Injection: only text is escaped)."""
    assert csv_line(["change", -5.0]) == '"change",-5.0'
