"""What a sheet's own XML says that the fast reader cannot tell: errors, formulas never calculated, formats.

A cheap search of the bytes decides whether a sheet has anything of the kind; only then is it parsed cell by
cell. The parser takes any namespace, so that Strict workbooks lose nothing.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from xml.parsers import expat

from feesheet.number_words import SIGNS
from feesheet.reading.gate import column_number

Cell = tuple[int, int]
"""Row and column of a cell, both from 0."""

_UNVALUED = re.compile(
    rb"(?:</(?:\w+:)?f>|<(?:\w+:)?f[^>]*/>)\s*(?:<(?:\w+:)?v\s*/>|<(?:\w+:)?v></(?:\w+:)?v>)?\s*</(?:\w+:)?c>"
)
_MERGED = re.compile(rb"<(?:\w+:)?mergeCell\s+ref=[\"']([A-Z]+)(\d+):([A-Z]+)(\d+)[\"']")
_SIGN = re.compile(r"\[\$([^\]\-]+)[^\]]*\]|\"([^\"]*)\"|([$€£¥₹₩₺₽₴₪฿])")
_ZEROS = re.compile(r"0{2,}")


@dataclass(frozen=True)
class Styles:
    """Of the workbook's cell styles, those that pad a code with zeros (to a width) or show a currency."""

    padded: dict[str, int] = field(default_factory=dict)
    currency: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Facts:
    """Cells of one sheet that need more than their value; `merged` as (top, left, bottom, right)."""

    errors: dict[Cell, str] = field(default_factory=dict)
    unvalued: frozenset[Cell] = frozenset()
    padded: dict[Cell, int] = field(default_factory=dict)
    currency: dict[Cell, str] = field(default_factory=dict)
    merged: tuple[tuple[int, int, int, int], ...] = ()


def styles(xml: bytes) -> Styles:
    """The styles worth a second look, by their index as text; nothing where at most one currency is shown."""
    found: dict[str, str] = {}
    indexes: list[str] = []
    inside = [False]

    def start(tag: str, attributes: dict[str, str]) -> None:
        name = tag.rpartition(":")[2]
        if name == "numFmt":
            found[attributes.get("numFmtId", "")] = attributes.get("formatCode", "")
        elif name == "cellXfs":
            inside[0] = True
        elif name == "xf" and inside[0]:
            indexes.append(attributes.get("numFmtId", ""))

    def end(tag: str) -> None:
        if tag.rpartition(":")[2] == "cellXfs":
            inside[0] = False

    _parse(xml, start, end)
    padded = {str(i): len(found[k]) for i, k in enumerate(indexes) if _ZEROS.fullmatch(found.get(k, ""))}
    shown = {str(i): sign for i, k in enumerate(indexes) if (sign := currency_sign(found.get(k, "")))}
    return Styles(padded, shown if len(set(shown.values())) > 1 else {})


def currency_sign(code: str) -> str:
    """The currency that a number format shows, or "" for none.

    >>> currency_sign('#,##0.00 [$EUR]'), currency_sign('"€" 0.00'), currency_sign('0.00" g"')
    ('EUR', '€', '')
    """
    for match in _SIGN.finditer(code):
        word = (match[1] or match[2] or match[3] or "").strip()
        if word and (match[1] or word in SIGNS or (word.isupper() and len(word) == 3)):
            return word
    return ""


def facts(xml: bytes, known: Styles) -> Facts:
    """What the sheet's XML says besides its values."""
    merged = _merged(xml) if b"mergeCell " in xml else ()
    if not (known.padded or known.currency or _has_error(xml) or _has_unvalued(xml)):
        return Facts(merged=merged)
    errors: dict[Cell, str] = {}
    unvalued: set[Cell] = set()
    padded: dict[Cell, int] = {}
    currency: dict[Cell, str] = {}
    for cell, kind, style, formula, value in _cells(xml):
        if kind == "e":
            errors[cell] = value
        elif formula and not value and kind != "str":
            unvalued.add(cell)
        if value and style in known.padded and kind in ("", "n"):
            padded[cell] = known.padded[style]
        if value and style in known.currency:
            currency[cell] = known.currency[style]
    return Facts(errors, frozenset(unvalued), padded, currency, merged)


def _merged(xml: bytes) -> tuple[tuple[int, int, int, int], ...]:
    return tuple(
        (int(top) - 1, column_number(left.decode()) - 1, int(bottom) - 1, column_number(right.decode()) - 1)
        for left, top, right, bottom in _MERGED.findall(xml)
    )


def _has_error(xml: bytes) -> bool:
    return b't="e"' in xml or b"t='e'" in xml


def _has_unvalued(xml: bytes) -> bool:
    return any(mark in xml for mark in (b"f>", b"<f ", b":f ")) and bool(_UNVALUED.search(xml))


def _cells(xml: bytes) -> Iterator[tuple[Cell, str, str, bool, str]]:
    """Address (counted where absent), type, style, whether it is a formula, and raw value of each cell."""
    done: list[tuple[Cell, str, str, bool, str]] = []
    at = {"row": -1, "column": -1}
    now: dict[str, str] = {}
    text: list[str] = []
    inside = {"v": False, "f": False}

    def start(tag: str, attributes: dict[str, str]) -> None:
        name = tag.rpartition(":")[2]
        if name == "row":
            at["row"] = int(attributes.get("r", at["row"] + 2)) - 1
            at["column"] = -1
        elif name == "c":
            at["row"], at["column"] = _address(attributes.get("r", ""), at["row"], at["column"] + 1)
            now.clear()
            now.update(attributes)
            text.clear()
            inside["f"] = False
        elif name == "v":
            inside["v"] = True
        elif name == "f":
            inside["f"] = True

    def end(tag: str) -> None:
        name = tag.rpartition(":")[2]
        if name == "v":
            inside["v"] = False
        elif name == "c":
            place = (at["row"], at["column"])
            done.append((place, now.get("t", ""), now.get("s", "0"), inside["f"], "".join(text)))

    def data(words: str) -> None:
        if inside["v"]:
            text.append(words)

    _parse(xml, start, end, data)
    return iter(done)


def _address(reference: str, row: int, column: int) -> Cell:
    match = re.fullmatch(r"([A-Z]{1,3})(\d{1,7})", reference)
    return (int(match[2]) - 1, column_number(match[1]) - 1) if match else (row, column)


def _parse(xml: bytes, start: object, end: object, data: object = None) -> None:
    parser = expat.ParserCreate()
    parser.buffer_text = True
    parser.StartElementHandler = start  # type: ignore[assignment]
    parser.EndElementHandler = end  # type: ignore[assignment]
    if data is not None:
        parser.CharacterDataHandler = data  # type: ignore[assignment]
    parser.Parse(xml, True)
