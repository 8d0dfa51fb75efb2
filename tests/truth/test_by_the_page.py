"""Crowns priced by hand, step by step in the comments, that the plain program must price alike.

`gold_crown`, `shared_freight` and `two_plans` each give a practice as plain rows and the figures worked out
by hand, so that any other program can be held against the same figures.
"""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from truth.by_the_page import CANNOT, Rows, fees_by_the_page, grams_in, needed_fee, net, teeth_of

Expected = dict[tuple[str, str], dict[str, Any]]


def _practice(**more: Any) -> dict[str, Any]:
    """Settings that all practices here share, and those that differ."""
    shared = {
        "practice_name": "Example practice",
        "currency": "EUR",
        "pricing_date": date(2026, 10, 31),
        "effective_date": date(2027, 1, 1),
        "invoice_months": 12,
        "target_margin": 0.2,
        "collected": 1.0,
    }
    return {**shared, **more}


def _line(day: date, invoice: str, lab: str, kind: str, amount: float, **more: Any) -> dict[str, Any]:
    """One invoice line of the site North unless said otherwise."""
    return {
        "date": day,
        "invoice": invoice,
        "lab": lab,
        "site": "North",
        "kind": kind,
        "amount": amount,
        **more,
    }


def _step(step: str, roles: str, likely: float, chair: str, repeated: str, **more: Any) -> dict[str, Any]:
    """One step of chair time."""
    return {"step": step, "roles": roles, "likely_min": likely, "chair": chair, "repeated": repeated, **more}


def gold_crown() -> tuple[Rows, Expected]:
    """A cast gold crown: alloy by weight, a premium from three lines, a cap that rounding must not break."""
    gold = "cast gold"
    rows: Rows = {
        "practice": [_practice(credibility_units=5, default_alloy_premium=0.1)],
        "sites": [
            {
                "site": "North",
                "region": "Coast",
                "operatories": 2,
                "weeks": 50,
                "hours_per_week": 40,
                "practical_capacity": 0.75,
            }
        ],
        "overhead": [
            {"site": "North", "account": "Rent", "amount": 150000, "costed_per_item": "no"},
            {"site": "North", "account": "Other", "amount": 120000, "costed_per_item": "no"},
            {"site": "North", "account": "Lab", "amount": 70000, "costed_per_item": "yes"},
        ],
        "staff": [
            {"role": "dentist", "yearly_cost": 180000, "productive_hours": 1500, "dentist": "yes"},
            {"role": "assistant", "yearly_cost": 45000, "productive_hours": 1500, "dentist": "no"},
        ],
        "chair_time": [
            _step(
                "preparation", "dentist + assistant", 55, "yes", "no", material=gold, low_min=40, high_min=100
            ),
            _step("seating", "dentist", 30, "yes", "yes", material=gold),
            _step("casts", "assistant", 10, "no", "yes", material=gold),
        ],
        "materials": [
            {
                "material": gold,
                "alloy": "yellow alloy",
                "supplies": 20,
                "remake_rate": 0.09,
                "lab_share_on_remake": 0.5,
                "alloy_share_on_remake": 0.2,
                "remake_supplies": 8.8625,
            }
        ],
        "starting_grams": [{"material": gold, "tooth_region": "molar", "starting_g": 2.95}],
        "alloys": [{"alloy": "yellow alloy", "gold": 0.8, "silver": 0.1, "other": 0.1}],
        "metal_prices": [
            {"date": date(2026, 1, 2), "metal": "gold", "price": 3110.34768, "unit": "troy ounce"},
            {"date": date(2026, 1, 2), "metal": "silver", "price": 60, "unit": "30 g"},
            {"date": date(2026, 9, 1), "metal": "gold", "price": 120, "unit": "gram"},
        ],
        "labs": [{"lab": "lab A", "alloy_billing": "apart", "tax_recoverable": 0, "tooth_notation": "ISO"}],
        "lab_prices": [{"lab": "lab A", "material": gold, "quoted_price": 192}],
        "product_map": [{"wording": "Full cast crown", "material": gold}],
        "invoice_lines": [
            _line(date(2026, 3, 2), "A-1", "lab A", "unit fee", 200, teeth="16", product="Full  cast CROWN"),
            _line(
                date(2026, 3, 2),
                "A-1",
                "lab A",
                "alloy",
                290.75,
                teeth="16",
                product="alloy",
                weight=3,
                weight_unit="g",
            ),
            _line(date(2026, 4, 2), "A-2", "lab A", "unit fee", 200, teeth="26", product="Full cast crown"),
            _line(date(2026, 4, 2), "A-2", "lab A", "extra", 20, teeth="26", product="Model"),
            _line(
                date(2026, 4, 2), "A-2", "lab A", "alloy", 210.5, product="alloy", weight=2, weight_unit="g"
            ),
            _line(
                date(2026, 9, 10), "A-3", "lab A", "unit fee", 420, teeth="36,37", product="Full cast crown"
            ),
            _line(
                date(2026, 9, 10),
                "A-3",
                "lab A",
                "alloy",
                601.25,
                teeth="36-37",
                product="alloy",
                alloy="yellow alloy",
                weight=5,
                weight_unit="g",
            ),
            _line(date(2026, 9, 10), "A-3", "lab A", "finance charge", 9, product="Interest"),
        ],
        "fees": [
            {
                "code": "G-M",
                "description": "Crown, cast gold, molar",
                "material": gold,
                "tooth_region": "molar",
                "site": "all",
                "current_fee": 1040,
            }
        ],
        "rules": [
            {"order": 10, "rule": "floor"},
            {"order": 20, "rule": "largest rise", "value": 0.1},
            {"order": 30, "rule": "rounding", "value": 5, "way": "nearest"},
        ],
    }
    return rows, {("G-M", "North"): _gold_by_hand()}


