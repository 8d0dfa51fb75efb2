"""Cash beside accrual: what labs charged and were paid, cases between two periods, and money in by month."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
from reading_inputs import SETTINGS, Rows, good, write_practice

from feesheet.formula.numbers import Numbers
from feesheet.practice import Practice
from feesheet.pricing.review import cash_cases, cash_figures
from feesheet.pricing.review.cash import add_cash, cash_checks
from feesheet.pricing.review.lab import totals
from feesheet.pricing.review.period import Period, as_of
from feesheet.problems import Problem, errors
from feesheet.reading.folder import read_folder
from feesheet.total_lines import is_payment
from feesheet.uses.annual_update import price

YEAR = Period(date(2026, 10, 31), 12)
CROWN = good()["invoice_lines"][0]
WORK: dict[str, Any] = {
    "seated_on": date(2026, 3, 20), "code": "C-1", "site": "North", "units": 1, "billed": 1240.0, "received": 1000.0,
    "received_on": date(2026, 4, 10), "case": "",
}  # fmt: skip


def read(changed: Mapping[str, Rows], statement: list[list[str]] | None = None) -> Practice:
    """The small practice with other rows in some tables, and a lab's statement beside it."""
    with tempfile.TemporaryDirectory() as name:
        tables = {**good(), **changed}
        quote = {"lab": "lab A", "material": "cast gold", "quoted_price": 120.0}
        tables["lab_prices"] = [*tables["lab_prices"], quote]
        folder = write_practice(Path(name), tables, SETTINGS)
        if statement:
            text = "\n".join(",".join(row) for row in statement)
            (folder / "statement.csv").write_text(text, encoding="utf-8")
        practice, problems = read_folder(folder)
    assert errors(problems) == [], [str(problem) for problem in errors(problems)]
    return practice


def cash(
    changed: Mapping[str, Rows], now: Period = YEAR, statement: list[list[str]] | None = None
) -> tuple[Numbers, list[Problem]]:
    """The figures with the blocks of cash added, each check held, and what is told."""
    practice = as_of(read(changed, statement), now)
    priced, problems = price(practice)
    assert errors(problems) == [], [str(problem) for problem in errors(problems)]
    totals.add(priced.model, practice, priced.who, priced.parts)
    told = add_cash(priced.model, practice, priced.who, priced.parts, now)
    figures = Numbers(priced.model)
    lines = priced.model.blocks["lines"]
    for check, found, should in cash_checks(priced.model):
        assert figures.evaluate(found, lines) == pytest.approx(figures.evaluate(should, lines), abs=0.004), (
            check
        )
    return figures, told


def table(figures: Numbers, block: str, *columns: str) -> list[tuple[Any, ...]]:
    """The rows of a block, some columns of it."""
    return list(zip(*(list(figures.of(block, column)) for column in columns), strict=True))


def line(day: date, amount: float, **facts: Any) -> dict[str, Any]:
    """A crown of lab A."""
    return {**CROWN, "date": day, "amount": amount, "invoice": f"A-{day}", **facts}


STATEMENT = [
    ["Lab A"],
    ["Statement of account"],
    ["Statement date", "2026-09-30"],
    [""],
    ["Date", "Invoice", "Details", "Amount"],
    ["", "", "Previous balance", "500.00"],
    ["", "", "Payment, thank you", "-400.00"],
    ["2026-09-04", "A-2026-09-04", "Invoice", "150.00"],
    ["", "", "Amount due", "250.00"],
]


def test_a_lab_is_charged_by_invoice_date_and_paid_as_its_statement_says() -> None:
    """Credits stand apart, a copy and other periods don't count, the latest balance has its cell, and the rest is told."""
    lines = [
        line(date(2026, 3, 4), 300.0),
        line(date(2026, 9, 4), 150.0),
        line(date(2026, 9, 5), -20.0, kind="credit", invoice="A-2026-09-04"),
        line(date(2025, 9, 4), 999.0),
    ]
    figures, told = cash({"invoice_lines": lines}, statement=STATEMENT)
    (row,) = table(
        figures, "lab_cash", "lab", "charged", "credited", "paid", "payments", "statements", "balance"
    )
    assert row == ("lab A", 430.0, -20.0, 400.0, 1, 1, 250.0)
    assert table(figures, "lab_cash", "not_paid", "not_told", "difference_told") == [
        (30.0, -220.0, cash_figures.OLDER)
    ]
    assert list(figures.of("lab_cash", "balance_at")) == ["statement.csv, D9"]
    assert told == []


@pytest.mark.parametrize(
    ("charged", "words"),
    [(650.0, cash_figures.ALL_TOLD), (650.01, cash_figures.UNTOLD), (649.99, cash_figures.OLDER)],
)
def test_what_is_charged_is_paid_owed_or_not_told(charged: float, words: str) -> None:
    """To the cent: 400 paid and 250 owed leave nothing open of 650."""
    figures, _ = cash({"invoice_lines": [line(date(2026, 3, 4), charged)]}, statement=STATEMENT)
    assert list(figures.of("lab_cash", "difference_told")) == [words]


