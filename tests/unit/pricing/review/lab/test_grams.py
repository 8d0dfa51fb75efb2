"""Grams of a unit: held against the practice's own by volume and density, else by grams, else the starting grams."""

from __future__ import annotations

import pytest
from alloy_audit import PALE, alloy, at_price, audit, rows_of, unit

from feesheet.pricing.review.lab import grams, premium

VALUE = 96.2
"""What a gram of the yellow alloy's metal is worth on the day."""


def test_a_heavy_unit() -> None:
    """Four molars of 3 g, one of 5.5 g at 120 a gram: 2.5 g, 300, to be explained."""
    found = audit(grams, rows_of([*at_price(120.0), *at_price(120.0, 1, 5.5, first=9)], dispute_days=30))

    (one,) = found.found
    assert (one.kind, one.invoice, one.lines, one.days_left) == ("grams", "A-9", (9,), -30)
    assert one.money == pytest.approx(300) == found.money_of(one)
    assert one.sentence == (
        "Invoice A-9 of 1 September 2026, tooth 16 (ISO): 5.50 g of yellow alloy were billed at 120.00 EUR a gram, "
        "660.00 EUR in all; the middle of our other units of that kind, in this alloy, is 3.00 g. Please tell us what was "
        "weighed; at your price of 120.00 EUR a gram, the grams above come to 300.00 EUR."
    )


def test_a_dear_price_and_heavy_grams_are_asked_for_once() -> None:
    """3 g at 120.25 are usual, 6 g at 150 were billed: 178.50 for the price, and 3 g at 120.25; together 900 less 360.75."""
    rows = rows_of([*at_price(1.25 * VALUE), *at_price(150.0, 1, 6.0, first=9)])
    heavy, dear = audit(grams, rows), audit(premium, rows)
    (of_grams,), (of_price,) = heavy.found, dear.found

    assert of_grams.lines == of_price.lines == (9,)
    assert of_price.money == pytest.approx(900 - 6 * 120.25)
    assert of_grams.money == pytest.approx(3 * 120.25) == heavy.money_of(of_grams)
    assert of_price.money + of_grams.money == pytest.approx(900 - 3 * 120.25)
    assert of_grams.sentence.endswith(
        "at 120.25 EUR a gram, which we hold your price against, the grams above come to 360.75 EUR."
    )
    assert heavy.table("gram_tests")[0]["gram_price"] == pytest.approx(1.25 * VALUE, abs=0.01)


def test_three_quarters_as_much_again_pass() -> None:
    """5.25 g against 3 g is the limit and passes; so does 0.66 g against 0.37 g, being less than 0.3 g over."""
    near = [*at_price(120.0), *at_price(120.0, 1, 5.25, first=9)]
    small = [*at_price(120.0, 4, 0.37), *at_price(120.0, 1, 0.66, first=9)]
    assert audit(grams, rows_of(near)).found == [] and audit(grams, rows_of(small)).found == []


def test_density_tells_a_light_alloy_from_a_heavy_one() -> None:
    """3 g at 15.5 g/cm³ are 2.13 g at 11: 3.8 g of the pale alloy are over three quarters as much again, 3.6 g are not."""
    for weight, count in ((3.8, 1), (3.6, 0)):
        found = audit(grams, rows_of([*at_price(120.0), *at_price(60.0, 1, weight, first=9, alloy=PALE)]))
        assert len(found.found) == count
        assert found.table("gram_tests")[-1]["held_grams"] == pytest.approx(3 * 11 / 15.5)


def test_without_densities_grams_are_compared() -> None:
    """No density: the middle of the other units' grams."""
    rows = rows_of([*at_price(120.0), *at_price(120.0, 1, 5.5, first=9)])
    for row in rows["alloys"]:
        del row["density"]
    (one,) = audit(grams, rows).found
    assert "the middle of our other units of that kind is 3.00 g" in one.sentence


def test_too_few_lines_fall_back_to_the_starting_grams() -> None:
    """Two lines leave one other: 2.95 g that were typed; without those, 8 g is the most that is plausible."""
    rows = rows_of([*at_price(120.0, 1), *at_price(120.0, 1, 9.0, first=9)])
    (one,) = audit(grams, rows).found
    assert "we reckon with 2.95 g" in one.sentence and one.money == pytest.approx((9 - 2.95) * 120)
    rows["starting_grams"] = [{"material": "cast gold", "tooth_region": "molar", "starting_g": 0}]
    (one,) = audit(grams, rows).found
    assert "more than 8.00 g is hardly plausible" in one.sentence and one.money == pytest.approx(120)


