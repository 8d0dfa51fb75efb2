"""What last year's fee-schedule workbook says: plain figures, each with the cell where it stands."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from feesheet.costing.regions import EVERYWHERE
from feesheet.pricing.review.period import Period
from feesheet.schema import plain

Label = tuple[str, ...]
"""What tells rows apart: code and site of an item, a site, role and site of pay."""

LAB, ALLOY = "lab", "alloy"
"""The money of the invoices' window by what it was used for: lab fees with the charges on invoices, and alloy."""


@dataclass(frozen=True)
class Found:
    """A figure and where it stands in the workbook."""

    value: float
    sheet: str
    cell: str


@dataclass(frozen=True)
class ThenRow:
    """A row of last year's: its label as it is written there, and its figures by their columns' names in the program."""

    label: Label
    figures: Mapping[str, Found]

    def of(self, name: str) -> float:
        """One figure."""
        return self.figures[name].value

    def place(self, file: str) -> str:
        """Where the row was read: the file, then each sheet with the row."""
        rows = {
            found.sheet: found.cell.lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ") for found in self.figures.values()
        }
        return f"{file}: " + "; ".join(f"{sheet}, row {row}" for sheet, row in rows.items())


@dataclass(frozen=True)
class LastYear:
    """The workbook's figures.

    `items` have year_units and cash_now (money a unit), and the costs of one unit: lab_fee, alloy_g, alloy_price_per_g,
    supplies, people_cost, chair_min, overhead_per_chair_min, remake_cost, unit_cost. `sites` have yearly_overhead and
    usable_chair_min, `roles` yearly_cost and productive_hours. `spend` is the money of `months` months up to the pricing
    date, lab and alloy.
    """

    file: str
    sha256: str
    practice_name: str
    currency: str
    pricing_date: date
    months: int
    items: tuple[ThenRow, ...]
    sites: tuple[ThenRow, ...]
    roles: tuple[ThenRow, ...]
    spend: Mapping[str, Found]

    @property
    def period(self) -> Period:
        """The window of its invoices."""
        return Period(self.pricing_date, self.months)


def rows_then(now: Sequence[Label], then: Sequence[ThenRow]) -> list[int]:
    """For each label of now the number of its row then, counted from 1; 0 where it was not there.

    Case and spaces do not matter. A name that is only the same without its brackets counts where no other is like it.
    """
    exact = {_spelled(row.label): number for number, row in enumerate(then, start=1)}
    loose = {_plain(row.label): number for number, row in enumerate(then, start=1)}
    alike = Counter(_plain(row.label) for row in then)
    wanted = Counter(_plain(label) for label in now)
    numbers = []
    for label in now:
        key = _plain(label)
        only = loose.get(key, 0) if alike[key] == 1 and wanted[key] == 1 else 0
        numbers.append(exact.get(_spelled(label), only))
    return numbers


def roles_then(now: Sequence[Label], then: Sequence[ThenRow]) -> list[int]:
    """The same for roles, as role and site: where a site had no pay of its own, that of all sites."""
    own = rows_then(now, then)
    everywhere = {
        _plain(row.label)[0]: n for n, row in enumerate(then, start=1) if plain(row.label[1]) == EVERYWHERE
    }
    return [number or everywhere.get(plain(role), 0) for number, (role, _) in zip(own, now, strict=True)]


def _spelled(label: Label) -> Label:
    return tuple(" ".join(word.split()).casefold() for word in label)


def _plain(label: Label) -> Label:
    return tuple(plain(word) for word in label)
