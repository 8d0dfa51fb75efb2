"""Which teeth a lab's words name, as two-digit codes of ISO 3950, in the notation that the lab uses.

Quadrants 1 to 4 are upper right, upper left, lower left and lower right (5 to 8 for primary teeth); the
second digit counts from the midline. The universal notation numbers 1 to 32 from the upper right third
molar round to the lower right one, and A to T for primary teeth. Quadrants may also be written as letters
(UR6) or drawn as corners (6⏌), which mean the same in either notation.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from feesheet.wording import SHADE

_UPPER = tuple(range(18, 10, -1)) + tuple(range(21, 29))
_LOWER = tuple(range(38, 30, -1)) + tuple(range(41, 49))
_PRIMARY_UPPER = tuple(range(55, 50, -1)) + tuple(range(61, 66))
_PRIMARY_LOWER = tuple(range(75, 70, -1)) + tuple(range(81, 86))

ARCHES = (_UPPER, _LOWER, _PRIMARY_UPPER, _PRIMARY_LOWER)
"""The teeth of each arch in the order in which they stand, as ISO codes."""

UNIVERSAL: dict[str, int] = {
    **{str(number): code for number, code in enumerate(_UPPER + _LOWER, start=1)},
    **dict(zip("ABCDEFGHIJKLMNOPQRST", _PRIMARY_UPPER + _PRIMARY_LOWER, strict=True)),
}
"""ISO code of every tooth of the universal notation."""

ISO: dict[str, int] = {str(code): code for arch in ARCHES for code in arch}
"""ISO code of every two-digit tooth name: itself."""

_LONGEST = 300
"""More letters than the names of all teeth have: no cell of teeth."""
_QUADRANTS = {"UR": 10, "UL": 20, "LL": 30, "LR": 40}
_IN_QUADRANT = re.compile(r"\b(?:UR|UL|LL|LR)\s?[1-8A-E](?:\s?[-,/&+]\s?[1-8A-E])*(?![A-Z0-9])")
_AREAS = re.compile(
    r"Q[1-4]|UR|UL|LL|LR|U|MAXILLA|MANDIBLE|OK|UK|(?:FULL|BOTH|UPPER|LOWER) ARCH(?:ES)?|FULL MOUTH|BOTH(?: JAWS)?|ALL(?: TEETH)?"
    r"|(?:UPPER|LOWER)S?(?:\s?(?:[/&+,]|AND)\s?(?:UPPER|LOWER)S?)?|U\s?(?:[/&+,]|AND)\s?L|L\s?(?:[/&+,]|AND)\s?U|OK\s?[/&+,]\s?UK"
)
"""Parts of a mouth, said of a guard or a model: they name no tooth."""
_SURFACES = r"(?!LL)[MODBLFIP]"
_SHADED = rf"{SHADE}(?![A-Z0-9])"
_ENDED = rf"(?=\s*(?:$|[,;/&+]|AND\b)|\s+(?:#?\d|UR|UL|LL|LR|\(?{_SHADED}))"
_BESIDE_TOOTH = re.compile(
    rf"(?<=\d)(?:[\s,;:/(-]+(?:SHADE\s)?{_SHADED}\)?|[\s:-]?(?:\({_SURFACES}{{1,5}}\)|{_SURFACES}{{1,5}}){_ENDED})+"
    rf"|(?:(?<=[UL][RL][A-E])|(?<=\b[A-T]))\s+(?:{_SHADED}|{_SURFACES}{{2,5}}{_ENDED})"
)
"""Shades and surfaces after a tooth, as in "30 (A2)" and "14 MOD"; a letter that follows no number is a primary tooth."""
_INTRODUCED = re.compile(
    r"^(?:TEETH|TOOTH|TTH|NOS?\b\.?|#\s?S(?=\s*#?\d))\s*[:.]?\s*(?:NOS?\b\.?|#\s?S(?=\s*#?\d))?\s*"
)
_SEPARATORS = re.compile(r"\s*(?:[,;/&+]|\b(?:AND|UND|ET)\b)\s*|\s+")
_DASH = re.compile(
    r"\s*[-–—]\s*|\s+(?:TO|THRU|THROUGH|BIS|TOT|À)\s+|(?<=[A-Z0-9])(?:TO|THRU|THROUGH)(?=#?[A-Z0-9])"
)
_CROSS = re.compile(r"(?<=\d)\s*X\s*(?=#?(?:UR|UL|LL|LR)?\d)")
_CORNERS = {
    **dict.fromkeys("⏌┘┙┚┛╯", ("UR", "before")),
    **dict.fromkeys("⎿└┕┖┗╰", ("UL", "after")),
    **dict.fromkeys("⏋┐┑┒┓╮", ("LR", "before")),
    **dict.fromkeys("⎾┌┍┎┏╭", ("LL", "after")),
}
"""Drawn quadrants: a corner shuts off the midline, so figures stand before it on the right side, after it on the left."""
_BEFORE = "".join(sign for sign, (_, side) in _CORNERS.items() if side == "before")
_AFTER = "".join(sign for sign, (_, side) in _CORNERS.items() if side == "after")
_DRAWN = re.compile(rf"([1-8A-E][1-8A-E\s,]*)([{_BEFORE}])|([{_AFTER}])\s*([1-8A-E](?:[\s,]*[1-8A-E])*)")

_BRIDGE = re.compile(
    r"\b(?:bridges?|brücken?|bruecken?|puentes?|ponti?|ponts?|bruggen|brug|fpd)\b", re.IGNORECASE
)
ROLES = frozenset({"single", "retainer", "pontic", "implant"})
"""Ways in which one tooth may be used; "bridge" is said of a span of teeth."""


@dataclass(frozen=True)
class _Part:
    """One tooth or one span of a cell, with the teeth that the cell itself marks as hanging (written x)."""

    teeth: tuple[int, ...]
    hanging: frozenset[int] = frozenset()
    span: bool = False


def parse_teeth(text: str, notation: str) -> tuple[int, ...] | None:
    """ISO codes of the teeth that a cell names; () where it names none, None where it can't be understood.

    `notation` is "ISO" or "universal". A range runs along the arch in the order in which teeth stand.

    >>> parse_teeth("#14", "universal"), parse_teeth("14", "ISO"), parse_teeth("3-5", "universal")
    ((26,), (14,), (16, 15, 14))
    >>> parse_teeth("29-x-31", "universal"), parse_teeth("6┘", "ISO"), parse_teeth("#s 6 thru 8", "universal")
    ((45, 46, 47), (16,), (13, 12, 11))
    """
    parts = _parts(text, notation)
    return None if parts is None else tuple(dict.fromkeys(tooth for part in parts for tooth in part.teeth))


def teeth_with_roles(
    text: str, notation: str, role: str = "", product: str = ""
) -> tuple[tuple[int, str], ...] | None:
    """ISO code and role of each tooth that a cell names; None where the teeth can't be understood.

    A bridge (by `role`, by its product's name or by an x between its teeth) has retainers at the ends of each
    span and pontics inside it, or where the x stands; teeth that are no bridge are single, as many as they are.

    >>> teeth_with_roles("3-5", "universal", product="zirconia bridge")
    ((16, 'retainer'), (15, 'pontic'), (14, 'retainer'))
    >>> teeth_with_roles("14,15", "ISO")
    ((14, 'single'), (15, 'single'))
    """
    parts = _parts(text, notation)
    if parts is None:
        return None
    bridge = role == "bridge" or (not role and _BRIDGE.search(product) is not None)
    found: dict[int, str] = {}
    for part in _spans(parts) if bridge else parts:
        for tooth in part.teeth:
            found.setdefault(tooth, role if role in ROLES else _role(tooth, part, bridge))
    return tuple(found.items())


def infer_notation(texts: Iterable[str]) -> str:
    """The notation that the teeth of a lab show: "ISO" or "universal", "" where they show none or both.

    Only names that one notation alone has count: 33 to 38, 41 to 48 and primary 51 to 85 are ISO, 1 to 10, 19,
    20, 29 and 30 are universal (ISO 3950). The letters A to T are universal too where a lab shows no ISO number
    and writes no quadrants, for in those a letter is a primary tooth in either notation.

    >>> infer_notation(["14", "36"]), infer_notation(["14", "3"]), infer_notation(["36", "3"]), infer_notation(["14"])
    ('ISO', 'universal', '', '')
    >>> infer_notation(["K"]), infer_notation(["LLE", "K"]), infer_notation(["36", "K"])
    ('universal', '', 'ISO')
    """
    shown, quadrants = set[str](), False
    for text in texts:
        words, drawn = _DRAWN.subn(" ", _ready(text[:_LONGEST]))
        words, lettered = _IN_QUADRANT.subn(" ", words)
        quadrants = quadrants or drawn + lettered > 0
        shown.update(
            re.findall(r"(?<![A-Z0-9.,])(?:\d{1,2}|[A-T])(?![A-Z0-9])(?!\.\d)", _without_beside(words))
        )
    iso, universal = shown & ISO.keys() - UNIVERSAL.keys(), shown & UNIVERSAL.keys() - ISO.keys()
    if iso or quadrants:
        universal = {name for name in universal if name.isdigit()}
    return "" if bool(iso) == bool(universal) else "ISO" if iso else "universal"


def _without_beside(words: str) -> str:
    """Teeth in capitals without the shades and surfaces beside them."""
    return _BESIDE_TOOTH.sub("", words)


def _ready(text: str) -> str:
    """The words in capitals, without a heading such as "teeth", their spans with a plain dash."""
    words = _INTRODUCED.sub("", " ".join(text.upper().split()))
    return _CROSS.sub("-", _DASH.sub("-", words))


def _parts(text: str, notation: str) -> list[_Part] | None:
    words = " ".join(text.upper().split())
    if not words or _AREAS.fullmatch(words):
        return []
    if len(words) > _LONGEST:
        return None
    words = _without_beside(_DRAWN.sub(_spelt, _ready(words)).strip())
    found = [_part(piece, notation) for piece in _SEPARATORS.split(words)] if words else [None]
    made = [part for part in found if part is not None]
    return made if len(made) == len(found) else None


def _spelt(drawn: re.Match[str]) -> str:
    """Teeth drawn in a corner as quadrant letters: 76⏌ as UR7 UR6."""
    sign, figures = (drawn[2], drawn[1]) if drawn[2] else (drawn[3], drawn[4])
    return " " + " ".join(_CORNERS[sign][0] + figure for figure in figures if figure.isalnum()) + " "


def _part(word: str, notation: str) -> _Part | None:
    """One tooth, or a chain of them with dashes: two are the ends of a span, more must stand side by side."""
    steps = word.split("-")
    if len(steps) > 1 and re.fullmatch("[1-8]", steps[-1]) and steps[0][:2] in _QUADRANTS:
        steps[-1] = steps[0][:2] + steps[-1]
    if len(steps) == 1:
        one = _one(word, notation)
        return _Part(one) if one else None
    span = _between(steps[0], steps[-1], notation)
    if span is None:
        return None
    if len(steps) == 2:
        return _Part(span, span=True)
    fits = len(span) == len(steps) and all(
        step == "X" or _one(step, notation) == (tooth,) for step, tooth in zip(steps, span, strict=True)
    )
    hanging = frozenset(tooth for step, tooth in zip(steps, span, strict=False) if step == "X")
    return _Part(span, hanging, span=True) if fits else None


def _one(word: str, notation: str) -> tuple[int, ...] | None:
    word = word.removeprefix("#")
    quadrant, position = _QUADRANTS.get(word[:2]), word[2:]
    if quadrant and len(position) == 1 and position in "12345678":
        return (quadrant + int(position),)
    if quadrant and len(position) == 1 and position in "ABCDE":
        return (quadrant + 40 + "ABCDE".index(position) + 1,)
    code = (ISO if notation == "ISO" else UNIVERSAL).get(word)
    return None if code is None else (code,)


def _between(first: str, last: str, notation: str) -> tuple[int, ...] | None:
    start, end = _one(first, notation), _one(last, notation)
    if not start or not end:
        return None
    for arch in ARCHES:
        if start[0] in arch and end[0] in arch:
            low, high = sorted((arch.index(start[0]), arch.index(end[0])))
            span = arch[low : high + 1]
            return span if start[0] == span[0] else span[::-1]
    return None


def _spans(parts: list[_Part]) -> list[_Part]:
    """The teeth of a bridge: its spans as written, and single teeth that stand side by side as one more."""
    loose = {tooth for part in parts if not part.span for tooth in part.teeth}
    made = [part for part in parts if part.span]
    for arch in ARCHES:
        run: list[int] = []
        for tooth in (*arch, 0):
            if tooth in loose:
                run.append(tooth)
            elif run:
                made.append(_Part(tuple(run), span=len(run) > 1))
                run = []
    return made


def _role(tooth: int, part: _Part, bridge: bool) -> str:
    """How a tooth is used where no word says it outright."""
    if part.hanging:
        return "pontic" if tooth in part.hanging else "retainer"
    if not bridge:
        return "single"
    if not part.span:
        return "retainer"
    return "retainer" if tooth in (part.teeth[0], part.teeth[-1]) else "pontic"
