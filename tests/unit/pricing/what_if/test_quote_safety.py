"""Quote safety: the rise by history and by formula, the test on windows held back, weights, and the buffer of each item."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise, product
from pathlib import Path
from statistics import NormalDist, stdev
from typing import Any

import numpy as np
import pytest
from metal_history import Quote, every, history_of, walk
from opened_book import OpenedBook
from outside_engine import recalculated
from practices import random_practice, write_practice
from quoted import MEANS, Casting, Weighed, at_level, quoted, small_model
from recalculated.engines import by_formualizer, by_ironcalc, by_libreoffice, poisoned
from recalculated.expected import alike, expected
from scipy.stats import binomtest
from written_books import written

from feesheet.formula.model import Model
from feesheet.formula.numbers import Numbers
from feesheet.formula.words import words
from feesheet.pricing.what_if import safety_figures as figures
from feesheet.pricing.what_if import safety_words as said
from feesheet.pricing.what_if.exposure import HIDDEN
from feesheet.pricing.what_if.quote_safety import add_quote_safety
from feesheet.problems import Problem

HOLD = 20

CROWN = Casting("CR-A", (("gold", 200.0), ("palladium", 50.0)))
INLAY = Casting("CR-B", (("gold", 80.0), ("silver", 2.0)), fee=900.0)
ALL_IN = Casting("CR-C", (("gold", 120.0),), billed=HIDDEN, site="Harbour")

QUOTES = [*walk("gold", 1, 400), *walk("palladium", 2, 300, 1000.0, 0.02)]

LINES = [
    *(Weighed(2.0 * ratio) for ratio in (0.7, 0.8, 0.85, 0.9, 0.95, 1.0, 1.0, 1.05, 1.1, 1.2)),
    *(
        Weighed(6.0 * ratio, units=2.0, pool=2)
        for ratio in (0.9, 1.0, 1.0, 1.0, 1.05, 1.1, 1.15, 1.3, 1.4, 1.5)
    ),
]
"""Twenty weighed lines of two pools with the means 2 and 3 g."""


def safe(
    quotes: Sequence[Quote] = QUOTES,
    castings: Sequence[Casting] = (CROWN, INLAY, ALL_IN),
    weighed: Sequence[Weighed] = LINES,
    metals: Sequence[str] = ("gold", "palladium"),
    hold_days: int = HOLD,
) -> tuple[Model, list[Problem]]:
    """The small model with quote safety."""
    model = small_model(castings, weighed)
    return model, add_quote_safety(model, history_of(quotes), list(metals), hold_days)


def made(**given: Any) -> Model:
    """The same, with nothing to complain of."""
    model, problems = safe(**given)
    assert problems == []
    return model


def of(model: Model, column: str, block: str = "quote_safety") -> list[Any]:
    """One column of a block."""
    return list(Numbers(model).of(block, column))


def figures_of(model: Model, column: str) -> list[float]:
    """The numbers of a column of the price history, words left out."""
    return [
        value for value in of(model, column, "price_history") if isinstance(value, float) and value == value
    ]


def by_hand(prices: Sequence[float], days: Sequence[Any], hold: int) -> list[float]:
    """Every rise over the hold, with nothing but a loop."""
    rises = []
    for start, day in enumerate(days):
        ends = [n for n, other in enumerate(days) if n > start and (other - day).days <= hold]
        if ends and hold - (days[ends[-1]] - day).days <= 4:
            rises.append(prices[ends[-1]] / prices[start] - 1)
    return rises


@pytest.mark.parametrize("level", [0.5, 0.9, 0.95, 0.999])
def test_the_historical_rise_is_not_passed_by_the_chosen_share(level: float) -> None:
    """The smallest rise with at least that share of all rises at or under it, found by counting."""
    model = made()
    days, _, prices = zip(*QUOTES[:400], strict=True)
    rises = by_hand(prices, days, HOLD)
    enough = [rise for rise in rises if sum(other <= rise for other in rises) >= level * len(rises) - 1e-9]

    assert figures_of(model, "rise_1") == pytest.approx(rises, abs=1e-12)
    assert of(at_level(model, level), "historical_rise")[0] == pytest.approx(min(enough), abs=1e-12)


@pytest.mark.parametrize(
    ("level", "count", "place"),
    [(0.95, 20, 19), (0.95, 21, 20), (0.07, 100, 7), (0.29, 100, 29), (0.5, 1, 1)],
)
def test_the_place_is_not_moved_by_binary_fractions(level: float, count: int, place: int) -> None:
    """0.07 × 100 is 7.000000000000001 in binary and still the seventh."""
    assert figures.place(level, count) == place


def test_the_parametric_rise() -> None:
    """exp(z × s × √n) - 1, with the sample deviation of the log returns and the returns that a hold has; no drift."""
    model = made()
    prices, days = [quote[2] for quote in QUOTES[:400]], [quote[0] for quote in QUOTES[:400]]
    logs = [math.log(after / before) for before, after in pairwise(prices)]
    mean_days = (days[-1] - days[0]).days / 399
    wanted = math.exp(NormalDist().inv_cdf(0.95) * stdev(logs) * math.sqrt(HOLD / mean_days)) - 1

    assert figures_of(model, "return_1") == pytest.approx(logs, abs=1e-14)
    assert of(model, "sd")[0] == pytest.approx(stdev(logs))
    assert of(model, "periods")[0] == pytest.approx(HOLD / mean_days)
    assert of(model, "parametric_rise")[0] == pytest.approx(wanted)


def test_a_steady_rise_is_no_drift() -> None:
    """Prices that rise evenly have no spread: the parametric rise is nought, the historical one is what was seen."""
    model = made(quotes=every(1, "gold", [100 * 1.001**n for n in range(80)]), metals=["gold"])

    assert of(model, "parametric_rise")[0] == pytest.approx(0, abs=1e-9)
    assert of(model, "historical_rise")[0] == of(model, "rise_used")[0] == pytest.approx(1.001**20 - 1)


def test_the_two_ways_are_named_side_by_side() -> None:
    """Both stand in the table under their names, and the larger is used for each metal."""
    model = made()
    block = model.blocks["quote_safety"]
    names = list(block.columns)
    rises = list(zip(of(model, "historical_rise"), of(model, "parametric_rise"), strict=True))

    assert names.index("parametric_rise") == names.index("historical_rise") + 1
    assert block.columns["historical_rise"].heading == "Rise, historical simulation"
    assert block.columns["parametric_rise"].heading == "Rise, parametric"
    assert of(model, "rise_used") == [max(pair) for pair in rises]


def test_the_trigger_is_on_the_inputs_price() -> None:
    """Price again when the metal passes its present price plus the rise; the history's own prices don't matter."""
    model = made()
    rises = of(model, "rise_used")

    assert of(model, "reprice_at") == pytest.approx([4000 * (1 + rises[0]), 1200 * (1 + rises[1])])
    assert of(model, "unit") == ["troy ounce", "troy ounce"]


def test_gaps_are_blank() -> None:
    """A day on which only another metal has a quote is blank; a step over a gap has neither return nor rise."""
    prices = [100.0 + n % 3 for n in range(120)]
    prices[50:60] = [math.nan] * 10
    model = made(
        quotes=[*every(1, "gold", prices), *every(1, "palladium", [50.0 + n % 2 for n in range(120)])]
    )
    given, returns, rises = (of(model, f"{name}_1", "price_history") for name in ("price", "return", "rise"))

    assert len(given) == 120 and all(math.isnan(price) for price in given[50:60])
    assert returns[0] == "" and returns[50:61] == [""] * 11 and isinstance(returns[61], float)
    assert rises[34:40] == [""] * 6 and isinstance(rises[33], float) and isinstance(rises[40], float)
    assert of(model, "gaps") == [1, 0] and of(model, "quotes") == [110, 120]


def test_the_test_on_windows_held_back() -> None:
    """The first half's rise is held against windows of the second half that do not overlap, by an exact interval."""
    quotes = walk("gold", 5, 1200)
    model = made(quotes=quotes, metals=["gold"])
    early = sorted(figures_of(model, "early_rise_1"))
    held = figures_of(model, "held_back_rise_1")
    limit = early[math.ceil(0.95 * len(early)) - 1]
    passed = sum(rise > limit for rise in held)
    exact = binomtest(passed, len(held)).proportion_ci(0.95, method="exact")
    (low,), (high,) = of(model, "interval_low"), of(model, "interval_high")

    assert of(model, "early_rise") == [limit]
    assert (of(model, "early"), of(model, "held_back")) == ([len(early)], [len(held)])
    assert of(model, "passed") == [passed] and 0 < passed < len(held) and len(held) >= 20
    assert (low, high) == pytest.approx((exact.low, exact.high), rel=1e-9)
    assert low <= 1 - 0.95 <= high and high >= 2 * (1 - 0.95)
    assert of(model, "outcome") == [said.TOO_FEW]


