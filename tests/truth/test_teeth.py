"""Tooth numbers of the two notations."""

from __future__ import annotations

import pytest

from feesheet.reference import tooth_regions
from feesheet.teeth import parse_teeth


@pytest.mark.parametrize(
    ("codes", "numbers"),
    [
        (range(18, 10, -1), range(1, 9)),
        (range(21, 29), range(9, 17)),
        (range(38, 30, -1), range(17, 25)),
        (range(41, 49), range(25, 33)),
    ],
)
def test_permanent_teeth(codes: range, numbers: range) -> None:
    """Each quadrant's codes are the universal numbers in order, from the upper right third molar round.

    Source: ISO 3950.
    """
    assert [parse_teeth(str(number), "universal") for number in numbers] == [(code,) for code in codes]
    assert [parse_teeth(str(code), "ISO") for code in codes] == [(code,) for code in codes]


def test_by_arithmetic() -> None:
    """Universal 9-t, 8+t, 25-t and 24+t for position t of quadrants 1 to 4, a bijection onto 1 to 32.

    Source: ISO 3950.
    """
    number = {10: lambda t: 9 - t, 20: lambda t: 8 + t, 30: lambda t: 25 - t, 40: lambda t: 24 + t}
    pairs = {quadrant + t: number[quadrant](t) for quadrant in number for t in range(1, 9)}
    assert sorted(pairs.values()) == list(range(1, 33))
    assert all(parse_teeth(str(universal), "universal") == (code,) for code, universal in pairs.items())


def test_primary_teeth() -> None:
    """A to T are 55 to 51, 61 to 65, 75 to 71 and 81 to 85.

    Source: ISO 3950; the order of the letters from memory.
    """
    codes = [*range(55, 50, -1), *range(61, 66), *range(75, 70, -1), *range(81, 86)]
    assert [parse_teeth(letter, "universal") for letter in "ABCDEFGHIJKLMNOPQRST"] == [
        (code,) for code in codes
    ]


@pytest.mark.parametrize(
    "text",
    [
        "11",
        "12",
        "13",
        "14",
        "15",
        "16",
        "17",
        "18",
        "21",
        "22",
        "23",
        "24",
        "25",
        "26",
        "27",
        "28",
        "31",
        "32",
    ],
)
def test_two_meanings(text: str) -> None:
    """These numbers are teeth in both notations and never the same one, so the notation must be stated.

    Source: ISO 3950.
    """
    iso, universal = parse_teeth(text, "ISO"), parse_teeth(text, "universal")
    assert iso and universal and iso != universal


@pytest.mark.parametrize(
    ("text", "notation"),
    [
        *((str(number), "ISO") for number in (*range(1, 11), 19, 20, 29, 30)),
        *((str(number), "universal") for number in (*range(33, 39), *range(41, 49))),
    ],
)
def test_one_notation_only(text: str, notation: str) -> None:
    """1 to 10, 19, 20, 29 and 30 are universal only, 33 to 38 and 41 to 48 ISO only (ISO 3950)."""
    assert parse_teeth(text, notation) is None


@pytest.mark.parametrize(
    ("region", "numbers"),
    [
        ("anterior", {*range(6, 12), *range(22, 28)}),
        ("premolar", {4, 5, 12, 13, 20, 21, 28, 29}),
        ("molar", {1, 2, 3, *range(14, 20), 30, 31, 32}),
    ],
)
def test_regions(region: str, numbers: set[int]) -> None:
    """Anterior teeth, premolars and molars by their universal numbers (positions of ISO 3950)."""
    codes = {number: (parse_teeth(str(number), "universal") or (0,))[0] for number in range(1, 33)}
    assert {number for number, code in codes.items() if code % 10 in tooth_regions()[region]} == numbers
