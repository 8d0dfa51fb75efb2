"""Surcharge bands: where they lie, what they add, how wide they are chosen, and what is said when they can't hold."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from banded import Sold, add_metal_items, added_at, holding, priced_model, typed_over
from outside_engine import recalculated

from feesheet.formula.model import Model
from feesheet.formula.numbers import Numbers
from feesheet.pricing.inputs import input_rows
from feesheet.pricing.what_if import bands_words
from feesheet.pricing.what_if.bands import add_bands, band_lines
from feesheet.pricing.what_if.defaults import TOLERANCE
from feesheet.problems import Problem

CAST = Sold("A1", fee=1500.0, other_cost=450.0, quantity=1 / 16)
"""At gold of 2,400 a unit costs 450 + 150 = 600, so 375 of the fee of 1,500 pay for the gold."""
ONLAY = Sold("A2", fee=1200.0, other_cost=400.0, quantity=0.03)


def banded(
    *items: Sold, price: float = 2400.0, tolerance: float = TOLERANCE, digits: int = 2
) -> tuple[Model, Numbers, list[Problem]]:
    """The model with bands of gold, its figures and what was said."""
    model = priced_model(items, price, digits)
    problems = add_bands(model, "Gold", tolerance, Numbers(model))
    return model, Numbers(model), problems


def shown(numbers: Numbers, block: str, column: str) -> list[Any]:
    """One column as a list."""
    return list(numbers.of(block, column))


def test_worked_by_hand() -> None:
    """Gold from 2,525 to under 2,775: 375 x 250 / 2,400 = 39.06, so 39; at 2,775 the margin is 0.53 points lower."""
    model, numbers, problems = banded(CAST)
    no = holding(numbers, 2650.0)

    assert problems == []
    assert (no, model.settings["band_width"].value) == (6, 250.0)
    assert numbers.of("bands", "price_from")[no - 1] == 2525.0
    assert numbers.of("bands", "price_to")[no - 1] == 2775.0
    assert shown(numbers, "band_workings", "add_on_6") == [39.0]
    before = (1500 * 0.97 - 600) / (1500 * 0.97)
    cost_up, cost_down = 450 + 150 * 2775 / 2400, 450 + 150 * 2525 / 2400
    after = (1539 * 0.97 - cost_up) / (1539 * 0.97)
    below = (1539 * 0.97 - cost_down) / (1539 * 0.97)
    assert after - before == pytest.approx(-0.00525, abs=5e-6)
    assert numbers.of("band_workings", "change_high_6")[0] == pytest.approx(after - before, abs=1e-14)
    assert numbers.of("band_workings", "change_low_6")[0] == pytest.approx(below - before, abs=1e-14)
    assert numbers.of("bands", "worst")[5] == pytest.approx(before - after, abs=1e-14)


def test_nine_bands_one_width_apart() -> None:
    """Four bands under the one around the reference and four over it, each beginning where the one below ends."""
    _, numbers, _ = banded(CAST)
    lows, highs = shown(numbers, "bands", "price_from"), shown(numbers, "bands", "price_to")

    assert lows == [1275 + 250 * n for n in range(9)]
    assert highs == [*lows[1:], 3525.0]
    assert shown(numbers, "bands", "steps") == list(range(-4, 5))
    assert shown(numbers, "bands", "action") == ["take off"] * 4 + ["no add-on"] + ["add"] * 4
    assert shown(numbers, "bands", "middle") == [1400 + 250 * n for n in range(9)]


def test_the_widest_that_holds() -> None:
    """Bands of 500 would move the margin by 1.374 points, in the lowest at 650: 1.38 points allow them, 1.37 do not."""
    taken_off = 313  # 375 x 2,000 / 2,400 = 312.5, halves away from nought
    net, cost = (1500 - taken_off) * 0.97, 450 + 150 * 650 / 2400
    moved = (net - cost) / net - (1500 * 0.97 - 600) / (1500 * 0.97)
    assert moved == pytest.approx(-0.01374, abs=5e-6)

    assert banded(CAST, tolerance=0.0137)[0].settings["band_width"].value == 250.0
    model, numbers, problems = banded(CAST, tolerance=0.0138)
    assert (model.settings["band_width"].value, problems) == (500.0, [])
    assert numbers.of("bands", "worst").max() == pytest.approx(-moved, abs=1e-14)


def test_every_item_must_hold() -> None:
    """An item with more gold in its cost makes the bands narrower for all."""
    heavy = Sold("A3", fee=900.0, other_cost=200.0, quantity=0.125)
    assert banded(CAST, heavy)[0].settings["band_width"].value < 250.0


def test_the_worst_case_is_the_worst_item_s() -> None:
    """A band's worst case is that of the item that moves most, at the edge where it does."""
    _, numbers, _ = banded(ONLAY, CAST)
    for no, worst in enumerate(numbers.of("bands", "worst"), 1):
        changes = [numbers.of("band_workings", f"change_{edge}_{no}") for edge in ("low", "high")]
        assert worst == max(abs(float(change)) for both in changes for change in both)
    assert shown(numbers, "bands", "within") == [1.0] * 9


