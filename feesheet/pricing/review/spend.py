"""The money of the invoices by what it is used for: the tie between the labs' papers and the costs of the crowns."""

from __future__ import annotations

import pandas as pd

from feesheet.costing.line_uses import USED
from feesheet.formula.model import Block, Model
from feesheet.pricing.checks import Check
from feesheet.pricing.summary import sum_of

OUTSIDE = "outside the invoice window"


def add_spend(model: Model, parts: pd.DataFrame) -> None:
    """Add the invoices' money by use; every line knows its row."""
    uses = list(dict.fromkeys([*USED, *sorted(set(parts["use"]))]))
    number = {use: row for row, use in enumerate(uses, start=1)}
    numbers = [number[use] for use in parts["use"]]
    model.blocks["lines"].counter("use_no", "Use no.", numbers, "Row in the money by use.")
    block = Block(
        "money_by_use",
        "Lab cost",
        "All money of the invoices as read, by what it is used for",
        len(uses),
        "The first rows are in the costs; of the others each says why it is in none. Copies, balances and totals are no charge.",
        label=("use",),
    )
    block.number()
    block.given("use", "Used for, or why set aside", uses, width=46)
    block.count("use_lines", "Parts of lines", "lines.use_no", "no")
    for name, heading, source in (
        ("use_amount", "Amount", "lines.part_amount"),
        ("use_used", "In a cost", "lines.used_amount"),
        ("use_aside", "Set aside", "lines.aside_amount"),
    ):
        block.total(name, heading, "money", source, "lines.use_no", "no")
    model.add(block)


def spend_checks(model: Model) -> list[Check]:
    """The invoices' money added up three ways: line by line, by use, and file by file."""
    return [
        (
            "All money as read: the lines, against the money by use",
            sum_of("lines.part_amount"),
            sum_of("money_by_use.use_amount"),
        ),
        (
            "Money in a cost: the lines, against the money by use",
            sum_of("lines.used_amount"),
            sum_of("money_by_use.use_used"),
        ),
        (
            "Money in a cost: by use, against the invoice files",
            sum_of("money_by_use.use_used"),
            sum_of("files.used"),
        ),
        (
            "Money set aside: by use, against the invoice files",
            sum_of("money_by_use.use_aside"),
            sum_of("files.aside"),
        ),
    ]
