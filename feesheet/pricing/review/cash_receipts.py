"""Money that came in: each row of the work seated by the day of seating and by the day of its money, month by month."""

from __future__ import annotations

import numpy as np
import pandas as pd

from feesheet.costing.roster import words
from feesheet.formula.model import Block
from feesheet.formula.operations import grand_product
from feesheet.formula.tree import Traced, Whole
from feesheet.practice import Practice
from feesheet.pricing.review.cash_figures import billed_known, moved, receipt_missing, received_known
from feesheet.pricing.review.cash_labs import SHEET
from feesheet.pricing.review.period import Period
from feesheet.pricing.summary import sum_of

RECEIPTS_SHEET = "Receipts"

_FLAGS = (
    ("of_work", "Seated in the period", "Work of the period: accrual."),
    ("of_cash", "Received in the period", "Money of the period: cash."),
    ("other_day", "Received on other days", "Work of the period, its money on a day outside it."),
    ("no_day", "Received, day not typed", "Work of the period whose money has no day."),
    ("other_work", "Received for other work", "Money of the period for work seated outside it."),
)


def months_of(now: Period) -> list[pd.Period]:
    """The calendar months that the period touches."""
    return list(pd.period_range(now.first, now.last, freq="M"))


def receipt_rows(practice: Practice, table: pd.DataFrame, now: Period) -> pd.DataFrame:
    """The work that was seated or paid in the period, or whose case lies between two periods, with flags (1 or 0).

    `lag_no` is the row of its case in `table`, `seated_month` and `paid_month` the months of the period; 0: none.
    """
    work = practice.tables["seated"]
    lag = {position: row for row, works in enumerate(table["works"], start=1) for position in works}
    seated, paid = now.holds(work["seated_on"]), now.holds(work["received_on"])
    came = work["received"].notna()
    rows = work.assign(
        lag_no=[lag.get(position, 0) for position in range(len(work))],
        of_work=seated,
        of_cash=paid & came,
        other_day=seated & came & ~paid & work["received_on"].notna(),
        no_day=seated & came & work["received_on"].isna(),
        other_work=paid & came & ~seated,
        seated_month=_month_numbers(work["seated_on"], seated, now),
        paid_month=_month_numbers(work["received_on"], paid & came, now),
    )
    return rows[seated | paid | (rows["lag_no"] > 0)].reset_index(drop=True)


def _month_numbers(days: pd.Series, inside: pd.Series, now: Period) -> np.ndarray:
    """The number of each day's month in the period, 0 for a day outside it."""
    number = {month: row for row, month in enumerate(months_of(now), start=1)}
    months = days.dt.to_period("M")
    return np.array(
        [number[month] if yes else 0 for month, yes in zip(months, inside, strict=True)], dtype=np.int64
    )


def receipts_block(practice: Practice, rows: pd.DataFrame) -> Block:
    """The rows with where they were read; patients' names and case numbers are left away."""
    note = "Work seated or paid in the period, as typed: accrual counts it by the day of seating, cash by the day of its money."
    block = Block(
        "receipts", RECEIPTS_SHEET, "Receipts", len(rows), note, label=("receipt_code", "receipt_site")
    )
    sources = [practice.sources[int(source)] for source in rows["source"]]
    block.given("receipt_file", "File", pd.Categorical([source.file for source in sources]), width=24)
    block.given("receipt_sheet", "Sheet", pd.Categorical([source.sheet for source in sources]))
    block.given("receipt_row", "Row", rows["row"].to_numpy(), "whole", counter=True)
    block.given("receipt_code", "Code", list(words(rows["code"])), "code")
    block.given("receipt_site", "Site", list(words(rows["site"])))
    for name, heading in (("seated_on", "Seated on"), ("received_on", "Received on")):
        block.given(name, heading, rows[name].to_numpy(), "date")
    for name, heading in (("billed", "Billed"), ("received", "Received")):
        block.given(name, heading, rows[name].to_numpy(dtype=float), "money", meaning="Blank: not typed.")
    block.counter(
        "seated_month_no", "Month seated", rows["seated_month"].to_numpy(), "Row in the months; 0: none."
    )
    block.counter(
        "paid_month_no", "Month received", rows["paid_month"].to_numpy(), "Row in the months; 0: none."
    )
    block.counter(
        "lag_no", "Case no.", rows["lag_no"].to_numpy(), "Row in the cases between two periods; 0: none."
    )
    for name, heading, meaning in _FLAGS:
        block.counter(name, heading, rows[name].to_numpy(dtype=np.int64), f"1 for yes, 0 for no. {meaning}")
    for function in (billed_known, received_known, receipt_missing):
        block.worked(function)
    return block


