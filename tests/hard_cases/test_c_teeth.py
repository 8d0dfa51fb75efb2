"""Hard cases of teeth and units: which teeth, how they are used, how many units."""

from __future__ import annotations

from pathlib import Path

import pytest
from hard_case_papers import FILE, A, read_lines

from feesheet.costing.lines import understand


def test_case_29_universal_fourteen(tmp_path: Path) -> None:
    """#14 of a lab with universal numbers is the upper left first molar, ISO 26."""
    read = read_lines(tmp_path, "1 | #14 | FCZ crown | 1 | 145.00 | 145.00")
    assert read.column(FILE, "teeth") == ["26"]


def test_case_30_iso_fourteen(tmp_path: Path) -> None:
    """14 of a lab with ISO numbers is the upper right first premolar."""
    read = read_lines(tmp_path, "1 | 14 | FCZ crown | 1 | 145.00 | 145.00", lab=A, number="A-1")
    assert read.column(FILE, "teeth") == ["14"]


def _use(read_line: dict[str, str]) -> tuple[str, str, str]:
    return read_line["teeth"], read_line["units"], read_line["role"]


def test_case_32_two_teeth_two_crowns(tmp_path: Path) -> None:
    """14,15 with a quantity of 2 are two single crowns."""
    read = read_lines(tmp_path, "1 | 14,15 | FCZ crown | 2 | 145.00 | 290.00")
    assert [_use(line) for line in read.lines(FILE)] == [("26 27", "2", "")]


def test_case_33_a_bridge_of_three_units(tmp_path: Path) -> None:
    """3-5 of a bridge are retainers at both ends and a pontic between: three units, no single crown."""
    read = read_lines(tmp_path, "1 | 3-5 | Zirconia bridge | 3 | 145.00 | 435.00")
    assert [_use(line) for line in read.lines(FILE)] == [("14 15 16", "3", "bridge")]


def test_case_35_a_range_of_single_crowns(tmp_path: Path) -> None:
    """3-5 with the word crowns and a quantity of 3 are three single crowns."""
    read = read_lines(tmp_path, "1 | 3-5 | Zirconia crowns | 3 | 145.00 | 435.00")
    assert [_use(line) for line in read.lines(FILE)] == [("14 15 16", "3", "")]


@pytest.mark.parametrize("written", ["UR6", "6⏌", "6┘", "3"])
def test_case_38_one_tooth_in_three_hands(tmp_path: Path, written: str) -> None:
    """Quadrant letters, a drawn quadrant and a number all name ISO 16."""
    read = read_lines(tmp_path, f"1 | {written} | FCZ crown | 1 | 145.00 | 145.00")
    assert read.column(FILE, "teeth") == ["16"]


def test_case_39_a_crown_without_a_tooth(tmp_path: Path) -> None:
    """Its cost counts, its position is not known."""
    read = read_lines(tmp_path, "1 | | FCZ crown | 1 | 145.00 | 145.00")
    (line,) = read.lines(FILE)

    assert (line["teeth"], line["amount"], line["kind"], line["units"]) == ("", "145", "unit fee", "1")
    assert read.errors(FILE) == []
    parts, _ = understand(read.practice)
    assert list(zip(parts["material"], parts["use"], strict=True)) == [("zirconia, monolithic", "lab fee")]


@pytest.mark.parametrize("written", ["Q1", "UL", "upper"])
def test_case_40_areas_are_no_teeth(tmp_path: Path, written: str) -> None:
    """A night guard over an area is not a crown."""
    read = read_lines(tmp_path, f"1 | {written} | Night guard | 1 | 95.00 | 95.00")

    assert read.column(FILE, "teeth") == [""]
    assert read.column(FILE, "amount") == ["95"]
    assert read.errors(FILE) == []
    parts, _ = understand(read.practice)
    assert list(parts["material"]) == [""]


def test_case_41_a_primary_tooth(tmp_path: Path) -> None:
    """A steel crown on K is ISO 75 and stays out of the crowns' mean."""
    known = [{"wording": "Stainless steel crown", "material": "metal-ceramic, base"}]
    read = read_lines(
        tmp_path, "1 | K | Stainless steel crown | 1 | 30.00 | 30.00", changed={"product_map": known}
    )

    assert read.column(FILE, "teeth") == ["75"]
    parts, _ = understand(read.practice)
    assert list(parts["use"]) == ["primary tooth: not among the crowns"]


def test_case_43_a_case_on_an_implant_and_a_tooth(tmp_path: Path) -> None:
    """One case with two supports keeps them apart, each with its own price."""
    read = read_lines(
        tmp_path,
        "1 | 19 | FCZ crown on implant | 1 | 165.00 | 165.00",
        "1 | 20 | FCZ crown | 1 | 145.00 | 145.00",
    )

    found = [(line["teeth"], line["role"], line["amount"], line["case_group"]) for line in read.lines(FILE)]
    assert found == [("36", "implant", "165", "1"), ("35", "", "145", "1")]
