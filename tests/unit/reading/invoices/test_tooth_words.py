"""Teeth in descriptions, and their roles."""

from __future__ import annotations

import pytest

from feesheet.reading.invoices.tooth_words import role_of, teeth_in
from feesheet.teeth import parse_teeth


@pytest.mark.parametrize(
    ("text", "teeth", "rest"),
    [
        ("SMITH J #30 FCZ A2", "30", "SMITH J FCZ A2"),
        ("#14,15 crowns", "14,15", "crowns"),
        ("#14, 15 crowns", "14, 15", "crowns"),
        ("#3-5 bridge", "3-5", "bridge"),
        ("#3x5 bridge", "3x5", "bridge"),
        ("Bridge 29-x-31, 3 units", "29-x-31", "Bridge, 3 units"),
        ("#s 6 thru 11 veneers", "6 thru 11", "veneers"),
        ("#8/9 veneer", "8/9", "veneer"),
        ("#K steel crown", "K", "steel crown"),
        ("FCZ (#30) A2", "30", "FCZ A2"),
        ("tooth #30 crown", "30", "crown"),
        ("teeth 14 15 crowns", "14 15", "crowns"),
        ("Zahn 16, 17 Krone", "16, 17", "Krone"),
        ("dents 14 à 16", "14 à 16", ""),
        ("UR6-UR4 bridge", "UR6-UR4", "bridge"),
        ("UR6, UR7 crown", "UR6, UR7", "crown"),
        ("6⏌ crown", "6⏌", "crown"),
        ("crown └6", "└6", "crown"),
        ("Crown #14 and #15", "14 and 15", "Crown"),
        ("#14 FCZ, #19 PFM", "14 19", "FCZ, PFM"),
        ("FCZ #14 15 A2", "14 15", "FCZ A2"),
        ("(#14 15 16) FCZ", "14 15 16", "FCZ"),
        ("#30 45 FCZ", "30", "45 FCZ"),
        ("Model #30", "30", "Model"),
    ],
)
def test_teeth_are_taken_out(text: str, teeth: str, rest: str) -> None:
    """What stands after a sign or a word for teeth, or in quadrant letters; it can be read in a notation."""
    assert teeth_in(text) == (teeth, rest)
    assert parse_teeth(teeth, "universal") or parse_teeth(teeth, "ISO")


@pytest.mark.parametrize(
    ("text", "teeth"),
    [
        ("#14, 2 units", "14"),
        ("#14 - 2 crowns", "14"),
        ("#14 x 2", "14"),
        ("#14, 185.00", "14"),
        ("#14, 85.00", "14"),
        ("#14, 85,00", "14"),
        ("#14 185.00", "14"),
        ("#14 A2", "14"),
        ("#14 12 units", "14"),
        ("#14 15,50", "14"),
        ("#14 15/03/2026", "14"),
        ("#14 21 March", "14"),
        ("#14 15 min", "14"),
        ("2 crowns A3", ""),
        ("3 x 145.00", ""),
        ("3-unit bridge", ""),
        ("3/4 crown", ""),
        ("#A2 shade", ""),
        ("#99", ""),
        ("Case #12 crown", ""),
        ("Invoice no. #12", ""),
        ("Pan #7", ""),
        ("tooth coloured", ""),
        ("Auftrag #12", ""),
        ("#1042", ""),
        ("zirconia 14", ""),
        ("2.1 dwt", ""),
    ],
)
def test_counts_prices_shades_and_numbers_are_no_teeth(text: str, teeth: str) -> None:
    """A figure is a tooth only where it must be one."""
    assert teeth_in(text)[0] == teeth


@pytest.mark.parametrize(
    ("text", "teeth", "units", "role"),
    [
        ("Bridge", "3-5", 3, "bridge"),
        ("3-unit bridge", "3-5", 1, "bridge"),
        ("FCZ", "29-x-31", 3, "bridge"),
        ("Zirkonbrücke", "14-16", 3, "bridge"),
        ("crowns", "3-5", 3, "single"),
        ("crowns", "14,15", 2, "single"),
        ("FCZ", "14", 1, "single"),
        ("crown", "3-5", 1, ""),
        ("Pontic", "4", 1, "pontic"),
        ("Brückenglied", "15", 1, "pontic"),
        ("Bridge retainer", "3", 1, "retainer"),
        ("Retainers and pontic", "3-5", 3, "bridge"),
        ("Implant crown", "14", 1, "implant"),
        ("Screw-retained zirconia crown", "14", 1, "implant"),
        ("Night guard", "", 1, ""),
        ("Clear retainer", "", 1, ""),
    ],
)
def test_roles(text: str, teeth: str, units: float, role: str) -> None:
    """A span is a bridge where a word or an x says so, and single crowns where there is a unit for each tooth."""
    assert role_of(text, teeth, units) == role
