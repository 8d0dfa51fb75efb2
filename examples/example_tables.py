"""The invented practice's own tables: three sites, nine materials, six alloys, fees, plans and rules.

All names and figures are made up. Fees were last set when gold cost half of what it does now.
"""

from __future__ import annotations

from typing import Any

Row = dict[str, Any]

REGIONS = {"incisor": "I", "canine": "C", "premolar": "P", "molar": "M"}

_MATERIAL_FACTS = {
    "cast gold, high noble": ("CHN", "yellow casting alloy", 24, 0.03),
    "cast, noble": ("CN", "low-gold casting alloy", 24, 0.03),
    "metal-ceramic, high noble": ("MHN", "white bonding alloy", 26, 0.04),
    "metal-ceramic, noble": ("MN", "palladium-silver alloy", 26, 0.04),
    "metal-ceramic, base": ("MB", "cobalt-chromium alloy", 26, 0.05),
    "zirconia, monolithic": ("ZM", "", 27, 0.035),
    "zirconia, layered": ("ZL", "", 28, 0.05),
    "lithium disilicate": ("LD", "", 38, 0.045),
    "resin hybrid": ("RH", "", 32, 0.06),
}
MATERIALS: dict[str, Row] = {
    name: dict(zip(("short", "alloy", "supplies", "remake"), facts, strict=True))
    for name, facts in _MATERIAL_FACTS.items()
}

ALLOYS: dict[str, Row] = {
    "yellow casting alloy": {
        "class_billed": "high noble", "density": 15.5,
        "gold": 0.77, "silver": 0.13, "palladium": 0.01, "copper": 0.08, "other": 0.01,
    },
    "low-gold casting alloy": {
        "class_billed": "noble", "density": 12.6,
        "gold": 0.46, "palladium": 0.06, "silver": 0.39, "copper": 0.08, "zinc": 0.01,
    },
    "white bonding alloy": {
        "class_billed": "high noble", "density": 13.9,
        "gold": 0.515, "palladium": 0.385, "indium": 0.085, "gallium": 0.015,
    },
    "palladium-silver alloy": {
        "class_billed": "noble", "density": 11.1,
        "palladium": 0.6, "silver": 0.28, "indium": 0.06, "tin": 0.04, "other": 0.02,
    },
    "cobalt-chromium alloy": {
        "class_billed": "predominantly base", "density": 8.4,
        "cobalt": 0.63, "chromium": 0.28, "molybdenum": 0.05, "tungsten": 0.03, "other": 0.01,
    },
    "nickel-chromium alloy": {
        "class_billed": "predominantly base", "density": 8.3,
        "nickel": 0.63, "chromium": 0.24, "molybdenum": 0.09, "other": 0.04,
    },
}  # fmt: skip

STARTING_GRAMS = {
    "cast gold, high noble": (1.6, 1.7, 1.9, 2.9),
    "cast, noble": (1.4, 1.5, 1.7, 2.5),
    "metal-ceramic, high noble": (0.8, 1.0, 1.1, 1.6),
    "metal-ceramic, noble": (0.65, 0.8, 0.9, 1.3),
    "metal-ceramic, base": (0.55, 0.6, 0.7, 1.0),
}

METAL_PATHS = {
    "gold": (1960, 1985, 2090, 2260, 2345, 2460, 2540, 2600, 2655, 2730, 2890, 3040,
             3120, 3205, 3290, 3360, 3420, 3510, 3585, 3640, 3725, 3830, 3935, 4015),
    "palladium": (1002, 975, 948, 930, 905, 918, 940, 962, 985, 1010, 1042, 1065,
                  1080, 1102, 1125, 1140, 1168, 1190, 1215, 1238, 1262, 1290, 1322, 1350),
    "platinum": (948, 955, 962, 970, 985, 1002, 1030, 1060, 1085, 1110, 1140, 1165,
                 1188, 1210, 1240, 1262, 1290, 1320, 1345, 1372, 1405, 1438, 1470, 1502),
    "silver": (31.2, 31.0, 31.8, 32.4, 33.0, 33.5, 34.1, 34.8, 35.2, 35.9, 36.8, 37.5,
               38.2, 38.8, 39.4, 40.1, 40.9, 41.5, 42.2, 43.0, 43.8, 44.6, 45.4, 46.1),
}  # fmt: skip
"""Invented month-end quotes of a troy ounce, from November 2024 to October 2026."""

