"""Rows of a comma-separated file, its encoding and its delimiter found from what it holds."""

from __future__ import annotations

import csv
import io
from collections import Counter
from pathlib import Path

from feesheet.reading.gate import Refusal

DELIMITERS = ";,\t|"


def rows(path: Path) -> list[list[str]]:
    """All rows as text, cells trimmed, each with its own length."""
    text = decoded(path.read_bytes())
    if text.startswith("sep=") and len(text) > 4:
        first, _, rest = text.partition("\n")
        lines = _split("\n" + rest, first[4])
    else:
        lines = _split(text, delimiter(text))
    return lines


def _split(text: str, mark: str) -> list[list[str]]:
    known: dict[str, str] = {}
    keep = known.setdefault
    try:
        lines = csv.reader(io.StringIO(text, newline=""), delimiter=mark)
        return [[keep(cell, cell) for cell in map(str.strip, line)] for line in lines]
    except csv.Error as fault:
        raise Refusal(
            "not a workbook",
            "The file can't be split into rows and columns.",
            'Save it again as "CSV UTF-8" from your spreadsheet program.',
        ) from fault


def decoded(data: bytes) -> str:
    """The text of the file: UTF-16 where it says so, else UTF-8, else Windows-1252."""
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return data.decode("utf-16", errors="replace")
    if b"\0" in data:
        raise Refusal(
            "not a workbook",
            "The file holds bytes that are not text.",
            'Save it again as "CSV UTF-8" from your spreadsheet program.',
        )
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace")


def delimiter(text: str) -> str:
    """The mark that splits the first lines into the same number of columns most often.

    >>> delimiter("a;b;c\\n1,5;2,5;3\\n4;5;6,25"), delimiter("a,b\\n1,2")
    (';', ',')
    """
    head = io.StringIO(text[:20000], newline="")
    lines = [line for line in head.read().splitlines()[:40] if line.strip()]
    return max(DELIMITERS, key=lambda mark: _evidence(lines, mark))


def _evidence(lines: list[str], mark: str) -> tuple[int, int]:
    """How many lines have the commonest number of columns (more than one), and that number."""
    try:
        counts = Counter(len(line) for line in csv.reader(lines, delimiter=mark))
    except csv.Error:
        return 0, 0
    wide = [(times, width) for width, times in counts.items() if width > 1]
    return max(wide, default=(0, 0))
