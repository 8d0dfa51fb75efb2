"""The block behind quote safety: every day of the price history, each metal's returns and rises beside it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import pandas as pd

from feesheet.formula.model import Block
from feesheet.formula.operations import lookup
from feesheet.formula.tree import Name, Whole
from feesheet.pricing.what_if import safety_figures as figures
from feesheet.pricing.what_if.history import History

SHEET = "Price history"


def price_history_block(histories: Sequence[History], hold_days: int) -> Block:
    """One row a day on which any of the metals has a quote; each metal's columns end in its number."""
    days = np.unique(np.concatenate([history.days for history in histories]))
    block = Block(
        "price_history",
        SHEET,
        f"Metal prices and what they did in {hold_days} days",
        len(days),
        "A blank is a gap: no quote, or none near enough. Numbers of rows count from the first row of this table.",
        label=("date",),
    )
    block.given("date", "Date", [pd.Timestamp(day) for day in days], "date")
    for number, history in enumerate(histories, start=1):
        _metal_columns(block, history, number, days)
    return block


def _metal_columns(block: Block, history: History, number: int, days: np.ndarray[Any, Any]) -> None:
    """One metal's facts, then what follows from them."""
    rows = np.searchsorted(days, history.days)
    name = history.metal.capitalize()
    _facts(block, history, number, rows)
    price = Name(f"price_{number}")

    def price_of(counter: str) -> Any:
        return lookup(Whole("price_history", f"price_{number}"), Name(f"{counter}_{number}"))

    block.tree(
        f"return_{number}",
        f"{name}, log return",
        "change",
        figures.log_return(Name(f"before_no_{number}"), price, price_of("before_no")),
        "The logarithm of the price over the quote before it; blank after a gap.",
    )
    block.tree(
        f"rise_{number}",
        f"{name}, rise over the hold",
        "change",
        figures.hold_rise(Name(f"end_no_{number}"), price, price_of("end_no"), Name("compare_digits")),
        "What a quote held from that day on would have had to withstand; blank where a gap hides it.",
    )
    for part, heading in (("early", "rise in the first half"), ("held_back", "rise to test on")):
        block.worked(
            figures.rise_where,
            name=f"{part}_rise_{number}",
            heading=f"{name}, {heading}",
            counts=f"{part}_{number}",
            rise=f"rise_{number}",
        )


def _facts(block: Block, history: History, number: int, rows: np.ndarray[Any, Any]) -> None:
    """The prices, and the counters that follow from the days alone."""
    name, windows = history.metal.capitalize(), history.windows
    prices = np.full(block.rows, np.nan)
    prices[rows] = history.prices
    block.given(
        f"price_{number}",
        f"{name}, price per {history.unit}",
        prices,
        "money",
        meaning="As typed, in one unit; blank where there is none.",
    )
    moved = np.concatenate([[0], rows + 1])
    for column, heading, values, meaning in (
        ("before_no", "row before", moved[windows.before], "Row of the quote before; 0: none, or a gap."),
        ("span", "days since then", windows.span, "Days that the return spans; 0: none."),
        ("end_no", "row at the end", moved[windows.end], "Row of the price at the end of the hold; 0: none."),
        ("early", "in the first half", windows.early, "1 if the window starts and ends in the first half."),
        (
            "held_back",
            "held back",
            windows.held_back,
            "1 for windows of the second half that do not overlap: the figures are tested on them.",
        ),
    ):
        numbers = np.zeros(block.rows, dtype=np.int64)
        numbers[rows] = values
        block.counter(f"{column}_{number}", f"{name}, {heading}", numbers, meaning)
