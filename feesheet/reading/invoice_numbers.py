"""Invoice numbers without words that may be a patient's name, and two numbers never made one by that.

A lab may write a name behind the number. In the reading process the name becomes "…" with a keyed hash behind it; where all
files are known, the hash becomes nothing or, where the same figures stand beside different hidden words, a running mark.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from functools import cache

from feesheet import reference
from feesheet.reading.date_words import MONTHS
from feesheet.reading.invoices.context import Context
from feesheet.wording import HIDDEN, known_words

MOST_SHORT = 3
"""Letters of a word that may be a lab's short sign; longer ones must be known."""
_SIGN = "\x1f"
"""Stands between the hidden words and their hash; no cell of a workbook holds it."""
_HASHED = re.compile(rf"{HIDDEN}{_SIGN}([0-9a-f]+)")
_PARTS = re.compile(r"([^\W_]+)", re.UNICODE)
_AGAIN = (
    "revised revision reissue reissued again duplicate corr corrected correction void cancelled amended final"
)
"""Words behind a number that is issued again (from memory)."""


def discreet_number(text: str, context: Context) -> str:
    """An invoice number as it may leave the reading process.

    Parts with figures stay, and words of the trade and of paper, months and words of up to three letters; a longer
    unknown word stays only as the front of a number, as in "SERIES-12". Behind a hidden word only known ones stay.

    >>> [discreet_number(text, Context()) for text in ("A-2609-008-R", "Rechnung 2026/17", "MARCH", "SERIES-12 (COPY)")]
    ['A-2609-008-R', 'Rechnung 2026/17', 'MARCH', 'SERIES-12 (COPY)']
    >>> discreet_number("A-2609-008 Petrosyan Anahit", Context()).partition(_SIGN)[0]
    'A-2609-008 …'
    """
    pieces = _PARTS.split(unicodedata.normalize("NFC", text))
    words = pieces[1::2]
    if all(map(_may_stay, words)):
        return text
    stays = _stay(words, pieces[2::2])
    if all(stays):
        return text
    hidden = " ".join(word for word, stay in zip(words, stays, strict=True) if not stay)
    shown = pieces[0] + "".join(
        (word if stay else HIDDEN) + gap for word, stay, gap in zip(words, stays, pieces[2::2], strict=True)
    )
    shown = re.sub(r"…(?:[^\w…]*…)+", HIDDEN, " ".join(shown.split()))
    return shown.replace(HIDDEN, f"{HIDDEN}{_SIGN}{context.hashed(hidden)}", 1)


def _may_stay(word: str) -> bool:
    """Whether the word has a figure, is known, or is short and plain."""
    return _has_figure(word) or _is_known(word) or _is_short(word)


def _is_short(word: str) -> bool:
    letters = word.rstrip("ºª")
    return letters.isascii() and len(letters) <= MOST_SHORT


@cache
def _known() -> frozenset[str]:
    """Words that stand on paper beside numbers, and those of the trade that are no surnames."""
    paper = " ".join([*(row["words"] for row in reference.rows("invoice_labels")), *MONTHS, _AGAIN])
    names = {row["word"] for row in reference.rows("trade_words") if row["also_a_name"]}
    return known_words([paper]) - (names - set(_PARTS.findall(paper.casefold())))


def _is_known(word: str) -> bool:
    return word.casefold() in _known()


def _stay(words: list[str], gaps: list[str]) -> list[bool]:
    """Which words stay: behind figures and a hidden word only known ones, and no short one beside a hidden word."""
    stays: list[bool] = []
    begun = closed = False
    for at, word in enumerate(words):
        is_front = _is_front(at, words, gaps)
        beside = bool(stays) and not stays[-1] and not is_front
        loose = _has_figure(word) or is_front or (_is_short(word) and not beside)
        stays.append(_is_known(word) or (loose and not closed))
        begun |= _has_figure(word)
        closed |= begun and not stays[-1]
    return [
        stay and (after or _has_figure(word) or _is_known(word) or not _is_short(word))
        for word, stay, after in zip(words, stays, [*stays[1:], True], strict=True)
    ]


def _has_figure(word: str) -> bool:
    return any(map(str.isdigit, word))


def _is_front(at: int, words: list[str], gaps: list[str]) -> bool:
    """Whether the word begins a number that goes on without a blank, as a series does."""
    while at + 1 < len(words) and gaps[at] in ("-", ".", "/"):
        at += 1
        if _has_figure(words[at]):
            return True
    return False


def told_apart(numbers: Iterable[str]) -> dict[str, str]:
    """What each of the numbers is called outside: its hash made nothing, or a running mark in the order given.

    >>> told_apart(["A-1 …\\x1fab", "A-1 …\\x1fcd", "A-2 …\\x1fab", "A-1 …\\x1fab COPY", "A-3"])
    {'A-1 …\\x1fab': 'A-1 …', 'A-1 …\\x1fcd': 'A-1 …2', 'A-2 …\\x1fab': 'A-2 …', 'A-1 …\\x1fab COPY': 'A-1 … COPY', 'A-3': 'A-3'}
    """
    seen: dict[str, dict[str, int]] = {}
    found = {}
    for number in dict.fromkeys(numbers):
        hashed = _HASHED.search(number)
        if hashed is None:
            found[number] = number
            continue
        beside = seen.setdefault(" ".join(filter(_has_figure, _PARTS.findall(_HASHED.sub(" ", number)))), {})
        place = beside.setdefault(hashed[1], len(beside) + 1)
        found[number] = _HASHED.sub(HIDDEN if place == 1 else f"{HIDDEN}{place}", number)
    return found
