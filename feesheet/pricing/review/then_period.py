"""The costs of the comparison period beside those of the period: the same model over the same invoice lines, one window earlier.

What the window decides is recomputed by the functions that decide it for the period itself: what each line is used for,
which alloy lines count, which invoices have charges of their own, and the alloy inside all-in prices. All else follows
as formulas, in twin blocks of one case (`formula.tiling`).
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from feesheet.costing.alloy_use import alloy_line_rows, alloy_lines_block
from feesheet.costing.invoices import all_in_block, invoices_block, lines_block
from feesheet.costing.line_uses import USED
from feesheet.costing.lines import understand
from feesheet.costing.product_names import with_kinds
from feesheet.costing.quotes import latest_quote, price_rows
from feesheet.costing.roster import Roster, numbers_of
from feesheet.formula.cases import CaseRows, Cases, Key
from feesheet.formula.model import Block, Model
from feesheet.formula.operations import lookup_or
from feesheet.formula.tiling import tile
from feesheet.formula.tree import Name, Node, Whole
from feesheet.practice import Practice
from feesheet.pricing.review.period import Period, as_of
from feesheet.pricing.review.then_items import WORKINGS, collections_block, own_parts

_LINE_FLAGS = (
    *("used", "makes", "counted", "remake", "direct", "whole_invoice", "charge", "not_understood"),
    "invoice_no",
)
"""Columns of the invoice lines that follow from the window."""

_ALLOY_FLAGS = ("in_window", "weighed")
"""Columns of the alloy lines that follow from the window."""

_WANTED: dict[str, tuple[str, ...]] = {
    "lines": ("used_amount", "units_counted", "units_remade", "lab_cost"),
    "lab_fees": ("n", "money", "own_mean", "blended_lab_fee"),
    "costs": (
        *("lab_fee", "alloy_g", "alloy_price_per_g", "alloy_cost", "supplies", "people_cost", "chair_min"),
        *("overhead_per_chair_min", "overhead_cost", "remake_odds", "remake_cost"),
        *("variable_cost", "unit_cost"),
    ),
}
"""The columns whose figures of then are wanted; what they are worked out of comes with them."""


def add_then(model: Model, practice: Practice, who: Roster, parts: pd.DataFrame, then: Period) -> None:
    """Add the twins `then_lines`, `then_lab_fees`, `then_costs` and those behind them, and the money by use of then.

    The model and `parts` are those of the practice priced as of its period; `then` is another period of the same
    folder. A metal without a quote by its last day counts nought there.
    """
    restated = with_kinds(as_of(practice, then))
    lines = understand(restated)[0]
    if not lines["line"].equals(parts["line"]):
        raise ValueError("the invoice lines of the two periods are not the same")
    counters, blocks = _other_rows(model, restated, who, lines)
    counters["metals", "then_quote_no"] = _number_quotes(model, restated)
    cases = Cases("then", WORKINGS, [then.title], "", {}, counters, worked=_worked(), blocks=blocks)
    own = [("costs", name) for name in own_parts(model)]
    tile(model, cases, [*((block, name) for block, names in _WANTED.items() for name in names), *own])
    _add_spend(model, lines)
    model.add(collections_block(practice, then, "then"))


def _number_quotes(model: Model, practice: Practice) -> CaseRows:
    """Give each metal the number of its latest quote by the pricing date of then."""
    metals, day = model.blocks["metals"], practice.day("pricing_date")
    numbers = latest_quote(price_rows(practice), metals.labels("metal"), [day] * metals.rows)
    meaning = f"Row in the metal quotes of the latest on or before {day.isoformat()}; 0: none, counts 0."
    metals.counter("then_quote_no", "Quote no. of the comparison", numbers, meaning)
    return numbers[None, :]


def _worked() -> dict[Key, Node]:
    """Figures of the pricing date, worked out from the quotes of then: typed prices are those of now."""
    price = lookup_or(Whole("quotes", "metal_price_per_g"), Name("then_quote_no"), 0)
    value = lookup_or(Whole("alloys", "metal_value_per_g"), Name("alloy_no"), 0)
    return {("metals", "metal_price_per_g"): price, ("lab_fees", "day_value_per_g"): value}


def _other_rows(
    model: Model, practice: Practice, who: Roster, lines: pd.DataFrame
) -> tuple[dict[Key, CaseRows], dict[str, Block]]:
    """What the window of then makes of the lines: the flags it changes, and the blocks whose rows it chooses."""
    keys = _keys(model, lines)
    days = _days(model)
    quoted = pd.DataFrame({name: _facts(model, "day_metals", name) for name in ("day_no", "quote_no")})
    alloy = alloy_lines_block(alloy_line_rows(lines, days, quoted, who), who)
    counters = {
        (block.name, name): np.asarray(block.columns[name].values, dtype=np.int64)[None, :]
        for block, names in ((lines_block(practice, lines, keys), _LINE_FLAGS), (alloy, _ALLOY_FLAGS))
        for name in names
    }
    inside = all_in_block(practice, who, lines, keys, days)
    return counters, {"invoices": invoices_block(lines, keys), "all_in": inside}


def _keys(model: Model, lines: pd.DataFrame) -> pd.DataFrame:
    """The numbers that tie each line to other tables: those of now, but for the invoices with charges in the window."""
    names = ("lab_no", "material_no", "site_quote_no", "file_no", "total_no")
    keys = pd.DataFrame({name: _facts(model, "lines", name) for name in names}, index=lines.index)
    charged = lines.loc[lines["use"] == USED[1], "invoice_no"].unique()
    keys["invoice_no"] = numbers_of(lines["invoice_no"], list(charged))
    return keys


def _days(model: Model) -> pd.DataFrame:
    """The alloy values by day, as the rows that the blocks of lines are made with."""
    dates = pd.Series(_facts(model, "days", "date")).astype("datetime64[s]")
    alloys = pd.Series(_facts(model, "days", "alloy"), dtype=object)
    return pd.DataFrame({"alloy_used": alloys, "date": dates})


def _facts(model: Model, block: str, column: str) -> list[object]:
    values = model.blocks[block].columns[column].values
    return [] if values is None else list(values)


def _add_spend(model: Model, lines: pd.DataFrame) -> None:
    """Add the money in a cost then by what it is used for; every line of then knows its row."""
    model.blocks["then_lines"].counter(
        "then_use_no",
        "Use no. then",
        numbers_of(lines["use"], USED),
        "Row in the money by use then; 0: in no cost.",
    )
    block = Block(
        "then_spend",
        WORKINGS,
        "Money in a cost in the comparison period, by what it is used for",
        len(USED),
        label=("use_then",),
    )
    block.number()
    block.given("use_then", "Used for", list(USED))
    block.count("use_lines_then", "Parts of lines", "then_lines.then_use_no", "no")
    block.total(
        "use_used_then", "In a cost", "money", "then_lines.used_amount", "then_lines.then_use_no", "no"
    )
    model.add(block)
