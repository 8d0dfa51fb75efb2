"""Random practices for tests: valid, varied, the same for the same seed.

`random_practice` gives the rows of every table (table name -> rows of field name -> value), `write_practice`
puts them into workbooks of the template layout. Names exist, fractions add up and limits hold, so that
whatever such a practice turns up is the program's doing.
"""

from __future__ import annotations

import random
from datetime import date, timedelta
from pathlib import Path

from practice_draw import CURRENCIES, Draw, Row
from practice_fees import chair_time, fees, plans_and_allowed, rules
from practice_inputs import Names, labs_and_mill, materials_and_alloys, metal_prices, places, staff
from practice_lines import METAL_INSIDE, LineMaker

from feesheet.tables import NOT_A_CROWN, TABLES
from feesheet.writing.blank import write_workbook

SHORTEST_WINDOW = timedelta(days=170)


def random_practice(
    seed: int, *, sites: int = 2, materials: int = 4, lines: int = 60, plans: int = 2
) -> dict[str, list[Row]]:
    """The rows of a valid practice with so many sites, materials, lines (now and then none) and plans."""
    rng = random.Random(seed)
    draw = Draw(rng, rng.choice(list(CURRENCIES)))
    pricing = date(2026, 10, 31) - timedelta(days=rng.randrange(200))
    names = Names.drawn(draw, sites, materials)
    labs, milling = labs_and_mill(draw, names)
    grams = starting_grams(draw, names)
    wordings = product_map(draw, names, labs)
    maker = LineMaker(draw, labs, milling, names, wordings, grams)
    invoice_lines = maker.lines(0 if rng.random() < 0.1 else lines, pricing)
    fee_rows = fees(draw, names)
    return {
        "practice": [settings(draw, names, pricing, _last_made_again(invoice_lines, maker, pricing))],
        **places(draw, names),
        "staff": staff(draw, names),
        "chair_time": chair_time(draw, names, fee_rows),
        **materials_and_alloys(draw, names),
        "starting_grams": grams,
        "metal_prices": metal_prices(draw, pricing),
        "labs": labs,
        "lab_prices": lab_prices(draw, names, labs, _made(invoice_lines, maker, pricing)),
        "milling": milling,
        "invoice_lines": invoice_lines,
        "product_map": wordings,
        "fees": fee_rows,
        **plans_and_allowed(draw, fee_rows, plans, pricing),
        "rules": rules(draw, names, fee_rows),
    }


def write_practice(rows: dict[str, list[Row]], folder: Path) -> Path:
    """Write the rows into the workbooks that their templates come in; tables without rows are left out."""
    folder.mkdir(parents=True, exist_ok=True)
    for book in dict.fromkeys(table.workbook for table in TABLES.values()):
        named = [name for name, table in TABLES.items() if table.workbook == book and rows.get(name)]
        if named:
            write_workbook(folder / f"{book}.xlsx", {name: rows[name] for name in named}, example=False)
    return folder


def settings(draw: Draw, names: Names, pricing: date, again: bool) -> Row:
    """The Practice sheet; `again`: remakes need the typed rate beside them, lest every make be a remake."""
    rng = draw.rng
    return draw.row(
        "practice",
        practice_name="Random practice",
        currency=draw.currency,
        pricing_date=pricing,
        effective_date=pricing + timedelta(days=rng.randrange(1, 120)),
        fees_set_on=draw.maybe(pricing - timedelta(days=rng.randrange(200, 700))),
        invoice_months=rng.choice((6, 12, 12, 24)),
        credibility_units=draw.maybe(rng.choice((0.5 if again else 0, 2.5, 5, 20))),
        target_margin=draw.between(-0.05, 0.45, 3),
        collected=draw.between(0.85, 1, 3),
        card_cost=draw.maybe(draw.between(0, 0.04, 4)),
        default_alloy_premium=draw.maybe(draw.between(-0.1, 0.5, 3)),
        margin_basis=draw.maybe(rng.choice(("with plans", "full fee"))),
        base_site=names.sites[0],
    )


def starting_grams(draw: Draw, names: Names) -> list[Row]:
    """Grams of every alloyed material in every region that it has a fee for."""
    return [
        draw.row("starting_grams", material=material, tooth_region=region, starting_g=draw.between(0.5, 4))
        for material, alloy in names.alloy_of.items()
        if alloy
        for region in names.regions_of[material]
    ]


def product_map(draw: Draw, names: Names, labs: list[Row]) -> list[Row]:
    """One to three wordings a material, some for one lab alone or with another meaning there, and a product that is no crown."""
    rows = []
    for material in names.materials:
        for number in range(draw.rng.randint(1, 3)):
            lab = draw.maybe(draw.rng.choice(labs)["lab"], 0.2) or ""
            wording = f"{material.title()} crown, make {number}"
            rows.append(draw.row("product_map", wording=wording, material=material, lab=lab))
            if not lab and draw.rng.random() < 0.1:
                other = draw.rng.choice(names.materials)
                rows.append(
                    draw.row("product_map", wording=wording, material=other, lab=draw.rng.choice(labs)["lab"])
                )
    return [*rows, draw.row("product_map", wording="Night guard", material=NOT_A_CROWN)]


def lab_prices(draw: Draw, names: Names, labs: list[Row], made: set[str]) -> list[Row]:
    """A material that no line counts for has a quoted price; the others may have. An all-in one holds the metal too."""
    outside = [lab for lab in labs if lab["lab"] != "own mill"]
    return [
        draw.row(
            "lab_prices",
            lab=lab["lab"],
            material=material,
            quoted_price=draw.money(80 + inside, 300 + inside),
        )
        for material in names.materials
        for lab in outside
        for inside in [METAL_INSIDE if names.alloy_of[material] and lab["alloy_billing"] == "all-in" else 0.0]
        if draw.rng.random() < 0.4 or (lab == outside[0] and material not in made)
    ]


def _made(lines: list[Row], maker: LineMaker, pricing: date) -> set[str]:
    """The materials with a unit line inside the shortest window, by a lab with invoices."""
    return {
        maker.material_of(line["lab"], line["product"])
        for line in lines
        if pricing - SHORTEST_WINDOW < line["date"] <= pricing
        and line["kind"] == "unit fee"
        and line["lab"] != "own mill"
        and line["units"]
    }


def _last_made_again(lines: list[Row], maker: LineMaker, pricing: date) -> bool:
    """Whether the last makes of some material are all remakes, so that in some window there may be nothing else."""
    made = [line for line in lines if line["kind"] in ("unit fee", "remake") and line["date"] <= pricing]
    latest: dict[str, set[str]] = {}
    for line in sorted(made, key=lambda line: line["date"], reverse=True):
        material = maker.material_of(line["lab"], line["product"])
        if line["kind"] == "remake" or material not in latest:
            latest.setdefault(material, set()).add(line["kind"])
    return any(kinds == {"remake"} for kinds in latest.values())
