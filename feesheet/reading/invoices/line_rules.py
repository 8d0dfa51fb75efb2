"""The rules of `shared/line_words.csv`, which tell the kind of an invoice line: the first that holds decides.

A row's columns: `words` (phrases with | between them, blank for any text), `also` (one of these must be there too),
`unless` (none of these may), `sign` of the amount (negative, positive, none), `crown` (see `_placed`), `weight` (yes
or no), `total` (what a row of totals is), `kind` and `source`.
"""

from __future__ import annotations

import re
from functools import lru_cache

from feesheet import reference
from feesheet.phrases import ends, first, spaced, starts

_NOWHERE = 1_000_000
_OTHER_WORD, _OTHER_FIGURE = "xxxx", "9999"
"""What stands for a word and a figure of which no rule speaks: with them, texts of many patients are one."""
_BEFORE = "for|on|under|per|each|fur|auf|je|pro|pour|sur|par|para|sobre|voor|op|su"
_ANY = "star0"
"""What stands for "*" while phrases are made plain."""
_FOR = re.compile(rf" (?:{_BEFORE})(?: \w+){{0,2}}$")
"""Words after which a crown is not what is charged for, as in "freight for 2 crowns"."""


def total_of(words: str) -> str:
    """What a row of totals with these spaced words is, "" for any other row.

    >>> total_of(" amount due "), total_of(" zirconia crown ")
    ('due', '')
    """
    return _total_of(_reduced(words))


@lru_cache(maxsize=20_000)
def _total_of(words: str) -> str:
    crown = _crown_at(words)
    rows = (row for row in reference.rows("line_words") if row["total"])
    return next(
        (row["total"] for row in rows if first(words, row["unless"]) < 0 and _begins(row, words, crown)), ""
    )


def names_crown(words: str) -> bool:
    """Whether spaced words name a crown that is charged for, not one that something else is "for"."""
    return _crown_at(_reduced(words)) < _NOWHERE


def ruled(words: str, sign: str, has_weight: bool, crown_named: bool) -> str:
    """The kind that the first rule gives which holds. `words` are spaced; `sign` is negative, positive or none.

    `crown_named` says that the practice's own lists know the text as a crown.

    >>> ruled(" rush fee crown ", "positive", False, False), ruled(" rush ", "positive", False, True)
    ('rush', 'unit fee')
    """
    return _ruled(_reduced(words), sign, has_weight, crown_named)


@lru_cache(maxsize=20_000)
def _ruled(words: str, sign: str, has_weight: bool, crown_named: bool) -> str:
    crown = 0 if crown_named else _crown_at(words)
    return next(
        row["kind"] for row in reference.rows("line_words") if _holds(row, words, sign, has_weight, crown)
    )


def _holds(row: dict[str, str], words: str, sign: str, has_weight: bool, crown: int) -> bool:
    if row["sign"] not in ("", sign) or row["weight"] not in ("", "yes" if has_weight else "no"):
        return False
    at = first(words, row["words"]) if row["words"] else 0
    if at < 0 or (row["also"] and first(words, row["also"]) < 0) or first(words, row["unless"]) >= 0:
        return False
    return _placed(row, words, at, crown)


def _begins(row: dict[str, str], words: str, crown: int) -> bool:
    """Whether a row of totals has its words where a total has them."""
    if row["crown"] == "end":
        return ends(words, row["words"])
    return starts(words, row["words"]) and (row["crown"] != "alone" or crown == _NOWHERE)


def _placed(row: dict[str, str], words: str, at: int, crown: int) -> bool:
    """Whether a rule's words stand where the rule wants them beside a crown that is named at `crown`.

    any: wherever; no: no crown may be named; yes, names: one must be; first: before the crown; start: the text begins so;
    alone: it begins so and no crown is named; end: it ends so.
    """
    where = row["crown"]
    if where in ("start", "alone", "end"):
        return _begins(row, words, crown)
    if where == "first":
        return at < crown
    return where == "any" or (crown < _NOWHERE) == (where != "no")


@lru_cache(maxsize=20_000)
def _crown_at(words: str) -> int:
    """Where the spaced words name a crown that is charged for, a large number where they don't."""
    places = [_NOWHERE]
    for row in reference.rows("line_words"):
        if row["crown"] == "names" and first(words, row["unless"]) < 0:
            at = first(words, row["words"])
            if at >= 0 and not _FOR.search(words[:at]):
                places.append(at)
    return min(places)


def _reduced(words: str) -> str:
    """Spaced words with those of which no rule speaks made alike."""
    return f" {' '.join(map(_reduced_word, words.split()))} " if words.strip() else " "


@lru_cache(maxsize=50_000)
def _reduced_word(word: str) -> str:
    whole, begun, ended, others = _spoken_of()
    if word in whole or word.startswith(begun) or word.endswith(ended) or others.fullmatch(word):
        return word
    return _OTHER_FIGURE if word.isdigit() else _OTHER_WORD


@lru_cache(maxsize=1)
def _spoken_of() -> tuple[frozenset[str], tuple[str, ...], tuple[str, ...], re.Pattern[str]]:
    """Every single word of the rules' phrases: those that stand as they are, beginnings, ends, and a pattern of the rest."""
    columns = ("words", "also", "unless")
    phrases = [row[column].replace("*", _ANY) for row in reference.rows("line_words") for column in columns]
    found = {
        word for text in (*phrases, _BEFORE) for phrase in text.split("|") for word in spaced(phrase).split()
    }
    whole = frozenset(word for word in found if _ANY not in word)
    begun = tuple(
        word.removesuffix(_ANY) for word in found - whole if word.count(_ANY) == 1 and word.endswith(_ANY)
    )
    ended = tuple(
        word.removeprefix(_ANY) for word in found - whole if word.count(_ANY) == 1 and word.startswith(_ANY)
    )
    rest = [
        word
        for word in found - whole
        if word.count(_ANY) > 1 or not (word.startswith(_ANY) or word.endswith(_ANY))
    ]
    others = re.compile("|".join(re.escape(word).replace(_ANY, r"\w*") for word in rest) or r"(?!)")
    return whole, begun, ended, others