@pytest.mark.parametrize(("passed", "count"), [(0, 1), (0, 40), (1, 40), (7, 40), (40, 40), (3, 500), (1, 1)])
def test_the_interval_is_clopper_and_pearsons(passed: int, count: int) -> None:
    """As another program has it, at both ends and between."""
    exact = binomtest(passed, count).proportion_ci(0.95, method="exact")

    assert figures.interval_low(passed, count) == pytest.approx(exact.low, rel=1e-9)
    assert figures.interval_high(passed, count) == pytest.approx(exact.high, rel=1e-9)


def test_a_second_half_of_another_kind_is_told() -> None:
    """Calm prices first and wild ones after: the test says that it is not as expected."""
    calm, wild = walk("gold", 1, 600, daily=0.001), walk("gold", 3, 1200, daily=0.03)
    prices = [quote[2] for quote in calm] + [calm[-1][2] * quote[2] / wild[599][2] for quote in wild[600:]]
    quotes = [(quote[0], "gold", price) for quote, price in zip(wild, prices, strict=True)]

    assert of(made(quotes=quotes, metals=["gold"]), "outcome") == [said.OUTSIDE]


def test_too_short_to_test() -> None:
    """Enough for a figure and not for a test: no window is held back, nothing is claimed."""
    model = made(quotes=every(1, "gold", [100.0 + n % 4 for n in range(75)]), metals=["gold"])

    assert of(model, "held_back") == of(model, "passed") == of(model, "passed_share") == [0]
    assert of(model, "outcome") == [said.TOO_SHORT]