def test_a_bridge_is_spread_over_its_units() -> None:
    """9 g for three molars are 3 g each; as one unit with three teeth they are too, and a second 18 g line says so."""
    three = {"teeth": "16-18", "units": 3}
    fine = [*at_price(120.0), unit("B-1", **three), alloy(1080, 9, "B-1", **three)]
    slip = [*at_price(120.0), unit("B-1", **three), alloy(1080, 9, "B-1", **{**three, "units": 1})]
    heavy = [*at_price(120.0), unit("B-1", **three), alloy(2160, 18, "B-1", **{**three, "units": 1})]

    assert audit(grams, rows_of(fine)).found == [] and audit(grams, rows_of(slip)).found == []
    (one,) = audit(grams, rows_of(heavy)).found
    assert one.money == pytest.approx(9 * 120)
    assert "for 3 units, 6.00 g each, were billed" in one.sentence
    assert "The line says 1 unit, but names 3 teeth." in one.sentence


def test_an_incisor_is_no_molar() -> None:
    """Where one fee holds for all teeth, an incisor of 2 g is held against incisors of 1 g and not molars of 3 g."""
    rows = rows_of(
        [
            *at_price(120.0), *at_price(120.0, 4, 1.0, first=5, teeth="11"),
            *at_price(120.0, 1, 2.0, first=9, teeth="11"),
        ]
    )  # fmt: skip
    rows["fees"][0]["tooth_region"] = "all"
    rows["starting_grams"] = [{"material": "cast gold", "tooth_region": "all", "starting_g": 2}]
    (one,) = audit(grams, rows).found
    assert one.invoice == "A-9" and one.money == pytest.approx(120)


def test_a_bridge_over_two_sizes_is_held_against_both() -> None:
    """Molars of 3 g, premolars of 1.5 g: 4.5 g for one of each is usual, and 8.1 g is not."""
    rows_one = [*at_price(120.0), *at_price(120.0, 4, 1.5, first=5, teeth="15")]
    for weight, count in ((4.5, 0), (8.1, 1)):
        both = {"teeth": "15,16", "units": 2}
        rows = rows_of([*rows_one, unit("B-1", **both), alloy(120 * weight, weight, "B-1", **both)])
        rows["fees"].append({**rows["fees"][0], "code": "G-P", "tooth_region": "premolar"})
        rows["starting_grams"].append({**rows["starting_grams"][0], "tooth_region": "premolar"})
        found = audit(grams, rows)
        assert len(found.found) == count
        assert found.table("gram_tests")[-1]["usual_line"] == pytest.approx(4.5)


def test_lines_without_a_tooth_are_counted_and_not_tested() -> None:
    """Alloy of an unknown tooth region is listed with its reason."""
    rows = rows_of([*at_price(120.0), unit("A-9", teeth=""), alloy(2400, 20, "A-9", teeth="")])
    found = audit(grams, rows)
    assert found.found == []
    assert {row["why"]: row["lines_so"] for row in found.table("gram_counts")} == {
        "tested": 4, "tooth region not known": 1,
    }  # fmt: skip


def test_headings_are_told_apart() -> None:
    """No two columns of a block have one heading."""
    found = audit(grams, rows_of(at_price(120.0)))
    for name in ("gram_tests", "gram_parts", "gram_counts"):
        headings = [column.heading for column in found.model.blocks[name].columns.values()]
        assert len(set(headings)) == len(headings), name


def test_one_fee_for_all_teeth_is_still_two_sizes() -> None:
    """Molars of 3 g and incisors of 1 g under one fee: 4 g are usual for one of each, 3 + 1."""
    both = {"teeth": "11,16", "units": 2}
    lines = [*at_price(120.0), *at_price(120.0, 4, 1.0, first=5, teeth="11")]
    rows = rows_of([*lines, unit("B-1", **both), alloy(480, 4, "B-1", **both)])
    rows["fees"][0]["tooth_region"] = "all"
    rows["starting_grams"] = [{"material": "cast gold", "tooth_region": "all", "starting_g": 2}]
    last = audit(grams, rows).table("gram_tests")[-1]
    assert (last["usual_line"], last["basis_no"]) == (pytest.approx(4.0), 1)
