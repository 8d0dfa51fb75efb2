"""Units that were billed above the lab's own price list."""

from __future__ import annotations

import numpy as np
import pandas as pd

from feesheet import reference
from feesheet.costing.included_alloy import says_included
from feesheet.costing.lab_prices import all_in_labs, quote_rows
from feesheet.costing.meaning import UNIT
from feesheet.costing.roster import Roster, numbers_of
from feesheet.formula.model import Model, figure
from feesheet.formula.numbers import Numbers
from feesheet.formula.operations import larger, ratio
from feesheet.formula.tree import Traced
from feesheet.practice import Practice
from feesheet.pricing.review.findings import Finding
from feesheet.pricing.review.lab import line_sums
from feesheet.pricing.review.lab.alloy_rows import terms_of
from feesheet.pricing.review.lab.letters import money_words
from feesheet.pricing.review.lab.line_tests import (
    amount_columns,
    back_words,
    findings,
    tested_block,
    units_words,
    were,
    where,
)
from feesheet.pricing.review.lab.price_groups import add_groups, found_groups, group_numbers
from feesheet.pricing.review.lab.twice import billed_again
from feesheet.schema import plain

TEST = "price_tests"


@figure("Billed a unit", "money")
def price_billed(amount: Traced, wrong_sum: Traced, units: Traced) -> Traced:
    """What was billed for one unit, a wrong sum left out. Unit: money a unit."""
    return ratio(amount - wrong_sum, units, 0)


@figure("Money", "money")
def price_money(
    amount: Traced, wrong_sum: Traced, units: Traced, list_price: Traced, back_left: Traced
) -> Traced:
    """The amount less the units at the list's price, less a wrong sum (asked back by its own test) and what came back.

    Never under nought: a line that was credited whole takes nothing off another's. Unit: money.
    """
    return larger(0, amount - wrong_sum - units * list_price + back_left)


def add(model: Model, practice: Practice, who: Roster, parts: pd.DataFrame) -> None:
    """Add the tested lines: units of the period whose lab has a price for their material."""
    line_sums.add(model, practice, who, parts)
    rows = _rows(practice, who, parts, billed_again(model, practice, who, parts))
    block = tested_block(
        TEST,
        "Units against the price list",
        rows,
        "Unit fees in the practice's own currency, copies and work billed twice left out. A list has one price a material; rebates on whole invoices are not counted.",
    )
    block.given("material", "Material", pd.Categorical(rows["material"].astype(str)), width=24)
    block.counter("price_no", "Price no.", rows["price_no"].to_numpy(), "Row in the quoted prices.")
    groups = _groups(practice, who, rows)
    block.counter(
        "group_no", "Group no.", groups, "Row in the prices above the list, again and again; 0: none."
    )
    block.fetch("units", "Units", "units", "lines.units", "line_no", meaning="Units of the line.")
    amount_columns(block)
    line_sums.wrong_sum_columns(model, block, list(rows["line_no"]))
    block.worked(price_billed)
    block.fetch("list_price", "List price", "money", "lab_prices.quoted_price", "price_no")
    block.worked(line_sums.back_left)
    block.worked(price_money, name="money")
    model.add(block)
    add_groups(model, TEST, rows, groups)


def _groups(practice: Practice, who: Roster, rows: pd.DataFrame) -> list[int]:
    """The group of each line that is billed at one price above the list again and again."""
    typed = quote_rows(practice, who)["typed"].to_numpy(dtype=float)
    digits = reference.minor_digits()[str(practice.settings["currency"])]
    terms = terms_of(practice)
    left = [terms.left(lab, day) for lab, day in zip(rows["lab"], rows["date"], strict=True)]
    over = [days is not None and days < 0 for days in left]
    return group_numbers(rows, typed[rows["price_no"].to_numpy(dtype=int) - 1], digits, over)


def found(
    model: Model, practice: Practice, who: Roster, parts: pd.DataFrame, numbers: Numbers
) -> list[Finding]:
    """Lines whose units cost more than the lab's list says; those of one price again and again are one finding."""
    billed, listed, back = (numbers.of(TEST, name) for name in ("price_billed", "list_price", "back_left"))

    def says(row: int, line: pd.Series, money: float) -> str:
        price, of_list, due = (money_words(practice, amount) for amount in (billed[row], listed[row], money))
        each = "" if line["units"] == 1 else " each"
        return (
            f"{where(line)}: {units_words(line)} {were(line['units'])} billed at {price}{each}; your price list has {of_list}."
            f"{back_words(practice, float(back[row]))} Please credit {due}."
        )

    grouped = set(np.flatnonzero(np.asarray(numbers.of(TEST, "group_no")) > 0).tolist())
    least = float(model.settings["money_tolerance"].value)
    single = findings("over the price list", TEST, model, practice, parts, numbers, says, grouped)
    return [*single, *found_groups(practice, parts, numbers, TEST, least)]


def _rows(practice: Practice, who: Roster, parts: pd.DataFrame, again: set[int]) -> pd.DataFrame:
    """The tested lines with the row of their price."""
    lines = parts.assign(line_no=np.arange(1, len(parts) + 1)).drop_duplicates("line")
    lines = lines[(lines["treatment"] == UNIT) & lines["in_window"] & ~lines["copy"] & ~lines["primary"]]
    lines = lines[(lines["amount"] > 0) & (lines["units"] > 0) & ~lines["line"].isin(again)]
    if "billed_currency" in lines:
        lines = lines[lines["billed_currency"].astype(str) == str(practice.settings["currency"])]
    quotes = quote_rows(practice, who)
    usable = (quotes["milling_no"] == 0) & (quotes["typed"] > 0) & (quotes["material"] != "")
    names = [(plain(lab), material) if use else None
             for lab, material, use in zip(quotes["lab"], quotes["material"], usable, strict=True)]  # fmt: skip
    labs = lines["lab"].astype(str).map(plain)
    lines = lines.assign(price_no=numbers_of(zip(labs, lines["material"], strict=True), names))
    all_in, metal = all_in_labs(practice), {name for name, alloy in who.alloy_of.items() if alloy}
    told = {words: says_included(words) for words in lines["product"].astype(str).unique()}
    holds_alloy = [material in metal and lab not in all_in and told[words]
                   for material, lab, words in zip(lines["material"], labs, lines["product"].astype(str), strict=True)]  # fmt: skip
    return lines[(lines["price_no"] > 0) & ~np.array(holds_alloy, dtype=bool)].reset_index(drop=True)