def test_no_band_reaches_nought() -> None:
    """Where four widths under the reference would pass nought there are fewer lower bands, and as many upper ones."""
    model, numbers, problems = banded(CAST, tolerance=0.05)

    assert problems == []
    assert model.settings["band_width"].value == 1000.0
    assert shown(numbers, "bands", "steps") == [-1, 0, 1, 2, 3, 4]
    assert shown(numbers, "bands", "price_from")[0] == 900.0
    assert "band_6" in model.blocks["add_ons"].columns
    assert "band_7" not in model.blocks["add_ons"].columns
    headings = [model.blocks["add_ons"].columns[f"band_{no}"].heading for no in (1, 2, 3)]
    assert headings == ["Band 1", "Band 2, no add-on", "Band 3"]


def test_prices_of_any_size() -> None:
    """Yen a gram get whole-yen bands, a cheap metal's bands are to the cent."""
    yen = [
        replace(CAST, fee=150000.0, other_cost=45000.0, quantity=0.7),
        replace(ONLAY, fee=90000.0, other_cost=30000.0, quantity=0.5),
    ]
    model, numbers, _ = banded(*yen, price=21000.0, digits=0)
    width = model.settings["band_width"].value
    assert width in (100, 200, 250, 500, 1000, 2000, 2500, 5000, 10000)
    assert numbers.of("bands", "worst").max() <= 0.01
    assert all(price == int(price) for price in numbers.of("bands", "price_from"))
    model, numbers, _ = banded(replace(CAST, quantity=100.0), price=0.87)
    assert 0.01 <= model.settings["band_width"].value <= 0.1
    assert all(round(price, 2) == price for price in numbers.of("bands", "price_from"))


def test_no_band_is_narrower_than_a_coin() -> None:
    """At five cents the narrowest bands are a cent wide, however small the tolerance."""
    model, _, problems = banded(replace(CAST, quantity=3000.0), price=0.05, tolerance=0.0001)
    assert model.settings["band_width"].value == 0.01
    assert [problem.kind for problem in problems] == ["caution"]


def test_add_ons_are_on_their_step() -> None:
    """A step that is typed over rounds the add-ons anew, halves away from nought on both sides."""
    model, _, _ = banded(CAST)
    fives = typed_over(model, {"band_step": 5.0})
    assert shown(fives, "band_workings", "add_on_6") == [40.0]
    halves = typed_over(model, {"band_width": 249.6, "band_step": 2.0})  # 375 x 249.6 / 2,400 = 39
    assert shown(halves, "band_workings", "add_on_6") == [40.0]
    assert shown(halves, "band_workings", "add_on_4") == [-40.0]