def _gold_by_hand() -> dict[str, Any]:
    return {
        # Lab: units 1 + 1 + 2 = 4; money 200 + 200 + 20 + 420 = 840; no alloy and no interest.
        "n": 4,
        "own_mean": 210,
        "Z": 4 / 9,
        # (4 x 210 + 5 x 192) / 9 = (840 + 960) / 9
        "lab_fee": 200,
        # Gold 3110.34768 / 31.1034768 = 100 a gram, from September 120; silver 60 / 30 = 2 a gram.
        # Alloy: 0.8 x 100 + 0.1 x 2 = 80.2 a gram, from September 0.8 x 120 + 0.1 x 2 = 96.2.
        # Billed 290.75 + 210.50 + 601.25 = 1102.50; worth 3 x 80.2 + 2 x 80.2 + 5 x 96.2 = 882.
        # 1102.5 / 882 = 1.25.
        "alloy_premium": 0.25,
        "alloy_premium_basis": "window",
        # 96.2 x 1.25
        "alloy_price_per_g": 120.25,
        # 10 g on 1 + 1 + 2 = 4 units: 2.5 g a unit; (4 x 2.5 + 5 x 2.95) / 9 = 24.75 / 9
        "alloy_own_mean_g": 2.5,
        "alloy_g": 2.75,
        # 2.75 x 120.25
        "alloy_cost": 330.6875,
        "supplies": 20,
        # Dentist 180000 / 1500 / 60 = 2 a minute, assistant 45000 / 1500 / 60 = 0.5.
        # Preparation (40 + 4 x 55 + 100) / 6 = 60 min.
        # 60 x 2.5 = 150; seating 30 x 2 = 60; casts 10 x 0.5 = 5.
        "people_cost": 215,
        # Chair 60 + 30; the casts take none. The lab's 70000 comes in by invoices.
        # Minutes a year 2 x 50 x 40 x 0.75 x 60 = 180000; 270000 / 180000 = 1.5.
        "chair_min": 90,
        "overhead_per_chair_min": 1.5,
        "overhead_cost": 135,
        # No remake in 4 makes: 4 / 9 x 0 + 5 / 9 x 0.09
        "remake_rate": 0.05,
        # 0.05 / 0.95 = 1 / 19. Bought again 200 x 0.5 + 330.6875 x 0.2 + 8.8625 = 175; seating and casts 65;
        # chair 30 x 1.5 = 45; (175 + 65 + 45) / 19 = 285 / 19.
        "remake_cost": 15,
        # 200 + 330.6875 + 20 + 215 + 135 + 15
        "unit_cost": 915.6875,
        # 915.6875 / 0.8
        "needed_fee": 1144.609375,
        "shortfall": 0,
        # Cap 1040 x 1.1 = 1144; nearest 5 is 1145, over the cap, so the step below it.
        "new_fee": 1140,
        "net": 1140,
        # (1140 - 915.6875) / 1140 and / 915.6875
        "margin": 224.3125 / 1140,
        "markup": 224.3125 / 915.6875,
        # 1140 - (200 + 330.6875 + 20 + 175 / 19) = 589.3125 - 9.210526...; 90 chair minutes are 1.5 h
        "contribution": 580.1019736842105,
        "contribution_per_chair_hour": 386.7346491228070,
    }


