"""What is missing from a fee is said with its count and its money, and steps and alloy go where they belong."""

from __future__ import annotations

from datetime import date

from priced import Rows, read_rows
from truth.test_against_the_page import differences, disagreements
from truth.test_by_the_page import gold_crown, shared_freight

from feesheet.costing.chair import staff_number
from feesheet.problems import Problem
from feesheet.uses.annual_update import Priced, price


def told(rows: Rows, kind: str) -> list[Problem]:
    """The problems of that kind."""
    return [problem for problem in price(read_rows(rows))[1] if problem.kind == kind]


def priced(rows: Rows) -> Priced:
    """The rows priced."""
    return price(read_rows(rows))[0]


def line(**more: object) -> dict[str, object]:
    """A line of lab A on a day in the window."""
    shared = {"date": date(2026, 3, 2), "invoice": "A-9", "lab": "lab A", "site": "North", "product": "alloy"}
    return {**shared, **more}


def test_steps_for_all_teeth_are_the_steps_of_the_material() -> None:
    """A step whose tooth region is "all" counts as one whose region is blank, in both programs."""
    rows, by_hand = gold_crown()
    rows["chair_time"][0]["tooth_region"] = "all"

    assert differences(priced(rows), by_hand) == []
    assert disagreements(priced(rows), rows) == []


def test_a_fee_without_steps_is_named() -> None:
    """It is priced with no minutes, and the notice says which regions the material has steps for."""
    rows, _ = gold_crown()
    for step in rows["chair_time"]:
        step["tooth_region"] = "premolar"
    rows["fees"] += [{**rows["fees"][0], "code": f"G-{n}"} for n in range(6)]
    (notice,) = told(rows, "no chair time")

    assert "cast gold: no steps are typed for G-M, G-0, G-1, G-2, G-3 … and 2 more" in notice.what
    assert "for premolar only" in notice.what
    assert (notice.sheet, notice.cell) == ("Current fees", "B7")
    assert told(gold_crown()[0], "no chair time") == []


def test_alloy_on_a_primary_tooth_weighs_nothing() -> None:
    """It is set aside on the Invoice lines, so neither the grams nor the premium may hold it."""
    rows, by_hand = gold_crown()
    rows["invoice_lines"].append(
        line(kind="alloy", amount=9000, teeth="55", weight=50, weight_unit="g", alloy="yellow alloy")
    )

    assert differences(priced(rows), by_hand) == []


def test_an_alloy_quoted_too_late_is_not_shown_then_and_now() -> None:
    """Gold was quoted from January 2026: fees set before have no price then, fees set after have one."""
    rows, _ = gold_crown()
    rows["practice"][0]["fees_set_on"] = date(2025, 12, 1)
    (notice,) = told(rows, "no price")

    assert "yellow alloy: gold and silver had no quote by 2025-12-01" in notice.what
    assert priced(rows).model.blocks["alloyed"].rows == 0

    rows["practice"][0]["fees_set_on"] = date(2026, 2, 1)

    assert told(rows, "no price") == []
    assert priced(rows).model.blocks["alloyed"].rows == 1


def test_charges_on_units_outside_the_fees_are_counted() -> None:
    """Freight 24 and tax 20 over four units, one a remake and one a guard: 2 x 11 reach no fee."""
    (notice,) = told(shared_freight()[0], "in no fee")

    assert notice.what.startswith("2 unit(s)")
    assert "22.00" in notice.what
    assert told(gold_crown()[0], "in no fee") == []


def test_a_crown_without_teeth_reaches_no_fee_where_a_price_is_quoted() -> None:
    """With a quoted price its money is in no mean that a fee starts from; without one it is."""
    rows, by_hand = gold_crown()
    rows["invoice_lines"].append(line(kind="unit fee", amount=300, product="Full cast crown"))
    (notice,) = told(rows, "in no fee")

    assert notice.what.startswith("1 line(s)")
    assert "300.00" in notice.what
    assert by_hand[("G-M", "North")]["lab_fee"] == priced(rows).numbers.of("costs", "lab_fee")[0]

    del rows["lab_prices"]

    assert told(rows, "in no fee") == []


def test_alloy_lines_without_a_quote_are_counted() -> None:
    """Gold quoted from September only: the lines of March and April, 290.75 and 210.50, are not in the premium."""
    rows, _ = gold_crown()
    del rows["metal_prices"][0]
    (notice,) = told(rows, "no price")

    assert notice.what.startswith("2 alloy line(s)")
    assert "501.25" in notice.what


def test_no_dentist_pay_is_said() -> None:
    """Without a paid dentist in any step the notice, the Summary and the Margins sheet say so."""
    rows, _ = gold_crown()
    assert told(rows, "no dentist pay") == []
    rows["staff"][0]["yearly_cost"] = 0
    blocks = priced(rows).model.blocks

    assert len(told(rows, "no dentist pay")) == 1
    assert "before dentist pay" in blocks["front"].title
    assert "before dentist pay" in blocks["margins"].note


def test_an_absurd_premium_is_questioned() -> None:
    """Amounts ten times too high give 11025 / 882 - 1 = 11.50."""
    rows, _ = gold_crown()
    for row in rows["invoice_lines"]:
        row["amount"] *= 10
    (notice,) = told(rows, "caution")

    assert "yellow alloy has an alloy premium of 11.50" in notice.what
    assert "lines in the window" in notice.what


def test_an_all_in_lab_may_be_spelled_in_capitals() -> None:
    """Its alloy is estimated whichever way the invoices spell it."""
    rows, _ = gold_crown()
    rows["labs"][0] |= {"lab": "LAB A", "alloy_billing": "all-in"}

    assert disagreements(priced(rows), rows) == []


def test_a_role_without_a_row_of_its_own_takes_the_one_for_all_sites() -> None:
    """Site first, then every site, then none."""
    rows = {("dentist", "north"): 1, ("dentist", ""): 2, ("assistant", "all"): 3}

    assert [staff_number(rows, "Dentist", site) for site in ("North", "South")] == [1, 2]
    assert [staff_number(rows, role, "South") for role in ("assistant", "nobody")] == [3, 0]
