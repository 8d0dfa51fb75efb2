"""Random fees, chair time, plans and rules for test practices."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import pairwise

from practice_draw import CURRENCIES, Draw, Row
from practice_inputs import Names

STEPS = ("set up", "preparation", "seating", "check")


def fees(draw: Draw, names: Names) -> list[Row]:
    """A code or two per material and tooth region, for all sites, for regions of sites, site by site or all of these."""
    rows: list[Row] = []
    for material in names.materials:
        for region in names.regions_of[material]:
            site_regions = sorted(set(names.region_of_site.values()))
            for _ in range(draw.rng.choice((1, 1, 1, 1, 2))):
                number = len(rows) + 1
                code = f"{number:05}" if draw.rng.random() < 0.2 else f"C-{number}"
                mixed = ["all", site_regions[-1], names.sites[-1]]
                sites = draw.rng.choice((["all"], ["all"], names.sites, site_regions, mixed, mixed[:2]))
                rows += [_fee(draw, code, material, region, site) for site in sites]
    return [*rows, _fee(draw, "0090", "", "all", "all")]


def _fee(draw: Draw, code: str, material: str, region: str, site: str) -> Row:
    return draw.row(
        "fees",
        code=code,
        description=f"{material or 'Build-up'}, {region}",
        material=material,
        tooth_region=region,
        site=site,
        current_fee=draw.maybe(draw.money(300, 2200), 0.95),
        units_last_year=draw.maybe(draw.rng.randint(0, 120), 0.9),
        target_margin=draw.maybe(draw.between(0, 0.5, 3), 0.15),
        hold="yes" if draw.rng.random() < 0.08 else "no",
    )


def chair_time(draw: Draw, names: Names, fee_rows: list[Row]) -> list[Row]:
    """Steps of every material, of some of its regions, and of codes: all those without a material."""
    rows = [step for material in names.materials for step in _steps(draw, material=material)]
    codes = dict.fromkeys((row["code"], row["material"], row["tooth_region"]) for row in fee_rows)
    for code, material, region in codes:
        if not material or draw.rng.random() < 0.15:
            rows += _steps(draw, code=code)
        elif draw.rng.random() < 0.25:
            rows += _steps(draw, material=material, tooth_region=region)
    return rows


def _steps(draw: Draw, **belongs_to: str) -> list[Row]:
    """Two to four steps; a step has three figures or one."""
    rng = draw.rng
    rows = []
    for name in STEPS[: rng.randint(2, 4)]:
        minutes: dict[str, float] = {"likely_min": rng.randint(5, 60)}
        if rng.random() < 0.7:
            minutes["low_min"] = minutes["likely_min"] - rng.randint(0, 5)
            minutes["high_min"] = minutes["likely_min"] + rng.randint(0, 30)
        roles = rng.choice(("dentist", "assistant", "dentist + assistant"))
        rows.append(draw.row("chair_time", **belongs_to, step=name, roles=roles, **minutes))
    return rows


def plans_and_allowed(draw: Draw, fee_rows: list[Row], count: int, pricing: date) -> dict[str, list[Row]]:
    """Plans whose shares leave some full fee or, one time in five, none; and what they allow."""
    rng = draw.rng
    whole = 100 if rng.random() < 0.2 else rng.randint(20, 80)
    cuts = [0, *sorted(rng.sample(range(1, whole), max(count - 1, 0))), whole]
    parts = [high - low for low, high in pairwise(cuts)][:count]
    plans = [draw.row("plans", plan=f"plan {n}", plan_share=part / 100) for n, part in enumerate(parts, 1)]
    current = {row["code"]: row["current_fee"] or draw.money(300, 2200) for row in fee_rows}
    allowed = [
        draw.row(
            "plan_fees",
            plan=plan["plan"],
            code=code,
            allowed=draw.to_minor_unit(fee * rng.uniform(0.6, 1.05)),
            allowed_from=start,
        )
        for plan in plans
        for code, fee in current.items()
        for start in _starts(draw, pricing)
    ]
    return {"plans": plans, "plan_fees": allowed}


def _starts(draw: Draw, pricing: date) -> list[date | None]:
    """No amount, one that has always held, or amounts from several days on."""
    later = pricing + timedelta(days=365)
    return list(draw.rng.choice(((), (None,), (None,), (None, pricing), (pricing, later))))


def rules(draw: Draw, names: Names, fee_rows: list[Row]) -> list[Row]:
    """Any of the rules in any order, rounding last more often than not."""
    rng = draw.rng
    step = rng.choice((1, 5, 10, 50)) * (100 if CURRENCIES[draw.currency] > 100 else 1)
    wanted: list[Row] = [
        {"rule": "hold"},
        {"rule": "floor"},
        {"rule": "largest rise", "value": rng.choice((0, draw.between(0.02, 0.2), draw.between(0.2, 1)))},
        {"rule": "largest fall", "value": rng.choice((0, 0, 0.05))},
        {"rule": "rounding", "value": step, "way": rng.choice(("nearest", "up"))},
        *([{"rule": "hold", "applies_to": rng.choice(names.materials)}] if rng.random() < 0.2 else []),
        *([{"rule": "floor", "applies_to": rng.choice(names.materials)}] if rng.random() < 0.2 else []),
        *(
            [{"rule": "largest rise", "value": 0.03, "applies_to": fee_rows[0]["code"]}]
            if rng.random() < 0.2
            else []
        ),
        *_ladder(draw, names.materials, 1.0),
        *_ladder(draw, list(dict.fromkeys(row["code"] for row in fee_rows if row["site"] == "all")), 0.3),
    ]
    kept = [rule for rule in wanted if rng.random() < 0.75]
    rng.shuffle(kept)
    if rng.random() < 0.6:
        kept.sort(key=lambda rule: str(rule["rule"]) == "rounding")
    return [draw.row("rules", order=10 * number, **rule) for number, rule in enumerate(kept, start=1)]


def _ladder(draw: Draw, names: list[str], chance: float) -> list[Row]:
    """A rung between two of the names, always the later above the earlier: no ladder goes in a circle."""
    if len(names) < 2 or draw.rng.random() > chance:
        return []
    low, high = sorted(draw.rng.sample(range(len(names)), 2))
    return [{"rule": "ladder", "applies_to": names[high], "not_under": names[low]}]
