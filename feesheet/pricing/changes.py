"""What this schedule changes, in words that follow the figures."""

from __future__ import annotations

from feesheet.formula.model import Block, Model
from feesheet.formula.operations import (
    as_text,
    count_above,
    count_below,
    grand_total,
    height,
    joined,
    ratio,
)
from feesheet.formula.tree import Name, Traced, Whole

_CHANGE = Whole("schedule", "change")


def add_changes(model: Model) -> None:
    """Add the first table of the What changed sheet: one row a matter, each a sentence part."""
    rise, fall = count_above(_CHANGE), count_below(_CHANGE)
    stay = height(_CHANGE) - rise - fall
    now, new = (grand_total(Whole("margins", f"billed_{moment}_year")) for moment in ("now", "new"))
    cash = grand_total(Whole("margins", "cash_change"))
    typed = grand_total(Whole("inputs", "changed"))
    rows: list[tuple[str, Traced]] = [
        ("Fees", joined(as_text(rise, 0), " rise, ", as_text(fall, 0), " fall, ", as_text(stay, 0), " stay")),
        (
            "Schedule",
            joined(as_text((ratio(new, now, 1) - 1) * Name("hundred"), 1), " % at last year's units"),
        ),
        ("Cash a year", joined(as_text(cash, 0), " more at last year's units and plans")),
        ("Since issue", joined(as_text(typed, 0), " figures typed over on the Inputs sheet")),
    ]
    block = Block(
        "changes", "What changed", "From the current fees to the new ones", len(rows), label=("matter",)
    )
    block.given("matter", "Matter", [matter for matter, _ in rows])
    block.listed("said", "Change", "text", [said for _, said in rows], "What changes.")
    model.add(block)
