"""What each crown earned: units and money by the labs' invoices or by the work seated, and what is in none of it."""

from __future__ import annotations

from datetime import date

import pandas as pd
import pytest
from earned_cuts import Earned, billed, crowns_billed, earned_of, work
from priced import Rows, read_rows

from feesheet.pricing.review.earned_basis import (
    BEFORE_DENTIST,
    BY_LABS,
    BY_SEATED,
    THEN_BY_LABS,
    THEN_UNKNOWN,
)
from feesheet.pricing.review.period import Period
from feesheet.pricing.review.seated import NO_CODE, NO_FEE, NO_PLAN

ZIRCONIA = "zirconia"
YEAR = Period(date(2025, 10, 31), 12)


def row(made: Earned, code: str, payer: str = "full fee", dentist: str = "") -> dict[str, float]:
    """The one row of what was earned."""
    found = [
        one
        for one in made.table("earned")
        if (one["code"], one["payer"], one["dentist"]) == (code, payer, dentist)
    ]
    assert len(found) == 1, found
    return found[0]


def on_plan(rows: Rows, share: float = 0.4, allowed: float = 980.0) -> Rows:
    """With a plan for zirconia, C6."""
    plan_fee = {"plan": "plan one", "code": "C6", "allowed": allowed}
    return {**rows, "plans": [{"plan": "plan one", "plan_share": share}], "plan_fees": [plan_fee]}


def test_units_of_the_labs_invoices() -> None:
    """Ten units billed are ten units at the fee less what is not collected, at the fee schedule's own unit cost."""
    rows = crowns_billed(billed(ZIRCONIA, 1500, 10))
    rows["practice"][0] |= {"collected": 0.9, "card_cost": 0.1}
    made = earned_of(read_rows(rows))
    found, costs = row(made, "C6"), made.table("costs")[5]
    assert found["units"] == 10
    assert found["received"] == pytest.approx(10 * 1400 * 0.9 * 0.9)
    assert found["cost"] == pytest.approx(10 * costs["unit_cost"])
    assert found["left"] == pytest.approx(found["received"] - found["cost"])
    assert found["contribution"] == pytest.approx(found["received"] - 10 * costs["variable_cost"])
    assert found["left_before_dentist"] == pytest.approx(found["left"] + 10 * 160)
    assert found["chair_hours"] == pytest.approx(10 * 80 / 60)
    assert made.total("earned", "units") == 10
    assert made.failing() == []
    assert made.model.blocks["earned"].note == BY_LABS


def test_codes_of_one_place_share_its_units() -> None:
    """Two codes of a material and region split the lab's units as last year's, evenly where neither had any."""
    for typed, shares in (((10, 30), (2, 6)), ((None, None), (4, 4))):
        rows = crowns_billed(billed(ZIRCONIA, 1200, 8))
        rows["fees"][5]["units_last_year"] = typed[0]
        rows["fees"].append({**rows["fees"][5], "code": "C6b", "units_last_year": typed[1]})
        made = earned_of(read_rows(rows))
        assert (row(made, "C6")["units"], row(made, "C6b")["units"]) == shares
        assert made.failing() == []


def test_a_code_without_a_fee_takes_no_units() -> None:
    """What came in for it is not known: a code with a fee takes the place's units, else they are told as left out."""
    rows = crowns_billed(billed(ZIRCONIA, 1200, 8))
    rows["fees"][5]["current_fee"] = None
    left = earned_of(read_rows(rows))
    assert left.total("earned", "units") == 0
    assert left.total("period_places", "units_in_no_code") == 8
    (told,) = [one for one in left.problems if one.kind == "in no fee"]
    assert "8 lab unit(s)" in told.what and ZIRCONIA in told.what
    assert told.cell
    assert left.failing() == []
    rows["fees"].append({**rows["fees"][5], "code": "C6b", "current_fee": 900.0})
    taken = earned_of(read_rows(rows))
    assert (row(taken, "C6")["units"], row(taken, "C6b")["units"]) == (0, 8)
    assert taken.failing() == [] and taken.problems == []


