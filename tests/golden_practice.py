"""The practice around the golden invoices: three labs, two sites, every kind of material. All names are invented."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import Any

from reading_inputs import GOOD, Rows, grid, settings_grid, write_grids

from feesheet.tables import TABLES

SETTINGS: dict[str, Any] = {
    "practice_name": "Example practice",
    "currency": "USD",
    "pricing_date": date(2026, 10, 31),
    "effective_date": date(2027, 1, 1),
    "invoice_months": 12,
    "target_margin": 0.2,
    "collected": 0.98,
    "base_site": "North",
}

LABS: Rows = [
    {
        "lab": "lab A",
        "alloy_billing": "apart",
        "tax_recoverable": 0,
        "tooth_notation": "ISO",
        "name_on_invoices": "A Lab of Ceramics",
        "date_order": "day first",
        "alloy_weight_unit": "gram",
    },
    {
        "lab": "lab B",
        "alloy_billing": "apart",
        "tax_recoverable": 0,
        "tooth_notation": "universal",
        "name_on_invoices": "B Crown and Bridge Works",
        "date_order": "month first",
        "alloy_weight_unit": "pennyweight",
        "dispute_days": 30,
    },
    {
        "lab": "lab C",
        "alloy_billing": "apart",
        "tax_recoverable": 0,
        "tooth_notation": "ISO",
        "name_on_invoices": "C Lab of the North",
        "lab_currency": "CAD",
    },
]

NOTATION = {row["lab"]: row["tooth_notation"] for row in LABS}
"""How each lab numbers teeth."""

ACCOUNTS: Rows = [
    {"account": "20417", "site": "North"},
    {"account": "20418", "site": "South"},
    {"account": "Hillside Dental", "site": "South", "lab": "lab B"},
]

RATES: Rows = [
    {"rate_date": date(2026, 1, 2), "foreign": "CAD", "rate": 0.7},
    {"rate_date": date(2026, 3, 1), "foreign": "CAD", "rate": 0.75},
]

ALLOY_OF = {
    "zirconia, monolithic": "",
    "zirconia, layered": "",
    "lithium disilicate": "",
    "cast gold, high noble": "yellow casting alloy",
    "cast gold, noble": "pale casting alloy",
    "metal-ceramic, high noble": "ceramic gold alloy",
    "metal-ceramic, noble": "ceramic palladium alloy",
    "metal-ceramic, base": "ceramic cobalt alloy",
    "titanium": "titanium alloy",
}
"""Every material, with the alloy that it is cast from."""

MATERIALS: Rows = [
    {
        "material": material,
        "alloy": alloy,
        "supplies": 24,
        "remake_rate": 0.04,
        "lab_share_on_remake": 0.5,
        "alloy_share_on_remake": 0.1,
    }
    for material, alloy in ALLOY_OF.items()
]

ALLOYS: Rows = [
    {
        "alloy": "yellow casting alloy",
        "class_billed": "high noble",
        "gold": 0.77,
        "silver": 0.13,
        "copper": 0.085,
        "palladium": 0.015,
    },
    {
        "alloy": "pale casting alloy",
        "class_billed": "noble",
        "gold": 0.46,
        "palladium": 0.06,
        "silver": 0.39,
        "copper": 0.09,
    },
    {
        "alloy": "ceramic gold alloy",
        "class_billed": "high noble",
        "gold": 0.52,
        "palladium": 0.38,
        "other": 0.1,
    },
    {
        "alloy": "ceramic palladium alloy",
        "class_billed": "noble",
        "palladium": 0.6,
        "silver": 0.3,
        "other": 0.1,
    },
    {"alloy": "ceramic cobalt alloy", "class_billed": "predominantly base", "cobalt": 0.61, "chromium": 0.39},
    {"alloy": "titanium alloy", "class_billed": "titanium", "titanium": 0.9, "other": 0.1},
]

PRODUCTS: Rows = [
    {"wording": wording, "material": material}
    for wording, material in {
        "FCZ": "zirconia, monolithic",
        "FCZ crown": "zirconia, monolithic",
        "Full contour zirc": "zirconia, monolithic",
        "mono ZrO2": "zirconia, monolithic",
        "zir post": "zirconia, monolithic",
        "Full contour zirconia crown": "zirconia, monolithic",
        "Layered zirconia crown": "zirconia, layered",
        "Lithium disilicate crown": "lithium disilicate",
        "Full cast crown high noble": "cast gold, high noble",
        "Full cast crown noble": "cast gold, noble",
        "PFM high noble": "metal-ceramic, high noble",
        "PFM noble": "metal-ceramic, noble",
        "PFM non-precious": "metal-ceramic, base",
        "PFM semi-precious": "metal-ceramic, noble",
        "PFM precious": "metal-ceramic, high noble",
        "Titanium crown": "titanium",
        "Zirconia bridge": "zirconia, monolithic",
        "Zirconia crowns": "zirconia, monolithic",
        "Night guard": "not a crown",
        "Stainless steel crown": "not a crown",
    }.items()
]

FEES: Rows = [
    {"code": f"C-{number}", "description": f"Crown, {material}", "material": material, "current_fee": 1400}
    for number, material in enumerate(ALLOY_OF, start=1)
]

STARTING_GRAMS: Rows = [
    {"material": material, "tooth_region": "all", "starting_g": 2.5}
    for material, alloy in ALLOY_OF.items()
    if alloy
]

QUOTES: Rows = [
    {"date": date(2025, 11, 1), "metal": metal, "price": price, "unit": "troy ounce"}
    for metal, price in (("gold", 3921), ("palladium", 1364), ("silver", 46))
]


def tables(**changed: Rows) -> dict[str, Rows]:
    """The rows of every table, some of them changed."""
    own: dict[str, Rows] = {
        "labs": LABS,
        "lab_accounts": ACCOUNTS,
        "exchange_rates": RATES,
        "materials": MATERIALS,
        "alloys": ALLOYS,
        "starting_grams": STARTING_GRAMS,
        "metal_prices": QUOTES,
        "product_map": PRODUCTS,
        "fees": FEES,
        "lab_prices": [{"lab": "lab A", "material": material, "quoted_price": 150} for material in ALLOY_OF],
        "chair_time": [
            {**GOOD["chair_time"][0], "material": material, "step": "preparation"} for material in ALLOY_OF
        ],
    }
    same = {name: GOOD[name] for name in ("sites", "overhead", "region_index", "staff")}
    return {**same, **own, **changed}


def write_tables(
    folder: Path, changed: Mapping[str, Rows] | None = None, settings: Mapping[str, Any] | None = None
) -> Path:
    """The practice in one workbook, `practice.xlsx`."""
    grids = {"Practice": settings_grid({**SETTINGS, **(settings or {})})}
    grids |= {TABLES[name].sheet: grid(name, rows) for name, rows in tables(**(changed or {})).items()}
    write_grids(folder / "practice.xlsx", grids)
    return folder