def shared_freight() -> tuple[Rows, Expected]:
    """Zirconia at two sites: freight and tax shared over an invoice with a remake; a site without ledger."""
    zirconia = "zirconia"
    may, june = date(2026, 5, 4), date(2026, 6, 1)
    rows: Rows = {
        "practice": [_practice(credibility_units=3, collected=0.95, card_cost=0.02, base_site="North")],
        "sites": [
            {
                "site": "North",
                "region": "Coast",
                "operatories": 1,
                "weeks": 50,
                "hours_per_week": 30,
                "practical_capacity": 0.8,
            },
            {
                "site": "South",
                "region": "Hills",
                "operatories": 1,
                "weeks": 45,
                "hours_per_week": 25,
                "practical_capacity": 0.8,
            },
        ],
        "overhead": [{"site": "North", "account": "All", "amount": 90000, "costed_per_item": "no"}],
        "region_index": [
            {"region": "Coast", "index": 100, "year": 2025},
            {"region": "Hills", "index": 90, "year": 2025},
        ],
        "staff": [
            {
                "role": "dentist",
                "site": "",
                "yearly_cost": 180000,
                "productive_hours": 1500,
                "dentist": "yes",
            },
            {
                "role": "dentist",
                "site": "South",
                "yearly_cost": 225000,
                "productive_hours": 1500,
                "dentist": "yes",
            },
            {"role": "assistant", "yearly_cost": 45000, "productive_hours": 1500, "dentist": "no"},
        ],
        "chair_time": [
            _step("preparation", "dentist", 40, "yes", "no", material=zirconia, tooth_region="molar"),
            _step("seating", "dentist", 20, "yes", "yes", material=zirconia, tooth_region="molar"),
            _step("all in one", "dentist + assistant", 50, "yes", "yes", code="Z-P"),
            _step("never used", "dentist", 999, "yes", "yes", material=zirconia),
        ],
        "materials": [
            {
                "material": zirconia,
                "supplies": 15,
                "remake_rate": 0,
                "lab_share_on_remake": 0.5,
                "alloy_share_on_remake": 0,
                "remake_supplies": 7.5,
            }
        ],
        "labs": [
            {"lab": "lab B", "alloy_billing": "apart", "tax_recoverable": 0.5, "tooth_notation": "universal"}
        ],
        "product_map": [
            {"wording": "Zr crown", "material": zirconia},
            {"wording": "guard", "material": "not a crown"},
        ],
        "invoice_lines": [
            _line(date(2025, 10, 31), "B-0", "lab B", "unit fee", 999, teeth="3", product="Zr crown"),
            _line(may, "B-1", "lab B", "unit fee", 150, teeth="3", product="Zr crown"),
            _line(may, "B-1", "lab B", "extra", 10, teeth="#3", product="Stain"),
            _line(may, "B-1", "lab B", "unit fee", 150, teeth="14", product="Zr crown"),
            _line(may, "B-1", "lab B", "remake", 75, teeth="30", product="Zr crown"),
            _line(may, "B-1", "lab B", "rush", 12, teeth="30", product="Rush"),
            _line(may, "B-1", "lab B", "unit fee", 90, product="Guard"),
            _line(may, "B-1", "lab B", "freight", 24, product="Freight"),
            _line(may, "B-1", "lab B", "tax", 40, product="Tax"),
            _line(june, "B-2", "lab B", "unit fee", 320, teeth="4-5", product="Zr crown", site="South"),
            _line(june, "B-2", "lab B", "freight", 8, product="Freight", site="South"),
            _line(june, "B-2", "lab B", "discount", -16, product="Zr crown", site="South"),
        ],
        "fees": [
            {
                "code": "Z-M",
                "description": "Molar",
                "material": zirconia,
                "tooth_region": "molar",
                "current_fee": 500,
            },
            {"code": "Z-P", "description": "Premolar", "material": zirconia, "tooth_region": "premolar"},
        ],
        "rules": [
            {"order": 1, "rule": "ladder", "applies_to": "Z-M", "not_under": "Z-P"},
            {"order": 2, "rule": "rounding", "value": 1, "way": "up"},
        ],
    }
    return rows, {("Z-M", "North"): _molar_by_hand(), ("Z-P", "South"): _premolar_by_hand()}


