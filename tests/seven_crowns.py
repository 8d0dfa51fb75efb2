"""Seven crowns without invoices, so that typed grams, quoted prices and quoted metals are all that their costs are made of."""

from __future__ import annotations

from datetime import date

from practices import Row
from priced import Rows

CAST, BONDED, WHITE = "full cast, 77 gold", "metal-ceramic, 51.5 gold", "metal-ceramic, palladium-silver"
BARE = ("metal-ceramic, base", "titanium", "zirconia", "lithium disilicate")

ALLOYS: dict[str, tuple[dict[str, float], float]] = {
    CAST: ({"gold": 0.77, "silver": 0.13, "palladium": 0.01, "copper": 0.09}, 2.5),
    BONDED: ({"gold": 0.515, "palladium": 0.385, "other": 0.1}, 1.24),
    WHITE: ({"palladium": 0.6, "silver": 0.28, "other": 0.12}, 0.97),
    "metal-ceramic, base": ({"cobalt": 0.61, "chromium": 0.39}, 0.74),
    "titanium": ({"titanium": 0.9, "other": 0.1}, 0.4),
}
"""Mass fractions and grams of one crown."""

QUOTES = {"gold": 3921.0, "palladium": 1364.0, "silver": 46.0}


def crowns(remake_rate: float) -> Rows:
    """A practice of seven crowns without invoices: typed grams and quoted prices are all that there is."""
    names = [*ALLOYS, BARE[2], BARE[3]]
    day = date(2025, 10, 31)
    return {
        "practice": [_settings(day)],
        "sites": [
            {
                "site": "North",
                "region": "East",
                "operatories": 3,
                "weeks": 46,
                "hours_per_week": 32,
                "practical_capacity": 0.8,
            }
        ],
        "overhead": [{"site": "North", "account": "Rent", "amount": 90000.0, "costed_per_item": "no"}],
        "staff": [{"role": "dentist", "yearly_cost": 180000.0, "productive_hours": 1500, "dentist": "yes"}],
        "chair_time": [
            {
                "material": name,
                "visit": "one",
                "step": "all",
                "roles": "dentist",
                "likely_min": 80,
                "chair": "yes",
                "repeated": "yes",
            }
            for name in names
        ],
        "materials": [_material(name, remake_rate) for name in names],
        "alloys": [{"alloy": f"alloy of {name}", **parts} for name, (parts, _) in ALLOYS.items()],
        "starting_grams": [
            {"material": name, "tooth_region": "all", "starting_g": grams}
            for name, (_, grams) in ALLOYS.items()
        ],
        "metal_prices": [
            {"date": day, "metal": metal, "price": price, "unit": "troy ounce"}
            for metal, price in QUOTES.items()
        ],
        "labs": [{"lab": "lab A", "alloy_billing": "apart", "tax_recoverable": 0, "tooth_notation": "ISO"}],
        "lab_prices": [{"lab": "lab A", "material": name, "quoted_price": 150.0} for name in names],
        "fees": [
            {
                "code": f"C{number}",
                "description": f"Crown, {name}",
                "material": name,
                "tooth_region": "all",
                "current_fee": 1400.0,
                "units_last_year": 10,
            }
            for number, name in enumerate(names, start=1)
        ],
    }


def _settings(day: date) -> Row:
    return {
        "practice_name": "Seven crowns",
        "currency": "USD",
        "pricing_date": day,
        "effective_date": date(2026, 1, 1),
        "invoice_months": 12,
        "target_margin": 0.2,
        "collected": 1,
        "card_cost": 0,
        "default_alloy_premium": 0.25,
        "base_site": "North",
    }


def _material(name: str, remake_rate: float) -> Row:
    return {
        "material": name,
        "alloy": f"alloy of {name}" if name in ALLOYS else "",
        "supplies": 20.0,
        "remake_rate": remake_rate,
        "lab_share_on_remake": 0.5,
        "alloy_share_on_remake": 0.1,
        "remake_supplies": 5.0,
    }
