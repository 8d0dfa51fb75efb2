"""Cash beside accrual: what labs charged and were paid, what was seated and billed, and what came in."""

from __future__ import annotations

import pandas as pd

from feesheet.costing.roster import Roster
from feesheet.formula.model import Model
from feesheet.formula.operations import grand_product
from feesheet.formula.tree import Whole
from feesheet.practice import Practice
from feesheet.pricing.checks import Check
from feesheet.pricing.review import cash_cases, cash_labs, cash_receipts
from feesheet.pricing.review.period import Period
from feesheet.pricing.summary import sum_of
from feesheet.problems import Problem


def add_cash(
    model: Model, practice: Practice, who: Roster, parts: pd.DataFrame, now: Period
) -> list[Problem]:
    """Add the labs' side always, and the practice's own as far as work seated or collections are typed."""
    names = cash_labs.mark_lines(model, practice, parts, now)
    model.add(cash_labs.lab_cash_block(practice, names, now))
    model.add(cash_labs.lab_cash_total_block())
    model.add(cash_labs.totals_held_block())
    work, collected = practice.tables["seated"], practice.tables["collections"]
    if work.empty and collected.empty:
        return []
    table = cash_cases.cases(practice, parts, now)
    rows = cash_receipts.receipt_rows(practice, table, now)
    model.add(cash_receipts.money_in_block(practice, now))
    model.add(cash_receipts.money_total_block())
    model.add(cash_receipts.money_steps_block())
    if (work["case"] != "").any():
        _add_cases(model, parts, table, now)
    model.add(cash_receipts.receipts_block(practice, rows))
    return _without_day(practice, rows)


def _add_cases(model: Model, parts: pd.DataFrame, table: pd.DataFrame, now: Period) -> None:
    """The labs' charges by the day of seating, where work seated names cases."""
    cash_cases.mark_cases(model, parts, table, now)
    model.add(cash_cases.seating_total_block())
    model.add(cash_cases.by_seating_block())
    model.add(cash_cases.lag_kinds_block())
    model.add(cash_cases.lag_block(table))


def _without_day(practice: Practice, rows: pd.DataFrame) -> list[Problem]:
    """One notice for money that came in on days that nobody typed: it is in no month of the cash."""
    chosen = rows[rows["no_day"]]
    if chosen.empty:
        return []
    what = (
        f"{len(chosen)} row(s) say what was received and not on which day: {chosen['received'].sum():,.2f} "
        "is in the accrual and in no month of the cash."
    )
    source = practice.sources[int(chosen["source"].iloc[0])]
    place = (source.file, source.sheet, source.cell("received_on", int(chosen["row"].iloc[0])))
    return [Problem("assumed", what, 'Type the days under "Received on", if cash matters.', *place)]


def cash_checks(model: Model) -> list[Check]:
    """The labs' charges and payments, and the money that came in, each added up two ways."""
    charged = grand_product(Whole("lines", "part_amount"), Whole("lines", "charge"))
    rows: list[Check] = [
        ("Charges of the labs one by one, against the lines", sum_of("lab_cash.charged"), charged),
        (
            "Payments to the labs one by one, against the lines",
            sum_of("lab_cash.paid"),
            sum_of("lines.paid_amount"),
        ),
    ]
    if "by_seating" in model.blocks:
        by_line = grand_product(Whole("lines", "part_amount"), Whole("lines", "by_seating"))
        rows.append(
            (
                "Labs' charges by the day of seating: the steps, against the lines",
                sum_of("by_seating.moved"),
                by_line,
            )
        )
    if "money_in" in model.blocks:
        received = Whole("receipts", "received_known")
        rows += [
            (
                "Received by month of seating, against the receipts",
                sum_of("money_in.month_received"),
                grand_product(received, Whole("receipts", "of_work")),
            ),
            (
                "Received by month, against the steps from accrual",
                sum_of("money_in.month_cash"),
                sum_of("money_steps.moved"),
            ),
        ]
    return rows
