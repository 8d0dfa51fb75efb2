"""The day in the month before an invoice on which its alloy's metal was worth most: a lab may bill the price of the casting day."""

from __future__ import annotations

import numpy as np
import pandas as pd

from feesheet.costing.alloys import composition_rows
from feesheet.costing.metal import metal_value
from feesheet.costing.quotes import latest_quote, price_rows
from feesheet.formula.model import Block, Model
from feesheet.practice import Practice
from feesheet.reference import fixed

HIGH, METALS = "highest_days", "highest_metals"


def highest_days(practice: Practice, rows: pd.DataFrame) -> pd.DataFrame:
    """One row per alloy and invoice date of the lines: the day (`high_day`) of the month to that date with the highest value."""
    pairs = (
        rows.loc[rows["alloy_used"] != "", ["alloy_used", "date"]].drop_duplicates().reset_index(drop=True)
    )
    pairs["date"] = pairs["date"].astype("datetime64[s]")
    values = pd.concat(
        [_values(practice, str(alloy), group) for alloy, group in pairs.groupby("alloy_used", sort=False)]
        or [pairs.assign(high_day=pairs["date"])]
    )
    return values.sort_index()


def _values(practice: Practice, alloy: str, pairs: pd.DataFrame) -> pd.DataFrame:
    """The pairs of one alloy with their highest day: the invoice date itself, unless an earlier quote makes it worth more."""
    quotes, composition = price_rows(practice), composition_rows(practice)
    metals = composition[(composition["alloy"] == alloy) & composition["metal"].isin(set(quotes["metal"]))]
    quoted_on = quotes.loc[quotes["metal"].isin(set(metals["metal"])), "date"].astype("datetime64[s]")
    dates = pairs["date"].to_numpy()
    before = dates - np.timedelta64(int(fixed("casting_days")), "D")
    days = np.unique(np.concatenate([dates, before, quoted_on.to_numpy()]))
    worth = np.zeros(len(days))
    prices = np.append(0.0, (quotes["price"] / quotes["grams"]).to_numpy(dtype=float))
    for metal, fraction in zip(metals["metal"], metals["fraction"], strict=True):
        worth += float(fraction) * prices[latest_quote(quotes, [metal] * len(days), list(days))]
    first, last = np.searchsorted(days, before), np.searchsorted(days, dates)
    highest = [
        end - int(np.argmax(worth[start : end + 1][::-1])) for start, end in zip(first, last, strict=True)
    ]
    return pairs.assign(high_day=days[highest])


def longest_silences(practice: Practice, pairs: pd.DataFrame) -> list[float]:
    """For each alloy and invoice date, the most days without a new quote of one of its metals in the month to that date."""
    quotes, composition = price_rows(practice), composition_rows(practice)
    month = np.timedelta64(int(fixed("casting_days")), "D")
    days = {
        str(metal): np.unique(group["date"].to_numpy().astype("datetime64[s]"))
        for metal, group in quotes.groupby("metal", observed=True)
    }
    metals = {alloy: [metal for metal in group if metal in days]
              for alloy, group in composition.groupby("alloy")["metal"]}  # fmt: skip
    found = []
    for alloy, date in zip(pairs["alloy_used"], pairs["date"].to_numpy(), strict=True):
        waits = [_longest_wait(days[metal], date - month, date) for metal in metals.get(alloy, ())]
        found.append(max(waits, default=0.0))
    return found


def _longest_wait(quoted_on: np.ndarray, first: np.datetime64, last: np.datetime64) -> float:
    """The most days from one quote to the next, or to the last day, within two days."""
    inside = quoted_on[(quoted_on > first) & (quoted_on <= last)]
    marks = np.concatenate([[first], inside, [last]]).astype("datetime64[s]")
    return float(np.diff(marks).max() / np.timedelta64(1, "D"))


def highest_blocks(model: Model, practice: Practice, pairs: pd.DataFrame) -> list[Block]:
    """The highest days with the value of their metal, and the quotes behind it."""
    quotes = price_rows(practice)
    composition = composition_rows(practice).assign(composition_no=lambda rows: rows.index + 1)
    composition = composition[composition["metal"].isin(set(quotes["metal"]))]
    metals = pairs.assign(high_no=np.arange(1, len(pairs) + 1)).merge(
        composition, left_on="alloy_used", right_on="alloy"
    )
    parts = Block(METALS, "Alloy prices", "Quotes of those days", len(metals), label=("alloy", "metal"))
    parts.counter("high_no", "Highest no.", list(metals["high_no"]), "Row in the days of the highest value.")
    numbers = list(metals["composition_no"])
    parts.counter("composition_no", "Composition no.", numbers, "Row in the Composition table.")
    found = latest_quote(quotes, list(metals["metal"]), list(metals["high_day"]))
    parts.counter("quote_no", "Quote no.", found, "Row in the metal quotes; 0: no quote yet.")
    parts.given("alloy", "Alloy", list(metals["alloy"]), width=22)
    parts.given("metal", "Metal", list(metals["metal"]))
    parts.fetch("fraction", "Mass fraction", "fraction", "composition.fraction", "composition_no")
    price = "quotes.metal_price_per_g"
    parts.fetch("metal_price_per_g", "Price per g", "money_per_g", price, "quote_no", 0)
    parts.worked(metal_value)
    return [_days_block(pairs), parts]


def _days_block(pairs: pd.DataFrame) -> Block:
    block = Block(
        HIGH,
        "Alloy prices",
        "The month's highest values",
        len(pairs),
        "The price of an alloy may be that of the casting day: a line is asked about if no day of the month before explains it.",
        label=("alloy", "date"),
    )
    block.number()
    block.given("alloy", "Alloy", list(pairs["alloy_used"].astype(str)), width=22)
    block.given("date", "Invoice date", list(pairs["date"]), "date")
    meaning = "The day of the month to the invoice date on which the metal was worth most, as issued."
    block.given("high_day", "Highest on", list(pairs["high_day"]), "date", meaning=meaning)
    block.total(
        "high_value_per_g",
        "Metal value per g then",
        "money_per_g",
        f"{METALS}.metal_value",
        f"{METALS}.high_no",
        "no",
    )
    return block