QUOTED_PRICES = {
    "lab A": {
        "cast gold, high noble": 185, "cast, noble": 175, "metal-ceramic, high noble": 198,
        "metal-ceramic, noble": 188, "zirconia, monolithic": 162, "zirconia, layered": 238,
        "lithium disilicate": 182,
    },
    "lab B": {
        "metal-ceramic, noble": 236, "metal-ceramic, base": 158, "zirconia, monolithic": 152,
        "zirconia, layered": 229, "lithium disilicate": 174, "resin hybrid": 116,
    },
}  # fmt: skip

CURRENT_FEES = {
    "cast gold, high noble": (1255, 1260, 1270, 1290),
    "cast, noble": (1215, 1220, 1230, 1250),
    "metal-ceramic, high noble": (1275, 1275, 1275, 1285),
    "metal-ceramic, noble": (1240, 1240, 1240, 1250),
    "metal-ceramic, base": (1195, 1195, 1195, 1205),
    "zirconia, monolithic": (1225, 1225, 1235, 1250),
    "zirconia, layered": (1420, 1420, 1395, 1395),
    "lithium disilicate": (1330, 1320, 1290, 1290),
    "resin hybrid": (1050, 1050, 1050, 1060),
}

UNITS_LAST_YEAR = {
    "cast gold, high noble": (1, 2, 10, 34),
    "cast, noble": (1, 2, 8, 22),
    "metal-ceramic, high noble": (9, 7, 15, 25),
    "metal-ceramic, noble": (10, 8, 18, 26),
    "metal-ceramic, base": (4, 3, 9, 14),
    "zirconia, monolithic": (8, 9, 51, 118),
    "zirconia, layered": (36, 14, 16, 6),
    "lithium disilicate": (52, 19, 46, 21),
    "resin hybrid": (5, 4, 14, 19),
}

# low, likely and high minutes of preparation, scan and provisional, and adjusting and cementing
MINUTES = {
    "cast gold, high noble": ((30, 40, 56), (18, 23, 32), (17, 23, 34)),
    "cast, noble": ((30, 40, 56), (18, 23, 32), (17, 23, 34)),
    "metal-ceramic, high noble": ((32, 42, 58), (19, 25, 34), (19, 26, 39)),
    "metal-ceramic, noble": ((32, 42, 58), (19, 25, 34), (19, 26, 39)),
    "metal-ceramic, base": ((32, 42, 58), (19, 25, 34), (19, 26, 39)),
    "zirconia, monolithic": ((31, 41, 57), (18, 24, 34), (19, 27, 40)),
    "zirconia, layered": ((34, 44, 60), (19, 26, 36), (21, 30, 44)),
    "lithium disilicate": ((33, 43, 59), (19, 25, 35), (23, 31, 47)),
    "resin hybrid": ((28, 37, 52), (16, 22, 31), (17, 23, 34)),
}

LEDGERS = {
    "North": {
        "Rent": (96000, "no"), "Reception and office pay": (188000, "no"), "Utilities": (22500, "no"),
        "Insurance": (24800, "no"), "Software and computers": (33400, "no"),
        "Equipment, depreciation and service": (131000, "no"), "Sterilisation": (47200, "no"),
        "Marketing": (38000, "no"), "Cleaning": (26400, "no"), "Accounting and legal": (22600, "no"),
        "Training": (14300, "no"), "Waste and linen": (9800, "no"),
        "Interest and bank charges": (28700, "no"),
        "Building upkeep": (31500, "no"), "Small instruments": (26300, "no"),
        "Supplier refunds": (-3200, "no"),
        "Lab invoices": (86500, "yes"), "Crown supplies": (12400, "yes"), "Dentists": (512000, "yes"),
        "Assistants": (196000, "yes"),
    },
    "Harbour": {
        "Rent": (82000, "no"), "Reception and office pay": (139000, "no"), "Utilities": (16900, "no"),
        "Insurance": (18300, "no"), "Software and computers": (25200, "no"),
        "Equipment, depreciation and service": (94500, "no"), "Sterilisation": (35100, "no"),
        "Marketing": (24500, "no"), "Cleaning": (19800, "no"), "Accounting and legal": (17900, "no"),
        "Training": (9600, "no"), "Waste and linen": (7100, "no"),
        "Interest and bank charges": (18900, "no"),
        "Building upkeep": (19700, "no"), "Small instruments": (17600, "no"),
        "Lab invoices": (58300, "yes"), "Crown supplies": (8900, "yes"), "Dentists": (366000, "yes"),
        "Assistants": (148000, "yes"),
    },
}  # fmt: skip


