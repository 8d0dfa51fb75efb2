"""Which teeth a lab's words name, as two-digit codes of ISO 3950, in the notation that the lab uses.

Quadrants 1 to 4 are upper right, upper left, lower left and lower right (5 to 8 for primary teeth); the
second digit counts from the midline. The universal notation numbers 1 to 32 from the upper right third
molar round to the lower right one, and A to T for primary teeth.
"""

from __future__ import annotations

import re

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

_QUADRANTS = {"UR": 10, "UL": 20, "LL": 30, "LR": 40}
_AREAS = re.compile(
    r"Q[1-4]|UR|UL|LL|LR|UPPER|LOWER|MAXILLA|MANDIBLE|UPPER ARCH|LOWER ARCH|FULL MOUTH|BOTH ARCHES"
)
_SEPARATORS = re.compile(r"\s*(?:[,;/&+]|\bAND\b)\s*|\s+")
_RANGE = re.compile(r"(#?[A-Z0-9]+?)\s*(?:[-–—X]|\bTO\b)\s*(#?[A-Z]{0,2}[0-9]+|#?[A-T])")


def parse_teeth(text: str, notation: str) -> tuple[int, ...] | None:
    """ISO codes of the teeth that a cell names; () where it names none, None where it can't be understood.

    `notation` is "ISO" or "universal". A range runs along the arch in the order in which teeth stand.

    >>> parse_teeth("#14", "universal"), parse_teeth("14", "ISO"), parse_teeth("3-5", "universal")
    ((26,), (14,), (16, 15, 14))
    """
    words = " ".join(text.upper().split())
    if not words or _AREAS.fullmatch(words):
        return ()
    whole = _RANGE.fullmatch(words)
    if whole:
        return _between(whole[1], whole[2], notation)
    found: list[int] = []
    for part in _SEPARATORS.split(re.sub(r"\s*([-–—])\s*", r"\1", words)):
        span = _RANGE.fullmatch(part)
        codes = _between(span[1], span[2], notation) if span else _one(part, notation)
        if codes is None:
            return None
        found += codes
    return tuple(dict.fromkeys(found))


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
