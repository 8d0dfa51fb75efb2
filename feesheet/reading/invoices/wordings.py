"""What the words of descriptions say, each text read once for a whole file."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from feesheet.reading.invoices import tooth_words, weight_words, words
from feesheet.reading.invoices.context import Context
from feesheet.reading.invoices.evidence import Evidence
from feesheet.reading.invoices.sections import Part
from feesheet.reading.invoices.told import Told


class Understood(NamedTuple):
    """What the words of a description say: teeth, the rest, the product's clean words, alloy, class, weight."""

    teeth: str
    rest: str
    product: str
    alloy: str
    alloy_class: str
    weight: weight_words.WeightFound | None


@dataclass
class Wordings:
    """The texts of one file, with what was made of each: much the same words stand in very many rows."""

    context: Context
    decimal: str = "."
    _understood: dict[str, Understood] = field(default_factory=dict)
    _kinds: dict[tuple[str, int, bool, str], str] = field(default_factory=dict)
    _roles: dict[tuple[str, str, float], str] = field(default_factory=dict)
    _hashes: dict[str, str] = field(default_factory=dict)

    @property
    def is_full(self) -> bool:
        """Whether so many texts are known that they are better forgotten than kept for another file."""
        return max(len(self._understood), len(self._kinds), len(self._roles), len(self._hashes)) > MOST_KEPT

    def understood(self, text: str) -> Understood:
        """What a description says."""
        found = self._understood.get(text)
        if found is None:
            teeth, rest = tooth_words.teeth_in(text)
            found = self._understood[text] = Understood(
                teeth,
                rest,
                words.product_of(rest, self.context),
                words.alloy_of(rest, self.context),
                words.class_of(rest),
                weight_words.weight_in(rest, decimal=self.decimal),
            )
        return found

    def kind(self, text: str, amount: float, has_weight: bool, lab: str) -> str:
        """The line kind of a description with an amount of that sign."""
        key = text, (amount > 0) - (amount < 0), has_weight, lab
        found = self._kinds.get(key)
        if found is None:
            found = self._kinds[key] = words.kind_of(text, amount, self.context, lab, has_weight)
        return found

    def role(self, text: str, teeth: str, units: float) -> str:
        """How those teeth are used in a line of that description."""
        key = text, teeth, -1.0 if math.isnan(units) else units
        found = self._roles.get(key)
        if found is None:
            found = self._roles[key] = tooth_words.role_of(text, teeth, units)
        return found

    def hashed(self, text: str) -> str:
        """A case or patient number as its keyed hash."""
        found = self._hashes.get(text)
        if found is None:
            found = self._hashes[text] = self.context.hashed(text)
        return found


MOST_KEPT = 50_000
"""Texts of which the answers are kept from file to file."""
_KEPT: dict[str, Wordings] = {}
"""The answers by decimal mark, all for one practice."""


def wordings_of(context: Context, decimal: str) -> Wordings:
    """The answers given so far to files of the same practice that write numbers alike.

    Files of one lab say much the same words; which lab a file's path names changes none of the answers.
    """
    same = replace(context, path_lab="")
    kept = _KEPT.get(decimal)
    if kept is None or kept.context != same or kept.is_full:
        kept = _KEPT[decimal] = Wordings(same, decimal)
    return kept


class Misfit(NamedTuple):
    """A row (and column, from 0) whose quantity × price is `gap` more than its amount, said in words."""

    sheet: str
    row: int
    column: int
    words: str
    gap: float


@dataclass
class Reading:
    """All that is known while the rows of one paper are read.

    `free` are cells that say nothing is charged, `misfits` the rows of the whole file whose amount is not
    quantity × price.
    """

    part: Part
    evidence: Evidence
    wordings: Wordings
    told: Told
    lab: str = ""
    weight_unit: str = ""
    is_credit: bool = False
    free: list[tuple[int, int]] = field(default_factory=list)
    currencies: set[str] = field(default_factory=set)
    misfits: list[Misfit] = field(default_factory=list)

    @property
    def context(self) -> Context:
        """What the practice knows."""
        return self.wordings.context

    def kind(self, text: str, amount: float, has_weight: bool) -> str:
        """The line kind of a description; amounts of a credit note are taken back."""
        return self.wordings.kind(text, -abs(amount) if self.is_credit else amount, has_weight, self.lab)
