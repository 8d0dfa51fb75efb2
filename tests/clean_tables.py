"""The tables around the invoices of a practice whose labs bill cleanly: materials, alloys, quotes, fees and the like.

Compositions, densities, lab fees and grams are the usual ones of the trade (common practice, no source); names are invented.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

import numpy as np

Row = dict[str, Any]

OUNCE = 31.1034768
HISTORY = 420
"""Days of metal prices before the last day: the invoices' months and a little more."""

ALLOYS: dict[str, Row] = {
    "yellow casting alloy": {"gold": 0.77, "silver": 0.13, "palladium": 0.01, "copper": 0.09, "density": 15.5},
    "pale casting alloy": {"gold": 0.46, "palladium": 0.06, "silver": 0.39, "copper": 0.09, "density": 12.3},
    "gold-palladium alloy": {"gold": 0.515, "palladium": 0.385, "indium": 0.1, "density": 14.0},
    "palladium-silver alloy": {"palladium": 0.6, "silver": 0.28, "tin": 0.07, "indium": 0.05, "density": 11.0},
    "cobalt-chromium alloy": {"cobalt": 0.63, "chromium": 0.28, "molybdenum": 0.06, "tungsten": 0.03, "density": 8.4},
}  # fmt: skip
CLASSES = {
    "yellow casting alloy": "high noble",
    "pale casting alloy": "noble",
    "gold-palladium alloy": "high noble",
    "palladium-silver alloy": "noble",
    "cobalt-chromium alloy": "predominantly base",
}


@dataclass(frozen=True)
class Material:
    """A material: its alloy ("" for none), a usual lab fee, what an all-in price holds for metal, what it is cast as, how often it is asked for."""

    alloy: str
    fee: float
    inside: float
    cast_as: str
    share: float
    wordings: tuple[str, ...]


MATERIALS = {
    "cast gold, high noble": Material("yellow casting alloy", 175, 290, "cast", 1.0, ("Full cast crown, yellow", "FGC HN")),
    "cast, noble": Material("pale casting alloy", 160, 150, "cast", 0.6, ("Full cast crown, noble",)),
    "metal-ceramic, high noble": Material("gold-palladium alloy", 185, 130, "coping", 1.2, ("PFM high noble", "PFM HN, porcelain margin")),
    "metal-ceramic, noble": Material("palladium-silver alloy", 145, 40, "coping", 1.8, ("PFM noble", "PFM semi-precious")),
    "metal-ceramic, base": Material("cobalt-chromium alloy", 110, 0, "", 0.6, ("PFM base", "MC unit CoCr")),
    "zirconia, monolithic": Material("", 135, 0, "", 4.0, ("Full contour zirconia crown", "FCZ crown", "Mono zirc post.")),
    "zirconia, layered": Material("", 225, 0, "", 1.2, ("Layered zirconia crown",)),
    "lithium disilicate": Material("", 165, 0, "", 2.4, ("Pressed disilicate crown", "LD crown, stained")),
    "resin hybrid": Material("", 95, 0, "", 0.4, ("Hybrid resin crown",)),
}  # fmt: skip

GRAMS = {"cast": (1.6, 1.5, 1.7, 1.9, 1.9, 3.0, 2.7, 2.5), "coping": (1.0, 0.9, 1.0, 1.1, 1.1, 1.6, 1.5, 1.4)}
"""Mean grams of a unit by tooth position, 1 to 8, for the density that each sort usually has."""
DENSITY_OF_GRAMS = {"cast": 15.5, "coping": 14.0}
REGION_SETS = (
    ("incisor", "canine", "premolar", "molar"),
    ("incisor", "canine", "premolar", "molar"),
    ("anterior", "posterior"),
    ("all",),
)
POSITIONS = {
    "incisor": (1, 2),
    "canine": (3,),
    "premolar": (4, 5),
    "molar": (6, 7, 8),
    "anterior": (1, 2, 3),
    "posterior": (4, 5, 6, 7, 8),
    "all": (1, 2, 3, 4, 5, 6, 7, 8),
}

METALS = {
    "gold": (4000.0, 0.18),
    "palladium": (1350.0, 0.32),
    "silver": (46.0, 0.30),
    "platinum": (1500.0, 0.25),
}
"""Invented prices of a troy ounce to begin with, and how much each moves in a year."""


