"""A small practice that reads without a problem, and writers of workbooks broken in one known way."""

from __future__ import annotations

import copy
import zipfile
from collections.abc import Callable, Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import Any

import xlsxwriter

from feesheet.problems import Problem
from feesheet.reading.folder import read_folder
from feesheet.tables import TABLES

Rows = list[dict[str, Any]]

SETTINGS: dict[str, Any] = {
    "practice_name": "Example practice",
    "currency": "EUR",
    "pricing_date": date(2026, 10, 31),
    "effective_date": date(2027, 1, 1),
    "invoice_months": 12,
    "target_margin": 0.2,
    "collected": 0.98,
    "base_site": "North",
}

GOOD: dict[str, Rows] = {
    "sites": [
        {
            "site": "North",
            "region": "Coast",
            "operatories": 4,
            "weeks": 46,
            "hours_per_week": 38,
            "practical_capacity": 0.8,
        },
        {
            "site": "South",
            "region": "Hills",
            "operatories": 2,
            "weeks": 46,
            "hours_per_week": 30,
            "practical_capacity": 0.7,
        },
    ],
    "overhead": [
        {"site": "North", "account": "Rent", "amount": 96000, "costed_per_item": "no"},
        {"site": "South", "account": "Rent", "amount": 40000, "costed_per_item": "no"},
    ],
    "region_index": [
        {"region": "Coast", "index": 104.2, "year": 2025},
        {"region": "Hills", "index": 96.5, "year": 2025},
    ],
    "staff": [
        {"role": "dentist", "site": "", "yearly_cost": 150000, "productive_hours": 1500, "dentist": "yes"},
        {"role": "assistant", "site": "", "yearly_cost": 48000, "productive_hours": 1500, "dentist": "no"},
    ],
    "chair_time": [
        {
            "material": "zirconia",
            "step": "preparation",
            "roles": "dentist + assistant",
            "likely_min": 55,
            "chair": "yes",
            "repeated": "yes",
        },
        {
            "material": "cast gold",
            "step": "preparation",
            "roles": "dentist",
            "low_min": 40,
            "likely_min": 55,
            "high_min": 80,
            "chair": "yes",
            "repeated": "no",
        },
    ],
    "materials": [
        {
            "material": "zirconia",
            "supplies": 24,
            "remake_rate": 0.04,
            "lab_share_on_remake": 0.5,
            "alloy_share_on_remake": 0,
        },
        {
            "material": "cast gold",
            "alloy": "yellow",
            "supplies": 24,
            "remake_rate": 0.03,
            "lab_share_on_remake": 0.5,
            "alloy_share_on_remake": 0.1,
        },
    ],
    "starting_grams": [{"material": "cast gold", "tooth_region": "all", "starting_g": 2.9}],
    "alloys": [{"alloy": "yellow", "gold": 0.77, "silver": 0.13, "palladium": 0.1}],
    "metal_prices": [
        {"date": date(2026, 10, 30), "metal": "gold", "price": 4012.5, "unit": "troy ounce"},
        {"date": date(2026, 10, 30), "metal": "silver", "price": 46, "unit": "troy ounce"},
        {"date": date(2026, 10, 30), "metal": "palladium", "price": 1364, "unit": "troy ounce"},
    ],
    "labs": [
        {"lab": "lab A", "alloy_billing": "apart", "tax_recoverable": 0, "tooth_notation": "ISO"},
        {"lab": "lab B", "alloy_billing": "all-in", "tax_recoverable": 0, "tooth_notation": "universal"},
    ],
    "lab_prices": [{"lab": "lab A", "material": "zirconia", "quoted_price": 142}],
    "milling": [
        {
            "lab": "own mill",
            "material": "zirconia",
            "site": "North",
            "machine_cost_month": 1900,
            "units_month": 40,
            "block": 24,
            "burs": 3,
            "role": "assistant",
            "staff_min": 20,
        },
    ],
    "invoice_lines": [
        {
            "date": date(2026, 3, 4),
            "invoice": "A-1",
            "lab": "lab A",
            "site": "North",
            "teeth": "16",
            "product": "FCZ crown",
            "kind": "unit fee",
            "units": 1,
            "amount": 142.5,
        },
        {
            "date": date(2026, 3, 5),
            "invoice": "A-1",
            "lab": "lab A",
            "site": "South",
            "teeth": "36",
            "product": "Gold crown",
            "kind": "unit fee",
            "units": 1,
            "amount": 120,
        },
        {
            "date": date(2026, 3, 5),
            "invoice": "A-1",
            "lab": "lab A",
            "site": "South",
            "teeth": "36",
            "product": "Gold alloy",
            "kind": "alloy",
            "amount": 310,
            "alloy": "yellow",
            "weight": 2.1,
            "weight_unit": "g",
        },
        {
            "date": date(2026, 3, 9),
            "invoice": "B-7",
            "lab": "lab B",
            "site": "North",
            "teeth": "#14",
            "product": "FCZ crown",
            "kind": "unit fee",
            "units": 1,
            "amount": 99,
        },
    ],
    "product_map": [
        {"wording": "FCZ crown", "material": "zirconia"},
        {"wording": "Gold crown", "material": "cast gold"},
        {"wording": "Gold alloy", "material": "cast gold"},
    ],
    "fees": [
        {
            "code": "C-1",
            "description": "Crown, zirconia",
            "material": "zirconia",
            "current_fee": 1240,
            "units_last_year": 60,
        },
        {
            "code": "C-2",
            "description": "Crown, gold",
            "material": "cast gold",
            "tooth_region": "molar",
            "site": "Coast",
            "current_fee": 1400,
        },
    ],
    "plans": [{"plan": "plan one", "plan_share": 0.35}],
    "plan_fees": [{"plan": "plan one", "code": "C-1", "allowed": 980, "allowed_from": date(2026, 1, 1)}],
    "rules": [{"order": 10, "rule": "largest rise", "value": 0.08}],
}
"""One small practice; every name in it is on its list."""


