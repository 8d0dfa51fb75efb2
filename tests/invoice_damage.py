"""Ways in which an invoice file is hurt: bytes, parts of a workbook, cells and rows. The same for the same seed."""

from __future__ import annotations

import io
import random
import zipfile
from collections.abc import Callable
from typing import Any

from invoice_layouts import Paper

_SCRAPS = (
    b"\0",
    b"\xff\xfe",
    b"<",
    b">",
    b"&",
    b"&#0;",
    b"&#x1F600;",
    b"]]>",
    b"<![CDATA[",
    b'"',
    b"'",
    b"-",
    b"1e999",
    b"NaN",
    b"9" * 400,
    b"\xe2\x80\xae",
    b"\xc3\x28",
    b"=1+1",
    b"\r\n",
    b";",
    b",",
    b"<!DOCTYPE x>",
    b" " * 1000,
    b"0",
    b"7",
    b".",
)
"""Bytes that readers stumble over."""

_ODD_CELLS: tuple[Any, ...] = (
    "",
    " ",
    "Total",
    "Invoice",
    "#REF!",
    "=A1",
    "1e5",
    "1e999",
    "-0",
    "(5.00)",
    "12,5,0",
    "∞",
    "\u202e12",
    "x" * 3000,
    0,
    -1,
    1e15,
    1e-9,
    46085,
    "29/02/2027",
    "00/00/0000",
    "5-Mar",
    "N/C",
    "½",
    "٣",
    "\t",
    "Page 2",
    "Amount",
    "2.1 dwt",
    "#99",
    "1-32",
)
"""Cells that nobody expects where they stand."""


def damaged_bytes(data: bytes, rng: random.Random) -> bytes:
    """One to four spots overwritten, cut, doubled, moved or filled with a scrap."""
    hurt = bytearray(data)
    for _ in range(rng.randint(1, 4)):
        if not hurt:
            break
        at = rng.randrange(len(hurt))
        to = min(len(hurt), at + rng.choice((1, 1, 1, 4, 40, 400)))
        way = rng.randrange(6)
        if way == 0:
            hurt[at] = rng.randrange(256)
        elif way == 1:
            del hurt[at:to]
        elif way == 2:
            hurt[at:at] = hurt[at:to]
        elif way == 3:
            piece = hurt[at:to]
            del hurt[at:to]
            spot = rng.randrange(len(hurt) + 1)
            hurt[spot:spot] = piece
        elif way == 4:
            hurt[at:at] = rng.choice(_SCRAPS)
        else:
            hurt[at] ^= 1 << rng.randrange(8)
    return bytes(hurt)


def damaged_part(data: bytes, rng: random.Random) -> bytes:
    """A workbook of which one part is hurt and packed again, so that the damage gets past the packing."""
    with zipfile.ZipFile(io.BytesIO(data)) as book:
        parts = {name: book.read(name) for name in book.namelist()}
    telling = [name for name in sorted(parts) if "sheet" in name or "shared" in name or "workbook" in name]
    chosen = rng.choice(telling if rng.random() < 0.9 else sorted(parts))
    parts[chosen] = damaged_bytes(parts[chosen], rng)
    if rng.random() < 0.02:
        del parts[chosen]
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as book:
        for name, part in parts.items():
            book.writestr(name, part)
    return packed.getvalue()


def damaged_digit(data: bytes, rng: random.Random) -> bytes:
    """One digit of the text made another one."""
    digits = [at for at, byte in enumerate(data) if 48 <= byte <= 57]
    hurt = bytearray(data)
    if digits:
        at = rng.choice(digits)
        hurt[at] = 48 + (hurt[at] - 48 + rng.randint(1, 9)) % 10
    return bytes(hurt)


def damaged_cells(paper: Paper, rng: random.Random) -> Paper:
    """A sheet with one to three rows or cells changed, moved, doubled, cleared or filled with something odd."""
    rows = [list(row) for row in paper.rows]
    for _ in range(rng.randint(1, 3)):
        rng.choice(_WAYS)(rows, rng)
    return Paper(rows, [] if rng.random() < 0.2 else paper.merged)


def _odd(rows: list[list[Any]], rng: random.Random) -> None:
    filled = [row for row in rows if row]
    if filled:
        row = rng.choice(filled)
        row[rng.randrange(len(row))] = rng.choice(_ODD_CELLS)


def _another_number(rows: list[list[Any]], rng: random.Random) -> None:
    found = [(row, at) for row in rows for at, cell in enumerate(row) if isinstance(cell, int | float)]
    if found:
        row, at = rng.choice(found)
        row[at] = round(row[at] * rng.choice((-1, 10, 0.1, 1.01)) + rng.choice((0, 0.01, 1)), 2)


def _gone(rows: list[list[Any]], rng: random.Random) -> None:
    if rows:
        del rows[rng.randrange(len(rows))]


def _twice(rows: list[list[Any]], rng: random.Random) -> None:
    if rows:
        at = rng.randrange(len(rows))
        rows.insert(rng.randrange(len(rows)), list(rows[at]))


def _swapped(rows: list[list[Any]], rng: random.Random) -> None:
    if rows:
        one, other = rng.randrange(len(rows)), rng.randrange(len(rows))
        rows[one], rows[other] = rows[other], rows[one]


def _shifted(rows: list[list[Any]], rng: random.Random) -> None:
    if rows:
        rows[rng.randrange(len(rows))].insert(0, "")


def _without_column(rows: list[list[Any]], rng: random.Random) -> None:
    at = rng.randrange(max(map(len, rows), default=0) or 1)
    for row in rows:
        del row[at : at + 1]


_WAYS: tuple[Callable[[list[list[Any]], random.Random], None], ...] = (
    _odd,
    _odd,
    _another_number,
    _another_number,
    _gone,
    _twice,
    _swapped,
    _shifted,
    _without_column,
)
