"""Hard cases of a review's margins: no owner pay, unlike materials, two crowns alone, plans and dates of service."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest
from earned_cuts import Earned, billed, crowns_billed, earned_of, work
from priced import Rows, read_rows
from seven_crowns import CAST

ZIRCONIA = "zirconia"


def by_material(made: Earned) -> dict[str, dict[str, float]]:
    """The cut by material."""
    return {row["material"]: row for row in made.table("cut_material")}


def test_case_82_owner_pay_missing() -> None:
    """Without a dentist's pay every cut says in words that its margins are before dentist pay; with one none does."""
    rows = crowns_billed(billed(ZIRCONIA, 1400, 10))
    paid = earned_of(read_rows(rows))
    rows["staff"][0]["yearly_cost"] = 0.0
    free = earned_of(read_rows(rows))
    for name in ("cut_material", "cut_region", "cut_site", "cut_lab", "cut_payer"):
        assert free.model.blocks[name].title.endswith("before dentist pay")
        assert "before dentist pay: no dentist's pay is typed" in free.model.blocks[name].note
        assert "before dentist pay" not in paid.model.blocks[name].title
    row = by_material(free)[ZIRCONIA]
    assert row["margin"] == row["margin_before_dentist"]
    assert by_material(paid)[ZIRCONIA]["margin"] < by_material(paid)[ZIRCONIA]["margin_before_dentist"]


def test_case_83_no_pooled_mean() -> None:
    """Ten zirconia at 140 and one gold at 480 stay apart: the pooled 170.91 is in no cost and in no margin."""
    rows = crowns_billed(billed(ZIRCONIA, 1400, 10), billed(CAST, 480))
    rows["practice"][0]["credibility_units"] = 0
    made = earned_of(read_rows(rows))
    costs = {row["material"]: row for row in made.table("costs")}
    assert (costs[ZIRCONIA]["lab_fee"], costs[CAST]["lab_fee"]) == (140, 480)
    found = by_material(made)
    for material, units in ((ZIRCONIA, 10), (CAST, 1)):
        assert found[material]["cost"] == pytest.approx(units * costs[material]["unit_cost"])
        assert (found[material]["n"], found[material]["units"]) == (units, units)
    pooled = (1400 + 480) / 11
    for block in made.model.blocks.values():
        for name, column in block.columns.items():
            figures = made.numbers.of(block.name, name) if column.unit == "money" else ()
            numbers = [one for one in figures if isinstance(one, (int, float))]
            assert not np.isclose(numbers, pooled, rtol=0, atol=5e-3).any(), f"{block.name}.{name}"


def test_case_84_two_gold_crowns_one_at_610() -> None:
    """n is 2, the word few stands beside it, and the charges range to 610."""
    made = earned_of(read_rows(crowns_billed(billed(CAST, 350), billed(CAST, 610))))
    row = by_material(made)[CAST]
    assert (row["n"], row["few"]) == (2, "few")
    assert (row["lowest_lab_charge"], row["highest_lab_charge"]) == (350, 610)


@pytest.mark.parametrize(("on_plan", "rise"), [(0.7, 0.019), (0.5, 0.029), (0.9, 0.007)])
def test_case_101_a_rise_that_plans_swallow(on_plan: float, rise: float) -> None:
    """A fee of 1,400 that rises by 5 % brings 1.9 % more where 70 % of the patients' plan stays at 980."""
    received = []
    for fee in (1400.0, 1470.0):
        made = earned_of(read_rows(planned(on_plan, 980.0, fee)))
        received.append(by_material(made)[ZIRCONIA]["received"])
    assert received[1] / received[0] - 1 == pytest.approx(rise, abs=5e-4)


def planned(share: float, allowed: float, fee: float = 1400.0) -> Rows:
    """Ten zirconia crowns of a practice with one plan."""
    rows = crowns_billed(billed(ZIRCONIA, 1400, 10))
    rows["fees"][5]["current_fee"] = fee
    rows["plans"] = [{"plan": "members", "plan_share": share}]
    rows["plan_fees"] = [{"plan": "members", "code": "C6", "allowed": allowed}]
    return rows


def test_case_105_a_membership_of_15_percent_off() -> None:
    """1,466 less 15 % is 1,246.10, and the margin stands on that."""
    made = earned_of(read_rows(planned(0.5, 1466 * 0.85, 1466.0)))
    (row,) = made.table("plan_under_cost")
    assert row["net"] == pytest.approx(1246.10)
    assert row["margin"] == pytest.approx((1246.10 - row["unit_cost"]) / 1246.10)


def test_case_106_the_collected_share_is_of_what_is_left_after_write_offs() -> None:
    """98 % collected is of the plan's 980, not of the full fee of 1,400: write-offs are not taken off twice."""
    rows = planned(1.0, 980.0)
    rows["practice"][0]["collected"] = 0.98
    made = earned_of(read_rows(rows))
    assert by_material(made)[ZIRCONIA]["received"] == pytest.approx(10 * 980 * 0.98)


def test_case_107_allowed_by_date_of_service() -> None:
    """Two plans with amounts from different days: each row not yet paid counts what its plan allowed on the day it was seated."""
    rows = planned(0.3, 900.0)
    rows["plans"].append({"plan": "others", "plan_share": 0.3})
    rows["plan_fees"] = [
        {"plan": plan, "code": "C6", "allowed": amount, "allowed_from": day}
        for plan, amount, day in (
            ("members", 900.0, None),
            ("members", 950.0, date(2025, 3, 1)),
            ("others", 800.0, date(2025, 1, 1)),
            ("others", 850.0, date(2025, 7, 1)),
        )
    ]
    rows["seated"] = [
        work("C6", 1, None, plan=plan, seated_on=day)
        for plan, day in (
            ("members", date(2025, 2, 28)),
            ("members", date(2025, 3, 1)),
            ("others", date(2024, 12, 31)),
            ("others", date(2025, 6, 30)),
            ("others", date(2025, 7, 1)),
        )
    ]
    made = earned_of(read_rows(rows))
    assert list(made.numbers.of("seated", "money")) == [900, 950, 1400, 800, 850]
