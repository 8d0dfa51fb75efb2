"""Hard cases of materials and alloy, as a review of the labs' invoices sees them."""

from __future__ import annotations

from datetime import date

import pytest
from alloy_audit import alloy, at_price, audit, rows_of, unit

from feesheet.pricing.review.lab import classes, grams, premium

DWT = 1.55517384


def test_case_45_a_line_without_a_class_is_not_judged() -> None:
    """Nobody named a class: no line stands in the table of classes."""
    assert audit(classes, rows_of(at_price(120.0, 1))).table("class_lines") == []


def test_case_57_pennyweight_is_grams_to_the_audit() -> None:
    """2.1 dwt at 150.00 a dwt are 3.266 g at 96.45 a gram: at a metal value of 96.20 a premium of 0.26 %."""
    found = audit(premium, rows_of([unit("A-1"), alloy(315, 2.1, "A-1", weight_unit="dwt")]))
    (row,) = found.table("premium_tests")

    assert row["line_grams"] == pytest.approx(2.1 * DWT) == pytest.approx(3.266, abs=5e-4)
    assert row["billed_per_g"] == pytest.approx(150 / DWT) == pytest.approx(96.45, abs=5e-3)
    assert row["premium"] == pytest.approx(150 / DWT / 96.2 - 1)


def test_case_60_alloy_without_a_weight_is_listed_and_not_accused() -> None:
    """138.60 without a weight: shown with its reason in prices and in weights, and no finding."""
    rows = rows_of([*at_price(120.0), unit("A-9"), alloy(138.6, 3, "A-9", weight=None)])
    for test, block in ((premium, "premium_tests"), (grams, "gram_tests")):
        found = audit(test, rows)
        last = found.table(block)[-1]
        assert (last["outcome"], last["money"], last["billed"]) == ("no weight", 0, 138.6)
        assert found.found == []


def test_case_62_a_bridge_of_three_on_one_line() -> None:
    """4.2 g of a bridge are 1.4 g a unit, and the parts add up to the whole line."""
    three = {"teeth": "16-18", "units": 3}
    found = audit(
        grams, rows_of([*at_price(120.0, 4, 1.4), unit("B-1", **three), alloy(504, 4.2, "B-1", **three)])
    )
    last = found.table("gram_tests")[-1]

    assert (last["unit_grams"], last["usual_line"]) == (pytest.approx(1.4), pytest.approx(4.2))
    assert found.found == []


def test_case_63_the_market_of_the_invoice_date() -> None:
    """The value is that of the invoice's day; a dearer day after it changes nothing."""
    rows = rows_of(at_price(120.0))
    before = audit(premium, rows).table("premium_tests")
    rows["metal_prices"].append(
        {"date": date(2026, 10, 1), "metal": "gold", "price": 132, "unit": "gram", "confirmed": "yes"}
    )
    assert [row["due_at_most"] for row in audit(premium, rows).table("premium_tests")] == [
        row["due_at_most"] for row in before
    ]


def test_case_65_an_alloy_of_unknown_metals_is_not_judged() -> None:
    """Nine tenths of it nobody stated: listed as such, with its money."""
    rows = rows_of(at_price(500.0, 5, alloy="casting alloy 33"))
    rows["alloys"].append({"alloy": "casting alloy 33", "gold": 0.1, "other": 0.9})
    found = audit(premium, rows)

    assert [(row["why"], row["lines_so"]) for row in found.table("premium_counts")] == [
        ("composition not known", 5)
    ]
    assert found.found == []