def _molar_by_hand() -> dict[str, Any]:
    return {
        # B-0 is dated the very day the window starts after. B-1 has 4 units (two crowns, a remake, a guard):
        # freight 24 / 4 = 6 and tax 40 x 0.5 / 4 = 5 each. Universal 3 is ISO 16, 14 is ISO 26: two molars,
        # 150 + 10 + 150 + 2 x 11 = 332. The rush is the remake's.
        "n": 2,
        "own_mean": 166,
        "Z": 0.4,
        # No quote, so from all sites: 332 + (320 + 8 - 16 = 312) = 644 on 4 units = 161.
        # 0.4 x 166 + 0.6 x 161
        "starting_lab_fee": 161,
        "lab_fee": 163,
        "alloy_g": 0,
        "alloy_price_per_g": 0,
        "alloy_cost": 0,
        "supplies": 15,
        # 60 min x 2; chair minutes a year 50 x 30 x 0.8 x 60 = 72000, 90000 / 72000 = 1.25.
        "people_cost": 120,
        "chair_min": 60,
        "overhead_per_chair_min": 1.25,
        "overhead_cost": 75,
        # 5 makes, 1 rejected: Z = 5 / 8, 5 / 8 x 0.2 + 3 / 8 x 0
        "remake_rate": 0.125,
        # 0.125 / 0.875 = 1 / 7; 163 x 0.5 + 7.5 = 89; seating 20 x 2 = 40 and 20 x 1.25 = 25; 154 / 7
        "remake_cost": 22,
        "unit_cost": 395,
        # 395 / 0.8 = 493.75; kept 0.95 x 0.98 = 0.931
        "needed_fee": 493.75 / 0.931,
        # Z-P at North: no units, lab fee 161; people 50 x 2.5 = 125; overhead 62.5; remakes
        # (80.5 + 7.5 + 125 + 62.5) / 7 = 39.357143; cost 402.857143; fee 402.857143 / 0.8 / 0.931 = 540.893.
        # The ladder lifts 530.34 to that, and up to the next whole one.
        "new_fee": 541,
        "net": 503.671,
        "margin": 108.671 / 503.671,
        "markup": 108.671 / 395,
        # 503.671 - (163 + 15 + 89 / 7) = 312.956714; an hour of chair
        "contribution": 312.9567142857143,
        "contribution_per_chair_hour": 312.9567142857143,
    }