def test_what_no_statement_covers_is_called_so() -> None:
    """The words and the headings of what no statement explains."""
    figures, _ = cash({"invoice_lines": [line(date(2026, 3, 4), 700.0)]}, statement=STATEMENT)
    assert table(figures, "lab_cash", "not_told", "difference_told") == [(50.0, "no statement covers it")]
    for block, name in (("lab_cash", "not_told"), ("lab_cash_total", "all_not_told")):
        assert figures.model.blocks[block].columns[name].heading == "On no statement"


def test_how_much_of_the_charges_has_a_total() -> None:
    """The statement lists one invoice of two: its lines, over all charges of the labs. Without one it is nothing."""
    lines = [line(date(2026, 3, 4), 300.0), line(date(2026, 9, 4), 150.0)]
    figures, _ = cash({"invoice_lines": lines}, statement=STATEMENT)
    told = table(figures, "totals_held", "held", "charged_by_labs", "held_words")
    assert told == [(150.0, 450.0, "33% of charges held")]
    figures, _ = cash({"invoice_lines": lines})
    assert table(figures, "totals_held", "held", "held_words") == [(0.0, "0% of charges held")]


def test_the_own_mill_sends_no_paper_to_hold() -> None:
    """Its charges are not among those that a total could be held against; and no share is more than all."""
    assert (cash_figures.by_lab("own mill", 80.0), cash_figures.by_lab("lab", 80.0)) == (0, 80.0)
    assert (cash_figures.held_share(120.0, 100.0), cash_figures.held_share(0.0, 0.0)) == (1, 0)


def test_without_a_statement_nothing_says_what_was_paid() -> None:
    """The invoices alone are no cash; a lab without lines has no row."""
    figures, _ = cash({})
    rows = table(figures, "lab_cash", "lab", "charged", "paid", "not_told", "difference_told")
    nothing = cash_figures.NO_STATEMENT
    assert rows == [("lab A", 572.5, 0.0, 572.5, nothing), ("lab B", 99.0, 0.0, 99.0, nothing)]
    assert table(figures, "lab_cash_total", "all_charged", "all_paid") == [(671.5, 0.0)]
    assert "money_in" not in figures.model.blocks


@pytest.mark.parametrize(
    ("kind", "product", "is_one"),
    [
        ("payment", "Cheque 12", True),
        ("balance", "payment", True),
        ("balance", "Payment received, thank you", True),
        ("previous balance", "Balance", False),
        ("balance", "Balance before payment", False),
        ("balance", "Payment due", False),
        ("amount due", "Payment", False),
        ("unit fee", "payment", False),
    ],
)
def test_payments_are_told_from_balances(kind: str, product: str, is_one: bool) -> None:
    """By the kind that was typed, or by a balance's wording as the readers of papers write it."""
    lines = pd.DataFrame(
        {name: pd.Categorical([word]) for name, word in (("kind", kind), ("product", product))}
    )
    assert is_payment(lines).tolist() == [is_one]


def test_a_typed_payment_counts_whatever_its_sign() -> None:
    """Practices write it as money out or as money off; one outside the period does not count."""
    paid = [
        line(date(2026, 3, 31), 120.0, kind="payment", product="Payment"),
        line(date(2026, 4, 30), -80.0, kind="payment", product="Payment"),
        line(date(2026, 11, 30), 999.0, kind="payment", product="Payment"),
    ]
    figures, _ = cash({"invoice_lines": [line(date(2026, 3, 4), 300.0), *paid]})
    assert table(figures, "lab_cash", "charged", "paid", "payments") == [(300.0, 200.0, 2)]


def test_money_in_counts_work_by_its_day_and_cash_by_its_own() -> None:
    """A receipt of a later month moves; one not known yet is counted as missing; collections stand beside them."""
    work = [
        WORK,
        {
            **WORK,
            "seated_on": date(2026, 3, 31),
            "units": 2,
            "billed": 2480.0,
            "received": "",
            "received_on": "",
        },
        {**WORK, "seated_on": date(2025, 10, 30), "received": 70.0, "received_on": date(2026, 3, 2)},
        {**WORK, "seated_on": date(2026, 10, 30), "received": 500.0, "received_on": date(2026, 11, 20)},
        {**WORK, "seated_on": date(2026, 4, 30), "received": 30.0, "received_on": ""},
    ]
    months = [
        {"month_end": date(2026, 3, 5), "site": "North", "collected_money": 800.0},
        {"month_end": date(2026, 3, 31), "site": "South", "collected_money": 200.0},
    ]
    figures, (problem,) = cash({"seated": work, "collections": months})
    columns = ("month", "month_billed", "month_received", "month_missing", "month_cash", "month_collections")
    rows = {row[0]: row[1:] for row in table(figures, "money_in", *columns)}
    assert len(rows) == 12 and next(iter(rows)) == "2025-11"
    assert rows["2026-03"] == (3720.0, 1000.0, 1, 70.0, 1000.0)
    assert rows["2026-04"] == (1240.0, 30.0, 0, 1000.0, 0.0)
    assert rows["2026-10"] == (1240.0, 500.0, 0, 0.0, 0.0)
    assert list(figures.of("money_steps", "moved")) == [1530.0, -500.0, -30.0, 70.0]
    assert table(figures, "money_in_total", "all_received", "all_cash", "all_collections") == [
        (1530.0, 1070.0, 1000.0)
    ]
    assert (problem.kind, problem.cell) == ("assumed", "I6") and "30.00" in problem.what


