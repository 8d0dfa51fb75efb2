"""Tidy tables of invoice lines to write as messy files, and the small practice that the files belong to."""

from __future__ import annotations

import copy
import random
from datetime import date
from pathlib import Path
from typing import Any

from reading_inputs import GOOD, SETTINGS, write_practice

from feesheet import reference
from feesheet.practice import Practice
from feesheet.schema import plain
from feesheet.teeth import parse_teeth

Lines = list[dict[str, Any]]
"""One entry a line: lab, site, invoice, date, case, teeth, product, kind, units, unit_price, amount, weight, weight_unit."""

NOTATION = {"lab A": "ISO", "lab B": "universal"}
LETTERHEAD = {"lab A": "First Sample Dental Laboratory", "lab B": "Second Sample Dental Studio"}
"""What each lab's paper calls it."""
ACCOUNTS = {"North": "20417", "South": "20533"}
"""What the labs call each clinic."""

PRODUCTS: dict[str, tuple[tuple[str, str, str], ...]] = {
    "English": (
        ("Full contour zirconia crown", "unit fee", "zirconia"),
        ("FCZ crown", "unit fee", "zirconia"),
        ("Full cast gold crown", "unit fee", "cast gold"),
        ("Custom stain", "extra", "not a crown"),
        ("Porcelain margin", "extra", "not a crown"),
        ("Rush fee", "rush", "not a crown"),
        ("Shipping", "freight", "not a crown"),
        ("Volume discount", "discount", "not a crown"),
    ),
    "German": (
        ("Vollzirkon Krone", "unit fee", "zirconia"),
        ("Goldkrone", "unit fee", "cast gold"),
        ("Individuelle Bemalung", "extra", "not a crown"),
        ("Versand", "freight", "not a crown"),
        ("Eilzuschlag", "rush", "not a crown"),
        ("Rabatt", "discount", "not a crown"),
    ),
    "French": (
        ("Couronne zircone", "unit fee", "zirconia"),
        ("Couronne or", "unit fee", "cast gold"),
        ("Maquillage", "extra", "not a crown"),
        ("Frais de port", "freight", "not a crown"),
        ("Remise", "discount", "not a crown"),
    ),
    "Spanish": (
        ("Corona de zirconio", "unit fee", "zirconia"),
        ("Corona de oro", "unit fee", "cast gold"),
        ("Caracterización", "extra", "not a crown"),
        ("Envío", "freight", "not a crown"),
        ("Descuento", "discount", "not a crown"),
    ),
}
"""By language: wording, kind and material of what a lab charges for."""

ALLOY = {
    "English": "Gold alloy",
    "German": "Goldlegierung",
    "French": "Alliage or",
    "Spanish": "Aleación de oro",
}
TAX = {"English": "Sales tax", "German": "MwSt.", "French": "TVA", "Spanish": "IVA"}
_TEETH = {
    "ISO": ("16", "36", "11", "46", "14 15", "24-26", "47"),
    "universal": ("#14", "#30", "3", "8, 9", "3-5", "19", "#2"),
}


def sample_lines(rng: random.Random, language: str = "English", invoices: int = 3, labs: int = 1) -> Lines:
    """Some invoices of one or two labs, some with alloy or tax; a lab's first day tells the order of all."""
    lines: Lines = []
    for number in range(invoices):
        lab = f"lab {'AB'[number % labs]}"
        head = {
            "lab": lab,
            "site": rng.choice(("North", "South")),
            "invoice": f"{lab[-1]}-{rng.randrange(10, 99)}{number}7",
            "date": date(2026, 3 + number % 7, rng.randrange(13 if number < labs else 1, 28)),
        }
        body = [
            _line(rng, language, NOTATION[lab], 2),
            *(_line(rng, language, NOTATION[lab]) for _ in range(rng.randint(0, 5))),
        ]
        if rng.random() < 0.5:
            body.append(_alloy(rng, language, NOTATION[lab]))
        if rng.random() < 0.4:
            body.append(_tax(language, body))
        cases = sorted(rng.randrange(40000, 49999) for _ in body)
        lines += [{**line, **head, "case": str(case)} for line, case in zip(body, cases, strict=True)]
    return lines