def tables() -> dict[str, list[Row]]:
    """Every table of the practice but the invoice lines."""
    return {
        "practice": [_settings()],
        **_sites_and_people(),
        "chair_time": _chair_time(),
        "materials": [_material(name, row) for name, row in MATERIALS.items()],
        "starting_grams": [
            {"material": material, "tooth_region": region, "starting_g": grams}
            for material, by_region in STARTING_GRAMS.items()
            for region, grams in zip(REGIONS, by_region, strict=True)
        ],
        "alloys": [{"alloy": name, **row} for name, row in ALLOYS.items()],
        **_labs(),
        "fees": _fees(),
        **_plans(),
        "rules": _rules(),
    }


def _settings() -> Row:
    return {
        "practice_name": "Three Sites Example Practice", "currency": "USD", "pricing_date": "2026-10-31",
        "effective_date": "2027-01-01", "fees_set_on": "2025-01-01", "invoice_months": 12,
        "credibility_units": 5,
        "target_margin": 0.22, "margin_basis": "with plans", "collected": 0.98, "card_cost": 0.012,
        "default_alloy_premium": 0.25, "base_site": "North",
    }  # fmt: skip


def _rows(names: str, *values: tuple[Any, ...]) -> list[Row]:
    return [dict(zip(names.split(), row, strict=True)) for row in values]


def _sites_and_people() -> dict[str, list[Row]]:
    return {
        "sites": _rows(
            "site region operatories weeks hours_per_week practical_capacity other_chair_hours",
            ("North", "Coast", 4, 46, 38, 0.8, 4650),
            ("Harbour", "Coast", 3, 46, 36, 0.78, 3250),
            ("Hill", "Inland", 4, 45, 36, 0.8, 3900),
        ),
        "overhead": [
            {"site": site, "account": account, "amount": amount, "costed_per_item": costed}
            for site, accounts in LEDGERS.items()
            for account, (amount, costed) in accounts.items()
        ],
        "region_index": _rows("region index year", ("Coast", 104.2, 2025), ("Inland", 96.8, 2025)),
        "staff": _rows(
            "role site yearly_cost productive_hours dentist",
            ("dentist", "", 252000, 1380, "yes"),
            ("dentist", "Hill", 236000, 1360, "yes"),
            ("assistant", "", 49500, 1510, "no"),
            ("technician", "", 61000, 1560, "no"),
        ),
    }


def _material(name: str, row: Row) -> Row:
    return {
        "material": name, "alloy": row["alloy"], "supplies": row["supplies"], "remake_rate": row["remake"],
        "lab_share_on_remake": 0.5, "alloy_share_on_remake": 0.1, "remake_supplies": row["supplies"] / 2,
    }  # fmt: skip


STEP_NAMES = "code material tooth_region visit step roles low_min likely_min high_min chair repeated"


def _chair_time() -> list[Row]:
    rows = []
    for material, minutes in MINUTES.items():
        rows += _steps(material, "", minutes, 0)
    rows += _steps("zirconia, monolithic", "molar", MINUTES["zirconia, monolithic"], 2)
    rows += _steps("lithium disilicate", "molar", MINUTES["lithium disilicate"], 3)
    rows += _rows(
        STEP_NAMES,
        ("00417", "", "", "preparation", "core build-up", "dentist + assistant", 18, 24, 34, "yes", "no"),
        ("00417", "", "", "preparation", "set up and clear", "assistant", None, 5, None, "yes", "no"),
        (
            "RC-01",
            "",
            "",
            "recementation",
            "clean and recement",
            "dentist + assistant",
            12,
            17,
            28,
            "yes",
            "no",
        ),
        ("RC-01", "", "", "recementation", "set up and clear", "assistant", None, 5, None, "yes", "no"),
    )
    return rows


