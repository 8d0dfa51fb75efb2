"""What units and money of a period are known by, and how that is said."""

from __future__ import annotations

from dataclasses import dataclass

from feesheet.costing.chair import dentist_is_paid
from feesheet.practice import Practice
from feesheet.pricing.review.period import Period

BEFORE_DENTIST = "Margins are before dentist pay: no dentist's pay is typed."

BY_SEATED = "Units and money are those of the work seated."
BY_LABS = "No work seated in the period is given: units are those of the labs' invoices, money is what fees and plans promise."
THEN_BY_SEATED = "Then: the work seated then."
THEN_BY_LABS = "Then: the units of the labs' invoices then, at today's fees and plans, the only ones known."
THEN_UNKNOWN = "Nothing tells what came in then."


@dataclass(frozen=True)
class Basis:
    """What the units and the money are known by. `then_seated` and `then_labs` are both False without a comparison."""

    now_seated: bool
    then_seated: bool
    then_labs: bool

    @property
    def promised(self) -> bool:
        """Whether some of it is what fees and plans promise."""
        return not self.now_seated or self.then_labs


def note_of(practice: Practice, basis: Basis, then: Period | None) -> str:
    """What the figures are known by."""
    said = [BY_SEATED if basis.now_seated else BY_LABS]
    if then is not None:
        known = THEN_BY_SEATED if basis.then_seated else THEN_BY_LABS
        said.append(known if basis.then_seated or basis.then_labs else THEN_UNKNOWN)
    if not dentist_is_paid(practice):
        said.append(BEFORE_DENTIST)
    return " ".join(said)
