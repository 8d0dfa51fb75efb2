"""The many words before an invoice's number, with those of a copy around it."""

from __future__ import annotations

import pytest
from lab_grids import one

TABLE = ("Description | Amount", "FCZ crown | 145.00")


@pytest.mark.parametrize(
    "words",
    [
        "COPY Invoice 1",
        "Invoice 1 COPY",
        "Duplicate of invoice 1",
        "Invoice no: 1 (copy)",
        "Invoice no | 1 COPY",
        "Rechnung Nr. 1 (Kopie)",
    ],
)
def test_a_copy_keeps_its_number(words: str) -> None:
    """The words of a copy are no part of the number."""
    found = one(words, *TABLE)
    assert (found.number, found.repeats) == ("1", True)


@pytest.mark.parametrize("words", ["CM # | 77", "Memo No: 77", "Credit No 77", "Credit number | 77", "CM 77"])
def test_numbers_of_credits(words: str) -> None:
    """A credit's number stands behind words of its own."""
    found = one("Credit memo", words, "Description | Amount", "FCZ crown | -100.00")
    assert (found.kind, found.number) == ("credit note", "77")


def test_a_short_word_for_quantities() -> None:
    """ "Anz." heads the units."""
    found = one("Rechnung Nr. 1", "Beschreibung | Anz. | Betrag", "FCZ Krone | 2 | 100,00")
    assert found.lines[0].units == 2
