"""A review's model made by hand: items with their figures of two periods, and why what is left of them changed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from feesheet.costing.components import ALLOY_COST, OVERHEAD_COST
from feesheet.costing.roster import Roster
from feesheet.formula.model import Block, Model, Setting
from feesheet.formula.numbers import Numbers
from feesheet.formula.tree import Name, added
from feesheet.pricing.review.bridge import add_bridge
from feesheet.pricing.review.bridge_steps import STEPS
from feesheet.reference import fixed_numbers


@dataclass(frozen=True)
class Figures:
    """An item in one period: its units, the money of a unit, and what a unit takes and costs."""

    units: float = 0.0
    price: float = 0.0
    lab_fee: float = 0.0
    alloy_g: float = 0.0
    alloy_price: float = 0.0
    supplies: float = 0.0
    people: float = 0.0
    chair_min: float = 0.0
    remake: float = 0.0
    other: float = 0.0

    def unit_cost(self, rate: float) -> float:
        """What a unit costs where a chair minute costs that much."""
        parts = (self.lab_fee, self.supplies, self.people, self.remake, self.other)
        return sum(parts) + self.alloy_g * self.alloy_price + self.chair_min * rate

    def left(self, rate: float) -> float:
        """What is left of all its units."""
        return self.units * (self.price - self.unit_cost(rate))


@dataclass(frozen=True)
class Site:
    """A site in one period: its overhead of a year over its usable chair minutes."""

    overhead: float = 0.0
    minutes: float = 1.0

    @property
    def rate(self) -> float:
        """What a chair minute costs."""
        return self.overhead / self.minutes


@dataclass(frozen=True)
class Item:
    """An item in both periods; a new one has no `then`. `at_then_pay`: its people's cost, now's minutes at then's pay."""

    now: Figures
    then: Figures | None
    material: str = ""
    site: int = 0
    at_then_pay: float = 0.0


Gone = tuple[float, float, float]
"""Units, money received and cost of an item that is no longer on the schedule."""


