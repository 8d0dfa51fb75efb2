"""A year of invented lab invoices, drawn with a fixed seed: two labs with different habits, and a mill."""

from __future__ import annotations

import random
from collections.abc import Iterator
from datetime import date, timedelta

from example_tables import ALLOYS, MATERIALS, METAL_PATHS, QUOTED_PRICES, STARTING_GRAMS, UNITS_LAST_YEAR, Row

SEED = 20261031
MONTHS = [(2025, 11), (2025, 12), *((2026, month) for month in range(1, 11))]
SITE_SHARES = {"North": 0.42, "Harbour": 0.33, "Hill": 0.25}
MILL_CHARGE = 143.8
"""What the practice charges itself for a milled unit: 1,150 / 12 + 27 + 4 + 26 min of a technician."""
GRAMS = {"g": 1.0, "dwt": 1.55517384, "ozt": 31.1034768}

UPPER_RIGHT_ROUND = [*range(18, 10, -1), *range(21, 29), *range(38, 30, -1), *range(41, 49)]
"""ISO teeth in the order of the universal numbers 1 to 32."""
POSITIONS = {"incisor": (1, 2), "canine": (3,), "premolar": (4, 5), "molar": (6, 6, 6, 7, 7)}

WORDINGS = {
    ("lab A", "cast gold, high noble"): ("Full cast crown, yellow", "FGC high noble"),
    ("lab A", "cast, noble"): ("Full cast crown, noble",),
    ("lab A", "metal-ceramic, high noble"): ("PFM high noble", "Porcelain fused to metal, HN"),
    ("lab A", "metal-ceramic, noble"): ("PFM noble", "PFM semi-precious"),
    ("lab A", "zirconia, monolithic"): ("Full contour zirconia crown", "FCZ crown", "Mono zirc post."),
    ("lab A", "zirconia, layered"): ("Layered zirconia crown", "PFZ ant."),
    ("lab A", "lithium disilicate"): ("Pressed disilicate crown", "LD crown, stained"),
    ("lab B", "metal-ceramic, noble"): ("Metal-ceramic unit, palladium, all-in", "MC unit Pd"),
    ("lab B", "metal-ceramic, base"): ("Metal-ceramic unit, cobalt-chromium", "MC unit CoCr"),
    ("lab B", "zirconia, monolithic"): ("Zirconia monolithic", "ZrO2 full anatomic"),
    ("lab B", "zirconia, layered"): ("Zirconia veneered",),
    ("lab B", "lithium disilicate"): ("Disilicate milled", "Disilicate pressed and layered"),
    ("lab B", "resin hybrid"): ("Hybrid resin crown", "Resin nano crown"),
    ("own mill", "zirconia, monolithic"): ("Milled zirconia crown",),
}
CASED = ("lab A 2026-01", "lab A 2026-09", "lab A 2026-10")
"""Months in which lab A's invoices name their cases."""
CLASS_NAMED = "lab A 2026-06"
"""A month in which lab A names the class of its alloys, once another than their composition has."""
CAUSES = ("lab", "practice", "not settled")
"""On whose side the cause of lab A's remakes lay, in turn, as the practice settled it."""
NO_CROWNS = {"lab A": "Night guard, hard", "lab B": "Splint, milled"}
NOT_MAPPED = (("lab A", "Temp shell, printed", 38.0), ("lab B", "Telescope primary part", 96.0),
              ("lab A", "Zr crown w/ hand-layered facial NEW", 229.0))  # fmt: skip
LABS = {
    "cast gold, high noble": ("lab A",),
    "cast, noble": ("lab A",),
    "metal-ceramic, high noble": ("lab A",),
    "metal-ceramic, noble": ("lab A", "lab A", "lab B"),
    "metal-ceramic, base": ("lab B",),
    "zirconia, monolithic": ("lab A", "lab B", "lab B"),
    "zirconia, layered": ("lab A", "lab B"),
    "lithium disilicate": ("lab A", "lab B"),
    "resin hybrid": ("lab B",),
}


