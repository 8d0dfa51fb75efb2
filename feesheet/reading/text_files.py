"""Rows of a comma-separated file, its encoding and its delimiter found from what it holds."""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from collections.abc import Iterable
from pathlib import Path

from feesheet.reading.gate import Refusal

DELIMITERS = ";,\t|"
_INSIDE = re.compile(r"(?<=\d),(?=\d)|,(?= )")
"""Commas that may belong to a number or a sentence."""
_SAVE_AGAIN = 'Save it again as "CSV UTF-8" from your spreadsheet program.'


def rows(path: Path) -> list[list[str]]:
    """All rows as text, cells trimmed, each with its own length."""
    data = path.read_bytes()
    codec = encoding(data)
    head = data[:40000].decode(codec, errors="replace").removeprefix("\ufeff")
    stated = head[4] if head.startswith("sep=") and head[4:5] in DELIMITERS else ""
    lines = io.TextIOWrapper(io.BytesIO(data), encoding=codec, errors="replace", newline="")
    found = _split(lines, stated or delimiter(head))
    if stated:
        found[0] = []
    return found


def _split(lines: Iterable[str], mark: str) -> list[list[str]]:
    """Rows of trimmed cells; equal cells are kept once, which is what lets a long file fit into memory."""
    known: dict[str, str] = {}
    keep = known.setdefault
    try:
        return [
            [keep(cell, cell) for cell in map(str.strip, line)] for line in csv.reader(lines, delimiter=mark)
        ]
    except csv.Error as fault:
        raise Refusal(
            "not a workbook", "The file can't be split into rows and columns.", _SAVE_AGAIN
        ) from fault


def encoding(data: bytes) -> str:
    """How the file's text is written: UTF-16 where it says so, else UTF-8, else Windows-1252."""
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return "utf-16"
    if b"\0" in data:
        raise Refusal("not a workbook", "The file holds bytes that are not text.", _SAVE_AGAIN)
    try:
        data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return "cp1252"
    return "utf-8-sig"


def delimiter(text: str) -> str:
    """The mark that splits the first lines into the same number of columns most often.

    A comma between digits or before a space divides columns only where no other mark can.

    >>> delimiter("a;b;c\\n1,5;2,5;3\\n4;5;6,25"), delimiter("a,b\\n1,2"), delimiter("No;7\\na;b;c\\nx;1,50;1,50")
    (';', ',', ';')
    """
    head = io.StringIO(text[:20000], newline="")
    lines = [line for line in head.read().splitlines()[:40] if line.strip()]
    sure = [_INSIDE.sub("", line) for line in lines]
    found = {mark: _evidence(sure, mark) for mark in DELIMITERS}
    if not any(times for times, _ in found.values()):
        found = {mark: _evidence(lines, mark) for mark in DELIMITERS}
    return max(DELIMITERS, key=found.__getitem__)


def _evidence(lines: list[str], mark: str) -> tuple[int, int]:
    """How many lines have the commonest number of columns (more than one), and that number."""
    try:
        counts = Counter(len(line) for line in csv.reader(lines, delimiter=mark))
    except csv.Error:
        return 0, 0
    wide = [(times, width) for width, times in counts.items() if width > 1]
    return max(wide, default=(0, 0))