def _premolar_by_hand() -> dict[str, Any]:
    return {
        # Universal 4 and 5 are ISO 15 and 14; 320 + 8 - 16 = 312 on 2 units; 0.4 x 156 + 0.6 x 161
        "n": 2,
        "own_mean": 156,
        "lab_fee": 159,
        "supplies": 15,
        # The step typed for the code alone: 50 min; the dentist costs 2.5 a minute here, the assistant 0.5.
        "people_cost": 150,
        "chair_min": 50,
        # 90000 x 90 / 100 = 81000 over 45 x 25 x 0.8 x 60 = 54000
        "overhead_per_chair_min": 1.5,
        "overhead_cost": 75,
        # (159 x 0.5 + 7.5 + 150 + 75) / 7
        "remake_cost": 312 / 7,
        # 399 + 44.571429
        "unit_cost": 443.5714285714286,
        # 443.571429 / 0.8 / 0.931 = 595.557...
        "needed_fee": 443.5714285714286 / 0.7448,
        "new_fee": 596,
        "net": 554.876,
        # 554.876 - (159 + 15 + 87 / 7); 50 chair minutes are 5 / 6 h
        "contribution": 368.4474285714286,
        "contribution_per_chair_hour": 442.1369142857143,
    }


def two_plans() -> tuple[Rows, Expected]:
    """Two plans and a needed fee above what they allow; a second code that one of them pays in full."""
    rows: Rows = {
        "practice": [_practice(collected=0.9375, card_cost=0.04)],
        "sites": [
            {
                "site": "North",
                "region": "Coast",
                "operatories": 2,
                "weeks": 50,
                "hours_per_week": 40,
                "practical_capacity": 0.75,
            }
        ],
        "overhead": [{"site": "North", "account": "All", "amount": 630000, "costed_per_item": "no"}],
        "staff": [{"role": "dentist", "yearly_cost": 180000, "productive_hours": 1500, "dentist": "yes"}],
        "chair_time": [_step("whole visit", "dentist", 60, "yes", "no", material="disilicate")],
        "materials": [
            {
                "material": "disilicate",
                "supplies": 5,
                "remake_rate": 0.0625,
                "lab_share_on_remake": 0.5,
                "alloy_share_on_remake": 0,
                "remake_supplies": 5,
            }
        ],
        "labs": [{"lab": "lab C", "alloy_billing": "apart", "tax_recoverable": 0, "tooth_notation": "ISO"}],
        "lab_prices": [{"lab": "lab C", "material": "disilicate", "quoted_price": 140}],
        "fees": [
            {"code": "D-1", "description": "Crown", "material": "disilicate", "current_fee": 700},
            {"code": "D-2", "description": "Onlay", "material": "disilicate", "current_fee": 700},
        ],
        "plans": [{"plan": "plan one", "plan_share": 0.3}, {"plan": "plan two", "plan_share": 0.2}],
        "plan_fees": [
            {"plan": "plan one", "code": "D-1", "allowed": 500},
            {"plan": "plan one", "code": "D-2", "allowed": 500},
            {"plan": "plan two", "code": "D-1", "allowed": 720},
            {"plan": "plan two", "code": "D-1", "allowed": 700, "allowed_from": date(2026, 1, 1)},
            {"plan": "plan two", "code": "D-1", "allowed": 650, "allowed_from": date(2027, 6, 1)},
        ],
    }
    # No invoices: the lab's quote, 140. People 60 x 2 = 120, overhead 60 x 3.5 = 210 (630000 / 180000 = 3.5).
    # Remakes: the typed 0.0625 / 0.9375 = 1 / 15; (70 + 5) / 15 = 5. Cost 140 + 5 + 120 + 210 + 5 = 480.
    # Net must reach 480 / 0.8 = 600; kept 0.9375 x 0.96 = 0.9; so the payers must bring 600 / 0.9 = 666.67.
    cost = {
        "lab_fee": 140,
        "supplies": 5,
        "people_cost": 120,
        "overhead_cost": 210,
        "remake_cost": 5,
        "unit_cost": 480,
    }
    # D-1: at a fee of 700 they bring 0.3 x 500 + 0.7 x 700 = 640, too little. Above that plan two stays at
    # 700 (720 is older, 650 not yet in force): 150 + 140 + 0.5 x fee = 666.67, fee = 753.33.
    first = {
        **cost,
        "needed_fee": 2260 / 3,
        "shortfall": 0,
        "new_fee": 2260 / 3,
        "net": 600,
        "margin": 0.2,
        "markup": 0.25,
        "contribution": 450,
        "contribution_per_chair_hour": 450,
    }
    # D-2: plan two allows nothing of its own, so it pays in full: 150 + 0.7 x fee = 666.67, fee = 738.10.
    second = {**cost, "needed_fee": 1550 / 2.1, "new_fee": 1550 / 2.1, "net": 600, "margin": 0.2}
    return rows, {("D-1", "North"): first, ("D-2", "North"): second}