CASED = [
    line(date(2026, 10, 20), 150.0, case="K1"),
    line(date(2026, 10, 20), 12.0, kind="freight", product="Freight", teeth="", units=""),
    line(date(2025, 10, 20), 160.0, case="K2"),
    line(date(2026, 10, 22), 170.0, case="K3"),
    line(date(2026, 5, 5), 180.0, case="K4"),
    line(date(2026, 5, 6), 190.0),
]


def test_cases_between_two_periods_are_told_with_their_money() -> None:
    """Each of the five ways, the freight of an invoice going with its only case; a case of one and the same period is in none."""
    days = {"K1": date(2026, 11, 3), "K2": date(2025, 11, 3), "K4": date(2026, 5, 20), "K9": date(2026, 6, 1)}
    work = [{**WORK, "seated_on": day, "received": 900.0, "case": case} for case, day in days.items()]
    figures, _ = cash({"invoice_lines": CASED, "seated": work})
    rows = table(
        figures, "seated_lag", "lag_state", "lag_invoice", "lag_invoiced", "lag_other_days", "lag_received"
    )
    assert rows == [
        (cash_cases.SEATED_LATER, "A-2026-10-20", 162.0, 0.0, 900.0),
        (cash_cases.NOT_SEATED, "A-2026-10-22", 170.0, 0.0, 0.0),
        (cash_cases.INVOICED_OUTSIDE, "A-2025-10-20", 0.0, 160.0, 900.0),
        (cash_cases.NO_INVOICE, "", 0.0, 0.0, 900.0),
    ]
    assert list(figures.of("lag_kinds", "lag_cases")) == [1, 0, 1, 1, 1]
    by_invoice, by_seating = 150.0 + 12 + 170 + 180 + 190, 160.0 + 180 + 190
    expected = [(by_invoice, by_seating, 0.0)]
    assert (
        table(figures, "seating_total", "charged_by_invoice", "charged_by_seating", "charged_by_payment")
        == expected
    )


def test_work_seated_before_its_period_is_told_too() -> None:
    """An invoice that comes after the end of the period in which the crown was seated."""
    work = [{**WORK, "seated_on": date(2025, 10, 28), "case": "K1"}]
    figures, _ = cash({"invoice_lines": [line(date(2025, 11, 4), 150.0, case="K1")], "seated": work})
    assert table(figures, "seated_lag", "lag_state", "lag_invoiced") == [(cash_cases.SEATED_BEFORE, 150.0)]


def test_a_case_number_of_two_labs_is_of_the_works_own_site() -> None:
    """The other lab's case of that number is left alone."""
    lines = [
        line(date(2026, 10, 20), 150.0, case="7", lab="lab B", teeth="3"),
        line(date(2026, 10, 21), 160.0, case="7", site="South"),
    ]
    work = [{**WORK, "seated_on": date(2026, 11, 3), "site": "South", "case": "7"}]
    figures, _ = cash({"invoice_lines": lines, "seated": work})
    assert table(figures, "seated_lag", "lag_lab", "lag_invoiced") == [("lab A", 160.0)]


def test_works_of_one_case_are_one_row() -> None:
    """Two crowns of a case, not side by side in the sheet, are told once with the money of both and their case's lines alone."""
    work = [
        {**WORK, "seated_on": date(2026, 11, 3), "received": 100.0, "case": case}
        for case in ("K1", "K3", "K1")
    ]
    figures, _ = cash({"invoice_lines": CASED, "seated": work})
    rows = table(figures, "seated_lag", "lag_state", "lag_invoiced", "lag_received")
    assert (cash_cases.SEATED_LATER, 162.0, 200.0) in rows
    assert (cash_cases.SEATED_LATER, 170.0, 100.0) in rows


def test_no_case_number_and_no_hash_is_in_the_blocks() -> None:
    """Invoices and days tell a case; its number stays with the lab."""
    practice = as_of(read({"invoice_lines": CASED, "seated": [{**WORK, "case": "K1"}]}), YEAR)
    priced, _ = price(practice)
    add_cash(priced.model, practice, priced.who, priced.parts, YEAR)
    hashes = set(practice.tables["seated"]["case"].astype(str)) | set(
        practice.tables["invoice_lines"]["case"].astype(str)
    )
    shown = {
        str(value)
        for block in priced.model.blocks.values()
        for column in block.columns.values()
        if column.values is not None
        for value in set(map(str, column.values))
    }
    assert not shown & ((hashes | {"K1", "K2", "K3", "K4"}) - {""})
