"""Random sites, people, materials, alloys, metal prices and labs for test practices."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise

from practice_draw import Draw, Row

REGION_SETS = (
    ("all",),
    ("anterior", "posterior"),
    ("incisor", "canine", "premolar", "molar"),
    ("molar", "all"),
)
PRICED_METALS = {"gold": 4000.0, "platinum": 1500.0, "palladium": 1350.0, "silver": 46.0}
"""Invented prices of a troy ounce."""
QUOTED_UNITS = {"troy ounce": 31.1034768, "g": 1.0, "kilogram": 1000.0, "30 g": 30.0, "dwt": 1.55517384}
NOT_PRICED = ("copper", "indium", "cobalt", "other")
ACCOUNTS = {"Rent": "no", "Reception": "no", "Software": "no", "Lab invoices": "yes", "Refunds": "no"}


@dataclass(frozen=True)
class Names:
    """What the tables of one practice call things, and what belongs to what ("" for no alloy)."""

    sites: list[str]
    region_of_site: dict[str, str]
    materials: list[str]
    alloys: list[str]
    alloy_of: dict[str, str]
    regions_of: dict[str, tuple[str, ...]]

    @classmethod
    def drawn(cls, draw: Draw, sites: int, materials: int) -> Names:
        """Names of so many sites and materials; one practice in five knows no alloy."""
        rng = draw.rng
        site_names = [f"Site {number}" for number in range(1, sites + 1)]
        material_names = [f"material {letter}" for letter in "ABCDEFGHIJKLMNOPQRSTUVWXYZ"[:materials]]
        alloys = [f"alloy {number}" for number in range(1, rng.choice((1, 2, 3, 3, 4)))]
        return cls(
            site_names,
            {site: rng.choice(("East", "West")) for site in site_names},
            material_names,
            alloys,
            {name: rng.choice(alloys) if alloys and rng.random() < 0.6 else "" for name in material_names},
            {name: rng.choice(REGION_SETS) for name in material_names},
        )


def places(draw: Draw, names: Names) -> dict[str, list[Row]]:
    """Sites, ledgers and, where a site has no ledger, the index of every region in use."""
    with_ledger = [site for site in names.sites if site == names.sites[0] or draw.rng.random() < 0.6]
    index_needed = with_ledger != names.sites
    return {
        "sites": [
            draw.row(
                "sites",
                site=site,
                region=region,
                operatories=draw.rng.randint(1, 6),
                weeks=draw.between(40, 50, 1),
                hours_per_week=draw.between(20, 45, 1),
                practical_capacity=draw.between(0.5, 1),
            )
            for site, region in names.region_of_site.items()
        ],
        "overhead": [
            draw.row("overhead", site=site, account=name, costed_per_item=costed, amount=_cost(draw, name))
            for site in with_ledger
            for name, costed in ACCOUNTS.items()
        ],
        "region_index": [
            draw.row("region_index", region=region, index=draw.between(80, 125, 1), year=2025)
            for region in sorted(set(names.region_of_site.values()))
            if index_needed
        ],
    }


def _cost(draw: Draw, account: str) -> float:
    return draw.money(-3000, 0) if account == "Refunds" else draw.money(20000, 150000)


def staff(draw: Draw, names: Names) -> list[Row]:
    """A dentist and an assistant for all sites, and now and then a dentist of one site's own."""
    wanted = [("dentist", "", 120000), ("assistant", "", 30000)]
    if draw.rng.random() < 0.5:
        wanted.append(("dentist", draw.rng.choice(names.sites), 110000))
    return [
        draw.row(
            "staff",
            role=role,
            site=site,
            yearly_cost=draw.money(low, 2 * low),
            productive_hours=draw.rng.randint(1100, 1700),
            dentist="yes" if role == "dentist" else "no",
        )
        for role, site, low in wanted
    ]


def materials_and_alloys(draw: Draw, names: Names) -> dict[str, list[Row]]:
    """The Materials and Alloys sheets."""
    return {
        "materials": [
            draw.row(
                "materials",
                material=name,
                alloy=names.alloy_of[name],
                supplies=draw.money(5, 60),
                remake_rate=draw.between(0, 0.15, 3),
                lab_share_on_remake=draw.between(0, 1),
                alloy_share_on_remake=draw.between(0, 1),
                remake_supplies=draw.maybe(draw.money(0, 20)),
            )
            for name in names.materials
        ],
        "alloys": [_alloy(draw, name) for name in names.alloys],
    }


def _alloy(draw: Draw, name: str) -> Row:
    """A composition in ten-thousandths, so that it adds up to 1 exactly in decimals."""
    rng = draw.rng
    metals = [*rng.sample(list(PRICED_METALS), rng.randint(1, 3)), *rng.sample(NOT_PRICED, rng.randint(1, 2))]
    cuts = [0, *sorted(rng.sample(range(1, 10000), len(metals) - 1)), 10000]
    parts = [high - low for low, high in pairwise(cuts)]
    shares = {metal: part / 10000 for metal, part in zip(metals, parts, strict=True)}
    return draw.row("alloys", alloy=name, density=draw.maybe(draw.between(8, 18, 1)), **shares)


def metal_prices(draw: Draw, pricing: date) -> list[Row]:
    """Quotes of two years or of less, thirty days apart, each metal in a unit of its own; some metal now and then has none."""
    rows = []
    for metal, price in PRICED_METALS.items():
        quotes = draw.rng.choice((24, 24, 24, 8, 0 if metal == "silver" else 24))
        unit = draw.rng.choice(list(QUOTED_UNITS))
        per_unit = price * QUOTED_UNITS[unit] / QUOTED_UNITS["troy ounce"]
        for months in range(quotes):
            day = pricing - timedelta(days=30 * months)
            quote = max(draw.money(0.6 * per_unit, 1.1 * per_unit), 1.0)
            currency = draw.maybe(draw.currency)
            rows.append(
                draw.row("metal_prices", date=day, metal=metal, price=quote, unit=unit, currency=currency)
            )
    return rows


def labs_and_mill(draw: Draw, names: Names) -> tuple[list[Row], list[Row]]:
    """One to three labs of any habit and, two times in five, a mill that makes one material."""
    rng = draw.rng
    labs = [
        draw.row(
            "labs",
            lab=f"lab {number}",
            tax_recoverable=rng.choice((0, 0.5, 1)),
            tooth_notation=rng.choice(("ISO", "universal")),
        )
        for number in range(1, rng.randint(2, 4))
    ]
    if rng.random() < 0.6:
        return labs, []
    milled = next((name for name in names.materials if not names.alloy_of[name]), names.materials[0])
    mill = draw.row(
        "milling",
        lab="own mill",
        material=milled,
        site=names.sites[0],
        role="assistant",
        machine_cost_month=draw.money(500, 3000),
        units_month=rng.randint(5, 60),
        block=draw.money(10, 40),
        burs=draw.money(1, 8),
        staff_min=rng.randint(5, 40),
    )
    billing = rng.choice(("apart", "apart", "all-in"))
    own = draw.row("labs", lab="own mill", alloy_billing=billing, tax_recoverable=0, tooth_notation="ISO")
    return [*labs, own], [mill]
