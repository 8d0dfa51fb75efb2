"""The findings of the lab audit as tables: by kind, by lab, and each with its money, its lines and what to ask."""

from __future__ import annotations

from collections.abc import Sequence

import pandas as pd

from feesheet.formula.model import Block, Model
from feesheet.formula.tree import figure_in
from feesheet.practice import Practice
from feesheet.pricing.review.findings import KINDS, Finding

SHEET, ONE_BY_ONE = "Lab audit", "Findings"
MOST_NAMED = 3
"""Lines of a finding that are named one by one."""


def add_findings(model: Model, practice: Practice, parts: pd.DataFrame, found: Sequence[Finding]) -> None:
    """Add the findings, and what they come to by kind and by lab."""
    kinds = [kind for kind in KINDS if any(one.kind == kind for one in found)]
    labs = sorted({_of_lab(one) for one in found})
    model.add(_findings_block(practice, parts, found, kinds, labs))
    model.add(_kinds_block(kinds))
    model.add(_labs_block(labs))


def _of_lab(one: Finding) -> tuple[str, str]:
    """Its lab and what its money is: money that means different things is never added up."""
    return one.lab, KINDS[one.kind][0]


def _findings_block(
    practice: Practice,
    parts: pd.DataFrame,
    found: Sequence[Finding],
    kinds: list[str],
    labs: list[tuple[str, str]],
) -> Block:
    block = Block(
        "findings",
        ONE_BY_ONE,
        "Findings, the most money first",
        len(found),
        "Money is positive where the practice paid too much, or waits for it. Every figure opens to the test behind it. "
        "The words are as issued; read them before they go out.",
        label=("finding_lab", "finding_invoice", "finding_kind"),
    )
    first = dict(zip(parts["line"][::-1], range(len(parts), 0, -1), strict=True))
    block.given("finding_lab", "Lab", [one.lab for one in found])
    block.given("finding_invoice", "Invoice", [one.invoice for one in found], "code")
    block.given("finding_site", "Site", [one.site for one in found])
    block.given("finding_kind", "What", [one.kind for one in found])
    block.given("finding_means", "Its money", [KINDS[one.kind][0] for one in found])
    money = [figure_in(one.block, "money", one.row) for one in found]
    block.listed("finding_money", "Money", "money", money, "From the test behind the finding.")
    left = [float("nan") if one.days_left is None else one.days_left for one in found]
    meaning = "Days left to dispute it on the period's last day; negative: over; blank: none agreed."
    block.given("finding_days", "Days left", left, "whole", meaning=meaning)
    block.given("finding_words", "What to ask the lab", [one.sentence for one in found], width=60)
    block.given("finding_lines", "Read from", [_places(practice, one.lines) for one in found], width=30)
    numbers = [first.get(one.lines[0], 0) if one.lines else 0 for one in found]
    block.counter(
        "finding_line_no", "Line no.", numbers, "Row of its first line in the invoice lines; 0: none."
    )
    block.counter("kind_no", "Kind no.", [kinds.index(one.kind) + 1 for one in found], "Row in the kinds.")
    rows = [labs.index(_of_lab(one)) + 1 for one in found]
    block.counter("lab_row_no", "Lab no.", rows, "Row in the labs, by what their money is.")
    return block


def _places(practice: Practice, lines: Sequence[int]) -> str:
    """File, sheet and row of the first lines, and how many more there are."""
    frame = practice.tables["invoice_lines"]
    named = []
    for line in lines[:MOST_NAMED]:
        source = practice.sources[int(frame["source"].iloc[line])]
        place = (source.file, source.sheet, f"row {int(frame['row'].iloc[line])}")
        named.append(", ".join(part for part in place if part))
    more = len(lines) - MOST_NAMED
    return "; ".join(named) + (f"; and {more} more" if more > 0 else "")


def _kinds_block(kinds: list[str]) -> Block:
    block = Block("findings_by_kind", SHEET, "Findings by kind", len(kinds), label=("kind",))
    block.number()
    block.given("kind", "What", kinds)
    block.given("kind_means", "Its money", [KINDS[kind][0] for kind in kinds])
    _sums(block, "kind", "findings.kind_no")
    block.given("kind_words", "What was found", [KINDS[kind][1] for kind in kinds], width=78)
    return block


def _labs_block(labs: list[tuple[str, str]]) -> Block:
    block = Block(
        "findings_by_lab",
        SHEET,
        "Findings by lab, and what their money is",
        len(labs),
        label=("found_lab", "lab_means"),
    )
    block.number()
    block.given("found_lab", "Lab", [lab for lab, _ in labs])
    block.given("lab_means", "Its money", [means for _, means in labs])
    _sums(block, "lab", "findings.lab_row_no")
    return block


def _sums(block: Block, name: str, where: str) -> None:
    block.count(f"{name}_count", "Findings", where, "no")
    block.total(f"{name}_money", "Money", "money", "findings.finding_money", where, "no")
