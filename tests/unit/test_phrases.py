"""Phrases found in texts, and the lists of phrases themselves."""

from __future__ import annotations

import pytest

from feesheet import reference
from feesheet.phrases import concepts, ends, first, spaced, starts


def test_case_accents_and_punctuation_do_not_matter() -> None:
    """A phrase is found however it is spelt."""
    for text in ("FULL-CONTOUR  Zirconia", "full contour, zirconia", "Full/Contour"):
        assert first(spaced(text), "full contour") >= 0
    assert first(spaced("Brücke"), "brucke") == first(spaced("BRUCKE"), "brücke") == 0


def test_a_phrase_is_whole_words() -> None:
    """ "credit" is not in "accredited" unless a star says so."""
    assert first(spaced("accredited"), "credit") == -1
    assert first(spaced("accredited"), "*credit*") == 0


def test_nothing_is_found_in_nothing() -> None:
    """Blank lists and blank texts hold no phrase."""
    assert first(spaced("crown"), "") == first(spaced(""), "crown") == -1


def test_the_place_in_the_text() -> None:
    """Figures and currencies beside a total do not count."""
    assert starts(spaced("12 Total 3"), "total") and not starts(spaced("crown total"), "total")
    assert ends(spaced("Case 7 total EUR 12"), "total") and not ends(spaced("total crown"), "total")


@pytest.mark.parametrize(
    ("text", "classes"),
    [
        ("semi-precious", {"noble"}),
        ("non-precious", {"predominantly base"}),
        ("precious", {"high noble"}),
        ("high noble", {"high noble"}),
        ("noble / high noble", {"noble", "high noble"}),
        ("titanium base", set()),
    ],
)
def test_longer_phrases_take_their_words(text: str, classes: set[str]) -> None:
    """What belongs to a longer phrase names nothing of its own."""
    assert set(concepts(text, "class")) == classes


def test_every_list_is_sourced() -> None:
    """Each row of the lists of phrases says where it is from, and its phrases are not blank."""
    for name in ("line_words", "product_words", "role_words"):
        for row in reference.rows(name):
            assert row["source"], row
            assert all(phrase.strip() for phrase in row["words"].split("|")) or row["words"] == "", row


def test_line_words_give_kinds_of_lines() -> None:
    """Each rule's kind is a first word of the line kinds, and the last holds for any text."""
    rows = reference.rows("line_words")
    assert {row["kind"] for row in rows} <= {row["kind"] for row in reference.rows("line_kinds")}
    assert not any(rows[-1][column] for column in ("words", "also", "unless", "sign", "weight"))
    assert {row["total"] for row in rows} == {
        "",
        "total",
        "subtotal",
        "net",
        "tax",
        "balance",
        "payment",
        "due",
    }