def test_weights_over_the_mean() -> None:
    """Grams a unit over the pool's own mean, ranked; the one at the level, less 1. Units of a bridge share its grams."""
    model = made()
    ratios = sorted(line.grams / line.units / MEANS[line.pool - 1] for line in LINES)

    assert sorted(of(model, "grams_over_mean", "gram_spread")) == pytest.approx(ratios)
    assert (
        of(model, "weight_over", "weight_safety") == [pytest.approx(ratios[18] - 1)] == [pytest.approx(0.4)]
    )
    assert of(model, "weight_basis", "weight_safety") == [said.OWN_LINES]


def test_few_weighings_count_as_nothing() -> None:
    """Nine lines say nothing of a spread: nought, and it says so; none at all likewise. Ten are enough."""
    for lines in (LINES[11:], []):
        model = made(weighed=lines)
        assert of(model, "weight_over", "weight_safety") == [0]
        assert of(model, "weight_basis", "weight_safety") == [said.FEW_LINES]
        assert of(model, "buffer", "quote_buffers") == of(model, "price_part", "quote_buffers")
    assert of(made(weighed=LINES[10:]), "weight_over", "weight_safety") == [pytest.approx(0.5)]


def test_light_castings_take_nothing_off() -> None:
    """At a level that the mean itself passes the weight adds nought: a buffer never shrinks under the price part."""
    model = at_level(made(weighed=[Weighed(1.9)] * 8 + [Weighed(2.4)] * 2), 0.5)

    assert of(model, "ratio_at_place", "weight_safety") == [0.95]
    assert of(model, "weight_over", "weight_safety") == [0]


def test_lines_that_say_nothing_of_weights_are_left_out() -> None:
    """Credits, lines without units, outside the window or without a tooth region are not ranked."""
    odd = [
        Weighed(-2.0, -1.0),
        Weighed(-2.0),
        Weighed(9.0, 0.0),
        Weighed(9.0, counts=0),
        Weighed(9.0, pool=0),
    ]

    assert model_rows(made(weighed=[*odd, *LINES])) == [*range(6, 26)]