def _differences(rows: Rows, expected: Expected) -> list[str]:
    """Every figure that is not the one worked out by hand."""
    got = fees_by_the_page(rows)
    found = []
    for item, figures in expected.items():
        for figure, value in figures.items():
            by_hand = value if isinstance(value, str) else pytest.approx(value, rel=1e-12, abs=1e-12)
            if got[item][figure] != by_hand:
                found.append(f"{item} {figure}: {got[item][figure]}, by hand {value}")
    return found


@pytest.mark.parametrize("practice", [gold_crown, shared_freight, two_plans])
def test_hand_priced_crowns(practice: Any) -> None:
    """Every figure of each practice is the one worked out by hand."""
    assert _differences(*practice()) == []


def test_out_of_reach() -> None:
    """Without full-fee patients at most 0.9 x (0.6 x 500 + 0.4 x 700) = 522 of the 600 can be reached."""
    rows, _ = two_plans()
    rows["plans"] = [{"plan": "plan one", "plan_share": 0.6}, {"plan": "plan two", "plan_share": 0.4}]
    item = fees_by_the_page(rows)["D-1", "North"]
    assert (item["needed_fee"], item["new_fee"]) == (CANNOT, 700)
    assert item["shortfall"] == pytest.approx(78)


def test_full_fee_basis() -> None:
    """On the basis of the full fee plans don't count: 600 / 0.9."""
    rows, _ = two_plans()
    rows["practice"][0]["margin_basis"] = "full fee"
    assert needed_fee(600, "D-1", rows)[0] == pytest.approx(2000 / 3)


def test_needed_fee_between_allowed_amounts() -> None:
    """For 500 of net, 555.56 of payment: above 500, below 700: 150 + 0.7 x fee, so 579.37."""
    rows, _ = two_plans()
    assert needed_fee(500, "D-1", rows)[0] == pytest.approx((500 / 0.9 - 150) / 0.7)


@pytest.mark.parametrize("goal", [1, 449, 451, 500, 575.9, 576.1, 600, 5000])
def test_needed_fee_is_the_smallest(goal: float) -> None:
    """The needed fee brings in the goal, and a cent less doesn't."""
    rows, _ = two_plans()
    fee = needed_fee(goal, "D-1", rows)[0]
    assert isinstance(fee, float)
    assert net(fee, "D-1", rows) == pytest.approx(goal)
    assert net(fee - 0.01, "D-1", rows) < goal


def test_held_row() -> None:
    """A row marked Hold keeps its fee, whatever the rules say, and a ladder sees it there."""
    rows, _ = two_plans()
    rows["fees"][0]["hold"] = "yes"
    rows["fees"][0]["current_fee"] = 1000
    rows["rules"] = [
        {"order": 1, "rule": "floor"},
        {"order": 2, "rule": "ladder", "applies_to": "D-2", "not_under": "D-1"},
    ]
    fees = fees_by_the_page(rows)
    assert [fees[code, "North"]["new_fee"] for code in ("D-1", "D-2")] == [1000, 1000]


