"""How the labs of a clean practice bill: each one's habits, its price list, and what it makes."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
from clean_tables import MATERIALS, Market, Row

GRAMS_IN = {"g": 1.0, "dwt": 1.55517384}
INCLUDED, BY_WEIGHT, SURCHARGE, NONE = "in the price", "by weight", "surcharge", "none"
"""How a lab bills the alloy of a material."""
LIST_RISES = (0.02, 0.03, 0.045, 0.06)


@dataclass(frozen=True)
class Lab:
    """One lab's habits. Prices before `rises_on` are lower than the list's by `rise`; `list_known`: the practice has the list."""

    name: str
    all_in: bool
    notation: str
    premium: float
    agreed: bool
    dispute_days: int | None
    keeps_month: bool
    weight_unit: str
    digits: int
    names_cases: bool
    monthly: bool
    names_prices: bool
    names_class: bool
    tax: float
    discount: float
    freight: float
    totals: str
    statement: bool
    rises_on: date
    rise: float
    prices: dict[str, float]
    not_on_list: frozenset[str]
    alloy_way: dict[str, str]
    wordings: dict[str, tuple[str, ...]]

    def price(self, material: str, day: date) -> float:
        """What it asks for a unit on that day."""
        listed = self.prices[material]
        return listed if day >= self.rises_on else round(listed / (1 + self.rise), 2)

    def alloy_price(self, market: Market, alloy: str, day: date, noise: float) -> float:
        """What it asks for one of its weight units of the alloy, to the cent."""
        asked = day.replace(day=1) if self.keeps_month else day
        value = market.value_per_g(alloy, asked) * GRAMS_IN[self.weight_unit]
        return round(value * (1 + self.premium) * noise, 2)

    def row(self) -> Row:
        """Its row in the Labs table."""
        return {
            "lab": self.name,
            "alloy_billing": "all-in" if self.all_in else "apart",
            "tax_recoverable": 0,
            "tooth_notation": self.notation,
            "agreed_premium": round(self.premium, 4) if self.agreed else None,
            "dispute_days": self.dispute_days,
        }

    def list_rows(self) -> list[Row]:
        """Its price list, as far as the practice has it."""
        return [
            {"lab": self.name, "material": material, "quoted_price": price}
            for material, price in self.prices.items()
            if material not in self.not_on_list
        ]

    def map_rows(self) -> list[Row]:
        """What its wordings mean."""
        return [
            {"wording": wording, "material": material, "lab": self.name, "confirmed": "yes"}
            for material, wordings in self.wordings.items()
            for wording in wordings
        ]


def drawn(rng: np.random.Generator, number: int, used: list[str], months: list[date]) -> Lab:
    """The lab of that number: the first makes everything, the others most of it."""
    all_in = bool(number > 0 and rng.random() < 0.3)
    made = [name for name in used if number == 0 or rng.random() < 0.75] or used[:1]
    level, rng_of = rng.uniform(0.85, 1.2), rng.random
    ways = {name: _alloy_way(rng, name, all_in) for name in made}
    return Lab(
        name=f"lab {'ABCDEF'[number]}",
        all_in=all_in,
        notation=str(rng.choice(["ISO", "universal"])),
        premium=round(float(rng.uniform(0.12, 0.35)), 2),
        agreed=bool(rng_of() < 0.5),
        dispute_days=int(rng.choice([30, 60])) if rng_of() < 0.6 else None,
        keeps_month=bool(rng_of() < 0.4),
        weight_unit="dwt" if rng_of() < 0.3 else "g",
        digits=1 if rng_of() < 0.25 else 2,
        names_cases=bool(rng_of() < 0.75),
        monthly=bool(rng_of() < 0.4),
        names_prices=bool(rng_of() < 0.6),
        names_class=bool(rng_of() < 0.5),
        tax=float(rng.choice([0.0, 0.0, 0.07])),
        discount=float(rng.choice([0.0, 0.0, 0.03])),
        freight=float(rng.choice([0.0, 6.5, 12.5])),
        totals=str(rng.choice(["line", "paper", "none"])),
        statement=bool(rng_of() < 0.3),
        rises_on=months[int(rng.integers(2, 12))] if rng_of() < 0.5 else date(2000, 1, 1),
        rise=float(rng.choice(LIST_RISES)),
        prices={name: _listed(rng, name, level, ways[name]) for name in made},
        not_on_list=frozenset(name for name in made if rng_of() < 0.1),
        alloy_way=ways,
        wordings={name: _wordings(name, ways[name]) for name in made},
    )  # fmt: skip


def _alloy_way(rng: np.random.Generator, material: str, all_in: bool) -> str:
    made = MATERIALS[material]
    if not made.cast_as:
        return NONE
    if all_in or (made.inside < 100 and rng.random() < 0.12):
        return INCLUDED
    return SURCHARGE if made.inside < 100 and rng.random() < 0.12 else BY_WEIGHT


def _listed(rng: np.random.Generator, material: str, level: float, way: str) -> float:
    made = MATERIALS[material]
    inside = made.inside * 1.25 if way == INCLUDED else 0.0
    return float(np.round(made.fee * level * rng.normal(1.0, 0.05) + inside))


def _wordings(material: str, way: str) -> tuple[str, ...]:
    named = MATERIALS[material].wordings
    every = (*named, f"{named[0]}, bridge")
    return tuple(f"{wording}, metal included" for wording in every) if way == INCLUDED else every