def product_map() -> list[Row]:
    """What each wording means, but for the few that nobody has confirmed yet."""
    rows = [
        {"wording": wording, "material": material, "lab": lab if lab == "lab B" else ""}
        for (lab, material), wordings in WORDINGS.items()
        for wording in wordings
    ]
    return rows + [{"wording": wording, "material": "not a crown"} for wording in NO_CROWNS.values()]


def metal_prices() -> list[Row]:
    """Month-end quotes of two years."""
    rows = []
    for metal, path in METAL_PATHS.items():
        for offset, price in enumerate(path, start=11):
            rows.append({"date": _month_end(2024 + (offset - 1) // 12, (offset - 1) % 12 + 1), "metal": metal,
                         "price": price, "unit": "troy ounce", "currency": "USD"})  # fmt: skip
    return sorted(rows, key=lambda row: (row["date"], row["metal"]))


def metal_value_per_g(alloy: str, day: date) -> float:
    """What the metal in a gram of the alloy is worth on that day."""
    quotes = {row["metal"]: row["price"] for row in metal_prices() if row["date"] <= day}
    return sum(ALLOYS[alloy].get(metal, 0) * price / GRAMS["ozt"] for metal, price in quotes.items())


def invoices() -> dict[str, list[Row]]:
    """The lines of each workbook, by its name: "lab A 2026-03" and so on."""
    rng = random.Random(SEED)
    books: dict[str, list[Row]] = {}
    cases = sorted(_cases(rng), key=lambda case: (case["date"], case["site"]))
    for year, month in MONTHS:
        of_month = [case for case in cases if (case["date"].year, case["date"].month) == (year, month)]
        for lab, write in (("lab A", _lab_a), ("lab B", _lab_b), ("own mill", _own_mill)):
            of_lab = [case for case in of_month if case["lab"] == lab]
            books[f"{lab} {year}-{month:02}"] = list(write(rng, of_lab, year, month))
    _add_words(books)
    return books


def _add_words(books: dict[str, list[Row]]) -> None:
    """What some lines say beside their charge: their case, the class of their alloy, the cause of a remake."""
    for name in CASED:
        for line in books[name]:
            if line["kind"] == "unit fee" and line["product"] != NO_CROWNS["lab A"]:
                line["case"] = line["invoice"].replace("A-", "K")
    named = [line for line in books[CLASS_NAMED] if line["kind"] == "alloy"]
    for line in named:
        line["alloy_class"] = ALLOYS[line["alloy"]]["class_billed"]
    next(line for line in named if line["alloy_class"] == "noble")["alloy_class"] = "high noble"
    remakes = [
        line
        for lines in books.values()
        for line in lines
        if line["kind"] == "remake" and line["lab"] == "lab A"
    ]
    for number, line in enumerate(remakes):
        line["remake_cause"] = CAUSES[number % len(CAUSES)]


def _cases(rng: random.Random) -> Iterator[Row]:
    """One row a case: where, when, which lab, which ISO teeth, of what."""
    for material, by_region in UNITS_LAST_YEAR.items():
        for region, units in zip(POSITIONS, by_region, strict=True):
            left = round(units * 0.9)
            while left > 0:
                case = _case(rng, material, region, left)
                left -= len(case["teeth"])
                yield case


def _case(rng: random.Random, material: str, region: str, most: int) -> Row:
    year, month = rng.choice(MONTHS)
    site = rng.choices(list(SITE_SHARES), list(SITE_SHARES.values()))[0]
    lab = rng.choice(LABS[material])
    if material == "zirconia, monolithic" and site == "North" and rng.random() < 0.75:
        lab = "own mill"
    tooth = 10 * rng.randint(1, 4) + rng.choice(POSITIONS[region])
    teeth = [tooth]
    if most >= 3 and tooth % 10 in (5, 6) and lab != "own mill" and rng.random() < 0.1:
        teeth = [tooth - 1, tooth, tooth + 1]
    elif most >= 2 and tooth % 10 < 8 and rng.random() < 0.08:
        teeth = [tooth, tooth + 1]
    day = date(year, month, 1) + timedelta(days=rng.randrange(27))
    return {"date": day, "site": site, "lab": lab, "material": material, "teeth": teeth}


def _line(case: Row, invoice: str, kind: str, product: str, amount: float, **more: object) -> Row:
    facts = {"date": case["date"], "lab": case["lab"], "site": case["site"], "invoice": invoice}
    return {**facts, "product": product, "kind": kind, "amount": round(amount, 2), **more}


def _unit_price(rng: random.Random, case: Row) -> float:
    quoted = QUOTED_PRICES[case["lab"]][case["material"]]
    raised = 1.03 if case["date"] >= date(2026, 3, 1) else 1.0
    return round(quoted * raised * rng.choice((0.97, 1.0, 1.0, 1.0, 1.04)), 2)


def _wording(rng: random.Random, case: Row) -> str:
    wordings = WORDINGS[(case["lab"], case["material"])]
    return rng.choices(wordings, [4, 2, 1][: len(wordings)])[0]


def _lab_a(rng: random.Random, cases: list[Row], year: int, month: int) -> Iterator[Row]:
    """One invoice a case, universal tooth numbers, alloy apart, freight on a third."""
    for number, case in enumerate(cases, start=1):
        invoice = f"A-{year % 100}{month:02}-{number:03}"
        units = len(case["teeth"])
        teeth = _universal(case["teeth"])
        product = _wording(rng, case)
        price = _unit_price(rng, case)
        if rng.random() < 0.035:
            yield _line(case, invoice, "remake", product, 0.5 * price, teeth=teeth, units=units)
            continue
        yield _line(case, invoice, "unit fee", product, price * units, teeth=teeth, units=units)
        if case["material"] in STARTING_GRAMS:
            yield _alloy_line(rng, case, invoice, teeth)
        yield from _lab_a_charges(rng, case, invoice, teeth, price)
    yield from _lab_a_oddities(cases, year, month)


def _alloy_line(rng: random.Random, case: Row, invoice: str, teeth: str) -> Row:
    """Alloy by weight at the invoice day's metal value and the lab's own premium."""
    material = case["material"]
    alloy = MATERIALS[material]["alloy"]
    typical = dict(zip(POSITIONS, STARTING_GRAMS[material], strict=True))
    grams = sum(typical[region(tooth)] * rng.uniform(0.8, 1.25) for tooth in case["teeth"])
    unit = "dwt" if material in ("cast gold, high noble", "cast, noble", "metal-ceramic, high noble") else "g"
    weight = round(grams / GRAMS[unit], 2)
    price_per_g = metal_value_per_g(alloy, case["date"]) * rng.uniform(1.2, 1.3)
    return _line(case, invoice, "alloy", alloy.capitalize(), weight * GRAMS[unit] * price_per_g, teeth=teeth,
                 units=len(case["teeth"]), alloy=alloy, weight=weight, weight_unit=unit)  # fmt: skip


def _lab_a_charges(rng: random.Random, case: Row, invoice: str, teeth: str, price: float) -> Iterator[Row]:
    chance = rng.random()
    if chance < 0.12:
        yield _line(case, invoice, "extra", "Custom stain", 18, teeth=teeth)
    elif chance < 0.16:
        yield _line(case, invoice, "rush", "Rush 3 days", 0.25 * price)
    elif chance < 0.18:
        yield _line(case, invoice, "credit", "Credit, late delivery", -0.1 * price, teeth=teeth)
    if rng.random() < 0.33:
        yield _line(case, invoice, "freight", "Handling and shipping", 12.5)


def _lab_a_oddities(cases: list[Row], year: int, month: int) -> Iterator[Row]:
    """Statement lines that are no crown cost, and the odd thing that is no crown."""
    last = {**cases[-1], "date": date(year, month, 28)}
    prefix = f"A-{year % 100}{month:02}"
    invoice = f"{prefix}-900"
    if month in (1, 6):
        yield _line(last, invoice, "finance charge", "Finance charge 1.5 %", 14.2)
        yield _line(last, invoice, "deposit", "Deposit, old crown not returned", 50 if month == 1 else -50)
    if month in (2, 9):
        yield _line(last, f"{prefix}-901", "unit fee", NO_CROWNS["lab A"], 145, units=1)
    for lab, product, amount in NOT_MAPPED:
        if lab == "lab A" and month == 4:
            teeth = _universal([14])
            yield _line(last, f"{prefix}-902", "unit fee", product, amount, teeth=teeth, units=1)
    yield _line(last, invoice, "note", "Thank you. Please pay within 30 days.", 0)


def _lab_b(rng: random.Random, cases: list[Row], year: int, month: int) -> Iterator[Row]:
    """One invoice a site and month, ISO teeth, all-in prices, rebate and tax on the whole invoice."""
    for site in SITE_SHARES:
        of_site = [case for case in cases if case["site"] == site]
        if not of_site:
            continue
        invoice = f"{year}{month:02}0{list(SITE_SHARES).index(site) + 1}"
        lines = [line for case in of_site for line in _lab_b_lines(rng, case, invoice)]
        last = of_site[-1]
        if month == 5 and site == "Harbour":
            _, product, amount = NOT_MAPPED[1]
            lines.append(_line(last, invoice, "unit fee", product, amount, teeth="24", units=1))
        lines.append(_line(last, invoice, "freight", "Courier, month", 9.0 * len(of_site)))
        if len(of_site) >= 6:
            lines.append(_line(last, invoice, "discount", "Volume rebate 4 %", -0.04 * _total(lines)))
        lines.append(_line(last, invoice, "tax", "Tax 6 %", 0.06 * _total(lines)))
        yield from lines
        yield _line(last, invoice, "balance", "Invoice total", _total(lines))


def _lab_b_lines(rng: random.Random, case: Row, invoice: str) -> Iterator[Row]:
    teeth = ",".join(map(str, case["teeth"]))
    product = _wording(rng, case)
    price = _unit_price(rng, case)
    units = len(case["teeth"])
    if rng.random() < 0.045:
        yield _line(case, invoice, "remake", product, 0.5 * price, teeth=teeth, units=units)
        return
    yield _line(case, invoice, "unit fee", product, price * units, teeth=teeth, units=units)
    if rng.random() < 0.1:
        yield _line(case, invoice, "extra", "Printed model", 14, teeth=teeth)


def _own_mill(rng: random.Random, cases: list[Row], year: int, month: int) -> Iterator[Row]:
    """The mill's own log, each unit at the charge that its machine, block, burs and minutes come to."""
    for number, case in enumerate(cases, start=1):
        teeth = ",".join(map(str, case["teeth"]))
        kind = "remake" if rng.random() < 0.03 else "unit fee"
        yield _line(case, f"M-{year % 100}{month:02}-{number:02}", kind, _wording(rng, case),
                    MILL_CHARGE * len(case["teeth"]), teeth=teeth, units=len(case["teeth"]))  # fmt: skip


def _total(lines: list[Row]) -> float:
    return float(sum(line["amount"] for line in lines))


def _universal(teeth: list[int]) -> str:
    numbers = sorted(UPPER_RIGHT_ROUND.index(tooth) + 1 for tooth in teeth)
    return f"{numbers[0]}-{numbers[-1]}" if len(numbers) > 2 else ",".join(map(str, numbers))


def region(tooth: int) -> str:
    """The tooth region of an ISO tooth."""
    return next(region for region, positions in POSITIONS.items() if min(tooth % 10, 7) in positions)


def _month_end(year: int, month: int) -> date:
    """The last weekday of the month."""
    day = date(year + month // 12, month % 12 + 1, 1) - timedelta(days=1)
    return day - timedelta(days=max(day.weekday() - 4, 0))