def _steps(material: str, region: str, minutes: tuple[tuple[int, ...], ...], longer: int) -> list[Row]:
    prepare, scan, seat = ((low, likely + longer, high + longer) for low, likely, high in minutes)
    two = "dentist + assistant"
    rows = [
        ("", material, region, "preparation", "set up and anaesthetic", two, 8, 10, 15, "yes", "no"),
        ("", material, region, "preparation", "preparation", two, *prepare, "yes", "no"),
        ("", material, region, "preparation", "scan and provisional", "assistant", *scan, "yes", "yes"),
        ("", material, region, "", "lab order and case check", "assistant", None, 8, None, "no", "yes"),
        ("", material, region, "seating", "adjust and cement", two, *seat, "yes", "yes"),
        ("", material, region, "seating", "clear and set up", "assistant", None, 6, None, "yes", "yes"),
    ]
    if material == "zirconia, layered":
        rows.insert(4, ("", material, region, "try-in", "try-in", two, 10, 14, 21, "yes", "yes"))
    return _rows(STEP_NAMES, *rows)


def _labs() -> dict[str, list[Row]]:
    return {
        "labs": _rows(
            "lab alloy_billing tax_recoverable tooth_notation agreed_premium dispute_days",
            ("lab A", "apart", 0, "universal", 0.25, None),
            ("lab B", "all-in", 0, "ISO", None, 30),
            ("own mill", "apart", 0, "ISO", None, None),
        ),
        "lab_prices": [
            {"lab": lab, "material": material, "quoted_price": price}
            for lab, prices in QUOTED_PRICES.items()
            for material, price in prices.items()
        ],
        "milling": _rows(
            "lab material site machine_cost_month units_month block burs role staff_min",
            ("own mill", "zirconia, monolithic", "North", 1150, 12, 27, 4, "technician", 26),
        ),
    }


def _code(material: str, region: str) -> str:
    return f"CR-{MATERIALS[material]['short']}-{REGIONS[region]}"


def _fees() -> list[Row]:
    rows = []
    for material, by_region in CURRENT_FEES.items():
        units = UNITS_LAST_YEAR[material]
        for region, fee, count in zip(REGIONS, by_region, units, strict=True):
            row = {
                "code": _code(material, region), "description": f"Crown, {material}, {region}",
                "material": material, "tooth_region": region, "site": "all", "current_fee": fee,
                "units_last_year": count, "hold": "no",
            }  # fmt: skip
            rows += _by_region_of_sites(row) if row["code"] == "CR-LD-I" else [row]
    next(row for row in rows if row["code"] == "CR-RH-I")["hold"] = "yes"
    plain = {"material": "", "tooth_region": "all", "site": "all", "hold": "no"}
    rows += [
        {**plain, "code": "00417", "description": "Core build-up", "current_fee": 260,
         "units_last_year": 164},
        {**plain, "code": "RC-01", "description": "Recementation", "current_fee": 190, "units_last_year": 71,
         "target_margin": 0.1},
    ]  # fmt: skip
    return rows


def _by_region_of_sites(row: Row) -> list[Row]:
    """The one code whose fee differs between the regions of sites."""
    return [
        {**row, "site": "Coast", "units_last_year": 40},
        {**row, "site": "Inland", "current_fee": 1290, "units_last_year": 12},
    ]


def _plans() -> dict[str, list[Row]]:
    allowed = []
    for material, by_region in CURRENT_FEES.items():
        for region, fee in zip(REGIONS, by_region, strict=True):
            code = _code(material, region)
            one, two = (5 * round(fee * share / 5) for share in (0.82, 0.76))
            allowed.append(("plan one", code, one, "2026-01-01"))
            if material == "zirconia, monolithic":
                allowed.append(("plan one", code, one + 15, "2027-01-01"))
            if material != "resin hybrid":
                allowed.append(("plan two", code, two, None))
    allowed += [("plan one", "00417", 225, "2026-01-01"), ("plan two", "00417", 210, None)]
    return {
        "plans": _rows("plan plan_share", ("plan one", 0.3), ("plan two", 0.2)),
        "plan_fees": _rows("plan code allowed allowed_from", *allowed),
    }


def _rules() -> list[Row]:
    names = "order rule value way applies_to not_under"
    return _rows(
        names,
        (10, "hold", None, "", "", ""),
        (20, "floor", None, "", "", ""),
        (30, "largest rise", 0.08, "", "", ""),
        (40, "largest fall", 0, "", "", ""),
        (50, "ladder", None, "", "metal-ceramic, noble", "metal-ceramic, base"),
        (60, "ladder", None, "", "metal-ceramic, high noble", "metal-ceramic, noble"),
        (70, "ladder", None, "", "cast gold, high noble", "cast, noble"),
        (80, "rounding", 5, "nearest", "", ""),
    )
