"""From the labs' bills to the cost in the margins: every step by hand, and checks that see a step gone wrong."""

from __future__ import annotations

from datetime import date

import pytest
from earned_cuts import Earned, billed, crowns_billed, earned_of, work
from priced import Rows, read_rows
from seven_crowns import CAST

from feesheet.pricing.review.bills_to_cost import BLOCK, LEFT, add_bills_to_cost, bill_checks
from feesheet.pricing.review.period import Period
from feesheet.pricing.review.spend import add_spend

YEAR = Period(date(2025, 10, 31), 12)
ZIRCONIA = "zirconia"
GRAMS = 3 / 8 * (8 / 3) + 5 / 8 * 2.5
"""Eight grams weighed for three units, blended with the typed grams."""

THEN, NOW = (
    (0.77 * gold + 0.13 * 46 + 0.01 * 1364) / 31.1034768 * 1.25 for gold in (3000.0, 3921.0)
)  # a gram of the cast alloy at the practice's premium
INSIDE = 2 * GRAMS * THEN
FEE = 6 / 11 * (1816 - INSIDE) / 6 + 5 / 11 * 150


def practice_rows(*more: dict[str, object]) -> Rows:
    """Four cast crowns with freight shared by a remake, alloy weighed for three of them, and two at an all-in price."""
    invoice = {"invoice": "A-1"}
    rows = crowns_billed(
        billed(CAST, 800, 4, **invoice),
        billed(CAST, 50, 1, kind="remake", **invoice),
        billed(CAST, 20, 1, kind="freight", product="Courier", **invoice),
        billed(CAST, 900, 3, kind="alloy", weight=8, weight_unit="g", **invoice),
        billed(CAST, 1000, 2, lab="lab B"),
        *more,
    )
    rows["labs"].append({**rows["labs"][0], "lab": "lab B", "alloy_billing": "all-in"})
    rows["metal_prices"] += [
        {"date": date(2025, 1, 2), "metal": metal, "price": price, "unit": "troy ounce"}
        for metal, price in (("gold", 3000.0), ("silver", 46.0), ("palladium", 1364.0))
    ]
    return rows


def made_of(rows: Rows) -> Earned:
    """What was earned, with the bills beside it; every check of the part holds."""
    made = earned_of(read_rows(rows), YEAR)
    add_spend(made.model, made.priced.parts)
    add_bills_to_cost(made.model, made.priced.who, YEAR)
    for what, found, should in bill_checks(made.model):
        figures = [float(made.numbers.evaluate(tree, made.model.blocks[BLOCK])) for tree in (found, should)]
        assert figures[0] == pytest.approx(figures[1], rel=1e-9, abs=1e-6), what
    return made


def steps(made: Earned) -> dict[str, tuple[float, float]]:
    """Lab fees and alloy of every step, by its title."""
    return {row["bill_step"]: (row["of_fees"], row["of_alloy"]) for row in made.table(BLOCK)}


def test_every_step_by_hand() -> None:
    """Five units seated of six made: charges, alloy inside and weighed, price, grams, blend and units, each for itself."""
    found = steps(made_of({**practice_rows(), "seated": [work("C1", 5, 6000.0)]}))
    alloy = GRAMS * NOW
    expected = [
        (1820, 900),
        (-4, 0),
        (0, 0),
        (0, 0),
        (-INSIDE, INSIDE),
        (0, 8 * NOW - 900 + 2 * alloy - INSIDE),
        (0, 3 * alloy - 8 * NOW),
        (0, alloy),
        (6 * FEE - (1816 - INSIDE), 0),
        (0, 0),
        (-FEE, -alloy),
        (5 * FEE, 5 * alloy),
    ]
    for (title, amounts), wanted in zip(found.items(), expected, strict=True):
        assert amounts == pytest.approx(wanted, abs=1e-6), title


def test_left_by_the_bills() -> None:
    """Left with the bills is what came in less the other costs and what the labs charged; the last day stands in the note."""
    made = made_of({**practice_rows(), "seated": [work("C1", 5, 6000.0)]})
    amounts = [row["amount"] for row in made.table(LEFT)]
    left = made.total("earned", "left")
    assert amounts == pytest.approx([left, 5 * (FEE + GRAMS * NOW), -2720, amounts[0] + amounts[1] - 2720])
    other = made.table("costs")[0]
    rest = other["unit_cost"] - other["lab_fee"] - other["alloy_cost"]
    assert amounts[3] == pytest.approx(6000 - 5 * rest - 2720)
    assert made.table(LEFT)[3]["of_revenue"] == pytest.approx(amounts[3] / 6000)
    assert "31 October 2025" in made.model.blocks[BLOCK].note


def test_what_is_in_no_item() -> None:
    """Alloy on zirconia is in no fee, and units of a code without a fee are in no margin."""
    more = (
        billed(ZIRCONIA, 300, 2, invoice="A-2"),
        billed(ZIRCONIA, 70, 2, kind="alloy", weight=1, weight_unit="g", alloy=f"alloy of {CAST}", invoice="A-2"),
    )  # fmt: skip
    rows = practice_rows(*more)
    rows["fees"][5] |= {"current_fee": None}
    found = steps(made_of(rows))
    assert found["Alloy on materials without one"] == pytest.approx((0, -70))
    assert found["Units made that no code takes"] == pytest.approx((-2 * 150, 0))
    assert found["Units of the work in place of units made"] == pytest.approx((0, 0), abs=1e-9)


def test_teeth_that_are_not_known() -> None:
    """What was billed for teeth that no fee is for, or that nobody wrote down, is in no item, its alloy neither."""
    rows = practice_rows()
    rows["fees"][0] |= {"tooth_region": "molar"}
    rows["starting_grams"][0] |= {"tooth_region": "molar"}
    for row in rows["invoice_lines"][:-1]:
        row["teeth"] = "16"
    assert steps(made_of(rows))["Teeth not known"] == pytest.approx((-1000, 0))
    rows["invoice_lines"][3] |= {"invoice": "A-9", "teeth": ""}
    assert steps(made_of(rows))["Teeth not known"] == pytest.approx((-1000, -900))


def test_nothing_billed() -> None:
    """Without invoices there is nothing to come from: work seated alone makes the cost."""
    rows = {**crowns_billed(), "seated": [work("C1", 2, None)]}
    found = list(steps(made_of(rows)).values())
    assert found[0] == (0, 0)
    assert found[-2] == pytest.approx(found[-1])