def test_none_narrow_enough() -> None:
    """Where rounding alone goes over the tolerance the narrowest bands stand, the item is named, and the check says no."""
    cheap = Sold("B1", fee=20.0, other_cost=9.0, quantity=0.0002, site="South")
    model, numbers, problems = banded(CAST, cheap, tolerance=0.0001)

    assert [problem.kind for problem in problems] == ["caution"]
    assert "B1 at South" in problems[0].what
    assert "bands of 10 " in problems[0].what
    assert model.settings["band_width"].value == 10.0
    assert shown(numbers, "band_check", "said") == [bands_words.HOLDS_NOT]
    assert any("over the tolerance" in line for line in band_lines(numbers, model))


def test_only_those_in_the_way_are_named() -> None:
    """An item that holds is not blamed."""
    cheap = Sold("B1", fee=20.0, other_cost=9.0, quantity=0.0002)
    (problem,) = banded(Sold("C1", 3000.0, 900.0, 0.001), cheap, tolerance=0.0001)[2]
    assert "B1 at North" in problem.what
    assert "C1" not in problem.what


def test_the_check_lives() -> None:
    """A width that is too wide, or takes the lowest band to nought, fails the check; a narrower one passes."""
    model, numbers, _ = banded(CAST)

    assert shown(numbers, "band_check", "said") == [bands_words.HOLDS]
    for width, holds in ((250.0, 1.0), (100.0, 1.0), (350.0, 1.0), (400.0, 0.0)):
        assert shown(typed_over(model, {"band_width": width}), "band_check", "holds") == [holds]
    loose = {"band_width": 600.0, "band_tolerance": 0.5}
    assert shown(typed_over(model, loose), "band_check", "lowest_price") == [-300.0]
    assert shown(typed_over(model, loose), "band_check", "holds") == [0.0]


def test_the_tolerance_itself_is_within() -> None:
    """A margin that moves by exactly the tolerance holds."""
    model, numbers, _ = banded(CAST)
    worst = round(float(numbers.of("bands", "worst").max()), 12)
    exact, under = (typed_over(model, {"band_tolerance": tolerance}) for tolerance in (worst, worst - 1e-11))
    assert shown(exact, "bands", "within") == [1.0] * 9
    assert shown(exact, "band_check", "holds") == [1.0]
    assert 0.0 in shown(under, "bands", "within")


def test_the_reference_is_the_price_on_the_inputs_sheet() -> None:
    """A price that is typed over moves the bands: at the new one nothing is added."""
    model, _, _ = banded(CAST)
    prices = model.blocks["metals"].columns["price"]
    model.blocks["metals"].columns["price"] = replace(prices, values=[0.0, 2600.0])
    numbers = Numbers(model)
    assert shown(numbers, "bands", "middle")[4] == 2600.0
    assert list(added_at(numbers, 2600.0)) == [0.0]


def test_items_without_a_fee_are_told() -> None:
    """An item without a current fee is left out and named; the others keep the practice's own order."""
    _, numbers, problems = banded(ONLAY, replace(CAST, code="A9", fee=0.0), CAST)

    assert [problem.kind for problem in problems] == ["no current fee"]
    assert "A9 at North" in problems[0].what
    assert shown(numbers, "add_ons", "code") == ["", "", "A2", "A1"]
    assert shown(numbers, "band_workings", "item_no") == [1, 3]


def test_only_items_with_the_metal() -> None:
    """Rows of another metal are in no band, though the same item holds it."""
    model = priced_model([CAST, ONLAY], 2400.0)
    add_metal_items(model, [(2, 1, 3.0), (2, 2, 0.03), (1, 1, 4.0), (1, 2, 1 / 16)])
    add_bands(model, "gold", TOLERANCE, Numbers(model))
    numbers = Numbers(model)
    assert shown(numbers, "add_ons", "code") == ["", "", "A1", "A2"]
    assert shown(numbers, "band_workings", "metal_cost") == [150.0, 72.0]