def test_most_specific_row() -> None:
    """A site's own row goes before its region's, and that before the one for all."""
    rows, _ = two_plans()
    first = rows["fees"][0]
    rows["sites"] = [
        {**rows["sites"][0], "site": site, "region": region}
        for site, region in (("North", "Coast"), ("East", "Coast"), ("South", "Hills"))
    ]
    rows["overhead"] = [{**rows["overhead"][0], "site": row["site"]} for row in rows["sites"]]
    rows["fees"] = [
        {**first, "hold": "yes", "current_fee": fee, "site": site}
        for fee, site in ((1, "all"), (2, "Coast"), (3, "North"))
    ]
    fees = fees_by_the_page(rows)
    assert [fees["D-1", site]["new_fee"] for site in ("North", "East", "South")] == [3, 2, 1]


def test_bridge_over_regions() -> None:
    """A bridge on a molar and two premolars is spread evenly: a third, 312 / 3 = 104, is the molar's."""
    rows, _ = shared_freight()
    rows["invoice_lines"][9].update(teeth="3-5", units=3)
    fees = fees_by_the_page(rows)
    assert fees["Z-M", "South"]["n"] == pytest.approx(1)
    assert fees["Z-M", "South"]["own_mean"] == pytest.approx(104)
    assert fees["Z-P", "South"]["own_mean"] == pytest.approx(104)


def test_unknown_position() -> None:
    """Units without teeth are in no item's own mean, but in the starting value of all: still 644 / 4."""
    rows, _ = shared_freight()
    rows["invoice_lines"][9].update(teeth="", units=2)
    item = fees_by_the_page(rows)["Z-P", "South"]
    assert (item["n"], item["own_mean"]) == (0, None)
    assert item["lab_fee"] == pytest.approx(161)


def test_line_order_does_not_matter() -> None:
    """Invoice lines upside down give the same figures."""
    for practice in (gold_crown, shared_freight):
        rows, expected = practice()
        rows["invoice_lines"].reverse()
        assert _differences(rows, expected) == []


def test_contradiction() -> None:
    """A floor of 480 over a cap of 400 x 1.1 = 440 leaves the fee at 400."""
    rows, _ = two_plans()
    rows["fees"][0]["current_fee"] = 400
    rows["rules"] = [{"order": 2, "rule": "largest rise", "value": 0.1}, {"order": 1, "rule": "floor"}]
    item = fees_by_the_page(rows)["D-1", "North"]
    assert (item["new_fee"], item["contradiction"]) == (400, True)


def test_no_step_inside() -> None:
    """No multiple of 50 lies between 742 and 742: the fee stays, and the rules are called contradictory."""
    rows, _ = two_plans()
    rows["fees"][0]["current_fee"] = 742
    rows["rules"] = [
        {"order": 1, "rule": "largest rise", "value": 0.0},
        {"order": 2, "rule": "largest fall"},
        {"order": 3, "rule": "rounding", "value": 50},
    ]
    item = fees_by_the_page(rows)["D-1", "North"]
    assert (item["new_fee"], item["contradiction"]) == (742, True)


def test_all_in_price() -> None:
    """An all-in lab's price holds alloy: 5 lines of 500 less 2.95 g x 80.2 x 1.1 leave 239.751 a unit."""
    rows, _ = gold_crown()
    rows["labs"][0]["alloy_billing"] = "all-in"
    rows["lab_prices"] = []
    rows["invoice_lines"] = [
        _line(date(2026, 3, 2), f"A-{n}", "lab A", "unit fee", 500, teeth="16", product="Full cast crown")
        for n in range(5)
    ]
    item = fees_by_the_page(rows)["G-M", "North"]
    assert item["lab_fee"] == pytest.approx(500 - 2.95 * 80.2 * 1.1)
    assert item["alloy_cost"] == pytest.approx(2.95 * 96.2 * 1.1)
    assert item["alloy_premium_basis"] == "default"


