"""The columns of a table that people read, on a sheet made for paper; the table itself stands on a sheet of workings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from feesheet.formula.model import Block, Column, Model
from feesheet.formula.numbers import Numbers
from feesheet.pricing.review.bridge_steps import STEPS

_CUT = (
    *(
        "units",
        "n",
        "few",
        "received",
        "cost",
        "left",
        "margin_before_dentist",
        "margin",
        "contribution_unit",
    ),
    *("contribution_hour", "lowest_margin", "highest_margin", "lowest_lab_charge", "highest_lab_charge"),
)
_STEPS = ("left_then", *(step.name for step in STEPS), "left_now")
_MINUTES = ("minutes_supplied", "minutes_used", "other_min", "unused_min", "share_used")
_OVERHEAD = ("overhead_supplied", "assigned", "other_cost", "unused_cost")


@dataclass(frozen=True)
class Shown:
    """Which columns of the block `source` stand on the sheet, behind those that tell its rows apart.

    With `under` only the rows that are under nought in that column as issued.
    """

    source: str
    sheet: str
    workings: str
    columns: Sequence[str]
    under: str = ""

    @property
    def name(self) -> str:
        """The name of the block that is read."""
        return f"shown_{self.source}"


SHOWN = (
    Shown(
        "under_allowed",
        "Plans under cost",
        "Plan workings",
        ("fee", "allowed", "lost", "units", "lost_in_period"),
    ),
    Shown(
        "plan_under_cost",
        "Plans under cost",
        "Plan workings",
        (
            *("fee", "allowed", "net", "unit_cost", "left_a_unit", "margin", "contribution"),
            *("contribution_per_chair_hour", "answer", "units", "left_in_period"),
        ),
        under="left_a_unit",
    ),
    *(
        Shown(f"cut_{cut}", "Margins by cut", "Cut workings", _CUT)
        for cut in ("material", "region", "site", "lab", "dentist", "payer")
    ),
    Shown("changes_material", "Changes by material", "Steps", _STEPS),
    Shown("item_changes", "Changes by item", "Steps", _STEPS),
    Shown("capacity", "Capacity", "Capacity workings", (*_MINUTES, *_OVERHEAD, "remark")),
    Shown(
        "capacity_then",
        "Capacity",
        "Capacity workings",
        (*_MINUTES, "unused_cost", "unused_now", "change_of"),
    ),
    Shown(
        "lab_cash",
        "Cash and accrual",
        "Cash workings",
        ("charged", "credited", "paid", "balance", "balance_on", "difference_told"),
    ),
)


def add_shown(model: Model, numbers: Numbers) -> None:
    """Add what is read of every table that is there; `numbers` are the model's."""
    for one in SHOWN:
        if one.source in model.blocks:
            model.add(_shown_block(model, one, numbers))


def _shown_block(model: Model, one: Shown, numbers: Numbers) -> Block:
    base = model.blocks[one.source]
    rows = list(range(base.rows))
    if one.under:
        rows = [row for row, figure in enumerate(numbers.of(base.name, one.under)) if figure < 0]
    elif one.source.startswith("cut_"):
        money = zip(numbers.of(base.name, "units"), numbers.of(base.name, "received"), strict=True)
        rows = [row for row, figures in enumerate(money) if any(figures)]
    label = tuple(f"{one.name}_{name}" for name in base.label)
    block = Block(one.name, one.sheet, base.title, len(rows), base.note, label=label)
    for name in base.label:
        _column(block, one, base.columns[name], rows)
    numbers_of_rows = [row + 1 for row in rows]
    block.counter(f"{one.name}_row", "Row no.", numbers_of_rows, f"Row in the {one.workings} sheet.")
    for name in one.columns:
        if name in base.columns:
            _column(block, one, base.columns[name], rows)
    if one.under and len(rows) < base.rows:
        block.note += (
            f" {base.rows - len(rows)} rows that cover their cost stand on the {one.workings} sheet."
        )
    base.sheet, base.title = one.workings, f"Workings: {base.title}"
    return block


def _column(block: Block, one: Shown, column: Column, rows: Sequence[int]) -> None:
    """A fact again, or a figure fetched."""
    name = f"{one.name}_{column.name}"
    if column.values is not None:
        values = list(column.values)
        block.given(name, column.heading, [values[row] for row in rows], column.unit, width=column.width)
    else:
        block.fetch(
            name,
            column.heading,
            column.unit,
            f"{one.source}.{column.name}",
            f"{one.name}_row",
            meaning=f"From the {one.workings} sheet.",
        )