def good() -> dict[str, Rows]:
    """A copy of `GOOD` to break."""
    return copy.deepcopy(GOOD)


def grid(table: str, rows: Rows) -> list[list[Any]]:
    """Headings and rows of a table, every field a column, in the order in which the table declares them."""
    fields = TABLES[table].fields
    return [
        [field.heading for field in fields],
        *[[row.get(field.name, "") for field in fields] for row in rows],
    ]


def settings_grid(settings: Mapping[str, Any]) -> list[list[Any]]:
    """The settings as a vertical table."""
    heading = {field.name: field.heading for field in TABLES["practice"].fields}
    return [["Setting", "Value"], *[[heading.get(name, name), value] for name, value in settings.items()]]


def write_grids(
    path: Path,
    grids: Mapping[str, Sequence[Sequence[Any]]],
    formats: Mapping[tuple[str, int, int], str] | None = None,
) -> None:
    """A workbook with one sheet a grid; `formats` gives number formats of single cells."""
    path.parent.mkdir(parents=True, exist_ok=True)
    with xlsxwriter.Workbook(str(path), {"strings_to_numbers": False, "strings_to_formulas": False}) as book:
        day = book.add_format({"num_format": "yyyy-mm-dd"})
        for name, rows in grids.items():
            sheet = book.add_worksheet(name)
            for r, row in enumerate(rows):
                for c, value in enumerate(row):
                    code = (formats or {}).get((name, r, c))
                    style = (
                        book.add_format({"num_format": code})
                        if code
                        else day
                        if isinstance(value, date)
                        else None
                    )
                    write_cell(sheet, r, c, value, style)


def write_cell(sheet: Any, row: int, column: int, value: Any, style: Any) -> None:
    """One cell as its type wants it; a callable writes itself."""
    if callable(value):
        value(sheet, row, column)
    elif isinstance(value, date):
        sheet.write_datetime(row, column, value, style)
    elif value != "":
        sheet.write(row, column, value, style)


def write_practice(
    folder: Path, tables: Mapping[str, Rows] | None = None, settings: Mapping[str, Any] | None = None
) -> Path:
    """The whole practice in one workbook, `all.xlsx`; a table that is left out has no sheet."""
    grids: dict[str, list[list[Any]]] = {
        "Practice": settings_grid(SETTINGS if settings is None else settings)
    }
    grids |= {
        TABLES[name].sheet: grid(name, rows) for name, rows in (GOOD if tables is None else tables).items()
    }
    write_grids(folder / "all.xlsx", grids)
    return folder


def problems_of(folder: Path, kind: str | None = None) -> list[Problem]:
    """The folder's problems, of one kind if it is named."""
    _, problems = read_folder(folder)
    return [problem for problem in problems if kind in (None, problem.kind)]


def broken(folder: Path, change: Callable[[dict[str, Rows]], object], **settings: Any) -> list[Problem]:
    """The problems of the small practice after a change to its tables or settings."""
    tables = good()
    change(tables)
    write_practice(folder, tables, {**SETTINGS, **settings})
    return problems_of(folder)


def edited(path: Path, part: str, change: Callable[[bytes], bytes]) -> None:
    """Rewrite one part of a workbook."""
    with zipfile.ZipFile(path) as book:
        parts = {name: book.read(name) for name in book.namelist()}
    parts[part] = change(parts[part])
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as book:
        for name, data in parts.items():
            book.writestr(name, data)


def places(problems: Sequence[Problem]) -> list[tuple[str, str, str, str]]:
    """Kind, file, sheet and cell of each problem."""
    return [(problem.kind, problem.file, problem.sheet, problem.cell) for problem in problems]
