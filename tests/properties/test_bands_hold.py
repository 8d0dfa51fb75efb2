"""What must hold of surcharge bands of any items, at any price, for any width."""

from __future__ import annotations

import random
from itertools import pairwise

import pytest
from banded import Sold, added_at, holding, priced_model, typed_over

from feesheet.formula.model import Model
from feesheet.formula.numbers import Numbers
from feesheet.pricing.what_if.bands import add_bands

SEEDS = range(25)


def drawn(seed: int) -> tuple[random.Random, list[Sold], float, Model]:
    """Random items, the metal's price and the model with its bands."""
    rng = random.Random(seed)
    price = round(rng.choice((0.9, 31.0, 78.0, 2400.0, 19000.0)) * rng.uniform(0.8, 1.4), 2)
    items = [
        Sold(
            f"D{n}",
            fee=round(rng.uniform(400, 2500), 2),
            other_cost=rng.uniform(150, 700),
            quantity=rng.uniform(5, 400) / price,
            kept=rng.uniform(0.8, 1),
        )
        for n in range(rng.randint(1, 6))
    ]
    model = priced_model(items, price)
    add_bands(model, "gold", rng.choice((0.002, 0.01, 0.02)), Numbers(model))
    return rng, items, price, model


def margin_at(item: Sold, added: float, price: float) -> float:
    """The item's margin on the full fee with the add-on, in plain numbers."""
    net = (item.fee + added) * item.kept
    return (net - item.other_cost - item.quantity * price) / net


@pytest.mark.parametrize("seed", SEEDS)
def test_margins_move_no_further_than_shown(seed: int) -> None:
    """At any price inside the bands no margin is further from the one at the reference than its band's worst case."""
    rng, items, reference, model = drawn(seed)
    numbers = Numbers(model)
    lows, highs, worst = (numbers.of("bands", name) for name in ("price_from", "price_to", "worst"))

    for _ in range(200):
        price = rng.uniform(lows[0], highs[-1])
        no = holding(numbers, price)
        for item, added in zip(items, added_at(numbers, price), strict=True):
            moved = margin_at(item, float(added), price) - margin_at(item, 0.0, reference)
            assert abs(moved) <= worst[no - 1] + 1e-9


@pytest.mark.parametrize("seed", SEEDS)
def test_the_worst_case_happens(seed: int) -> None:
    """Some item's margin moves as far as the worst case says, at an edge of the band: it is not overstated."""
    _, items, reference, model = drawn(seed)
    numbers = Numbers(model)
    for no, worst in enumerate(numbers.of("bands", "worst"), 1):
        added = numbers.of("band_workings", f"add_on_{no}")
        moved = [
            abs(margin_at(item, float(extra), float(edge)) - margin_at(item, 0.0, reference))
            for item, extra in zip(items, added, strict=True)
            for edge in (numbers.of("bands", "price_from")[no - 1], numbers.of("bands", "price_to")[no - 1])
        ]
        assert max(moved) == pytest.approx(worst, abs=1e-9)


@pytest.mark.parametrize("seed", SEEDS)
def test_bands_hold_unless_it_is_said(seed: int) -> None:
    """Either every band is within the tolerance, or the check says that they do not hold."""
    _, _, _, model = drawn(seed)
    numbers = Numbers(model)
    tolerance = model.settings["band_tolerance"].value
    over = bool((numbers.of("bands", "worst") > tolerance + 1e-12).any())
    assert numbers.of("band_check", "holds")[0] == 1 - over


@pytest.mark.parametrize("seed", SEEDS)
def test_contiguous_for_any_width(seed: int) -> None:
    """Whatever width is typed, each band begins exactly where the one below it ends, and no price falls between."""
    rng, _, reference, model = drawn(seed)
    for _ in range(20):
        numbers = typed_over(model, {"band_width": rng.uniform(0.02, reference / 5)})
        lows, highs = numbers.of("bands", "price_from"), numbers.of("bands", "price_to")
        assert list(lows[1:]) == list(highs[:-1])
        assert all(low < high for low, high in zip(lows, highs, strict=True))
        assert holding(numbers, float(lows[0])) == 1
        assert holding(numbers, float(highs[-1])) == 0


@pytest.mark.parametrize("seed", SEEDS)
def test_at_an_edge_the_higher_band_holds(seed: int) -> None:
    """At exactly an edge the band over it holds, a hair under it the band below."""
    _, _, reference, model = drawn(seed)
    numbers = Numbers(model)
    for no, edge in enumerate(numbers.of("bands", "price_from"), 1):
        assert holding(numbers, float(edge)) == no
        assert holding(numbers, float(edge) - 1e-9 * reference) == no - 1


@pytest.mark.parametrize("seed", SEEDS)
def test_never_at_nought_or_below(seed: int) -> None:
    """As issued the lowest price of the lowest band is above nought, and the reference is inside the band of no add-on."""
    _, _, reference, model = drawn(seed)
    numbers = Numbers(model)
    assert numbers.of("bands", "price_from")[0] > 0
    assert not added_at(numbers, reference).any()
    assert numbers.of("bands", "steps")[holding(numbers, reference) - 1] == 0


@pytest.mark.parametrize("seed", SEEDS)
def test_dearer_metal_never_adds_less(seed: int) -> None:
    """From band to band upward no item's add-on falls."""
    _, _, _, model = drawn(seed)
    numbers = Numbers(model)
    rows = [
        numbers.of("band_workings", f"add_on_{no}") for no in range(1, len(numbers.of("bands", "no")) + 1)
    ]
    for lower, higher in pairwise(rows):
        assert (higher >= lower).all()
