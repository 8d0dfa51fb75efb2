"""A metal price history made ready: each metal's quotes in one unit, what is questioned in them, and their hold windows.

Days without a quote are gaps: never noughts, and never filled with the quote before.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd

from feesheet import reference
from feesheet.practice import Practice
from feesheet.pricing.what_if.windows import Windows, windows_of
from feesheet.problems import Problem, Sort
from feesheet.schema import plain

Figures = np.ndarray[Any, Any]
"""One figure a quote."""

MANY_JUMPS = Sort(
    "metal prices are more than 10 % off the quote before them, so their metals are left out of quote safety",
    'Correct each price, or write yes under "Confirmed" where it is right.',
)

MANY_SHORT = Sort(
    "metals have a price history too short for a figure",
    "Give longer histories, with more days in them, or hold quotes for fewer days.",
)


@dataclass(frozen=True)
class History:
    """One metal's quotes, oldest first: days, prices of one `unit`, and their rows in the table.

    `converted` are the other units that quotes were typed in, turned into `unit` by their grams.
    """

    metal: str
    unit: str
    days: Figures
    prices: Figures
    rows: Figures
    converted: tuple[str, ...]
    windows: Windows


MOST_DAYS_OLD = 31
"""A history that ends longer before the pricing date is told to be old (common practice, no source: prices are looked up monthly)."""


def up_to_pricing(prices: Practice) -> tuple[Practice, list[Problem]]:
    """The quotes up to the pricing date, how many are later, and whether the last of them is old."""
    table, last = prices.tables["metal_prices"], pd.Timestamp(prices.day("pricing_date"))
    later = (table["date"] > last).to_numpy()
    problems = []
    if later.any():
        what = f"{int(later.sum())} quotes, the first here, are later than the pricing date, {last.date()}: they are left out."
        place = prices.place("metal_prices", int(np.flatnonzero(later)[0]), "date")
        problems.append(
            Problem("dates out of order", what, "Set a later pricing date if they should count.", *place)
        )
    kept = table[~later].reset_index(drop=True)
    if len(kept) and (last - kept["date"].max()).days > MOST_DAYS_OLD:
        days = (last - kept["date"].max()).days
        what = f"The latest quote of the history is {days} days older than the pricing date, {last.date()}."
        place = prices.place("metal_prices", int(np.flatnonzero(~later)[kept["date"].argmax()]), "date")
        problems.append(Problem("dates out of order", what, "Take a history that goes on to it.", *place))
    return replace(prices, tables={**prices.tables, "metal_prices": kept}), problems


def histories(
    prices: Practice, metals: Sequence[str], hold_days: int
) -> tuple[dict[str, History], list[Problem]]:
    """The history of each metal that can be used for that hold, and what stands in the way of the others.

    `prices` holds the quotes: the practice itself, or a history file read by itself.
    """
    found: dict[str, History] = {}
    problems: list[Problem] = []
    table = prices.tables["metal_prices"]
    for metal in dict.fromkeys(metals):
        history = _read(table, metal, hold_days)
        wrong = [*_jumps(prices, history), *_short(prices, history, hold_days)]
        problems += wrong
        if not wrong:
            found[metal] = history
    return found, problems


def _read(table: pd.DataFrame, metal: str, hold_days: int) -> History:
    """The metal's quotes in order, in the unit of the latest; rows without a price or a day are gaps."""
    mine = (table["metal"].astype(str).map(plain) == plain(metal)) & (table["price"] > 0)
    quotes = table[mine & table["date"].notna()].assign(
        position=np.arange(len(table))[mine & table["date"].notna()]
    )
    quotes = quotes.sort_values("date", kind="stable")
    units = [str(unit) for unit in quotes["unit"]]
    unit = units[-1] if units else ""
    grams = np.array([reference.grams_in(name) for name in units], dtype=float)
    factors = np.divide(grams[-1:], grams) if len(grams) else grams
    days = quotes["date"].to_numpy().astype("datetime64[D]")
    return History(
        metal,
        unit,
        days,
        quotes["price"].to_numpy(dtype=float) * factors,
        quotes["position"].to_numpy(),
        tuple(dict.fromkeys(name for name, factor in zip(units, factors, strict=True) if factor != 1)),
        windows_of(days, hold_days),
    )


def _jumps(prices: Practice, history: History) -> list[Problem]:
    """Quotes too far off the one before them that nobody confirmed, all of them."""
    table = prices.tables["metal_prices"]
    rows, digits = history.rows, int(reference.fixed("compare_digits"))
    moves = np.round(history.prices[1:] / history.prices[:-1] - 1, digits)
    asked = np.abs(moves) > reference.fixed("quote_jump")
    asked &= history.windows.before[1:] > 0  # what happened in a gap is no move of one quote to the next
    if "confirmed" in table:
        asked &= ~table["confirmed"].fillna(False).to_numpy(dtype=bool)[rows][1:]
    return [_jump(prices, history, int(at) + 1, float(moves[at])) for at in np.flatnonzero(asked)]


def _jump(prices: Practice, history: History, at: int, move: float) -> Problem:
    table, row = prices.tables["metal_prices"], int(history.rows[at])
    price, unit = float(table["price"].iloc[row]), str(table["unit"].iloc[row])
    before = f"{history.prices[at - 1]:,.2f} per {history.unit} on {history.days[at - 1]}"
    what = (
        f"{history.metal.capitalize()} at {price:,.2f} per {unit} on {history.days[at]} is {abs(move) * 100:.1f} % "
        f"{'over' if move > 0 else 'under'} the quote before it, {before}; {history.metal} is left out of quote safety."
    )
    do = 'Correct the price, or the one before it, or write yes under "Confirmed" if it is right.'
    return Problem("price jump", what, do, *prices.place("metal_prices", row, "price"), sort=MANY_JUMPS)


def _short(prices: Practice, history: History, hold_days: int) -> list[Problem]:
    """A history with too few windows, which gives no figure."""
    least, count = int(reference.fixed("least_windows")), int((history.windows.end > 0).sum())
    if count >= least:
        return []
    quotes = len(history.days)
    has = "no quote" if not quotes else f"one quote, of {history.days[0]}"
    if quotes > 1:
        has = f"{quotes} quotes from {history.days[0]} to {history.days[-1]}"
    what = (
        f"{history.metal.capitalize()} has {has}: {count} times it can be seen what {hold_days} days do to its price, "
        f"and {least} are needed, so there is no figure for it."
    )
    file, sheet = prices.place("metal_prices", int(history.rows[0]), "price")[:2] if quotes else ("", "")
    do = "Give a longer history, with more days in it, or hold quotes for fewer days."
    return [Problem("short history", what, do, file, sheet, sort=MANY_SHORT)]
