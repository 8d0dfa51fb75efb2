"""Quote safety: the rise in metal prices that a quote held for some days should expect to withstand, and its buffer.

`add_quote_safety` needs the block `metal_items`: what each metal costs in a unit of each item.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import pandas as pd

from feesheet.formula.model import Block, Model, Setting
from feesheet.formula.operations import (
    count_numbers,
    count_over,
    grand_total,
    nth_smallest,
    standard_deviation,
)
from feesheet.formula.tree import Node, Traced, Whole, figure_in
from feesheet.practice import Practice
from feesheet.pricing.what_if import safety_figures as figures
from feesheet.pricing.what_if.defaults import LEVEL, LEVELS
from feesheet.pricing.what_if.history import History, histories
from feesheet.pricing.what_if.safety_buffers import add_buffers
from feesheet.pricing.what_if.safety_history import price_history_block
from feesheet.pricing.what_if.safety_words import BY_FORMULA, BY_HISTORY, NOTES
from feesheet.problems import Problem
from feesheet.schema import plain

SHEET = "Quote safety"


def add_quote_safety(
    model: Model, prices: Practice, metals: Sequence[str], hold_days: int, level: float = LEVEL
) -> list[Problem]:
    """Add the blocks of quote safety for those metals, and say what stands in the way of any.

    `prices` holds the quotes: the practice itself, or a history file read by itself. Nothing is added where no metal has
    a history that can be used.
    """
    if hold_days < 1:
        return [
            Problem("out of range", f"A quote can't be held for {hold_days} days.", "Give 1 day or more.")
        ]
    wanted, problems = _known(model, metals)
    found, more = histories(prices, wanted, hold_days)
    problems += more
    usable = list(found.values())
    if not usable:
        return problems
    model.settings["safety_level"] = Setting(
        "safety_level",
        "Quote safety: share of holds that the buffer withstands",
        "fraction",
        level,
        "As asked for",
        *LEVELS,
    )
    model.add(price_history_block(usable, hold_days))
    model.add(_safety_block(model, usable, hold_days))
    add_buffers(model, [history.metal for history in usable])
    model.add(_notes_block())
    return problems


def _known(model: Model, metals: Sequence[str]) -> tuple[list[str], list[Problem]]:
    """The metals as the model names them, each once; one without a price has nothing to rise from."""
    block = model.blocks["metals"]
    prices = dict(zip(block.labels("metal"), block.columns["price"].values or (), strict=True))
    names = {plain(name): name for name in prices}
    known, problems = [], []
    for metal in dict.fromkeys(names.get(plain(metal), metal) for metal in metals):
        if prices.get(metal, 0.0) > 0:
            known.append(metal)
            continue
        what = f"{metal.capitalize()} has no price in the practice, so there is no quote safety for it."
        problems.append(Problem("no price", what, 'Type a quote for it in "Metal prices".'))
    return known, problems


def _safety_block(model: Model, found: Sequence[History], hold_days: int) -> Block:
    """One row a metal: the rise by both ways, the price at which to price again, and the test."""
    block = Block(
        "quote_safety",
        SHEET,
        f"What a quote held for {hold_days} days should withstand",
        len(found),
        "Type another level on the Inputs sheet. The rise used is the larger of the two.",
        label=("metal",),
    )
    names = model.blocks["metals"].labels("metal")
    block.given("metal", "Metal", [history.metal.capitalize() for history in found])
    block.counter(
        "metal_no", "Metal no.", [names.index(h.metal) + 1 for h in found], "Row in the metal prices."
    )
    _history_columns(block, found, hold_days)
    _rise_columns(block)
    units = model.blocks["metals"].labels("quoted_unit")
    block.given("unit", "Quoted unit", [units[names.index(h.metal)] for h in found])
    block.fetch(
        "price_now", "Price now", "money", "metals.price", "metal_no", meaning="As on the Inputs sheet."
    )
    block.worked(figures.reprice_at)
    _test_columns(block)
    return block


def _history_columns(block: Block, found: Sequence[History], hold_days: int) -> None:
    """What the history holds."""
    rows = block.rows
    block.given("hold_days", "Hold, days", [hold_days] * rows, "whole", meaning="Days that a quote is held.")
    block.given("first_day", "First day", [pd.Timestamp(h.days[0]) for h in found], "date")
    block.given("last_day", "Last day", [pd.Timestamp(h.days[-1]) for h in found], "date")
    block.given("converted", "Converted from", [", ".join(h.converted) for h in found])
    block.given(
        "tolerance",
        "Price may be old, days",
        [h.windows.tolerance for h in found],
        "number",
        meaning="The usual step between two quotes, and three days for a weekend or a holiday.",
    )
    _listed(block, "quotes", "Quotes", "whole", "price", count_numbers, "Quotes of the metal.")
    _listed(block, "returns", "Returns", "whole", "return", count_numbers, "Steps from quote to quote.")
    block.worked(figures.gaps)
    _listed(block, "spanned_days", "Days they span", "whole", "span", grand_total, "Days of those steps.")
    block.worked(figures.mean_days)
    block.worked(figures.periods)
    _listed(
        block,
        "sd",
        "Standard deviation",
        "exact",
        "return",
        standard_deviation,
        "Sample standard deviation of the log returns.",
    )
    _listed(
        block, "windows", "Holds seen", "whole", "rise", count_numbers, "Holds that the history shows whole."
    )


def _rise_columns(block: Block) -> None:
    """The rise by history and by formula, and the larger of the two."""
    block.worked(figures.place, count="windows")
    _ranked(block, "historical_rise", BY_HISTORY, "rise", "windows", "place")
    block.worked(figures.parametric_rise, heading=BY_FORMULA)
    block.worked(figures.rise_used)


def _test_columns(block: Block) -> None:
    """The rise of the first half, and how often the second half passed it."""
    _listed(
        block, "early", "Holds, first half", "whole", "early_rise", count_numbers, "Holds of the first half."
    )
    block.worked(figures.place, name="early_place", heading="Place in them", count="early")
    _ranked(block, "early_rise", f"{BY_HISTORY}, first half", "early_rise", "early", "early_place")
    _listed(
        block,
        "held_back",
        "Holds held back",
        "whole",
        "held_back_rise",
        count_numbers,
        "Holds of the second half that do not overlap.",
    )
    block.listed(
        "passed",
        "Of them passed it",
        "whole",
        [
            count_over(_column("held_back_rise", number), _of_row("early_rise", number))
            for number in range(1, block.rows + 1)
        ],
        "Held-back holds in which the price rose by more than the first half's rise.",
    )
    for function in (
        figures.passed_share,
        figures.interval_low,
        figures.interval_high,
        figures.expected_share,
        figures.inside,
        figures.too_wide,
        figures.outcome,
    ):
        block.worked(function)


def _column(name: str, number: int) -> Whole:
    """A metal's column of the price history."""
    return Whole("price_history", f"{name}_{number}")


def _of_row(column: str, row: int) -> Node:
    """This table's figure in one row."""
    return figure_in("quote_safety", column, row)


def _listed(
    block: Block,
    name: str,
    heading: str,
    unit: str,
    column: str,
    of: Callable[[Traced], Traced],
    meaning: str,
) -> None:
    """A figure over the whole of each metal's own column."""
    trees = [of(_column(column, number)) for number in range(1, block.rows + 1)]
    block.listed(name, heading, unit, trees, meaning)


def _ranked(block: Block, name: str, heading: str, column: str, count: str, place: str) -> None:
    """The figure at its place in each metal's ranked column."""
    trees: list[Any] = [
        figures.at_place(
            _of_row(count, number), nth_smallest(_column(column, number), _of_row(place, number)), 0
        )
        for number in range(1, block.rows + 1)
    ]
    meaning = (
        "The smallest rise with at least the chosen share of all rises at or under it; 0 where there is none."
    )
    block.listed(name, heading, "change", trees, meaning)


def _notes_block() -> Block:
    """What a price history can and can't tell."""
    block = Block("safety_notes", SHEET, "What a price history can't tell", len(NOTES), label=("note",))
    block.given("note", "Note", list(NOTES), width=46)
    return block
