"""What must hold of what was earned, whatever the practice: every cut adds up to the whole, at the fee schedule's own costs."""

from __future__ import annotations

import numpy as np
import pytest
from earned_cuts import Earned, earned_of, with_seated
from hypothesis import given, settings
from hypothesis import strategies as st
from practices import random_practice
from priced import Rows, read_rows

from feesheet.formula.numbers import Numbers

SUMS = ("units", "received", "cost", "left", "left_before_dentist", "contribution", "chair_hours")


def practice_rows(seed: int, seated: bool) -> Rows:
    """A random practice of a random size, with or without work seated."""
    rows = random_practice(seed, sites=1 + seed % 3, materials=2 + seed % 3, lines=40, plans=seed % 3)
    return with_seated(rows, seed) if seated else rows


def cuts_of(made: Earned) -> list[str]:
    """The blocks of the cuts."""
    return [name for name in made.model.blocks if name.startswith("cut_") and name != "cut_totals"]


@settings(max_examples=10, deadline=None)
@given(seed=st.integers(0, 2**16), seated=st.booleans())
def test_every_cut_adds_up_to_the_whole(seed: int, seated: bool) -> None:
    """Units, money, costs, contribution, what is left before and after dentist pay, and chair hours; every check passes."""
    made = earned_of(read_rows(practice_rows(seed, seated)))
    for name in SUMS:
        whole = made.total("earned", name)
        for cut in cuts_of(made):
            assert made.total(cut, name) == pytest.approx(whole, rel=1e-9, abs=1e-6), f"{cut}.{name}"
    assert made.failing() == []
    units, cost = (np.asarray(made.numbers.of("earned", name)) for name in ("units", "cost"))
    items = np.asarray(made.numbers.of("earned", "item_no"), dtype=int) - 1
    assert cost == pytest.approx(units * np.asarray(made.numbers.of("costs", "unit_cost"))[items])


@settings(max_examples=8, deadline=None)
@given(seed=st.integers(0, 2**16))
def test_one_item_has_the_update_s_own_margin(seed: int) -> None:
    """Where all pay the full fee, what an item earned a unit is its margin, contribution and contribution a chair hour."""
    rows = practice_rows(seed, seated=False)
    rows = {**rows, "plans": [], "plan_fees": []}
    made = earned_of(read_rows(rows))
    of = Numbers(made.model).of
    chair = np.asarray(of("costs", "chair_min"))
    for row in made.table("earned"):
        item = int(row["item_no"]) - 1
        if row["units"] <= 0 or row["received"] <= 0:
            continue
        assert row["margin"] == pytest.approx(of("margins", "margin_now")[item])
        contribution = of("margins", "net_now")[item] - of("costs", "variable_cost")[item]
        assert row["contribution"] / row["units"] == pytest.approx(contribution)
        if chair[item]:
            hours = contribution / chair[item] * 60
            assert row["contribution"] / row["chair_hours"] == pytest.approx(hours)
    no_plan = [row["payer"] for row in made.table("cut_payer")]
    assert no_plan == ["full fee"]