def model_rows(model: Model) -> list[int]:
    """The alloy lines that are ranked."""
    return [int(row) for row in of(model, "alloy_line_no", "gram_spread")]


def test_the_buffer_of_each_item() -> None:
    """Its metals' costs times their rises, its alloy times the weight over the mean, and the root of both squared."""
    model = made()
    gold, palladium = of(model, "rise_used")
    prices = [200 * gold + 50 * palladium, 80 * gold, 120 * gold]
    weights = [250 * 0.4, 82 * 0.4, 0.0]
    buffers = [math.hypot(*pair) for pair in zip(prices, weights, strict=True)]

    assert of(model, "price_part", "quote_buffers") == pytest.approx(prices)
    assert of(model, "weight_part", "quote_buffers") == pytest.approx(weights)
    assert of(model, "buffer", "quote_buffers") == pytest.approx(buffers)
    assert of(model, "buffer_share", "quote_buffers") == pytest.approx(
        [buffers[0] / 1200, buffers[1] / 900, buffers[2] / 1200]
    )
    assert of(model, "current_fee", "quote_buffers") == [1200, 900, 1200]
    assert of(model, "unit_cost", "quote_buffers") == [700, 700, 700]


def test_a_metal_without_a_figure_is_shown_as_such() -> None:
    """Silver has no history: it adds nothing, and the share of the alloy that has a rise says so."""
    model, problems = safe(metals=("gold", "silver"))

    assert [problem.kind for problem in problems] == ["short history"]
    assert of(model, "metal") == ["Gold"]
    assert of(model, "alloy_cost", "quote_buffers") == pytest.approx([250, 82, 120])
    assert of(model, "with_rise", "quote_buffers") == pytest.approx([200, 80, 120])


def test_an_item_without_a_fee_has_no_share() -> None:
    """A buffer is no share of nothing."""
    model = made(castings=[Casting("CR-N", (("gold", 100.0),), fee=0.0)])

    assert of(model, "buffer_share", "quote_buffers") == [0] and of(model, "buffer", "quote_buffers")[0] > 0


@pytest.mark.parametrize("level", [0.9, 0.95])
def test_root_of_squares_against_every_pairing(level: float) -> None:
    """The stated approximation lies within a tenth of the exact figure: all rises paired with all weights.

    Exact is the extra cost that the chosen share of pairings does not pass, the product of both included. The mean rise
    of the history is close to nought, as the parametric figure assumes.
    """
    model = at_level(made(quotes=walk("gold", 8, 900), castings=[Casting("CR", (("gold", 100.0),))],
                          weighed=spread(), metals=["gold"]), level)  # fmt: skip
    rises = figures_of(model, "rise_1")
    ratios = of(model, "grams_over_mean", "gram_spread")
    extra = sorted(100 * ((1 + rise) * ratio - 1) for rise, ratio in product(rises, ratios))
    exact = extra[math.ceil(level * len(extra)) - 1]
    price, weight = 100 * of(model, "historical_rise")[0], of(model, "weight_part", "quote_buffers")[0]

    assert min(price, weight) > 5
    assert math.hypot(price, weight) == pytest.approx(exact, rel=0.1)
    assert price + weight > exact > max(price, weight)


def spread() -> list[Weighed]:
    """Sixty castings about a mean of 2 g."""
    ratios = np.random.default_rng(4).normal(1.0, 0.08, 60)
    return [Weighed(2.0 * float(ratio / ratios.mean())) for ratio in ratios]


@pytest.mark.parametrize("level", [0.8, 0.95, 0.99])
def test_another_level_recalculates(level: float) -> None:
    """An outside engine, which knows no figure beforehand, comes to the same at every level typed over."""
    short = [*walk("gold", 1, 130), *walk("palladium", 2, 100, 1000.0, 0.02)]
    model = at_level(made(quotes=short), level)
    assert min(of(model, "held_back")) > 0
    for block in ("quote_safety", "weight_safety", "quote_buffers"):
        for name, column in model.blocks[block].columns.items():
            if column.values is None:
                ours, theirs = of(model, name, block), recalculated(model, block, name)
                assert all(alike(*pair) for pair in zip(ours, theirs, strict=True)), (name, ours, theirs)


