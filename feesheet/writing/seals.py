"""Seals: two characters for every cell, so that `feesheet audit` can name each one that was typed over.

A figure is sealed by its first 15 digits, words as they are, a formula by its relative form, so that a whole
column has one seal and a program that saves the workbook again does not break it.
"""

from __future__ import annotations

import re
import zlib
from typing import Any

from feesheet.formula.excel import row_mark

SHEET = "Seals"
BLANK = ".."
_ALPHABET = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_"
_REFERENCE = re.compile(r"(?<![A-Za-z_])(\$?)([A-Z]{1,3})(\$?)(\d+)(?![\w(])")


def seal(content: str) -> str:
    """The two characters of a content."""
    code = zlib.crc32(content.encode())
    return _ALPHABET[code & 63] + _ALPHABET[(code >> 6) & 63]


def seal_of_value(value: Any) -> str:
    """The seal of a figure or of words. A file keeps 16 digits: the figure is sealed as it will be read again."""
    return seal(value if isinstance(value, str) else f"{float(f'{float(value):.16g}'):.15g}")


def seal_of_formula(formula: str, row: int) -> str:
    """The seal of a formula standing in that row (counted from 1)."""
    return seal(relative(formula, row))


def relative(formula: str, row: int) -> str:
    """A formula with its rows counted from its own, fixed rows aside, and without what programs write differently.

    >>> relative("=A7*$B$2", 7) == relative("A8 * $B$2", 8)
    True
    """

    def shifted(found: re.Match[str]) -> str:
        fixed = found[3] or ""
        return f"{found[2]}{found[4]}" if fixed else f"{found[2]}[{int(found[4]) - row}]"

    parts = formula.removeprefix("=").split('"')
    for position in range(0, len(parts), 2):
        parts[position] = _REFERENCE.sub(shifted, parts[position].replace(" ", "").replace("'", ""))
    return "=" + '"'.join(parts)


def marked(formula: str, row: int) -> str:
    """The formula with marks in place of rows counted from its own: what `at_rows` makes into one for every row."""

    def shifted(found: re.Match[str]) -> str:
        return found[0] if found[3] else f"{found[1]}{found[2]}{row_mark(int(found[4]) - row)}"

    parts = formula.split('"')
    parts[::2] = [_REFERENCE.sub(shifted, part) for part in parts[::2]]
    return '"'.join(parts)


def row_text(seals: dict[int, str]) -> str:
    """The seals of one row, by column, as one text."""
    return "".join(seals.get(column, BLANK) for column in range(max(seals) + 1))
