"""Electronic invoices with bytes changed at random: refused or read, never a breakdown."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest
from e_invoices import Extra, Item, Paper, cii, ubl

from feesheet.reading.gate import Refusal
from feesheet.reading.invoices.cii import CII
from feesheet.reading.invoices.context import Context
from feesheet.reading.invoices.document import Document
from feesheet.reading.invoices.ubl import UBL
from feesheet.reading.invoices.xml_tree import read_xml

PAPER = Paper(
    items=(
        Item("zirconia crown #14", "142.00", extras=(Extra("2.00", False),), reference="C-1"),
        Item("alloy 2.1 dwt", "315.00", parts=(Item("alloy", "315.00", "2.1", "DWT", "150"),)),
        Item("alloy", "-60.00", "-1", "GRM"),
    ),
    extras=(Extra("5.00", False, "Loyal", flag="0"), Extra("12.00", True, "Shipping")),
    taxes=(("404.00", "20"),),
    other_tax=("SEK", "900.00"),
    prepaid="100.00",
    rounding="0.20",
)
PAPERS = [write(paper).encode() for write in (ubl, cii) for paper in (PAPER, replace(PAPER, code="381"))]
DRAWS = 150


def spoiled(data: bytes, rng: random.Random) -> bytes:
    """The file with a few bytes changed, lost, doubled or put where others were."""
    found = bytearray(data)
    for _ in range(rng.randint(1, 4)):
        at, size = rng.randrange(len(found)), rng.randint(1, 40)
        match rng.randrange(5):
            case 0:
                found[at] = rng.randrange(256)
            case 1:
                del found[at : at + size]
            case 2:
                found[at:at] = found[at : at + size]
            case 3:
                found[at : at + 1] = rng.choice(
                    (b"<", b">", b"&", b'"', b"\0", b"9", b"-", b".", b"e", b"\xc3")
                )
            case _:
                found = found[: max(1, at)] if rng.random() < 0.2 else found
    return bytes(found)


def respelled(data: bytes, rng: random.Random) -> bytes:
    """The file with the words of one element changed, so that it stays well-formed."""
    words = rng.choice(
        (b"", b"x", b"-0", b"1e999", b"NaN", b"99999999999999999999", b" 7 ", b"0.005", b"\xe2\x88\x925")
    )
    parts = data.split(b">")
    at = rng.choice([i for i, part in enumerate(parts) if b"</" in part and not part.startswith(b"<")])
    parts[at] = words + parts[at][parts[at].index(b"</") :]
    return b">".join(parts)


def read(data: bytes) -> list[Document]:
    """What is made of a file, nothing for one that is refused or of no standard."""
    try:
        root = read_xml(data)
    except Refusal:
        return []
    return [
        document
        for reader in (UBL, CII)
        if reader.suits(root, Context())
        for document in reader.read(root, Context())
    ]


@pytest.mark.parametrize("data", PAPERS)
def test_changed_bytes_never_break_the_reading(data: bytes) -> None:
    """Whatever the bytes, the file is refused or read; lines keep places within the file."""
    rng = random.Random(1)
    assert len(read(data)[0].lines) == 8

    for _ in range(DRAWS):
        damaged = spoiled(data, rng)
        for document in read(damaged):
            assert all(1 <= line.row <= damaged.count(b"\n") + 1 for line in document.lines)


@pytest.mark.parametrize("data", PAPERS)
def test_changed_words_never_break_the_reading(data: bytes) -> None:
    """Whatever one element says, the file is read, and an amount lost is told."""
    rng = random.Random(2)

    for _ in range(DRAWS):
        for document in read(respelled(data, rng)):
            unread = any(line.amount != line.amount for line in document.lines)
            assert document.problems or not unread
