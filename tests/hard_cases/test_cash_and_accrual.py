"""Hard case 85: an invoice of one year for work seated in the next. Accrual by seat date, cash by payment, both shown."""

from __future__ import annotations

import tempfile
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from reading_inputs import SETTINGS, good, write_practice

from feesheet.formula.numbers import Numbers
from feesheet.pricing.review.cash import add_cash
from feesheet.pricing.review.cash_cases import INVOICED_OUTSIDE, SEATED_LATER
from feesheet.pricing.review.period import Period, as_of
from feesheet.problems import errors
from feesheet.reading.folder import read_folder
from feesheet.uses.annual_update import price

OLD_YEAR, NEW_YEAR = Period(date(2025, 12, 31), 12), Period(date(2026, 12, 31), 12)


def figures_of(now: Period) -> Numbers:
    """A crown invoiced on 29 December for 150.00, paid on 31 January, seated on 12 January; a year of the two is reviewed."""
    tables = good()
    crown = tables["invoice_lines"][0]
    tables["invoice_lines"] = [
        {**crown, "date": date(2025, 12, 29), "invoice": "A-1", "amount": 150.0, "case": "K1"},
        {**crown, "date": date(2026, 1, 31), "invoice": "A-S", "kind": "payment", "product": "Payment", "amount": -150.0,
         "teeth": "", "units": ""},
    ]  # fmt: skip
    tables["seated"] = [
        {"seated_on": date(2026, 1, 12), "code": "C-1", "site": "North", "units": 1, "received": 1240.0,
         "received_on": date(2026, 1, 12), "case": "K1"}
    ]  # fmt: skip
    tables["metal_prices"] = [{**row, "date": date(2025, 1, 2)} for row in tables["metal_prices"]]
    with tempfile.TemporaryDirectory() as folder:
        practice, problems = read_folder(
            write_practice(Path(folder), tables, {**SETTINGS, "pricing_date": now.last})
        )
    assert errors(problems) == []
    practice = as_of(practice, now)
    priced, _ = price(practice)
    add_cash(priced.model, practice, priced.who, priced.parts, now)
    return Numbers(priced.model)


def shown(figures: Numbers, block: str, *columns: str) -> list[Any]:
    """Some figures of a block's only row."""
    return [next(iter(figures.of(block, column))) for column in columns]


@pytest.mark.parametrize(
    ("now", "state", "by_invoice", "by_seating", "by_payment", "received"),
    [(OLD_YEAR, SEATED_LATER, 150.0, 0.0, 0.0, 0.0), (NEW_YEAR, INVOICED_OUTSIDE, 0.0, 150.0, 150.0, 1240.0)],
)
def test_case_85_invoiced_on_29_december_and_seated_on_12_january(
    now: Period, state: str, by_invoice: float, by_seating: float, by_payment: float, received: float
) -> None:
    """By its invoice the crown is the old year's; by seating, by payment and by its receipt it is the new year's."""
    figures = figures_of(now)
    columns = ("charged_by_invoice", "charged_by_seating", "charged_by_payment")
    assert shown(figures, "seating_total", *columns) == [by_invoice, by_seating, by_payment]
    assert shown(figures, "seated_lag", "lag_state") == [state]
    assert shown(figures, "money_in_total", "all_received", "all_cash") == [received, received]
