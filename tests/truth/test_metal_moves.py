"""What a move of a metal's price does to a crown, by the rules that an owner can hold in the head.

Worked out from public spot prices of October 2025 (gold 3,921 a troy ounce); grams are measured ones (2.5 g of a
full-cast crown, 1.24 g of a metal-ceramic one); compositions from memory. Labs add a quarter to the metal's value
("on the order of 25 %", a patient-education page).
"""

from __future__ import annotations

from typing import Any

import pytest
from priced import read_rows
from seven_crowns import BARE, BONDED, CAST, WHITE, crowns
from what_ifs import Asking, asked, typed_scenario


def asking(remake_rate: float, *words: str) -> Asking:
    """The seven crowns with their metals and, where words are given, a scenario."""
    practice = read_rows(crowns(remake_rate))
    return asked(practice, [typed_scenario(practice, *words)] if words else [])


def per_hundred(found: Asking, metal: str) -> dict[str, float]:
    """What 100 more a troy ounce of the metal add to each crown that holds it."""
    rows = found.model.blocks["metal_items"]
    added = zip(
        rows.labels("material"),
        rows.labels("metal"),
        found.numbers.of("metal_items", "per_hundred"),
        strict=True,
    )
    return {material: float(money) for material, name, money in added if name == metal}


def risen(found: Asking) -> dict[str, float]:
    """What the scenario adds to each crown."""
    materials = found.model.blocks["costs"].labels("material")
    changes: list[Any] = found.items(0, "cost_change")
    return dict(zip(materials, map(float, changes), strict=True))


def test_a_hundred_more_an_ounce_of_gold() -> None:
    """100 more a troy ounce of gold add 7.74 to the full-cast crown and 2.57 to the metal-ceramic one, and only to those."""
    added = per_hundred(asking(0), "gold")
    assert added == {CAST: pytest.approx(7.74, abs=0.005), BONDED: pytest.approx(2.57, abs=0.005)}


def test_a_hundred_more_as_a_scenario() -> None:
    """The same as a scenario: gold at 4,021 instead of 3,921."""
    added = risen(asking(0, "gold=4021"))
    assert added[CAST] == pytest.approx(7.74, abs=0.005)
    assert added[BONDED] == pytest.approx(2.57, abs=0.005)


def test_forty_percent_more_gold() -> None:
    """40 % more gold add 121 and 40, and nothing to palladium-silver, base, titanium, zirconia and lithium disilicate."""
    added = risen(asking(0, "gold=+40%"))
    assert added[CAST] == pytest.approx(121, abs=0.5)
    assert added[BONDED] == pytest.approx(40, abs=0.5)
    assert {name: added[name] for name in (WHITE, *BARE)} == dict.fromkeys((WHITE, *BARE), 0.0)


def test_forty_percent_more_palladium() -> None:
    """40 % more palladium add about 13 to 0.97 g of palladium-silver; base, titanium and ceramics stay."""
    added = risen(asking(0, "palladium=+40%"))
    assert added[WHITE] == pytest.approx(13, abs=0.5)
    assert {name: added[name] for name in BARE} == dict.fromkeys(BARE, 0.0)


def test_alloy_of_one_crown() -> None:
    """The full-cast crown carries about 305 of alloy: 2.5 g at 122.12; the alloys' prices are those of the page."""
    found = asking(0)
    prices = dict(
        zip(
            found.model.blocks["alloys"].labels("alloy"),
            found.numbers.of("alloys", "alloy_price_per_g"),
            strict=True,
        )
    )
    assert prices[f"alloy of {CAST}"] == pytest.approx(122.12, abs=0.35)
    assert prices[f"alloy of {BONDED}"] == pytest.approx(102.26, abs=0.35)
    assert prices[f"alloy of {WHITE}"] == pytest.approx(33.41, abs=0.35)
    costs = dict(
        zip(
            found.model.blocks["costs"].labels("material"),
            found.numbers.of("costs", "alloy_cost"),
            strict=True,
        )
    )
    assert costs[CAST] == pytest.approx(305, abs=1)


def test_with_remakes() -> None:
    """With 3.8 % of makes rejected and a tenth of the alloy not credited, each rule grows by 0.038 / 0.962 x 0.1: 7.74 becomes 7.77, 2.57 becomes 2.58, 121 becomes 122."""
    factor = 1 + 0.038 / 0.962 * 0.1
    bare, made_again = per_hundred(asking(0), "gold"), per_hundred(asking(0.038), "gold")
    for name, money in bare.items():
        assert made_again[name] == pytest.approx(money * factor, rel=1e-9)
    assert made_again[CAST] == pytest.approx(7.77, abs=0.005)
    assert made_again[BONDED] == pytest.approx(2.58, abs=0.005)
    assert risen(asking(0.038, "gold=+40%"))[CAST] == pytest.approx(121.8, abs=0.1)
