"""The lowest and the highest of each row of a cut: rows of one number together, with the least and the most so far."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from feesheet.costing.components import item_facts
from feesheet.costing.roster import Roster
from feesheet.formula.model import Block, Model
from feesheet.formula.numbers import Numbers
from feesheet.formula.operations import lookup
from feesheet.formula.tree import Name, Whole
from feesheet.pricing.results import margin
from feesheet.pricing.review.cut_figures import (
    charge_if_high,
    charge_if_low,
    shown_highest,
    shown_lowest,
    unit_charge,
)
from feesheet.pricing.review.earned_figures import has_margin, margin_if_high, margin_if_low

SHEET = "Margin ranges"
LOW, HIGH = "lowest_so_far", "highest_so_far"


@dataclass(frozen=True)
class Stand:
    """A block whose rows of one number stand together, with the lowest and the highest so far.

    `last` is the last row of each number; `none` a row without either, for numbers that the block does not have.
    """

    block: Block
    last: dict[int, int]
    none: int = 0

    def add_limits(self, block: Block, keys: Sequence[int], what: str, unit: str) -> None:
        """Add the lowest and the highest of each key to a block; blank where there is none."""
        ends = [self.last.get(key, self.none) for key in keys]
        end = f"{what.replace(' ', '_')}_end"
        block.counter(end, f"Last row, {what}", ends, f"Last row of it in: {self.block.title}.")
        for column, shown, word in ((LOW, shown_lowest, "lowest"), (HIGH, shown_highest, "highest")):
            found = lookup(Whole(self.block.name, column), Name(end))
            meaning = f"The {word} {what} of the row; blank where there is none."
            name = f"{word}_{what.replace(' ', '_')}"
            tree = shown(found, Name("no_limit"))
            block.tree(name, f"{word.capitalize()} {what}", unit, tree, meaning)


def add_running(block: Block, low: str, high: str, key: str, unit: str) -> None:
    """Add the lowest and the highest so far, each from the first row of its number."""
    for name, heading, amounts, carried in (
        (LOW, "Lowest so far", low, "least"),
        (HIGH, "Highest so far", high, "most"),
    ):
        meaning = f"The {carried} of the rows of its number down to this one."
        block.running_limit(name, heading, unit, amounts, key, meaning, carried)


def last_rows(keys: Sequence[int]) -> dict[int, int]:
    """The last row, from 1, of each number."""
    return {int(key): row for row, key in enumerate(keys, start=1)}


def items_block(who: Roster) -> Block:
    """Units, money and margin of each item, all payers and dentists together."""
    block = Block(
        "earned_items", SHEET, "Margins by item", len(who.items), aligned="items", label=("code", "site")
    )
    item_facts(block, who)
    numbers = list(range(1, block.rows + 1))
    block.counter("earned_item_no", "Item no.", numbers, "Row in the cost build-up.")
    for name, heading, unit in (
        ("units", "Units", "units"),
        ("received", "Received", "money"),
        ("cost", "Cost", "money"),
    ):
        source = f"earned.{name}"
        block.total(f"earned_{name}", heading, unit, source, "earned.item_no", "earned_item_no")
    block.worked(margin, "earned_margin", net="earned_received", unit_cost="earned_cost")
    block.worked(has_margin, units="earned_units", received="earned_received")
    block.worked(margin_if_low, margin="earned_margin")
    block.worked(margin_if_high, margin="earned_margin")
    return block


def range_block(model: Model, name: str, said: str, source: str, key: str) -> Stand:
    """The margins of the source's rows (`earned`, or `earned_items`), those of one number of the cut together."""
    earned, home = model.blocks["earned"], model.blocks[source]
    keys, items = (counters_of(earned, column) for column in (key, "item_no"))
    if source != "earned":
        of_item = dict(zip(items, keys, strict=True))
        keys = [of_item[item] for item in range(1, home.rows + 1)]
    order = sorted(range(home.rows), key=lambda row: keys[row])
    block = Block(f"range_{name}", SHEET, f"Margins that a {said} ranges over", home.rows, label=home.label)
    for label in home.label:
        column, words = home.columns[label], home.labels(label)
        block.given(label, column.heading, [words[row] for row in order], column.unit)
    block.counter("key_no", "No.", [keys[row] for row in order], f"Number of the {said}.")
    block.counter("row_no", "Row", [row + 1 for row in order], f"Row in: {home.title}.")
    for end, heading in (("low", "Margin for the lowest"), ("high", "Margin for the highest")):
        block.fetch(f"{end}_here", heading, "number", f"{source}.margin_if_{end}", "row_no")
    add_running(block, "low_here", "high_here", "key_no", "number")
    return Stand(block, last_rows([keys[row] for row in order]))


def counters_of(block: Block, column: str) -> list[int]:
    """The numbers of a counter."""
    values = block.columns[column].values
    assert values is not None
    return [int(value) for value in values]


def charges_block(model: Model, numbers: Numbers) -> Stand:
    """What the lines of the period charge for one unit, those of one material together; the last row stands for none."""
    lines = model.blocks["lines"]
    material = np.asarray(numbers.of("lines", "material_no"), dtype=int)
    units = np.asarray(numbers.of("lines", "units_counted"), dtype=float)
    chosen = np.flatnonzero((units > 0) & (material > 0))
    chosen = chosen[np.argsort(material[chosen], kind="stable")]
    keys, rows = [*material[chosen].tolist(), 0], [*(chosen + 1).tolist(), 0]
    materials = lines.labels("material")
    names = [*(materials[row] for row in chosen), "none"]
    block = Block(
        "unit_charges",
        SHEET,
        "Lab charges for one unit",
        len(rows),
        "The amount on the line itself over its units: extras, rebates and charges on the whole invoice are left out.",
        label=("charged_material", "line_no"),
    )
    block.given("charged_material", "Material", names, width=24)
    block.counter("key_no", "Material no.", keys, "Row in the materials; 0: none.")
    block.counter("line_no", "Line no.", rows, "Row in the invoice lines; 0: none.")
    block.fetch("line_amount", "Amount", "money", "lines.used_amount", "line_no", 0)
    block.fetch("line_units", "Units", "units", "lines.units_counted", "line_no", 0)
    block.worked(unit_charge, used_amount="line_amount", units_counted="line_units")
    block.worked(charge_if_low, units_counted="line_units")
    block.worked(charge_if_high, units_counted="line_units")
    add_running(block, "charge_if_low", "charge_if_high", "key_no", "number")
    return Stand(block, last_rows(keys), len(rows))