def test_all_in_mill() -> None:
    """A mill whose block holds the alloy: 104 less 2.75 g x 96.2 x 1.25 is its share of the starting value."""
    rows, _ = gold_crown()
    rows["milling"] = [
        {
            "lab": "mill",
            "material": "cast gold",
            "site": "North",
            "machine_cost_month": 2000,
            "units_month": 40,
            "block": 30,
            "burs": 4,
            "role": "assistant",
            "staff_min": 40,
        }
    ]
    rows["labs"].append(
        {"lab": "mill", "alloy_billing": "all-in", "tax_recoverable": 0, "tooth_notation": "ISO"}
    )
    rows["lab_prices"] = []
    starting = fees_by_the_page(rows)["G-M", "North"]["starting_lab_fee"]
    assert starting == pytest.approx(104 - 2.75 * 96.2 * 1.25)


def test_held_after_a_contradiction() -> None:
    """A hold that comes after rules that contradict each other spares the item: it is held, and no more."""
    rows, _ = two_plans()
    rows["fees"][0]["current_fee"] = 742
    rows["rules"] = [
        {"order": 1, "rule": "floor"},
        {"order": 2, "rule": "largest rise", "value": -0.5},
        {"order": 3, "rule": "rounding", "value": 50},
        {"order": 4, "rule": "hold", "applies_to": "D-1"},
    ]
    item = fees_by_the_page(rows)["D-1", "North"]
    assert (item["new_fee"], item["held"], item["contradiction"]) == (742, True, False)


def test_charge_on_remakes_alone() -> None:
    """A charge over the teeth of two remakes is in no lab fee, be they of one material or of two."""
    rows, _ = gold_crown()
    day = date(2026, 9, 20)
    rows["product_map"].append({"wording": "Zirconia crown", "material": "zirconia"})
    before = fees_by_the_page(rows)["G-M", "North"]
    rows["invoice_lines"] += [
        _line(day, "A-4", "lab A", "unit fee", 210, teeth="17", product="Full cast crown"),
        _line(day, "A-4", "lab A", "remake", 100, teeth="16", product="Full cast crown"),
        _line(day, "A-4", "lab A", "remake", 100, teeth="26", product="Zirconia crown"),
        _line(day, "A-4", "lab A", "extra", 50, teeth="16,26", product="Model"),
    ]
    after = fees_by_the_page(rows)["G-M", "North"]
    assert (before["own_mean"], after["own_mean"], after["n"]) == (210, 210, 5)


def test_quotes_weighted() -> None:
    """Three units of lab A, one of the mill at 50 + 30 + 4 + 20 = 104: (3 x 192 + 104) / 4 = 170."""
    rows, _ = gold_crown()
    rows["milling"] = [
        {
            "lab": "mill",
            "material": "cast gold",
            "site": "North",
            "machine_cost_month": 2000,
            "units_month": 40,
            "block": 30,
            "burs": 4,
            "role": "assistant",
            "staff_min": 40,
        }
    ]
    rows["invoice_lines"][2]["lab"] = "mill"  # one of the four units
    assert fees_by_the_page(rows)["G-M", "North"]["starting_lab_fee"] == pytest.approx(170)


@pytest.mark.parametrize(
    ("cell", "notation", "teeth"),
    [
        ("#14", "universal", [26]),
        ("14", "ISO", [14]),
        ("14,15", "universal", [26, 27]),
        ("3-5", "universal", [16, 15, 14]),
        ("12-22", "ISO", [12, 11, 21, 22]),
        ("17; 32", "universal", [38, 48]),
        (16.0, "ISO", [16]),
        ("", "ISO", []),
    ],
)
def test_teeth(cell: Any, notation: str, teeth: list[int]) -> None:
    """Teeth are those of ISO 3950, whatever the notation (universal 1 is the upper right third molar)."""
    assert teeth_of(cell, notation) == teeth


def test_quoted_units() -> None:
    """A troy ounce is 31.1034768 g (NIST Handbook 44); a unit may be a number of grams."""
    assert [grams_in("Troy ounce"), grams_in("30 g"), grams_in("0.5 kg")] == [31.1034768, 30, 500]
