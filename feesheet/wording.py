"""Lab wordings without the names of people: an allow-list. Only words that the trade or the practice uses are kept.

No list of people's names can be complete, so none is used: what is not known to be harmless is hidden.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping
from functools import cache, lru_cache
from typing import Any

from feesheet import reference

HIDDEN = "…"
"""What stands for hidden words."""

SHADE = r"(?:[A-D][1-4](?:[.,]5)?|BL[1-4]|[01O]M[1-3]|[1-5][LMR][1-3](?:[.,]5)?|ND[1-9])"
"""Shade codes of the usual guides as they stand in a text: A2, BL2, OM1, 3M2, and ND3 of a stump."""

LONGEST = 500
"""Letters of a text that are looked at; what is beyond is hidden."""
_WHOLE = re.compile(
    rf"{SHADE}|ZrO[2₂]|Al2O3|[345]Y(?:-?(?:TZP|PSZ))?|\d[DX]|#?(?:UR|UL|LL|LR)[1-8A-E]|#?\d{{1,2}}(?:-x)+-\d{{1,2}}|#[A-T]",
    re.IGNORECASE,
)
"""Signs of letters and figures that name a shade, a material or teeth, and nobody."""
_NUMBER = re.compile(
    r"[#№]?[-–−+]?[$€£]?(?:\d{1,2}|\d{1,3}%|\d{1,2}[-–—/x×:&+]\d{1,2}|\d{1,2}(?:,\d{1,2})+|\d{1,3}(?:[.,]\d{3})*[.,]\d{1,2}|\d[.,]\d{1,3})"
    r"(?:%|[$€£]|[xX×]|mm|g|dwt)?",
)
"""Counts, percentages, amounts, weights and teeth: figures too short to be the number of a person, a case or a telephone."""
_PIECE = re.compile(r"(?:(?<=\d),(?=\d)|[^\s,;|()\[\]{}<>\"“”„«»…])+")
_PLACE = re.compile(r"\S*(?:://|www\.|\w@\w)\S*", re.IGNORECASE)
_RUN = re.compile(r"\+?\(?\d[\d\s()/.+–-]{5,}\d")
_FIGURE = re.compile(r"\d")
_WORD = re.compile(r"[^\W\d_]+")
_BESIDE = re.compile(r"[\s#%&+/.,;:()\-–—=*×@!?$€£\"'“”’|\[\]<>{}]*")
_GRADES = frozenset({"high", "hi", "semi", "non"})
"""Words that no surname follows."""
_SHORTEST = 4
"""Letters of the shortest part of a compound: shorter ones would let any word through."""
_EDGES = ".:!?'’*-–—=/&+"


@cache
def trade_words() -> frozenset[str]:
    """The words of `shared/trade_words.csv`, as `clean` compares them."""
    return frozenset(form for row in reference.rows("trade_words") for form in _forms(row["word"]))


@cache
def _also_names() -> frozenset[str]:
    """Words that the trade needs and that are surnames too."""
    return frozenset(
        form for row in reference.rows("trade_words") if row["also_a_name"] for form in _forms(row["word"])
    )


@cache
def _kept_after() -> dict[str, frozenset[str]]:
    """Surnames that are plain words of the trade too after certain others: "noble" after "high" or "PFM"."""
    return {row["word"]: frozenset(row["kept_after"].split()) for row in reference.rows("trade_words")}


@cache
def _compounding() -> tuple[frozenset[str], frozenset[str]]:
    """Words of which German compounds are made: all of them, and those that may end one."""
    rows = [row for row in reference.rows("trade_words") if len(row["word"]) >= _SHORTEST]
    german = {form for row in rows if row["meaning"] == "German" for form in _forms(row["word"])}
    others = {row["word"] for row in rows if row["meaning"] in ("restoration", "material")}
    return frozenset(german | others), frozenset(german)


def known_words(lists: Iterable[str]) -> frozenset[str]:
    """Every word of the given texts and of the trade, as `clean` compares them. A single letter is never known.

    >>> known_words(["Testalloy 3"]) - trade_words()
    frozenset({'testalloy'})
    """
    words = {word for text in lists for word in _WORD.findall(unicodedata.normalize("NFC", str(text)))}
    return trade_words() | {form for word in words if len(word) > 1 for form in _forms(word)}


def practice_words(tables: Mapping[str, Any]) -> frozenset[str]:
    """The words of the trade and of the practice's own lists: product names, materials and alloys.

    `tables` are the frames of a practice. The names of labs are left out: they may be people's.
    """
    lists = (
        *tables["product_map"]["wording"],
        *tables["materials"]["material"],
        *tables["alloys"]["alloy"],
        *reference.line_kinds(),
        *reference.metals(),
        *reference.tooth_regions(),
    )
    return known_words(str(words) for words in lists)


def clean(text: str, known: frozenset[str]) -> str:
    """The text with every unknown word, id, date, address and telephone number made "…".

    A word that is a surname too, such as gold, is hidden beside a hidden word. German words in one are known if
    all their parts are words of the trade.

    >>> clean("SMITH J #30 FCZ crown", frozenset({"fcz", "crown"}))
    '… #30 FCZ crown'
    >>> clean("Gold, Anna: crown A2, MRN-204", known_words([]))
    '…: crown A2, …'
    >>> clean("PFM noble Smith", known_words([])), clean("Vollzirkonkrone Goldberg", known_words([]))
    ('PFM noble …', 'Vollzirkonkrone …')
    """
    line = unicodedata.normalize("NFC", text[:LONGEST]) + (HIDDEN if len(text) > LONGEST else "")
    line = _RUN.sub(_hide_long, _PLACE.sub(HIDDEN, line))
    pieces, gaps = _taken_apart(line)
    shown = [_shown(piece, known) for piece in pieces]
    _hide_neighbours(pieces, shown, gaps)
    whole = gaps[0] + "".join(piece + gap for piece, gap in zip(shown, gaps[1:], strict=True))
    return re.sub(r"…(?:[\s,.;/'’&+_-]*…)+", HIDDEN, whole).strip()


def _forms(word: str) -> set[str]:
    """A word in small letters, with and without its accents."""
    if word.isascii():
        return {word.lower()}
    low = unicodedata.normalize("NFC", word.lower())
    bare = "".join(
        letter for letter in unicodedata.normalize("NFKD", low) if not unicodedata.combining(letter)
    )
    return {low, bare}


def _hide_long(run: re.Match[str]) -> str:
    """A run of figures hidden if it has as many as a telephone number."""
    return HIDDEN if sum(letter.isdigit() for letter in run[0]) >= 7 else run[0]


def _taken_apart(line: str) -> tuple[list[str], list[str]]:
    """The pieces between spaces and brackets, and the gaps round them: one more than pieces."""
    pieces, gaps, end = [], [], 0
    for found in _PIECE.finditer(line):
        core = found[0].strip(_EDGES)
        start = found.start() + (found[0].find(core) if core else 0)
        if not core:
            continue
        gaps.append(_gap(line[end:start]))
        pieces.append(core)
        end = start + len(core)
    return pieces, [*gaps, _gap(line[end:])]


def _gap(text: str) -> str:
    """What stands between two pieces, kept if it is plain punctuation or was hidden before."""
    return text if all(_BESIDE.fullmatch(part) for part in text.split(HIDDEN)) else f" {HIDDEN} "


def _shown(piece: str, known: frozenset[str]) -> str:
    """One piece as it may be shown: whole, in part, or hidden."""
    if _WHOLE.fullmatch(piece) or _NUMBER.fullmatch(piece):
        return piece
    parts = re.split(r"([^\w]+|_+)", piece)
    words, marks = parts[::2], parts[1::2]
    if any(letter.isdigit() for letter in piece):
        if not _WORD.search(piece):
            return HIDDEN
        return piece if all(not word or _harmless(word, known) for word in words) else HIDDEN
    if not all(_BESIDE.fullmatch(mark) or mark.strip("_") == "" for mark in marks):
        return HIDDEN
    made = [word if not word or _is_known(word, known) else HIDDEN for word in words]
    if HIDDEN in made:
        made = [HIDDEN if _forms(word) & _also_names() else word for word in made]
    return "".join(word + mark for word, mark in zip(made, [*marks, ""], strict=True))


def _harmless(word: str, known: frozenset[str]) -> bool:
    """Whether one part of a piece with figures tells nothing of a person."""
    short = word.isascii() and word.isdigit() and len(word) <= 2
    return short or bool(_WHOLE.fullmatch(word)) or _is_known(word, known)


def _is_known(word: str, known: frozenset[str]) -> bool:
    forms = _forms(word)
    return bool(forms & known) or any(_is_compound(form) for form in forms)


@lru_cache(maxsize=20_000)
def _is_compound(word: str, most: int = 3) -> bool:
    """Whether a word in small letters is two or three of the trade in one, of which one is no surname."""
    parts, last = _compounding()
    for at in range(_SHORTEST, len(word) - _SHORTEST + 1):
        if word[:at] not in parts:
            continue
        for joint in ("", "s", "n", "en"):
            rest = word[at:].removeprefix(joint)
            names = {word[:at], rest} <= _also_names()
            if (rest in last and not names) or (most > 2 and _is_compound(rest, most - 1)):
                return True
    return False


def _hide_neighbours(pieces: list[str], shown: list[str], gaps: list[str]) -> None:
    """Hide words that are surnames too where a hidden word stands before or after them."""
    places = range(len(pieces))
    for order in (places, reversed(places)):
        for at in order:
            names = shown[at] == pieces[at] and _forms(pieces[at]) & _also_names()
            if names and not _belongs(at, pieces, shown, gaps):
                beside = [near for near in (at - 1, at + 1) if 0 <= near < len(shown)]
                hidden = any(HIDDEN in shown[near] and not _FIGURE.search(pieces[near]) for near in beside)
                shown[at] = HIDDEN if hidden else shown[at]


def _belongs(at: int, pieces: list[str], shown: list[str], gaps: list[str]) -> bool:
    """Whether the word before makes a surname a word of the trade, as in "PFM noble", unless it is written as in "Noble, John"."""
    if at == 0 or HIDDEN in shown[at - 1] or gaps[at].strip(" -"):
        return False
    before = pieces[at - 1].lower()
    follows = before in _kept_after().get(pieces[at].lower(), ())
    as_name = "," in gaps[at + 1] and not pieces[at].islower() and before not in _GRADES
    return follows and not as_name