def test_a_higher_level_never_lowers_a_figure() -> None:
    """Rises, triggers and buffers grow with the level."""
    model = made()
    for block, column in (("quote_safety", "historical_rise"), ("quote_safety", "reprice_at"),
                          ("weight_safety", "weight_over"), ("quote_buffers", "buffer")):  # fmt: skip
        at = [of(at_level(model, level), column, block) for level in (0.5, 0.8, 0.95, 0.999)]
        assert all(low <= high for lower, higher in pairwise(at)
                   for low, high in zip(lower, higher, strict=True))  # fmt: skip


def test_what_can_be_no_hold_and_no_metal() -> None:
    """A hold under a day and a metal without a price are told; without any usable metal nothing is added."""
    for given, kind in (({"hold_days": 0}, "out of range"), ({"metals": ["platinum"]}, "no price"),
                        ({"metals": ["rhodium"]}, "no price"), ({"metals": ["silver"]}, "short history")):  # fmt: skip
        model, problems = safe(**given)
        assert [problem.kind for problem in problems] == [kind]
        assert "quote_safety" not in model.blocks and "safety_level" not in model.settings


def test_the_level_is_an_input_and_the_hold_a_fact() -> None:
    """The level may be typed over within its limits; the hold stands in the titles."""
    model = made()
    level = model.settings["safety_level"]

    assert (level.value, level.low, level.high, level.fixed) == (0.95, 0.5, 0.999, False)
    assert f"{HOLD} days" in model.blocks["quote_safety"].title
    assert f"{HOLD} days" in model.blocks["price_history"].title


def test_every_calculation_can_be_said() -> None:
    """Each column has a heading of its own, a meaning where it is worked out, and words for the method page."""
    model = made()
    for name in (
        "price_history",
        "quote_safety",
        "gram_spread",
        "weight_safety",
        "quote_parts",
        "quote_buffers",
    ):
        block = model.blocks[name]
        headings = [column.heading for column in block.columns.values()]
        assert len(set(headings)) == len(headings)
        for column in block.columns.values():
            for tree in (column.tree, *column.trees):
                assert tree is None or words(tree, block, model)


def test_what_a_history_cant_tell_is_on_the_sheet() -> None:
    """One path, moves of another kind, windows that overlap, no drift, and what a plan can't take."""
    text = " ".join(of(made(), "note", "safety_notes"))

    for part in (
        "one path",
        "does not hold",
        "overlap",
        "No drift",
        "allowed amount",
        "rose together",
        "square root",
    ):
        assert part in text


def test_a_written_book_recalculates(tmp_path: Path, request: pytest.FixtureRequest) -> None:
    """With every cached value made wrong, three outside engines come to the program's figures on both sheets."""
    practice = write_practice(
        random_practice(12, sites=1, materials=4, lines=200, plans=1), tmp_path / "practice"
    )
    quotes = [*QUOTES, *walk("platinum", 6, 200, 950.0, 0.015)]
    schedule, problems = quoted(practice, history_of(quotes), HOLD)
    book = written(schedule, tmp_path / "book.xlsx")
    opened, bad = OpenedBook(book), poisoned(book, tmp_path / "poisoned.xlsx")[0]
    ours = {cell: value for cell, value in expected(schedule, opened).items()
            if cell[0] in ("Quote safety", "Price history") and cell[1] > 3}  # fmt: skip

    assert [problem.what[:19] for problem in problems] == ["Silver has no quote"]
    assert len(ours) > 3000 and schedule.numbers.of("weight_safety", "weight_over")[0] > 0
    assert max(schedule.numbers.of("quote_buffers", "weight_part")) > 0
    request.getfixturevalue("libreoffice")
    for found in (by_formualizer(bad, opened), by_ironcalc(bad, opened), by_libreoffice([bad], tmp_path)[0]):
        assert [cell for cell, value in ours.items() if not alike(value, found.get(cell))] == []
