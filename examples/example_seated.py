"""The invented practice's work as it was seated, drawn with a seed of its own: what was billed, what came in and when."""

from __future__ import annotations

import random
from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

import example_invoices
from example_tables import CURRENT_FEES, MATERIALS, REGIONS, Row

SEED = 20_261_101
LAST = date(2026, 10, 31)
"""What is known is known on this day: work seated and money received later are not typed yet."""
DENTISTS = {
    "North": ("dentist 1", "dentist 2"),
    "Harbour": ("dentist 3",),
    "Hill": ("dentist 4", "dentist 2"),
}
PAYERS = {"": 0.5, "plan one": 0.3, "plan two": 0.2}
ALLOWED = {"plan one": 0.82, "plan two": 0.76}
"""Each plan's allowed amounts as a share of the fee, to the next five; before 2026 plan one allowed 20 less."""
PLAIN_WORK = {"00417": (260, 12, {"plan one": 225, "plan two": 210}), "RC-01": (190, 5, {})}
"""Work without a lab: its fee, about how many a month, and what plans allow."""
COLLECTED_A_MONTH = {"North": 149_000, "Harbour": 109_000, "Hill": 118_000}
NO_INVOICE_YET = "K2610-950"
"""A case that was seated in October and whose invoice has not come."""


def seated() -> list[Row]:
    """Work with a case number one by one, all other work as one row a month, code, site, plan and dentist."""
    rng = random.Random(SEED)
    work = [*_lab_work(rng), *_plain_work(rng)]
    single = [row for row in work if row["case"]]
    late = {
        **single[-1],
        "seated_on": date(2026, 10, 27),
        "case": NO_INVOICE_YET,
        "received": None,
        "received_on": None,
    }
    rows = [*_by_month(row for row in work if not row["case"]), *single, late]
    return sorted(
        rows, key=lambda row: (row["seated_on"], row["site"], row["code"], row["plan"], row["dentist"])
    )


def collections() -> list[Row]:
    """What came in for all dentistry, a row a month and site."""
    rng = random.Random(SEED + 1)
    return [
        {
            "month_end": _month_end(date(year, month, 1)),
            "site": site,
            "collected_money": round(usual * rng.uniform(0.92, 1.07), 2),
        }
        for year, month in example_invoices.MONTHS
        for site, usual in COLLECTED_A_MONTH.items()
    ]


def _lab_work(rng: random.Random) -> Iterator[Row]:
    """Every unit on the labs' invoices, seated some days after its invoice."""
    material_of = {
        key: (material) for (_, material), words in example_invoices.WORDINGS.items() for key in words
    }
    for lines in example_invoices.invoices().values():
        for line in lines:
            if line["kind"] != "unit fee" or line["product"] not in material_of:
                continue
            day = line["date"] + timedelta(days=rng.randint(6, 15))
            plan = rng.choices(list(PAYERS), list(PAYERS.values()))[0]
            dentist = rng.choice(DENTISTS[line["site"]])
            material = material_of[line["product"]]
            for region, units in _regions(line).items():
                if day <= LAST:
                    code = f"CR-{MATERIALS[material]['short']}-{REGIONS[region]}"
                    fee = _fee(material, region, line["site"])
                    allowed = _allowed(material, fee, plan, day)
                    facts = (day, code, line["site"], plan, dentist, units, line.get("case", ""))
                    yield _row(rng, facts, fee, allowed)


def _plain_work(rng: random.Random) -> Iterator[Row]:
    for code, (fee, a_month, allowed) in PLAIN_WORK.items():
        for year, month in example_invoices.MONTHS:
            for _ in range(rng.randint(a_month - 2, a_month + 2)):
                site = rng.choices(list(DENTISTS), list(example_invoices.SITE_SHARES.values()))[0]
                plan = rng.choices(list(PAYERS), list(PAYERS.values()))[0]
                facts = (
                    date(year, month, rng.randint(1, 28)),
                    code,
                    site,
                    plan,
                    rng.choice(DENTISTS[site]),
                    1,
                    "",
                )
                yield _row(rng, facts, fee, allowed.get(plan, fee))


def _row(rng: random.Random, facts: tuple[Any, ...], fee: float, allowed: float) -> Row:
    """One work: billed at the fee; paid up to what is allowed, now and then not in full, by a plan some weeks later."""
    names = ("seated_on", "code", "site", "plan", "dentist", "units", "case")
    row = dict(zip(names, facts, strict=True))
    kept = rng.choices((1.0, 0.9, 0.5), (95, 3, 2))[0]
    paid = row["seated_on"] + timedelta(
        days=rng.randint(10, 35) if row["plan"] else rng.choice((0, 0, 0, 14))
    )
    row |= {
        "billed": fee * row["units"],
        "received": round(min(fee, allowed) * row["units"] * kept, 2),
        "received_on": paid,
    }
    return row if paid <= LAST else {**row, "received": None, "received_on": None}


def _by_month(work: Iterator[Row]) -> list[Row]:
    """One row a month, code, site, plan and dentist; what is not paid yet apart, without a receipt."""
    groups: dict[tuple[Any, ...], Row] = {}
    for row in work:
        end = _month_end(row["seated_on"])
        key = (end, row["code"], row["site"], row["plan"], row["dentist"], row["received"] is None)
        if key not in groups:
            groups[key] = {**row, "seated_on": end}
            continue
        group = groups[key]
        for name in ("units", "billed") if row["received"] is None else ("units", "billed", "received"):
            group[name] = round(group[name] + row[name], 2)
        if row["received_on"]:
            group["received_on"] = max(group["received_on"], row["received_on"])
    return list(groups.values())


def _regions(line: Row) -> dict[str, int]:
    """How many of the line's teeth are in each region."""
    first, _, last = str(line["teeth"]).partition("-")
    numbers = range(int(first), int(last) + 1) if last else [int(word) for word in first.split(",")]
    found: dict[str, int] = {}
    for number in numbers:
        tooth = example_invoices.UPPER_RIGHT_ROUND[number - 1] if line["lab"] == "lab A" else number
        region = example_invoices.region(tooth)
        found[region] = found.get(region, 0) + 1
    return found


def _fee(material: str, region: str, site: str) -> float:
    """The fee in force; one code has another inland."""
    if (material, region, site) == ("lithium disilicate", "incisor", "Hill"):
        return 1290
    return dict(zip(REGIONS, CURRENT_FEES[material], strict=True))[region]


def _allowed(material: str, fee: float, plan: str, day: date) -> float:
    """What the plan allows of the fee on that day."""
    if not plan or (plan == "plan two" and material == "resin hybrid"):
        return fee
    return 5 * round(fee * ALLOWED[plan] / 5) - (20 if plan == "plan one" and day.year < 2026 else 0)


def _month_end(day: date) -> date:
    return date(day.year + day.month // 12, day.month % 12 + 1, 1) - timedelta(days=1)
