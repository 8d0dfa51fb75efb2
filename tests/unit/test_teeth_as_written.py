"""Teeth as labs write them, the roles they have, and the notation that they show."""

from __future__ import annotations

import pytest

from feesheet.teeth import ISO, UNIVERSAL, infer_notation, parse_teeth, teeth_with_roles


@pytest.mark.parametrize(
    ("text", "notation", "teeth"),
    [
        ("29-x-31", "universal", (45, 46, 47)),
        ("2-X-X-5", "universal", (17, 16, 15, 14)),
        ("3x5", "universal", (16, 15, 14)),
        ("8/9", "universal", (11, 21)),
        ("#s 6 thru 11", "universal", (13, 12, 11, 21, 22, 23)),
        ("6 through 11", "universal", (13, 12, 11, 21, 22, 23)),
        ("6 to 8", "universal", (13, 12, 11)),
        ("14 bis 16", "ISO", (14, 15, 16)),
        ("6-7-8", "universal", (13, 12, 11)),
        ("teeth 14, 15", "ISO", (14, 15)),
        ("Tooth no. 14", "ISO", (14,)),
        ("14 und 15", "ISO", (14, 15)),
        ("#3-#5", "universal", (16, 15, 14)),
        ("UR6-UR4", "universal", (16, 15, 14)),
        ("UR6-4", "ISO", (16, 15, 14)),
        ("UR1-UL2", "ISO", (11, 21, 22)),
        ("29-x-32", "universal", None),
        ("6-8-10", "universal", None),
        ("3-x", "universal", None),
        ("3-x-x-5", "universal", None),
        ("tooth", "ISO", None),
        ("#", "ISO", None),
    ],
)
def test_spans_and_lists(text: str, notation: str, teeth: tuple[int, ...] | None) -> None:
    """A chain must name as many teeth as stand between its ends; what does not fit is not guessed."""
    assert parse_teeth(text, notation) == teeth


@pytest.mark.parametrize(
    ("drawn", "code"),
    [
        *((f"6{sign}", 16) for sign in "⏌┘"),
        *((f"{sign}6", 26) for sign in "⎿└"),
        *((f"{sign}6", 36) for sign in "⎾┌"),
        *((f"6{sign}", 46) for sign in "⏋┐"),
        ("6 ⏌", 16),
        ("E⏌", 55),
        ("UR6", 16),
        ("LR6", 46),
    ],
)
@pytest.mark.parametrize("notation", ["ISO", "universal"])
def test_quadrants_mean_the_same_in_either_notation(drawn: str, code: int, notation: str) -> None:
    """A drawn corner shuts off the midline: upper right figures stand before an upright with its foot to the left.

    Source: the names of U+23BE, U+23BF, U+23CB and U+23CC (Unicode, Miscellaneous Technical); codes of ISO 3950.
    """
    assert parse_teeth(drawn, notation) == (code,)


def test_drawn_figures_may_be_several() -> None:
    """76 in a corner are two teeth, and two corners may meet at the midline; a figure on the wrong side is none."""
    assert parse_teeth("76⏌", "ISO") == (17, 16)
    assert parse_teeth("21┘└12", "ISO") == (12, 11, 21, 22)
    assert parse_teeth("┐6", "ISO") is None


def test_hard_case_14_in_two_notations() -> None:
    """#14 of a US lab is the upper left first molar, 14 of an ISO lab the upper right first premolar (ISO 3950)."""
    assert teeth_with_roles("#14", "universal") == ((26, "single"),)
    assert teeth_with_roles("14", "ISO") == ((14, "single"),)


@pytest.mark.parametrize(
    ("text", "role", "product", "roles"),
    [
        ("3-5", "bridge", "", ["retainer", "pontic", "retainer"]),
        ("3-5", "", "zirconia bridge", ["retainer", "pontic", "retainer"]),
        ("3-5", "", "Zirkonbrücke, Brücke", ["retainer", "pontic", "retainer"]),
        ("3-5", "", "crowns", ["single", "single", "single"]),
        ("3-5", "single", "bridge", ["single", "single", "single"]),
        ("3-5", "implant", "bridge", ["implant", "implant", "implant"]),
        ("14,15", "", "crowns", ["single", "single"]),
        ("2-x-4", "", "", ["retainer", "pontic", "retainer"]),
        ("2-x-x-5", "", "crown", ["retainer", "pontic", "pontic", "retainer"]),
        ("3,4,5", "bridge", "", ["retainer", "pontic", "retainer"]),
        ("3, 5", "bridge", "", ["retainer", "retainer"]),
        ("3-5, 12-14", "bridge", "", ["retainer", "pontic", "retainer", "retainer", "pontic", "retainer"]),
        ("4", "pontic", "", ["pontic"]),
    ],
)
def test_roles(text: str, role: str, product: str, roles: list[str]) -> None:
    """Ends of a bridge are retainers and teeth inside it, or at an x, pontics; a stated role holds for all."""
    found = teeth_with_roles(text, "universal", role, product)
    assert found is not None
    by_tooth = dict(found)
    assert sorted(by_tooth.values()) == sorted(roles)
    if len(roles) == 3:
        assert [by_tooth[tooth] for tooth in parse_teeth(text, "universal") or ()] == roles