@dataclass(frozen=True)
class Reviewed:
    """The items and sites of a review; `earned` may hold a unit's money in several rows, one a share of it."""

    items: list[Item]
    now_sites: list[Site]
    then_sites: list[Site]
    gone: list[Gone] | None = None
    shares: tuple[float, ...] = (1.0,)

    def left_then(self) -> float:
        """What was left then, worked out here."""
        kept = sum(one.then.left(self.then_sites[one.site].rate) for one in self.items if one.then)
        return kept + sum(received - cost for _, received, cost in self.gone or [])

    def left_now(self) -> float:
        """What is left now, worked out here."""
        return sum(one.now.left(self.now_sites[one.site].rate) for one in self.items)

    def roster(self) -> Roster:
        """The lists of the items."""
        materials = tuple(sorted({item.material for item in self.items} - {""}))
        sites = tuple(f"Site {number + 1}" for number in range(len(self.now_sites)))
        rows = pd.DataFrame(
            {
                "code": [f"C{number + 1}" for number in range(len(self.items))],
                "site": [sites[item.site] for item in self.items],
                "material": [item.material for item in self.items],
            }
        )
        return Roster(sites, sites, materials, dict.fromkeys(materials, ""), (), (), rows)

    def model(self, then_money: list[float] | None = None) -> Model:
        """The blocks that the review's other parts make, and why the result changed; `then_money`: where money is known apart."""
        model, who = Model(), self.roster()
        for number in fixed_numbers().values():
            setting = Setting(number.name, number.heading, number.unit, number.value, "", fixed=True)
            model.settings[number.name] = setting
        half = Setting("money_tolerance", "Half a coin", "money", 0.005, "ISO 4217", fixed=True)
        model.settings["money_tolerance"] = half
        self._costs(model, who)
        self._sites(model)
        self._then_items(model)
        if then_money is not None:
            model.blocks["then_items"].given("then_money", "Money then", then_money, "money")
        self._earned(model)
        if self.gone is not None:
            gone = model.add(Block("gone_items", "Changes by item", "Gone", len(self.gone)))
            for at, name in enumerate(("units", "received", "cost")):
                gone.given(name, name.capitalize(), [row[at] for row in self.gone], "money")
        add_bridge(model, who)
        return model

    def _costs(self, model: Model, who: Roster) -> None:
        block = model.add(Block("costs", "Cost build-up", "Costs", len(self.items), aligned="items"))
        numbers = [who.materials.index(one.material) + 1 if one.material else 0 for one in self.items]
        block.counter("site_no", "Site no.", [one.site + 1 for one in self.items], "")
        block.counter("material_no", "Material no.", numbers, "")
        for column, name in _NOW:
            block.given(column, column, [getattr(one.now, name) for one in self.items], "number")
        rates = [self.now_sites[one.site].rate for one in self.items]
        block.given("overhead_per_chair_min", "Rate", rates, "money_per_min")
        block.worked(ALLOY_COST.work)
        block.worked(OVERHEAD_COST.work)
        parts = (
            "lab_fee",
            "alloy_cost",
            "supplies",
            "people_cost",
            "overhead_cost",
            "remake_cost",
            "own_part",
        )
        block.tree("unit_cost", "Unit cost", "money", added(Name(part) for part in parts), "")

    def _sites(self, model: Model) -> None:
        for name, sites, columns in (
            ("sites", self.now_sites, ("yearly_overhead", "usable_chair_min")),
            ("then_sites", self.then_sites, ("then_yearly_overhead", "then_usable_min")),
        ):
            block = model.add(Block(name, "Overhead", name, len(sites)))
            block.given(columns[0], "Overhead", [site.overhead for site in sites], "money")
            block.given(columns[1], "Minutes", [site.minutes for site in sites], "number")

    def _then_items(self, model: Model) -> None:
        block = model.add(Block("then_items", "Changes by item", "Then", len(self.items), aligned="items"))
        block.counter("then_known", "Known", [int(one.then is not None) for one in self.items], "")
        then = [one.then or _as_now(one.now) for one in self.items]
        for column, name in _THEN:
            block.given(column, column, [getattr(figures, name) for figures in then], "number")
        rates = [(self.then_sites if one.then else self.now_sites)[one.site].rate for one in self.items]
        costs = [figures.unit_cost(rate) for figures, rate in zip(then, rates, strict=True)]
        pay = [one.at_then_pay if one.then else one.now.people for one in self.items]
        block.given("then_overhead_rate", "Rate then", rates, "money_per_min")
        block.given("then_unit_cost", "Unit cost then", costs, "money")
        block.given("people_at_then_pay", "People at then's pay", pay, "money")

    def _earned(self, model: Model) -> None:
        rows = [(at, one.now, share) for at, one in enumerate(self.items) for share in self.shares]
        block = model.add(Block("earned", "Earned", "Earned", len(rows)))
        block.counter("item_no", "Item no.", [at + 1 for at, _, _ in rows], "")
        block.given("units", "Units", [now.units * share for _, now, share in rows], "units")
        money = [now.units * now.price * share for _, now, share in rows]
        block.given("received", "Received", money, "money")
        block.fetch("unit_cost", "Unit cost", "money", "costs.unit_cost", "item_no")
        block.tree("left", "Left", "money", Name("received") - Name("units") * Name("unit_cost"), "")


def _as_now(now: Figures) -> Figures:
    """The figures of then of an item that was not there: no units and no money, the costs of now."""
    return Figures(**{**vars(now), "units": 0.0, "price": 0.0})


_NOW = (
    ("lab_fee", "lab_fee"),
    ("alloy_g", "alloy_g"),
    ("alloy_price_per_g", "alloy_price"),
    ("supplies", "supplies"),
    ("people_cost", "people"),
    ("chair_min", "chair_min"),
    ("remake_cost", "remake"),
    ("own_part", "other"),
)

_THEN = (
    ("then_units", "units"),
    ("then_received", "price"),
    ("then_lab_fee", "lab_fee"),
    ("then_alloy_g", "alloy_g"),
    ("then_alloy_price_per_g", "alloy_price"),
    ("then_supplies", "supplies"),
    ("then_people_cost", "people"),
    ("then_chair_min", "chair_min"),
    ("then_remake_cost", "remake"),
    ("then_other_cost", "other"),
)


def told(numbers: Numbers, block: str = "changes_told") -> dict[str, float]:
    """The amounts of a table of steps, by the step's title."""
    steps = numbers.model.blocks[block].labels("step")
    return dict(zip(steps, map(float, numbers.of(block, "amount")), strict=True))


def effects(numbers: Numbers, block: str = "item_changes") -> Any:
    """The effects of all steps, one row an item or a material, one column a step."""
    return np.array([numbers.of(block, step.name) for step in STEPS]).T
