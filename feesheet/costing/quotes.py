"""Metal quotes: what each metal cost on a day, and costs on the pricing date."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import pandas as pd

from feesheet import reference
from feesheet.costing.metal import (
    metal_price_per_g,
)
from feesheet.costing.roster import words
from feesheet.formula.model import Block
from feesheet.practice import Practice


def price_rows(practice: Practice) -> pd.DataFrame:
    """Every quote in order of metal and day, with grams in its unit. One row a quote."""
    quotes = practice.tables["metal_prices"].copy()
    quotes["grams"] = [reference.grams_in(str(unit)) for unit in quotes["unit"]]
    quotes["metal"] = quotes["metal"].astype(str)
    return quotes.sort_values(["metal", "date"], kind="stable").reset_index(drop=True)


def latest_quote(quotes: pd.DataFrame, metals: Sequence[str], days: Sequence[Any]) -> np.ndarray:
    """The number of each metal's latest quote on or before its day; 0 where there is none."""
    result = np.zeros(len(metals), dtype=np.int64)
    wanted = pd.DataFrame({"metal": list(metals), "day": pd.to_datetime(list(days)).astype("datetime64[s]")})
    for metal, rows in quotes.groupby("metal", sort=False):
        mine = np.flatnonzero((wanted["metal"] == metal).to_numpy())
        found = (
            rows["date"]
            .to_numpy()
            .astype("datetime64[s]")
            .searchsorted(wanted["day"].to_numpy()[mine], side="right")
        )
        numbers = np.concatenate([[0], rows.index.to_numpy() + 1])
        result[mine] = numbers[found]
    return result


def quotes_block(quotes: pd.DataFrame) -> Block:
    """All metal quotes, oldest first, one row a quote."""
    block = Block(
        "quotes",
        "Metal history",
        "Metal quotes",
        len(quotes),
        "As typed in the metal prices sheet.",
        label=("metal", "date"),
    )
    block.number()
    block.given("metal", "Metal", list(quotes["metal"]))
    block.given("date", "Date", list(quotes["date"]), "date")
    block.given("price", "Quoted price", list(quotes["price"]), "money")
    block.given("quoted_unit", "Quoted unit", words(quotes["unit"]))
    block.given("grams_in_unit", "Grams in the unit", list(quotes["grams"]), "exact")
    block.worked(metal_price_per_g)
    return block


SLIP = 5
"""A price this many times over or under the quote is taken for a slip of the pen (common practice, no source)."""


def metals_block(practice: Practice, quotes: pd.DataFrame, composition: pd.DataFrame) -> Block:
    """The metals of the practice's alloys at the price of the pricing date; one without a quote counts nought."""
    held = [
        m
        for m in reference.metals()
        if m in set(composition["metal"]) | set(quotes["metal"]) and m != "other"
    ]
    latest = latest_quote(quotes, held, [practice.settings["pricing_date"]] * len(held))
    priced = [quotes.iloc[number - 1] if number else None for number in latest]
    block = Block(
        "metals",
        "Alloy",
        "Metal prices on the pricing date",
        len(held),
        "Type a new price on the Inputs sheet and every fee follows.",
        label=("metal",),
    )
    block.number()
    block.given("metal", "Metal", list(held))
    block.given(
        "quote_date",
        "Quoted on",
        [q["date"] if q is not None else "no quote: counts 0" for q in priced],
        "date",
    )
    block.given("quoted_unit", "Quoted unit", [str(q["unit"]) if q is not None else "gram" for q in priced])
    _price_column(block, practice, priced)
    block.given(
        "grams_in_unit",
        "Grams in the unit",
        [float(q["grams"]) if q is not None else 1.0 for q in priced],
        "exact",
    )
    block.worked(metal_price_per_g)
    block.given(
        "noble",
        "Noble",
        [float(reference.metals()[metal].noble) for metal in held],
        "whole",
        counter=True,
        meaning="1 for gold and the platinum group (ADA 2003), else 0.",
    )
    return block


def _price_column(block: Block, practice: Practice, priced: Sequence[pd.Series | None]) -> None:
    """The price that may be typed over, with limits outside which it is taken for a slip of the pen."""
    places = [_quote_place(practice, q) if q is not None else ("no quote: counts 0", "", "") for q in priced]
    block.given(
        "price",
        "Price",
        [float(q["price"]) if q is not None else 0.0 for q in priced],
        "money",
        entry=True,
        low=[float(q["price"]) / SLIP if q is not None else 0.0 for q in priced],
        high=[float(q["price"]) * SLIP if q is not None else 1e6 for q in priced],
        places=places,
        meaning="Price of one quoted unit.",
    )


def _quote_place(practice: Practice, quote: pd.Series) -> tuple[str, str, str]:
    source = practice.sources[int(quote["source"])]
    return source.file, source.sheet, source.cell("price", int(quote["row"]))