def test_no_teeth_have_no_roles() -> None:
    """An area is no tooth; what can't be read stays unread."""
    assert teeth_with_roles("UL", "ISO") == () == teeth_with_roles("", "ISO", "bridge")
    assert teeth_with_roles("99", "ISO", "bridge") is None


def test_primary_teeth_have_their_own_codes() -> None:
    """Primary K is 75 (ISO 3950), so that a steel crown on it is told from the permanent ones."""
    assert teeth_with_roles("K", "universal") == ((75, "single"),)


def test_one_sure_name_shows_the_notation() -> None:
    """Each name of one notation alone shows it; names of both show nothing; both kinds together show nothing."""
    for name in ISO.keys() - UNIVERSAL.keys():
        assert infer_notation(["14", name]) == "ISO"
    for name in UNIVERSAL.keys() - ISO.keys():
        assert infer_notation(["14", f"#{name}"]) == "universal"
    assert infer_notation(ISO.keys() & UNIVERSAL.keys()) == ""
    assert infer_notation(["36", "3"]) == infer_notation([]) == ""


def test_quadrant_letters_show_no_notation() -> None:
    """UR6 and a drawn 6 mean the same in both, and a word is no tooth."""
    assert infer_notation(["UR6", "6⏌", "upper", "Q1", "14"]) == ""
    assert infer_notation(["29-x-31"]) == infer_notation(["14 and 3"]) == "universal"


def test_letters_of_a_lab_that_writes_quadrants_show_no_notation() -> None:
    """LLE, a drawn E and UR6-4 are of either notation; a letter shows the universal one only where no other sign speaks."""
    assert infer_notation(["LLE", "LL E", "E⏌", "UR6-4", "D"]) == ""
    assert infer_notation(["LLE", "36"]) == infer_notation(["D", "36"]) == "ISO"
    assert infer_notation(["14", "K"]) == infer_notation(["LLE", "30"]) == "universal"


def test_shades_and_surfaces_show_no_notation() -> None:
    """The letters of a surface or a shade beside a number are no primary teeth."""
    assert infer_notation(["14 D", "16 (A2)", "15 MOD", "26 B, 27 O"]) == ""


@pytest.mark.parametrize(
    ("text", "notation", "teeth"),
    [
        ("30 (A2)", "universal", (46,)),
        ("30, A3.5", "universal", (46,)),
        ("30 shade BL2", "universal", (46,)),
        ("14-16 (3M2)", "ISO", (14, 15, 16)),
        ("#14 MOD", "universal", (26,)),
        ("14 MOD", "ISO", (14,)),
        ("14MO", "ISO", (14,)),
        ("14 (DO) A2", "ISO", (14,)),
        ("14 MODBL, 15 DO", "ISO", (14, 15)),
        ("14 B 15 D", "universal", (26, 27)),
        ("UR6 MOD", "ISO", (16,)),
        ("LLE DO", "ISO", (75,)),
        ("K MO", "universal", (75,)),
        ("D", "universal", (52,)),
        ("A, B", "universal", (55, 54)),
        ("3, D", "universal", (16, 52)),
        ("A2", "universal", None),
        ("MOD", "ISO", None),
        ("14 LL", "ISO", None),
    ],
)
def test_shades_and_surfaces_beside_a_tooth(text: str, notation: str, teeth: tuple[int, ...] | None) -> None:
    """They are left out after a tooth; a letter with no number before it stays the primary tooth that it names."""
    assert parse_teeth(text, notation) == teeth


@pytest.mark.parametrize(
    "area",
    ["All", "U/L", "U & L", "upper/lower", "Upper and Lower", "both", "all teeth", "OK/UK", "Upper arch"],
)
@pytest.mark.parametrize("notation", ["ISO", "universal"])
def test_areas_name_no_tooth(area: str, notation: str) -> None:
    """What is said of a guard's place is no tooth, and no mistake either."""
    assert parse_teeth(area, notation) == ()
