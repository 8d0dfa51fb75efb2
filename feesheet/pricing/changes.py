"""What this schedule changes, in figures that follow the workbook."""

from __future__ import annotations

from feesheet.formula.model import Block, Model
from feesheet.formula.operations import as_text, count_above, count_below, height
from feesheet.formula.tree import Name, Traced, Whole
from feesheet.pricing.summary import sum_of

_CHANGE = Whole("schedule", "change")


def add_changes(model: Model) -> None:
    """Add the first table of the What changed sheet: one row a matter."""
    stay = height(_CHANGE) - count_above(_CHANGE) - count_below(_CHANGE)
    rows: list[tuple[str, Traced]] = [
        ("Fees that rise", as_text(count_above(_CHANGE), 0)),
        ("Fees that fall", as_text(count_below(_CHANGE), 0)),
        ("Fees that stay", as_text(stay, 0)),
        ("At full fee a year, now", as_text(sum_of("margins.billed_now_year"), Name("money_digits"))),
        ("At full fee a year, new", as_text(sum_of("margins.billed_new_year"), Name("money_digits"))),
        ("Cash a year, now", as_text(sum_of("margins.cash_now_year"), Name("money_digits"))),
        ("Cash a year, new", as_text(sum_of("margins.cash_new_year"), Name("money_digits"))),
        ("Figures typed over since issue", as_text(sum_of("inputs.changed"), 0)),
    ]
    block = Block(
        "changes", "What changed", "From the current fees to the new ones", len(rows), label=("matter",)
    )
    block.note = "Yearly figures at last year's units; rows without a current fee left out."
    block.given("matter", "Matter", [matter for matter, _ in rows])
    block.listed("said", "Figure", "text", [said for _, said in rows], "What the schedule changes.")
    model.add(block)