def _line(rng: random.Random, language: str, notation: str, most: int = 99) -> dict[str, Any]:
    product, kind, _ = rng.choice(PRODUCTS[language][:most])
    teeth = rng.choice(_TEETH[notation]) if kind == "unit fee" else ""
    units = len(parse_teeth(teeth, notation) or ()) or 1
    dearest = {"unit fee": 40000, "discount": 2000}.get(kind, 9000)
    price = rng.randrange(500, dearest) / 100 * (-1 if kind == "discount" else 1)
    return _made(product, kind, teeth, units, price, round(units * price, 2))


def _alloy(rng: random.Random, language: str, notation: str) -> dict[str, Any]:
    weight, price = rng.randrange(11, 59) / 10, rng.randrange(4000, 9000) / 100
    made = _made(
        ALLOY[language], "alloy", rng.choice(_TEETH[notation][:3]), 1, price, round(weight * price, 2)
    )
    return {**made, "weight": weight, "weight_unit": rng.choice(("g", "dwt"))}


def _tax(language: str, body: Lines) -> dict[str, Any]:
    return _made(TAX[language], "tax", "", 1, 0, round(0.07 * sum(line["amount"] for line in body), 2))


def _made(product: str, kind: str, teeth: str, units: int, price: float, amount: float) -> dict[str, Any]:
    words = {"product": product, "kind": kind, "teeth": teeth, "weight": None, "weight_unit": ""}
    return {**words, "units": units, "unit_price": price, "amount": amount}


def write_context(folder: Path) -> Path:
    """The practice without invoices: its labs and their letterheads, its accounts, and what products mean."""
    tables = copy.deepcopy(GOOD)
    del tables["invoice_lines"]
    for lab in tables["labs"]:
        lab["name_on_invoices"] = LETTERHEAD[lab["lab"]]
    tables["lab_accounts"] = [{"account": account, "site": site} for site, account in ACCOUNTS.items()]
    names = [name for found in PRODUCTS.values() for name in found]
    names += [(wording, "alloy", "cast gold") for wording in ALLOY.values()]
    tables["product_map"] = [
        {"wording": wording, "material": material, "kind": kind} for wording, kind, material in names
    ]
    return write_practice(folder, tables, SETTINGS)


Facts = tuple[Any, ...]
"""Lab, site, invoice, day, kind, amount, ISO teeth, units of a unit fee, grams of an alloy."""


def facts(lines: Lines) -> list[Facts]:
    """What a reader must make of the lines, in an order of their own."""
    return sorted(
        _facts(**{name: line[name] for name in _FACTS}, day=line["date"].isoformat()) for line in lines
    )


_FACTS = ("lab", "site", "invoice", "kind", "amount", "teeth", "units", "weight", "weight_unit")


def facts_read(practice: Practice) -> list[Facts]:
    """The same of the lines that were read; totals and notes are no charges."""
    frame = practice.tables["invoice_lines"]
    found = []
    for line in frame.astype(object).to_dict("records"):
        _, treatment, _ = reference.line_kinds()[plain(line["kind"])]
        if treatment == "control" or line["kind"] == "note":
            continue
        found.append(_facts(**{name: line[name] for name in _FACTS}, day=str(line["date"])[:10]))
    return sorted(found)


def _facts(
    lab: str,
    site: str,
    invoice: str,
    kind: str,
    amount: float,
    teeth: str,
    units: float,
    weight: Any,
    weight_unit: str,
    day: str,
) -> Facts:
    codes = parse_teeth(teeth, NOTATION[lab]) if lab in NOTATION else None
    grams = (weight or 0.0) * (reference.grams_in(weight_unit) or 0.0) if kind == "alloy" else 0.0
    made = float(units) if kind == "unit fee" else 0.0
    return (lab, site, invoice, day, kind, round(amount, 2), codes or (), made, round(grams, 6))