def test_the_printed_table() -> None:
    """The bands' prices stand in the same columns as the add-ons under them."""
    _, numbers, _ = banded(CAST, ONLAY)

    assert shown(numbers, "add_ons", "description") == [
        *("Price from", "Price to, under", "Crown A1", "Crown A2"),
    ]
    for no in range(1, 10):
        low, high, *added = shown(numbers, "add_ons", f"band_{no}")
        assert low == numbers.of("bands", "price_from")[no - 1]
        assert high == numbers.of("bands", "price_to")[no - 1]
        assert added == shown(numbers, "band_workings", f"add_on_{no}")


@pytest.mark.parametrize(
    ("metal", "price", "tolerance", "kind", "said"),
    [
        ("rhodium", 2400.0, 0.01, "unknown name", '"rhodium" is none of'),
        ("gold", 0.0, 0.01, "out of range", "Gold has no price"),
        ("gold", -5.0, 0.01, "out of range", "Gold has no price"),
        ("gold", float("nan"), 0.01, "out of range", "Gold has no price"),
        ("gold", 2400.0, 0.0, "out of range", "within 0"),
        ("gold", 2400.0, 1.0, "out of range", "within 1"),
        ("gold", 2400.0, float("nan"), "out of range", "within nan"),
    ],
)
def test_refused(metal: str, price: float, tolerance: float, kind: str, said: str) -> None:
    """A metal that nobody quotes, a price of nothing and a tolerance of nothing are refused; nothing is added."""
    model = priced_model([CAST], price)
    blocks, settings = set(model.blocks), set(model.settings)
    (problem,) = add_bands(model, metal, tolerance, Numbers(model))

    assert (problem.kind, problem.severity) == (kind, "error")
    assert said in problem.what
    assert (set(model.blocks), set(model.settings)) == (blocks, settings)
    assert band_lines(Numbers(model), model) == []


def test_no_item_to_band() -> None:
    """Where no item with a fee holds the metal, that is said and nothing is added."""
    model, _, problems = banded(replace(CAST, fee=0.0))
    assert [problem.kind for problem in problems] == ["no current fee", "unknown name"]
    assert "bands" not in model.blocks


def test_settings_may_be_typed_over() -> None:
    """Tolerance, step and width stand on the Inputs sheet within their limits; the half of a band does not."""
    model, _, _ = banded(CAST, tolerance=0.01)
    rows = {row.setting: row for row in input_rows(model) if row.setting.startswith("band_")}

    assert {name: row.value for name, row in rows.items()} == {
        "band_tolerance": 0.01,
        "band_step": 1.0,
        "band_width": 250.0,
    }
    assert all(row.low <= row.value <= row.high for row in rows.values())


def test_formulas_come_to_the_same() -> None:
    """An outside spreadsheet engine works every figure of the bands out alike."""
    model, numbers, _ = banded(CAST, ONLAY, price=2387.35)
    for block in ("bands", "band_check", "add_ons", "band_moves", "band_workings"):
        for column in model.blocks[block].columns:
            found, expected = recalculated(model, block, column), shown(numbers, block, column)
            if all(isinstance(value, str) for value in expected):
                assert found == expected
            else:
                assert found == pytest.approx(expected, abs=1e-9), f"{block}.{column}"


def test_the_screen_s_table() -> None:
    """One line a band with its prices, its add-ons from the least to the most and its worst case."""
    model, numbers, _ = banded(CAST, ONLAY)
    lines = band_lines(numbers, model)

    assert lines[0] == "Bands of the gold price, per troy ounce"
    assert lines[6] == (
        "6  from 2,525.00 to under 2,775.00: +19.00 to +39.00; margins move by 0.53 points at most"
    )
    assert lines[5].startswith("5  from 2,275.00 to under 2,525.00: no add-on; ")
    assert lines[10:] == [
        bands_words.HOLDS,
        bands_words.EDGE_RULE,
        bands_words.WHO_PAYS,
        bands_words.FULL_FEE,
        bands_words.PLANS,
    ]