def test_work_without_a_lab() -> None:
    """An item without lab work has last year's units for as many months as the period has."""
    rows = crowns_billed()
    rows["fees"].append(
        {"code": "B1", "description": "Build-up", "material": "", "current_fee": 200.0, "units_last_year": 24}
    )
    made = earned_of(read_rows(rows), Period(date(2025, 10, 31), 3))
    assert row(made, "B1")["units"] == 6
    assert made.failing() == []


def test_plans_take_their_share() -> None:
    """A plan pays the fee or its allowed amount, whichever is less, for its share of the patients."""
    made = earned_of(read_rows(on_plan(crowns_billed(billed(ZIRCONIA, 1500, 10)))))
    assert row(made, "C6")["received"] == pytest.approx(6 * 1400)
    assert row(made, "C6", "plan one")["received"] == pytest.approx(4 * 980)
    rows = on_plan(crowns_billed(billed(ZIRCONIA, 1500, 10)))
    rows["plans"].append({"plan": "plan two", "plan_share": 0.1})
    rows["plan_fees"].append({"plan": "plan two", "code": "C6", "allowed": 500.0})
    both = earned_of(read_rows(rows))
    shares = [row(both, "C6", payer)["units"] for payer in ("full fee", "plan one", "plan two")]
    assert shares == pytest.approx([5, 4, 1])
    rich = earned_of(read_rows(on_plan(crowns_billed(billed(ZIRCONIA, 1500, 10)), allowed=1700.0)))
    assert row(rich, "C6", "plan one")["received"] == pytest.approx(4 * 1400)


def test_nothing_then() -> None:
    """Without a comparison, or without anything that tells of it, nothing came in then; the second is said."""
    practice = read_rows(crowns_billed(billed(ZIRCONIA, 1500, 10)))
    for then, said in ((None, False), (YEAR.before, True)):
        made = earned_of(practice, YEAR, then)
        assert made.total("earned", "units_then") == made.total("earned", "received_then") == 0
        assert (THEN_UNKNOWN in made.model.blocks["earned"].note) is said


def test_units_then_of_the_labs_invoices() -> None:
    """Four crowns billed in the year before are four units then, at today's fee, whether or not work seated tells of now."""
    rows = crowns_billed(
        billed(ZIRCONIA, 1500, 10), billed(ZIRCONIA, 560, 4, date=date(2024, 5, 2), invoice="A-9")
    )
    seated = {**rows, "seated": [work("C6", 9, 12000.0, dentist="dentist A")]}
    for given, dentist, units, received in ((rows, "", 10, 14000), (seated, "dentist A", 9, 12000)):
        made = earned_of(read_rows(given), YEAR, YEAR.before, twins=True)
        now, then = row(made, "C6", dentist=dentist), row(made, "C6")
        assert (now["units"], now["received"]) == (units, received)
        assert (then["units_then"], then["received_then"]) == (4, 4 * 1400)
        assert made.total("earned", "units_then") == 4
        assert THEN_BY_LABS in made.model.blocks["earned"].note
        assert made.failing() == []


def test_work_seated_counts_instead() -> None:
    """Rows of work seated bring units and money as typed, of their payer and dentist; the labs' units don't count beside them."""
    rows = on_plan(crowns_billed(billed(ZIRCONIA, 1500, 10)))
    rows["seated"] = [
        work("C6", 1, 1300.0, dentist="dentist A"),
        work("C6", 2, 2500.0, dentist="Dentist  a"),
        work("C6", 1, 900.0, plan="plan one"),
        work("C1", -1, -1400.0),
        work("C1", 1, 1234.0, seated_on=date(2024, 10, 31)),
    ]
    made = earned_of(read_rows(rows), YEAR, YEAR.before)
    first = row(made, "C6", dentist="dentist A")
    assert (first["units"], first["received"]) == (3, 3800)
    assert row(made, "C6", "plan one")["received"] == 900
    assert (row(made, "C1")["units"], row(made, "C1")["received"]) == (-1, -1400)
    assert (row(made, "C1")["units_then"], row(made, "C1")["received_then"]) == (1, 1234)
    assert made.total("earned", "units") == 3
    assert row(made, "C2")["units"] == 0
    assert made.failing() == [] and made.problems == []
    assert made.model.blocks["earned"].note.startswith(BY_SEATED)


