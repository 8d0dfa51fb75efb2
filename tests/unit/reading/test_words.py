"""Numbers, dates, teeth and units that are typed as words."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from feesheet import number_words, reference
from feesheet.reading import date_words
from feesheet.reading.sheet_facts import currency_sign
from feesheet.reading.text_files import delimiter, encoding, rows
from feesheet.reading.units import unit_problem
from feesheet.schema import NUMERIC_KINDS
from feesheet.tables import TABLES
from feesheet.teeth import ISO, UNIVERSAL, parse_teeth


@pytest.mark.parametrize(
    "text",
    ["", "-", "--5", "(5", "5e3", "12,5O", "N/C", "1 2", "1234 567", "(-5)", "-5-", "%", "½", "5 kg", "0x1F"],
)
def test_a_text_that_is_no_number_is_none(text: str) -> None:
    """Nothing is guessed from half a number."""
    assert number_words.taken_apart(text) is None


@pytest.mark.parametrize("text", ["1.23.456", "12.34.567,8", "1234.567,8", "1,23"])
def test_thousands_stand_in_groups_of_three(text: str) -> None:
    """A body with other groups has no value with that mark."""
    word = number_words.taken_apart(text)
    assert word is not None
    decimal = "." if text == "1,23" else ","
    assert number_words.value(word, decimal) is None


def test_a_day_in_words_reads_in_one_way() -> None:
    """Year first, or a month in words, is clear in any country; "Ma" is not a month."""
    clear = (
        "2026-03-04",
        "2026/3/4",
        "20260304",
        "4 Mar 2026",
        "March 4, 2026",
        "4-Mar-2026",
        "2026-03-04T10:00:00",
    )
    assert {date_words.plain_date(text) for text in clear} == {date(2026, 3, 4)}
    assert date_words.plain_date("4 Ma 2026") is None
    assert date_words.plain_date("9 Sept 2026") == date(2026, 9, 9)


def test_universal_numbers_and_iso_codes_match_one_to_one() -> None:
    """ISO 3950: 18 to 11 are 1 to 8, 21 to 28 are 9 to 16, 38 to 31 are 17 to 24, 41 to 48 are 25 to 32."""
    runs = [*range(18, 10, -1), *range(21, 29), *range(38, 30, -1), *range(41, 49)]
    assert [UNIVERSAL[str(number)] for number in range(1, 33)] == runs
    assert [UNIVERSAL[letter] for letter in "AEFJKOPT"] == [55, 51, 61, 65, 75, 71, 81, 85]
    assert sorted(UNIVERSAL.values()) == sorted(ISO.values())


@pytest.mark.parametrize(
    ("text", "notation", "teeth"),
    [
        ("#14", "universal", (26,)),
        ("14", "ISO", (14,)),
        ("14,15", "ISO", (14, 15)),
        ("14 / 15", "universal", (26, 27)),
        ("3-5", "universal", (16, 15, 14)),
        ("5x3", "universal", (14, 15, 16)),
        ("13-23", "ISO", (13, 12, 11, 21, 22, 23)),
        ("16, 24-26", "ISO", (16, 24, 25, 26)),
        ("UR6", "ISO", (16,)),
        ("ur6", "universal", (16,)),
        ("LLE", "ISO", (75,)),
        ("K", "universal", (75,)),
        ("75", "ISO", (75,)),
        ("Q1", "ISO", ()),
        ("UL", "universal", ()),
        ("upper", "ISO", ()),
        (" ", "ISO", ()),
        ("3-5", "ISO", None),
        ("38", "universal", None),
        ("19", "ISO", None),
        ("13-43", "ISO", None),
        ("K", "ISO", None),
        ("1/2 crown", "ISO", None),
        ("14.15", "ISO", None),
    ],
)
def test_teeth_are_read_in_the_labs_notation(text: str, notation: str, teeth: tuple[int, ...] | None) -> None:
    """The same figure names different teeth in different notations, and is never guessed."""
    assert parse_teeth(text, notation) == teeth


@pytest.mark.parametrize(
    ("unit", "grams"),
    [
        ("g", 1),
        ("30 g", 30),
        ("Troy Ounce", 31.1034768),
        ("DWT", 1.55517384),
        ("1,5 kg", 1500),
        ("ozt", 31.1034768),
    ],
)
def test_a_clear_unit_has_its_grams(unit: str, grams: float) -> None:
    """NIST Handbook 44, Appendix C."""
    assert reference.grams_in(unit) == pytest.approx(grams, rel=1e-15)
    assert unit_problem(unit) is None


@pytest.mark.parametrize("unit", ["oz", "ounces", "gr", "stone", "", "0 g", "g 30", "30"])
def test_an_unclear_unit_has_none(unit: str) -> None:
    """A plain ounce may be two masses; an unknown word is none."""
    assert reference.grams_in(unit) is None
    assert unit_problem(unit) is not None


def test_a_format_tells_its_currency() -> None:
    """Codes, signs and quoted signs; a quoted unit is none."""
    codes = ["[$€-407] #,##0.00", '"£"0.00', "$#,##0.00", "#,##0.00 [$CHF]", '0.00" g"', "General", "0.00%"]
    assert [currency_sign(code) for code in codes] == ["€", "£", "$", "CHF", "", "", ""]


def test_the_delimiter_is_the_mark_that_fits_most_lines() -> None:
    """Decimal commas and commas in a title mislead nobody."""
    assert delimiter("Fees, old and new\na;b;c\n1,5;2,5;3\n2,5;1,0;4,5\n") == ";"
    assert delimiter('a,b\n"x;y;z",1\n"u;v;w",2\n') == ","


def test_an_encoding_is_found_and_a_stated_delimiter_believed(tmp_path: Path) -> None:
    """UTF-16 says so itself; what is no UTF-8 is Windows-1252; "sep=" in the first row counts as a row."""
    assert [encoding("Münch".encode(codec)) for codec in ("cp1252", "utf-16", "utf-8")] == [
        "cp1252",
        "utf-16",
        "utf-8-sig",
    ]
    path = tmp_path / "x.csv"
    path.write_text("sep=|\na,b|c\n d |\n", encoding="utf-8-sig")
    assert rows(path) == [[], ["a,b", "c"], ["d", ""]]


def test_no_two_fields_of_a_table_answer_to_one_heading() -> None:
    """A heading means one field, so that a column is never taken for another."""
    for table in TABLES.values():
        headings = [name for field in table.fields for name in field.names]
        assert len(headings) == len(set(headings)), table.name
    assert NUMERIC_KINDS
