"""Margins cut in several ways: sums, order, ranges, the mark for few units, and each lab's own charges."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

import numpy as np
import pytest
from earned_cuts import Earned, billed, crowns_billed, earned_of, with_seated, work
from practices import random_practice
from priced import Rows, read_rows
from seven_crowns import BONDED, CAST

from feesheet.pricing.review.cut_figures import few
from feesheet.pricing.review.lab_places import NO_INVOICE

ZIRCONIA, TITANIUM = "zirconia", "titanium"


def two_labs() -> Rows:
    """Eight zirconia crowns at 140 of one lab and two at 240 of another; a cast one at 480."""
    rows = crowns_billed(
        billed(ZIRCONIA, 1120, 8), billed(ZIRCONIA, 480, 2, lab="lab B", invoice="B-1"), billed(CAST, 480)
    )
    rows["labs"].append({**rows["labs"][0], "lab": "lab B"})
    return rows


@cache
def two_labs_earned() -> Earned:
    """What they earned."""
    return earned_of(read_rows(two_labs()))


@cache
def drawn(seed: int) -> Earned:
    """A random practice with work seated."""
    return earned_of(read_rows(with_seated(random_practice(seed, lines=40), seed)))


def by(made: Earned, cut: str) -> dict[str, Mapping[str, Any]]:
    """The rows of a cut by what it is called."""
    return {row[cut]: row for row in made.table(f"cut_{cut}")}


def test_a_lab_at_its_own_charges() -> None:
    """A lab's unit costs the unit cost and what its own mean is over the place's; over all labs that adds up to the whole."""
    made = two_labs_earned()
    costs = {row["material"]: row["unit_cost"] for row in made.table("costs")}
    parts = {(row["lab"], row["material"]): row for row in made.table("lab_places_made")}
    mean = (1120 + 480) / 10
    for lab, units, charge in (("lab A", 8, 140), ("lab B", 2, 240)):
        part = parts[lab, ZIRCONIA]
        assert part["units"] == pytest.approx(units)
        assert part["received"] == pytest.approx(units * 1400)
        assert part["cost"] == pytest.approx(units * (costs[ZIRCONIA] + charge - mean))
        assert part["left"] == pytest.approx(part["received"] - part["cost"])
        assert part["contribution"] - part["left"] == pytest.approx(units * (160 + 80 * overhead(made)))
    assert by(made, "lab")["lab A"]["n"] == 9
    assert made.failing() == []


def overhead(made: Earned) -> float:
    """The overhead of a chair minute."""
    return float(made.numbers.of("sites", "overhead_per_chair_min")[0])


def test_a_lab_with_a_credit_alone() -> None:
    """A lab that only gave money back in the period has no units, and its money is on its own row."""
    rows = two_labs()
    back = billed(ZIRCONIA, -50, lab="lab B", invoice="B-2", kind="discount", teeth="16")
    rows["invoice_lines"].append({**back, "units": None})
    rows["invoice_lines"][1]["lab"] = "lab A"
    made = earned_of(read_rows(rows))
    found = by(made, "lab")
    assert found["lab B"]["units"] == 0
    assert found["lab B"]["cost"] == pytest.approx(-50)
    assert made.failing() == []


def test_what_no_lab_invoiced() -> None:
    """Work seated of a material without an invoice in the period stands in a row of its own, marked few."""
    rows = two_labs()
    rows["seated"] = [work("C5", 3, 3900.0), work("C6", 1, 1400.0)]
    made = earned_of(read_rows(rows))
    found = by(made, "lab")
    assert (found[NO_INVOICE]["units"], found[NO_INVOICE]["received"]) == (3, 3900)
    assert (found[NO_INVOICE]["n"], found[NO_INVOICE]["few"]) == (0, "few")
    assert found["lab A"]["units"] == pytest.approx(0.8)
    assert made.failing() == []


def test_worst_first() -> None:
    """Rows stand by their margin, the lowest first; those without units last."""
    for made in (two_labs_earned(), *(drawn(seed) for seed in (1, 4))):
        for cut in ("material", "region", "site", "lab", "payer"):
            rows = made.table(f"cut_{cut}")
            known = [row["margin"] for row in rows if row["units"] != 0 and row["received"] != 0]
            assert known == sorted(known)
            without = [row["units"] == 0 for row in rows]
            assert without == sorted(without)
    assert [row["material"] for row in two_labs_earned().table("cut_material")][:2] == [CAST, ZIRCONIA]


def test_few_are_marked() -> None:
    """Under five lab units behind the fee the word few stands; a payer is counted by its own units."""
    found = by(two_labs_earned(), "material")
    assert (found[ZIRCONIA]["n"], found[ZIRCONIA]["few"]) == (10, "")
    assert (found[CAST]["n"], found[CAST]["few"]) == (1, "few")
    assert (found[BONDED]["n"], found[BONDED]["few"]) == (0, "few")
    assert (few(5, 1), few(4.9, 1)) == ("", "few")
    for row in drawn(1).table("cut_payer"):
        assert row["few"] == ("few" if row["units"] < 5 else "")


def test_nothing_is_few_where_no_lab_is_needed() -> None:
    """A build-up needs no lab: that no lab unit stands behind it says nothing of how sure it is."""
    rows = two_labs()
    rows["fees"].append(
        {"code": "B1", "description": "Build-up", "material": "", "current_fee": 200.0, "units_last_year": 24}
    )
    found = by(earned_of(read_rows(rows)), "material")
    assert (found["no lab work"]["n"], found["no lab work"]["few"]) == (0, "")


@pytest.mark.parametrize("seed", [1, 4])
def test_lowest_and_highest_margins(seed: int) -> None:
    """They are those of the codes at a site in the row, or by payer and dentist, as added up apart; blank where there is none."""
    made = drawn(seed)
    earned = made.table("earned")
    for cut, key in (
        ("material", "material_no"),
        ("site", "site_no"),
        ("payer", "payer_no"),
        ("dentist", "dentist_no"),
    ):
        apart: dict[float, dict[Any, list[float]]] = {}
        for number, row in enumerate(earned):
            of = row["item_no"] if cut in ("material", "site") else number
            sums = apart.setdefault(row[key], {}).setdefault(of, [0.0, 0.0, 0.0])
            for place, name in enumerate(("units", "received", "cost")):
                sums[place] += row[name]
        for row in made.table(f"cut_{cut}"):
            margins = [
                1 - cost / money
                for units, money, cost in apart[row["cut_no"]].values()
                if units > 0 and money > 0
            ]
            assert row["lowest_margin"] == (pytest.approx(min(margins)) if margins else "")
            assert row["highest_margin"] == (pytest.approx(max(margins)) if margins else "")


def test_lowest_and_highest_lab_charges() -> None:
    """For a material they are those of one unit on a line of the period; blank without a line."""
    found = by(two_labs_earned(), "material")
    assert (found[ZIRCONIA]["lowest_lab_charge"], found[ZIRCONIA]["highest_lab_charge"]) == (140, 240)
    assert (found[CAST]["lowest_lab_charge"], found[CAST]["highest_lab_charge"]) == (480, 480)
    assert (found[TITANIUM]["lowest_lab_charge"], found[TITANIUM]["highest_lab_charge"]) == ("", "")


def test_dentists_only_where_the_data_name_one() -> None:
    """There is a cut by dentist where a row names one; rows without a name stand together."""
    assert "cut_dentist" not in two_labs_earned().model.blocks
    names = [row["dentist"] for row in drawn(1).table("cut_dentist")]
    assert "not named" in names
    assert len(names) == len(set(names)) == 3


def test_sums_by_payer_as_added_up_apart() -> None:
    """A row's sums are those of its rows of what was earned, and its rates follow from them."""
    made = drawn(4)
    earned = made.table("earned")
    for row in made.table("cut_payer"):
        mine = [one for one in earned if one["payer"] == row["payer"]]
        for name in (
            "units",
            "received",
            "cost",
            "left",
            "left_before_dentist",
            "contribution",
            "chair_hours",
        ):
            assert row[name] == pytest.approx(sum(one[name] for one in mine), abs=1e-9)
        assert row["contribution_unit"] == pytest.approx(row["contribution"] / row["units"])
        assert row["contribution_hour"] == pytest.approx(row["contribution"] / row["chair_hours"])
        assert row["margin_before_dentist"] == pytest.approx(row["left_before_dentist"] / row["received"])
    assert np.isfinite(made.total("cut_payer", "margin"))