def test_money_not_typed_is_promised_and_said() -> None:
    """A blank counts what fee and plan promise, and one notice says how many rows and how much."""
    rows = on_plan(crowns_billed())
    rows["practice"][0]["collected"] = 0.5
    rows["seated"] = [work("C6", 2, None), work("C6", 1, None, plan="plan one"), work("C6", 1, 100.0)]
    made = earned_of(read_rows(rows))
    assert row(made, "C6")["received"] == pytest.approx(1400 + 100)
    assert row(made, "C6", "plan one")["received"] == pytest.approx(490)
    (told,) = made.problems
    assert told.kind == "assumed"
    assert "2 row(s)" in told.what and "1,890.00 USD" in told.what
    assert made.total("seated", "not_typed") == 2


def test_rows_left_out_are_told_with_their_money() -> None:
    """A code or a plan that nothing knows, and no money for a code without a fee: in no margin, each told, still in the check.

    A row of the period then is none of it.
    """
    rows = on_plan(crowns_billed())
    rows["fees"][0]["current_fee"] = None
    rows["seated"] = [
        work("C2", 1, 700.0),
        work("C6", 1, 40.0, plan="plan one"),
        work("C1", 2, None),
        work("C1", 1, 800.0),
        work("C2", 1, 50.0),
        work("C2", 1, 60.0, seated_on=date(2024, 5, 2)),
    ]
    practice = read_rows(rows)
    seated = practice.tables["seated"]
    codes, plans = list(seated["code"].astype(str)), list(seated["plan"].astype(str))
    codes[0], codes[5], plans[1] = "C9", "C9", "plan nine"
    practice.tables["seated"] = seated.assign(code=pd.Categorical(codes), plan=pd.Categorical(plans))
    made = earned_of(practice, YEAR, YEAR.before)
    told = [one for one in made.problems if one.kind == "in no fee"]
    assert [words in one.what for one, words in zip(told, (NO_CODE, NO_PLAN, NO_FEE), strict=True)] == [
        True
    ] * 3
    assert ["700.00 USD" in told[0].what, "40.00 USD" in told[1].what, "0.00 USD" in told[2].what] == [
        True
    ] * 3
    assert [one.cell for one in told] == ["C7", "C8", "C9"]
    assert made.total("earned", "received") == 850
    assert made.total("seated", "money_left_out") == 740
    assert made.total("seated", "units_left_out") == 4
    assert made.failing() == []


def test_work_seated_of_other_days_only() -> None:
    """Then the labs' invoices stand in, and that is said."""
    rows = crowns_billed(billed(ZIRCONIA, 1500, 10))
    rows["seated"] = [work("C6", 1, 1300.0, seated_on=date(2023, 1, 1))]
    made = earned_of(read_rows(rows))
    assert made.total("earned", "units") == 10
    (told,) = made.problems
    assert told.kind == "assumed" and "None of the 1 row(s)" in told.what


def test_without_dentist_pay_the_words_say_so() -> None:
    """A practice that pays no dentist has margins before dentist pay, in words."""
    rows = crowns_billed(billed(ZIRCONIA, 1500, 10))
    rows["staff"][0]["dentist"] = "no"
    made = earned_of(read_rows(rows))
    assert BEFORE_DENTIST in made.model.blocks["earned"].note
    assert row(made, "C6")["left"] == row(made, "C6")["left_before_dentist"]
