"""Plans under cost: full fees under an allowed amount, and both answers on what a plan pays."""

from __future__ import annotations

from functools import cache

import pytest
from earned_cuts import Earned, billed, crowns_billed, earned_of
from priced import Rows, read_rows

from feesheet.pricing.review import plan_fees
from feesheet.pricing.review.plan_fees import CONTRIBUTES, COVERS, LOSES, MISSED, REACHED

ALLOWED = {"C6": 1600.0, "C7": 150.0, "C5": 300.0, "C4": 1399.99}
"""Zirconia over its fee of 1,400; lithium disilicate under its variable cost of 170; titanium under its cost; base a cent under its fee."""


def planned(allowed: dict[str, float]) -> Rows:
    """The seven crowns with a plan of those amounts for a quarter of the patients; ten crowns of zirconia were billed."""
    rows = crowns_billed(billed("zirconia", 1500, 10))
    rows["practice"][0] |= {"collected": 0.95, "card_cost": 0.02}
    rows["plans"] = [{"plan": "plan one", "plan_share": 0.25}]
    rows["plan_fees"] = [
        {"plan": "plan one", "code": code, "allowed": amount} for code, amount in allowed.items()
    ]
    return rows


@cache
def made() -> Earned:
    """What these plans earned."""
    return earned_of(read_rows(planned(ALLOWED)))


def test_full_fees_under_an_allowed_amount() -> None:
    """Only the fee under its amount is listed, with what each claim and the period lose of the money that is kept."""
    (found,) = made().table("under_allowed")
    assert (found["code"], found["plan"], found["fee"], found["allowed"]) == ("C6", "plan one", 1400, 1600)
    assert found["lost"] == pytest.approx(200 * 0.95 * 0.98)
    assert found["units"] == 2.5
    assert found["lost_in_period"] == pytest.approx(2.5 * 200 * 0.95 * 0.98)


def test_a_fee_that_is_the_allowed_amount_loses_nothing() -> None:
    """A fee at the amount is not under it."""
    assert earned_of(read_rows(planned({"C6": 1400.0}))).table("under_allowed") == []


def test_each_is_told() -> None:
    """One notice a fee and plan, at the fee's cell, with both amounts; the contract is left to the practice."""
    (told,) = [one for one in made().problems if one.kind == "caution"]
    assert "1,400.00" in told.what and "1,600.00" in told.what and "plan one" in told.what
    assert "contract" in told.do
    assert (told.sheet, told.severity) == ("Current fees", "notice")


def test_both_answers() -> None:
    """Whether the whole cost is covered, and whether the plan is worth having while chairs are idle; the worst margin first."""
    found = {row["code"]: row for row in made().table("plan_under_cost")}
    costs = {row["code"]: row for row in made().table("costs")}
    assert list(found) == ["C7", "C5", "C4", "C6"]
    answers = {
        "C7": (LOSES, MISSED),
        "C5": (CONTRIBUTES, MISSED),
        "C4": (COVERS, REACHED),
        "C6": (COVERS, REACHED),
    }
    for code, (answer, target) in answers.items():
        row, net = found[code], min(ALLOWED[code], 1400.0) * 0.95 * 0.98
        assert row["net"] == pytest.approx(net)
        assert (row["answer"], row["target_reached"]) == (answer, target)
        assert row["left_a_unit"] == pytest.approx(net - costs[code]["unit_cost"])
        assert row["contribution"] == pytest.approx(net - costs[code]["variable_cost"])
        assert row["contribution_per_chair_hour"] == pytest.approx(row["contribution"] / 80 * 60)
        assert row["left_in_period"] == pytest.approx(row["left_a_unit"] * row["units"])


def test_the_target_is_what_the_costing_rules_say() -> None:
    """A plan just at cost / (1 - target margin) reaches the target; a cent less misses it, though it covers the cost."""
    cost = made().table("costs")[4]["unit_cost"]
    enough = cost / 0.8 / (0.95 * 0.98)
    for allowed, target in ((enough + 0.01, REACHED), (enough - 0.01, MISSED)):
        (row,) = earned_of(read_rows(planned({"C5": allowed}))).table("plan_under_cost")
        assert (row["answer"], row["target_reached"]) == (COVERS, target)


def test_a_long_list_leaves_out_those_that_reach_the_target(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of more rows than the longest list those that reach the target are left out, and how many is said."""
    monkeypatch.setattr(plan_fees, "LONGEST", 3)
    found = earned_of(read_rows(planned(ALLOWED)))
    assert [row["code"] for row in found.table("plan_under_cost")] == ["C7", "C5"]
    assert "2 rows that reach the target margin are left out" in found.model.blocks["plan_under_cost"].note


def test_without_plans() -> None:
    """A practice without plans has both tables without rows, and nothing is told."""
    found = earned_of(read_rows(crowns_billed(billed("zirconia", 1500, 10))))
    assert found.table("under_allowed") == found.table("plan_under_cost") == []
    assert found.problems == []
