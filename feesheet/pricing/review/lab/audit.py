"""The lab audit: every test in turn, its blocks and its findings."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

import pandas as pd

from feesheet.costing.roster import Roster
from feesheet.formula.model import Model
from feesheet.formula.numbers import Numbers
from feesheet.practice import Practice
from feesheet.pricing.review.findings import Finding
from feesheet.schema import plain

WHOLE = ("alloy in the price", "alloy without metal", "billed twice")
"""Kinds that ask the first line of the finding back whole."""
PART = ("alloy premium", "grams")
"""Kinds that ask for a part of what an alloy line charges."""

TOLD = ("class", "not as prescribed")
"""Kinds that ask already which alloy was cast."""
OF_WORK = "another alloy"
"""The kind that asks it of a line that nothing else is asked about."""

ALWAYS = (*TOLD, OF_WORK)
"""Kinds that matter whatever their money: what a patient or payer was told may be wrong."""


class Test(Protocol):
    """A module of this package that holds the labs' lines against something.

    `add` adds its blocks to the model, each with a live column `money`; `found` says which of their rows are findings.
    `parts` are the line parts with their meaning (`costing.lines.understand`), in the order of the block `lines`.
    """

    def add(self, model: Model, practice: Practice, who: Roster, parts: pd.DataFrame) -> None:
        """Add the blocks."""

    def found(
        self, model: Model, practice: Practice, who: Roster, parts: pd.DataFrame, numbers: Numbers
    ) -> list[Finding]:
        """The findings, whatever their size."""


def findings(
    tests: Sequence[Test],
    model: Model,
    practice: Practice,
    who: Roster,
    parts: pd.DataFrame,
    numbers: Numbers,
) -> list[Finding]:
    """What all tests find of at least the setting `least_finding`, the most money first; nothing of the practice's own mill."""
    for test in tests:
        test.add(model, practice, who, parts)
    least = float(model.settings["least_finding"].value)
    mills = {plain(str(mill)) for mill in practice.tables["milling"]["lab"]}
    every = [one for test in tests for one in test.found(model, practice, who, parts, numbers)]
    asked = asked_once([one for one in every if plain(one.lab) not in mills])
    return sorted(
        (one for one in asked if one.money >= least or one.kind in ALWAYS), key=lambda one: -one.money
    )


def asked_once(found: Sequence[Finding]) -> list[Finding]:
    """The findings without those about an alloy line that another one asks back whole, or asks the same of."""
    whole = {one.lines[0] for one in found if one.kind in WHOLE}
    told = whole.union(line for one in found if one.kind in TOLD for line in one.lines)
    asked = {**dict.fromkeys(PART, whole), OF_WORK: told}
    return [one for one in found if not asked.get(one.kind, set()).intersection(one.lines)]