def money_in_block(practice: Practice, now: Period) -> Block:
    """Each month of the period: billed and received by the day of seating, received by its own day, and all collections."""
    months = months_of(now)
    note = (
        "Accrual: what came in for the work seated in the month, whenever it came. Cash: what came in during the month, for "
        "whatever work. Collections are those of all dentistry, as typed; 0 where none are."
    )
    block = Block("money_in", SHEET, "Money in, by month", len(months), note, label=("month",))
    block.number()
    block.given("month", "Month", [str(month) for month in months], width=12)
    for name, heading, unit, source, by, meaning in (
        ("billed", "Billed", "money", "billed_known", "seated", "By the day of seating."),
        ("received", "Received, accrual", "money", "received_known", "seated", "By the day of seating."),
        ("missing", "Rows without receipt", "whole", "receipt_missing", "seated", "Not known yet."),
        ("cash", "Received, cash", "money", "received_known", "paid", "By the day it came in."),
    ):
        where = f"receipts.{by}_month_no"
        block.total(f"month_{name}", heading, unit, f"receipts.{source}", where, "no", meaning=meaning)
    collected = _collected(practice, now)
    meaning = "All that patients and payers paid; a month counts where its last day is in the period."
    block.given(
        "month_collections",
        "Collections",
        [collected.get(month, 0.0) for month in months],
        "money",
        meaning=meaning,
    )
    return block


def _collected(practice: Practice, now: Period) -> dict[pd.Period, float]:
    """Collections by calendar month, all sites together."""
    table = practice.tables["collections"]
    months = table["month_end"].dt.to_period("M")
    inside = now.holds(table["month_end"] + pd.offsets.MonthEnd(0))
    return {
        month: float(money)
        for month, money in table["collected_money"][inside].groupby(months[inside]).sum().items()
    }


def money_steps_block() -> Block:
    """From what came in for the period's work to what came in during the period."""
    received = Whole("receipts", "received_known")
    steps: list[tuple[str, float, Traced]] = [
        (
            "Received for work seated in the period (accrual)",
            1.0,
            grand_product(received, Whole("receipts", "of_work")),
        ),
        ("less: on a day outside the period", -1.0, grand_product(received, Whole("receipts", "other_day"))),
        ("less: on a day that is not typed", -1.0, grand_product(received, Whole("receipts", "no_day"))),
        (
            "plus: in the period, for work seated outside it",
            1.0,
            grand_product(received, Whole("receipts", "other_work")),
        ),
    ]
    block = Block(
        "money_steps",
        SHEET,
        "From accrual to cash",
        len(steps),
        "Added up: what came in during the period.",
        label=("money_step",),
    )
    block.given("money_step", "Step", [name for name, _, _ in steps], width=48)
    block.given("sign", "Sign", [sign for _, sign, _ in steps], "whole", meaning="1: added; -1: taken off.")
    block.listed("kind_money", "Its money", "money", [tree for _, _, tree in steps], "Of the receipts.")
    block.worked(moved)
    return block


def money_total_block() -> Block:
    """The period's money in, all months together."""
    block = Block("money_in_total", SHEET, "Money in, the whole period", 1, label=("money_scope",))
    block.given("money_scope", "Months", ["all"])
    for name, heading, source in (
        ("all_billed", "Billed", "month_billed"),
        ("all_received", "Received, accrual", "month_received"),
        ("all_cash", "Received, cash", "month_cash"),
        ("all_collections", "Collections", "month_collections"),
    ):
        block.listed(name, heading, "money", [sum_of(f"money_in.{source}")], "The sum over the months.")
    return block
