"""What the lab audit finds: each finding with its money, its lines, and a sentence that could be sent to the lab."""

from __future__ import annotations

from dataclasses import dataclass

TOO_MUCH, TO_COME_BACK, TO_ASK = "charged too much", "to come back", "to be explained"
"""What a finding's money is: more than was agreed; a credit that is due; an amount that needs a word of the lab."""

TO_SETTLE = "remake to settle"
"""The kind of the remakes whose cause is open: whose money it is can't be said yet."""

KINDS: dict[str, tuple[str, str]] = {
    "over the price list": (TOO_MUCH, "A unit was billed above the lab's own price list."),
    "units times price": (TOO_MUCH, "The amount is more than units times the unit price on the line."),
    "units over teeth": (TOO_MUCH, "More units were billed than teeth are named on the line."),
    "alloy premium": (TOO_MUCH, "The alloy was billed further above its metal value than agreed, or than this lab usually does."),
    "premium of many lines": (TO_ASK, "The middle premium of a lab's lines of an alloy is above the agreed one, or that of the year before."),
    "grams": (TO_ASK, "The grams of a unit are far from the practice's own, size and density of the alloy considered."),
    "grams of many lines": (TO_ASK, "A lab's castings are heavier than those of the year before, size and density of the alloy considered."),
    "class": (TO_ASK, "The class that was billed is not the class of the alloy's composition (ADA 2003)."),
    "not as prescribed": (TO_ASK, "The material or its class is not that of the work that was seated."),
    "another alloy": (TO_ASK, "The alloy that was billed is of another class than that of the work's material (ADA 2003)."),
    "alloy without metal": (TOO_MUCH, "Alloy was billed for a material that holds none."),
    "alloy in the price": (TOO_MUCH, "Alloy was billed on top of a price that includes it, or twice for one work."),
    "billed twice": (TOO_MUCH, "The same work was billed on two invoices."),
    "credit open": (TO_COME_BACK, "A deposit was paid and has not come back."),
    TO_SETTLE: (TO_ASK, "A remake was charged, no credit has come for it, and its cause is not settled."),
    "remake of the lab's": (TO_COME_BACK, "A remake that is the lab's own was charged."),
    "total differs": (TO_ASK, "An invoice's or a statement's total is not what its lines add up to."),
}  # fmt: skip
"""Each kind of finding: what its money is, and what was found, in words."""


@dataclass(frozen=True)
class Finding:
    """One thing to take up with a lab.

    `lines` are positions in the invoice lines as read (several for a duplicate; none for a total). `block` and `row`
    (from 1) say where the live figure stands: the column `money` of that block. `money` is that figure as issued,
    positive when the practice paid too much or waits for it. `days_left` counts to the end of the lab's days to
    dispute; None where none are agreed. `sentence` names invoice, day and amounts, and no patient.
    """

    kind: str
    lab: str
    site: str
    invoice: str
    lines: tuple[int, ...]
    block: str
    row: int
    money: float
    sentence: str
    days_left: float | None = None
