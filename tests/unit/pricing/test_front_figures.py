"""The counts on the first page and the margin before dentist pay mean what their words say."""

from __future__ import annotations

import pytest
from priced import read_rows
from truth.test_by_the_page import gold_crown, two_plans

from feesheet.pricing.results import held_back, under_cost
from feesheet.uses.annual_update import price


@pytest.mark.parametrize(
    ("kept", "new", "needed", "highest", "is_held_back"),
    [(0, 1000, 1002, 5000, 0), (0, 1100, 1200, 1103, 1), (1, 1000, 1200, 5000, 1), (1, 1300, 1200, 1250, 0)],
)
def test_held_back(kept: int, new: float, needed: float, highest: float, is_held_back: int) -> None:
    """A fee rounded down is not held back; one under its cap, or kept under the needed fee, is."""
    assert held_back(kept, new, needed, highest) == is_held_back


def test_under_cost_counts_what_comes_in() -> None:
    """A fee of 700 over a cost of 520 is under cost if plans leave 500 of it; no fee is not under anything."""
    assert [under_cost(700, 500, 520), under_cost(700, 520, 520), under_cost(0, 0, 520)] == [1, 0, 0]


@pytest.mark.parametrize(
    ("basis", "words"), [("with plans", "of 2, after plans"), ("full fee", "of 2, at the full fee")]
)
def test_the_tile_says_what_is_compared(basis: str, words: str) -> None:
    """The remark follows the margin basis."""
    rows, _ = two_plans()
    rows["practice"][0]["margin_basis"] = basis

    assert price(read_rows(rows))[0].numbers.of("figures", "remark")[1] == words


def test_margin_before_dentist_pay_leaves_out_repeated_steps_too() -> None:
    """The gold crown: dentist 60 x 2 + 30 x 2 = 180, of it the seating's 60 again on 1 / 19 remakes."""
    rows, _ = gold_crown()
    margin = price(read_rows(rows))[0].numbers.of("margins", "margin_before_dentist")[0]

    assert margin == pytest.approx((1140 - 915.6875 + 180 + 60 / 19) / 1140)


def test_out_of_reach_is_one_notice_a_material() -> None:
    """Everybody on a plan that allows 500: two codes, one notice, with their number and the largest shortfall."""
    rows, _ = gold_crown()
    rows["fees"].append({**rows["fees"][0], "code": "G-N"})
    rows["plans"] = [{"plan": "plan A", "plan_share": 1}]
    rows["plan_fees"] = [
        {"plan": "plan A", "code": code, "allowed": 500 + n} for n, code in enumerate(("G-M", "G-N"))
    ]
    (notice,) = [problem for problem in price(read_rows(rows))[1] if problem.kind == "out of reach"]

    assert "cast gold: the margin cannot be reached by 2 fee(s)" in notice.what
    assert "644.61 a unit is missing at the most, for G-M at North" in notice.what


def test_an_item_without_a_fee_is_in_no_mean() -> None:
    """What nobody is charged for yet pulls no margin down; where a material has no fee at all, its cost is still shown."""
    rows, _ = gold_crown()
    alone = price(read_rows(rows))[0].numbers
    rows["fees"].append({**rows["fees"][0], "code": "G-N", "current_fee": None, "units_last_year": 900})
    both = price(read_rows(rows))[0].numbers
    rows["fees"] = rows["fees"][1:]
    none = price(read_rows(rows))[0].numbers

    for column in ("mean_now", "mean_margin_now", "mean_cost"):
        assert both.of("by_material", column)[0] == alone.of("by_material", column)[0] > 0, column
    assert none.of("by_material", "mean_cost")[0] == pytest.approx(alone.of("by_material", "mean_cost")[0])
    assert none.of("margins", "year_units")[0] == 0
