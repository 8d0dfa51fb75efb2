"""Best guesses of a material."""

from __future__ import annotations

import pytest
from example_invoices import NO_CROWNS, WORDINGS

from feesheet.costing.guesses import guess

MATERIALS = tuple(dict.fromkeys(material for _, material in WORDINGS))


@pytest.mark.parametrize(
    ("wording", "material"),
    [(wording, material) for (_, material), said in WORDINGS.items() for wording in said],
)
def test_no_guess_is_wrong_on_the_example(wording: str, material: str) -> None:
    """Every wording of the example is guessed as its people mapped it, or left to them."""
    assert guess(wording, MATERIALS).material in (material, "")


def test_most_of_the_example_is_guessed() -> None:
    """Only wordings that name no class of their alloy are left."""
    left = [word for said in WORDINGS.values() for word in said if not guess(word, MATERIALS).material]
    assert left == ["Full cast crown, yellow", "Metal-ceramic unit, palladium, all-in", "MC unit Pd"]
    assert all("the class of the alloy is not named" in guess(word, MATERIALS).reason for word in left)


@pytest.mark.parametrize(
    "wording",
    [
        "FCZ",
        "full contour zirc",
        "mono ZrO2",
        "zir post",
        "zir posterior",
        "Zirkonkrone vollanatomisch",
        "FCZ #3 bridge",
    ],
)
def test_hard_case_44_names_of_one_product(wording: str) -> None:
    """All are the one monolithic zirconia."""
    assert guess(wording, MATERIALS).material == "zirconia, monolithic"


@pytest.mark.parametrize("materials", [MATERIALS, ("metal-ceramic, base",)])
def test_hard_case_45_a_class_is_never_assumed(materials: tuple[str, ...]) -> None:
    """PFM without a class is no guess, even where the list has one class only; the lines' class may tell."""
    bare = guess("PFM", materials)
    assert bare.material == "" and "class of the alloy is not named" in bare.reason
    assert guess("PFM", materials, "predominantly base").material == "metal-ceramic, base"
    assert guess("PFM noble", materials, "high noble").material == ""


@pytest.mark.parametrize(
    ("wording", "material"),
    [
        ("PFM non-precious", "metal-ceramic, base"),
        ("PFM semi-precious", "metal-ceramic, noble"),
        ("PFM precious", "metal-ceramic, high noble"),
        ("Metallkeramik NEM", "metal-ceramic, base"),
        ("Couronne céramo-métallique semi-précieux", "metal-ceramic, noble"),
    ],
)
def test_hard_case_46_words_for_classes(wording: str, material: str) -> None:
    """Non-precious, semi-precious and precious are base, noble and high noble."""
    assert guess(wording, MATERIALS).material == material


@pytest.mark.parametrize(
    "wording", [*NO_CROWNS.values(), "Custom titanium abutment", "Ti base", "Printed model"]
)
def test_hard_case_40_what_is_no_crown(wording: str) -> None:
    """Guards, splints and parts are not crowns."""
    assert guess(wording, MATERIALS).material == "not a crown"


@pytest.mark.parametrize("wording", ["… crown", "Telescope primary part", "Never seen", ""])
def test_hard_case_54_a_new_name(wording: str) -> None:
    """A name never seen means nothing, and is not put with others."""
    assert guess(wording, MATERIALS) == guess("…", MATERIALS)
    assert guess(wording, MATERIALS).material == ""


def test_several_that_fit_are_named() -> None:
    """Zirconia of no kind may be either; the reason names both, in the order of the list."""
    assert (
        guess("zirconia crown", MATERIALS).reason
        == "several materials fit: zirconia, monolithic; zirconia, layered"
    )
    assert guess("zirconia crown", ["zirconia, layered"]).material == "zirconia, layered"
    assert "zirconia veneer" not in guess("zirconia veneer", MATERIALS).material


def test_steel_and_titanium_are_kinds_of_their_own() -> None:
    """A steel crown for a primary tooth and a titanium crown are no other metal (hard cases 41 and 49)."""
    assert guess("Stainless steel crown", MATERIALS).material == ""
    assert guess("Titanium crown", MATERIALS).material == ""
    assert guess("Titanium crown", ["titanium crown", "cast, noble"]).material == "titanium crown"
    assert guess("Milled titanium", ["titanium crown", "cast, noble"]).material == "titanium crown"


def test_place_and_support_choose_between_grades() -> None:
    """A grade for front teeth is meant only where the words say front."""
    grades = ("zirconia, monolithic, anterior", "zirconia, monolithic, posterior")
    assert guess("mono zirc ant", grades).material == grades[0]
    assert guess("mono zirc", grades).material == ""
    supports = ("zirconia, monolithic", "zirconia, monolithic, implant")
    assert guess("FCZ", supports).material == supports[0]
    assert guess("FCZ implant crown", supports).material == supports[1]


def test_the_order_of_the_list_does_not_matter() -> None:
    """The same material is guessed however the list is sorted."""
    for said in WORDINGS.values():
        for word in said:
            assert guess(word, MATERIALS).material == guess(word, MATERIALS[::-1]).material


def test_a_crown_on_an_implant_is_no_crown_on_a_tooth() -> None:
    """Unless a material is listed for it, a person must say what it is: the two are never averaged unseen."""
    listed = ["zirconia, monolithic", "zirconia, layered"]
    assert guess("FCZ crown on implant", listed).material == ""
    assert "implant" in guess("FCZ crown on implant", listed).reason
    assert guess("FCZ crown on implant", [*listed, "zirconia, monolithic, on implant"]).material.endswith(
        "on implant"
    )
