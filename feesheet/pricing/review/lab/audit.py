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
    """What all tests find of at least the setting `least_finding`, the most money first."""
    for test in tests:
        test.add(model, practice, who, parts)
    least = float(model.settings["least_finding"].value)
    every = [one for test in tests for one in test.found(model, practice, who, parts, numbers)]
    return sorted((one for one in every if one.money >= least), key=lambda one: -one.money)
