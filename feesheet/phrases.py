"""Whether a text holds one of a list of phrases, whatever its case, accents and punctuation.

Lists of phrases stand in `shared/*.csv` with "|" between them; a "*" at either end of a word stands for any letters.
"""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache

from feesheet import reference

LONGEST = 500
"""Letters of a text that are looked at; a description of more is no description."""
_GAPS = re.compile(r"[^\w%]+|_+")


@lru_cache(maxsize=20_000)
def spaced(text: str) -> str:
    """The words of a text in small letters without accents, one space before and after each.

    >>> spaced("Céramo-métallique, 5%"), spaced("--")
    (' ceramo metallique 5 % ', ' ')
    """
    letters = text[:LONGEST].lower()
    if not letters.isascii():
        letters = unicodedata.normalize("NFKD", letters.replace("ß", "ss"))
        letters = "".join(letter for letter in letters if not unicodedata.combining(letter))
    words = _GAPS.sub(" ", letters).replace("%", " % ").split()
    return f" {' '.join(words)} " if words else " "


def first(words: str, phrases: str) -> int:
    """Where in spaced words the first of the phrases stands, -1 where none does.

    >>> first(spaced("Zirconia crown, remade"), "remake*|remade"), first(spaced("crown"), "remake*")
    (15, -1)
    """
    found = _pattern(phrases).search(words) if phrases else None
    return found.start() if found else -1


def concepts(text: str, group: str) -> dict[str, str]:
    """The concepts of `shared/product_words.csv` of a group that a text names, each with the words that name it.

    Words that one row has taken name nothing more in a later one: "semi-precious" is not "precious" as well.

    >>> concepts("PFM semi-precious", "class"), concepts("Mono ZrO2 crown", "family")
    ({'noble': 'semi precious'}, {'monolithic zirconia': 'mono zro2'})
    """
    words, found = spaced(text), dict[str, str]()
    for row in reference.rows("product_words"):
        if row["group"] != group or first(words, row["unless"]) >= 0:
            continue
        if row["also"] and first(words, row["also"]) < 0:
            continue
        said = named(words, row["words"])
        if said:
            found.setdefault(row["concept"], f"{named(words, row['also'])} {said}".strip())
            words = _pattern(row["words"]).sub(" ", words)
    return found


def named(words: str, phrases: str) -> str:
    """The phrase itself as it stands in the spaced words, "" where none does."""
    found = _pattern(phrases).search(words) if phrases else None
    return found[0].strip() if found else ""


def starts(words: str, phrases: str) -> bool:
    """Whether the spaced words begin with one of the phrases, numbers before it not counted."""
    found = _pattern(phrases).search(words) if phrases else None
    return found is not None and not re.search(r"[^\W\d]", words[: found.start()])


def ends(words: str, phrases: str) -> bool:
    """Whether the spaced words end with one of the phrases, numbers and currencies after it not counted."""
    found = [match.end() for match in _pattern(phrases).finditer(words)] if phrases else []
    return bool(found) and not re.search(
        r"[^\W\d]", re.sub(r" (?:usd|eur|gbp|cad|aud|chf)(?= )", " ", words[found[-1] :])
    )


@lru_cache(maxsize=1_000)
def _pattern(phrases: str) -> re.Pattern[str]:
    """All phrases as one pattern over spaced words, the longer first."""
    made = sorted((_one(phrase) for phrase in phrases.split("|") if phrase.strip()), key=len, reverse=True)
    return re.compile(rf" (?:{'|'.join(made)})(?= )")


def _one(phrase: str) -> str:
    """One phrase as a pattern; its words are spaced as a text's are."""
    inside = spaced(phrase.replace("*", "star0")).strip()
    return re.escape(inside).replace("star0", r"\w*")
