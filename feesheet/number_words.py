"""Numbers that are typed as words: signs, currencies, thousands, and which mark is the decimal one.

The decimal mark is decided once for all words of a sheet, from those that can be read in one way only.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from feesheet import reference

SIGNS = frozenset("$€£¥₹₩₺₽₴₪฿")
"""Signs of currencies."""
_SPACES = re.compile(r"[\s\u00a0\u2007\u2009\u202f'’]+")
_LOOSE = re.compile(rf"\d{_SPACES.pattern}(?:\d{{1,2}}(?!\d)|\d{{4,}})|\d{{4,}}{_SPACES.pattern}\d")
"""Digits apart that are no groups of three, such as "14 15"."""
_NOUGHTS = re.compile(r"[.,][-–—]$")
"""What some countries write for "and no cents", as in 5,-"""
_LETTERS = re.compile(r"^([A-Za-z]{2,3}\.?)?(.*?)([A-Za-z]{2,3}\.?)?$")
_BODY = re.compile(r"\d[\d.,]*|[.,]\d+")
_DIGIT = re.compile("[0-9]")
_MARKED = re.compile(f"[A-Za-z{''.join(SIGNS)}]")
"""Signs without which a text shows no currency."""
LONGEST = 200
"""Signs of a text, loose ones among them, beyond which it is no number; what is longer is not looked into."""


@dataclass(frozen=True)
class NumberWord:
    """A text that may be a number: its digits and marks, sign, and whether a % or a currency stood by it."""

    body: str
    negative: bool
    percent: bool = False
    currency: str = ""


def taken_apart(text: str) -> NumberWord | None:
    """The parts of a text number, None for a text that is none.

    >>> taken_apart("18 %").percent, taken_apart("€ 12,50").currency
    (True, '€')
    >>> taken_apart("185.00 CR").negative, taken_apart("185.00-").negative, taken_apart("incl.")
    (True, True, None)
    """
    if len(text) > LONGEST or _DIGIT.search(text) is None or _LOOSE.search(text):
        return None
    words = (
        _NOUGHTS.sub("", _SPACES.sub("", text))
        .replace("−", "-")
        .replace("–", "-")
        .replace("\u2010", "-")
        .replace("\u2011", "-")
    )
    negatives = 0
    if words.startswith("(") and words.endswith(")"):
        words, negatives = words[1:-1], 1
    if words[-2:].upper() in ("CR", "DR") and len(words) > 2:
        negatives += words[-2:].upper() == "CR"
        words = words[:-2]
    words, currency = _without_currency(words)
    if words[:1] in ("-", "+") or words[-1:] == "-":
        negatives += words.startswith("-") or words.endswith("-")
        words = words.removeprefix("-").removeprefix("+") if words[:1] in "-+" else words[:-1]
        words, currency = _without_currency(words) if not currency else (words, currency)
    percent = words.endswith("%")
    words = words.removesuffix("%")
    if negatives > 1 or not _BODY.fullmatch(words) or not words.isascii():
        return None
    return NumberWord(words, negatives == 1, percent, currency)


def _without_currency(words: str) -> tuple[str, str]:
    if _MARKED.search(words) is None:
        return words, ""
    for sign in (words[:1], words[-1:]):
        if sign in SIGNS:
            return words.strip(sign), sign
    if words[:1] == "-" and words[1:2] in SIGNS:
        return "-" + words[2:], words[1]
    match = _LETTERS.match(words)
    if match and (match[1] or match[3]):
        code = (match[1] or match[3]).rstrip(".").upper()
        if not (match[1] and match[3]) and (code in reference.minor_digits() or code in ("KR", "FR", "ZL")):
            return match[2], code
    return words, ""


def decimal_of(body: str) -> str:
    """The decimal mark that a body shows for certain: "." or ",", "" where it shows none.

    >>> decimal_of("1.234,56"), decimal_of("1,234"), decimal_of("1.234.567"), decimal_of("0.125")
    (',', '', ',', '.')
    """
    point, comma = body.count("."), body.count(",")
    if point and comma:
        return "." if body.rfind(".") > body.rfind(",") else ","
    if point + comma == 0:
        return ""
    mark, other = (".", ",") if point else (",", ".")
    if point + comma > 1:
        return other
    whole, _, rest = body.partition(mark)
    grouped = len(rest) == 3 and 1 <= len(whole) <= 3 and not whole.startswith("0")
    return "" if grouped else mark


def decimal_marks(texts: Iterable[str]) -> dict[str, str]:
    """For each decimal mark shown for certain by any of the texts, the first such text."""
    shown: dict[str, str] = {}
    for text in texts:
        word = taken_apart(text)
        mark = decimal_of(word.body) if word else ""
        if mark:
            shown.setdefault(mark, text)
    return shown


def value(word: NumberWord, decimal: str) -> float | None:
    """The number, read with that decimal mark; None where thousands are not grouped, in threes or as in 1,23,456.

    >>> value(taken_apart("1,23,456.00"), "."), value(taken_apart("1,2,345.00"), ".")
    (123456.0, None)
    """
    group = "," if decimal == "." else "."
    whole, mark, rest = word.body.partition(decimal)
    if group in rest or decimal in rest:
        return None
    parts = whole.split(group)
    if len(parts) > 1 and not _are_grouped([len(part) for part in parts], group):
        return None
    number = float("".join(parts) + (f".{rest}" if mark and rest else "") or "0")
    number = number / 100 if word.percent else number
    return -number if word.negative else number


def _are_grouped(lengths: list[int], mark: str) -> bool:
    """Whether digits are grouped in threes, or, as in India, by commas in twos before the last three."""
    first, *inner, last = lengths
    threes = 1 <= first <= 3 and all(length == 3 for length in inner)
    twos = mark == "," and first <= 2 and all(length == 2 for length in inner)
    return last == 3 and (threes or twos)
