"""Price paths: moves of the past drawn for all metals together, and the schedule worked out on each."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest
from metal_history import history_of, walk

from feesheet.formula.numbers import Numbers
from feesheet.paths import EXAMPLE
from feesheet.pricing.what_if import price_paths, year
from feesheet.pricing.what_if.history import histories
from feesheet.reading.folder import read_folder
from feesheet.uses.annual_update import Priced, price


@pytest.fixture(scope="module")
def priced() -> Priced:
    """The example, priced, with a year at today's fees."""
    found = price(read_folder(EXAMPLE)[0])[0]
    found.model.add(year.year_block(found.who))
    return found


def test_moves_are_of_days_that_every_metal_has() -> None:
    """A day on which one metal has no window is no day for the others: what moved together stays together."""
    gold, silver = walk("gold", 1, 120), walk("silver", 2, 120, start=30.0)
    silver = [quote for quote in silver if not date(2020, 2, 3) <= quote[0] <= date(2020, 2, 14)]
    found, problems = histories(history_of([*gold, *silver]), ["gold", "silver"], 10)
    moves = price_paths.moves_together(list(found.values()))
    lone, _ = histories(history_of(gold), ["gold"], 10)
    alone = price_paths.moves_together(list(lone.values()))

    assert not problems
    assert 0 < len(moves) < len(alone)
    assert set(moves[:, 0]) < set(alone[:, 0])
    first_gold, first_silver = gold[0][2], silver[0][2]
    assert moves[0] == pytest.approx([gold[7][2] / first_gold, silver[7][2] / first_silver])


def test_a_path_is_a_year_of_holds_without_the_trend() -> None:
    """Moves of 100 days make a year of 365 in three turns and 65 hundredths of one; moves that are all alike are trend alone."""
    up_and_down = np.array([[2.0], [0.5]])
    paths = np.log2(price_paths.drawn(up_and_down, 100, 4000))

    assert set(np.round(paths.ravel(), 9)) == {
        round(turns + last, 9) for turns in (-3, -1, 1, 3) for last in (-0.65, 0.65)
    }
    assert price_paths.drawn(np.array([[1.1, 0.9]] * 2), 30, 3) == pytest.approx(np.ones((3, 2)))
    assert set(np.round(price_paths.drawn(up_and_down, 730, 50).ravel(), 9)) == {
        round(2**0.5, 9),
        round(0.5**0.5, 9),
    }


def test_paths_are_the_same_on_every_run_and_keep_metals_together() -> None:
    """The seed is fixed; where two metals always moved alike, every path moves them alike."""
    rises = np.random.default_rng(5).lognormal(0, 0.05, (200, 1)) * [1.0, 1.0]
    paths = price_paths.drawn(rises, 30)

    assert paths.shape == (price_paths.PATHS, 2)
    assert paths[:, 0] == pytest.approx(paths[:, 1])
    assert np.array_equal(paths, price_paths.drawn(rises, 30))


def test_each_path_is_the_schedule_at_its_prices(priced: Priced) -> None:
    """The money left and the items under target on a path are what the model gives with its prices typed in."""
    multiples = np.array([[1.0, 1.0], [1.4, 0.7], [3.0, 1.0]])
    found = price_paths.outcome(priced.numbers, ["gold", "palladium"], multiples)
    names = priced.model.blocks["metals"].labels("metal")
    under = np.zeros(len(priced.who.items))
    for row, (gold, palladium) in enumerate(multiples):
        prices = np.asarray(priced.numbers.of("metals", "price"), dtype=float).copy()
        prices[names.index("gold")] *= gold
        prices[names.index("palladium")] *= palladium
        typed = Numbers(priced.model)
        typed._done["metals", "price"] = prices
        assert found.prices[row] == pytest.approx(prices[[names.index("gold"), names.index("palladium")]])
        assert found.left[row] == pytest.approx(typed.of("year_items", "left_year").sum(), rel=1e-12)
        under += typed.of("year_items", "under_target")

    assert found.under_target == pytest.approx(under / 3)
    assert found.left[2] < found.left[0]


def test_the_sheet_tells_one_in_twenty(priced: Priced) -> None:
    """Of a hundred paths in order, five are at or under the figure of "5 %"; shares of items are of all paths."""
    left = np.arange(100.0)[::-1].copy()
    shares = np.linspace(0, 1, len(priced.who.items))
    found = price_paths.Outcome(("gold",), left[:, None] + 1000, left, shares, shares / 2)
    block = price_paths._year_block(found, ["silver"])
    items = price_paths._items_block(priced.who, found)

    assert block.labels("what") == ["Price of gold after a year", "Left in a year"]
    assert block.note.endswith("Without a history, at today's price: silver.")
    assert [block.columns[name].values for name in ("at_5", "at_50", "at_95")] == [
        [1004.0, 4.0],
        [1049.0, 49.0],
        [1094.0, 94.0],
    ]
    assert items.columns["paths_under_nought"].values == pytest.approx(list(shares / 2))


def test_an_item_without_a_fee_is_under_nothing(priced: Priced) -> None:
    """What nobody pays for yet has no margin to miss."""
    fees = np.asarray(priced.numbers.of("fee_rules", "current_fee"), dtype=float)
    none = Numbers(priced.model)
    none._done["fee_rules", "current_fee"] = np.where(np.arange(len(fees)) < 3, 0.0, fees)
    found = price_paths.outcome(none, ["gold"], np.array([[20.0]]))

    assert list(found.under_target[:3]) == list(found.under_nought[:3]) == [0.0, 0.0, 0.0]
    assert found.under_target[3:].any() and found.under_nought[3:].any()


def test_too_few_shared_days_give_no_paths(priced: Priced) -> None:
    """Histories that hardly overlap say nothing of metals moving together: it is told, and no sheet is made."""
    gold, silver = walk("gold", 1, 200), walk("silver", 2, 200, start=30.0)
    found, problems = histories(history_of([*gold[:110], *silver[90:]]), ["gold", "silver"], 10)
    told = price_paths.add_price_paths(priced.model, priced.who, list(found.values()), [], 10)

    assert not problems
    assert [problem.kind for problem in told] == ["short history"]
    assert "path_year" not in priced.model.blocks
