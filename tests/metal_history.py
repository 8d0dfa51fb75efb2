"""Price histories as a practice holds them, made from plain figures."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

import numpy as np
import pandas as pd

from feesheet.practice import Practice, Source

Quote = tuple[Any, str, float] | tuple[Any, str, float, str] | tuple[Any, str, float, str, bool]
"""Day, metal and price; then, where it matters, the unit and whether the price is confirmed."""

COLUMNS = {"date": "A", "metal": "B", "price": "C", "unit": "D", "currency": "E", "confirmed": "F"}


def history_of(quotes: Sequence[Quote], confirmed: bool = True) -> Practice:
    """The quotes as read from one sheet, in that order, the first in row 2; without a column Confirmed if so asked."""
    rows = [(*quote, *("troy ounce", False)[len(quote) - 3 :]) for quote in quotes]
    frame = pd.DataFrame(rows, columns=["date", "metal", "price", "unit", "confirmed"])
    frame["date"] = pd.to_datetime(frame["date"]).astype("datetime64[s]")
    frame["price"] = frame["price"].astype(float)
    frame["confirmed"] = frame["confirmed"].astype(bool)
    for name in ("metal", "unit"):
        frame[name] = pd.Categorical(frame[name].astype(str))
    frame = frame.assign(
        currency=pd.Categorical(["EUR"] * len(frame)), source=0, row=range(2, len(frame) + 2)
    )
    if not confirmed:
        frame = frame.drop(columns="confirmed")
    source = Source("history.xlsx", "Metal prices", "metal_prices", 1, COLUMNS)
    return Practice({}, {}, {"metal_prices": frame}, (source,), ())


def walk(metal: str, seed: int, count: int, start: float = 2000.0, daily: float = 0.01) -> list[Quote]:
    """A random walk on working days from the start of 2020; no step of it is a tenth."""
    moves = np.random.default_rng(seed).normal(0.0, daily, count).clip(-0.09, 0.09)
    prices = start * np.exp(np.concatenate([[0.0], moves[1:]]).cumsum())
    days = pd.bdate_range("2020-01-01", periods=count)
    return [(day.date(), metal, float(price)) for day, price in zip(days, prices, strict=True)]


def every(days: int, metal: str, prices: Sequence[float], start: date = date(2026, 1, 1)) -> list[Quote]:
    """One quote every so many days; a price that is not a number is a day without a quote."""
    first = np.datetime64(start)
    return [
        (pd.Timestamp(first + np.timedelta64(days * n, "D")).date(), metal, float(price))
        for n, price in enumerate(prices)
        if price == price
    ]