@dataclass(frozen=True)
class Market:
    """The metals' prices of a troy ounce, day by day."""

    first: date
    prices: dict[str, np.ndarray]

    @classmethod
    def drawn(cls, rng: np.random.Generator, last: date) -> Market:
        """A random walk of `HISTORY` days to the last day, with a year's drift of its own."""
        walks = {}
        for metal, (start, year) in METALS.items():
            steps = rng.normal(0.0, year / 365**0.5, HISTORY + 1) + rng.normal(0.05, 0.15) / 365
            walks[metal] = np.round(start * np.exp(np.cumsum(steps)), 2)
        return cls(last - timedelta(days=HISTORY), walks)

    def value_per_g(self, alloy: str, day: date) -> float:
        """What the metal in a gram of the alloy is worth on that day."""
        at = max((day - self.first).days, 0)
        shares = ALLOYS[alloy]
        return float(sum(shares.get(metal, 0.0) * walk[at] for metal, walk in self.prices.items()) / OUNCE)

    def quotes(self, daily: bool) -> list[Row]:
        """What the practice wrote down: each day's price, or each month's last."""
        days = [self.first + timedelta(days=at) for at in range(HISTORY + 1)]
        kept = [
            at
            for at, day in enumerate(days)
            if (daily and day.weekday() < 5) or (day + timedelta(days=1)).day == 1
        ]
        return [
            {
                "date": days[at],
                "metal": metal,
                "price": float(walk[at]),
                "unit": "troy ounce",
                "confirmed": "yes",
            }
            for at in sorted({0, *kept})
            for metal, walk in self.prices.items()
        ]


def around(
    last: date, sites: list[str], used: list[str], regions: dict[str, tuple[str, ...]]
) -> dict[str, list[Row]]:
    """Every table that has nothing to do with how labs bill."""
    alloys = dict.fromkeys(MATERIALS[name].alloy for name in used if MATERIALS[name].alloy)
    return {
        "practice": [_settings(last, sites)],
        "sites": [
            {"site": site, "region": "Coast", "operatories": 4, "weeks": 46, "hours_per_week": 38, "practical_capacity": 0.8}
            for site in sites
        ],
        "overhead": [{"site": site, "account": "Rent", "amount": 160000, "costed_per_item": "no"} for site in sites],
        "staff": [_role("dentist", 150000, "yes"), _role("assistant", 42000, "no")],
        "chair_time": [_step(name) for name in used],
        "materials": [_material(name) for name in used],
        "starting_grams": [
            {"material": name, "tooth_region": region, "starting_g": usual_grams(name, POSITIONS[region])}
            for name in used
            if MATERIALS[name].alloy
            for region in regions[name]
        ],
        "alloys": [{"alloy": name, "class_billed": CLASSES[name], **ALLOYS[name]} for name in alloys],
        "fees": [
            {"code": code_of(used, name, region), "description": f"{name}, {region}", "material": name,
             "tooth_region": region, "site": "all", "current_fee": 1300, "units_last_year": 20, "hold": "no"}
            for name in used
            for region in regions[name]
        ],
    }  # fmt: skip


def usual_grams(material: str, positions: tuple[int, ...]) -> float:
    """The mean grams of a unit at those positions, the alloy's density considered; half a gram for base metal."""
    made = MATERIALS[material]
    if not made.cast_as:
        return 0.6
    density = ALLOYS[made.alloy]["density"] / DENSITY_OF_GRAMS[made.cast_as]
    means = GRAMS[made.cast_as]
    return round(density * sum(means[at - 1] for at in positions) / len(positions), 3)


def code_of(used: list[str], material: str, region: str) -> str:
    """The fee code of a material in a tooth region."""
    return f"C-{used.index(material) + 1}{list(POSITIONS).index(region)}"


def _settings(last: date, sites: list[str]) -> Row:
    return {
        "practice_name": "Clean practice", "currency": "EUR", "pricing_date": last,
        "effective_date": last + timedelta(days=60), "invoice_months": 12, "credibility_units": 5, "target_margin": 0.2,
        "margin_basis": "with plans", "collected": 0.98, "card_cost": 0.01, "default_alloy_premium": 0.25,
        "base_site": sites[0],
    }  # fmt: skip


def _role(role: str, cost: float, dentist: str) -> Row:
    return {"role": role, "site": "", "yearly_cost": cost, "productive_hours": 1500, "dentist": dentist}


def _step(material: str) -> Row:
    return {"material": material, "step": "preparation and seating", "roles": "dentist + assistant", "likely_min": 90,
            "chair": "yes", "repeated": "yes"}  # fmt: skip


def _material(name: str) -> Row:
    return {"material": name, "alloy": MATERIALS[name].alloy, "supplies": 25, "remake_rate": 0.04, "lab_share_on_remake": 0.5,
            "alloy_share_on_remake": 0.1, "remake_supplies": 10}  # fmt: skip
