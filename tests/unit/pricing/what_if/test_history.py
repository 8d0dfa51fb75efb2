"""A price history made ready: one unit, gaps that stay gaps, jumps that are asked about, and which quotes lie a hold apart."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from math import nan

import numpy as np
import pandas as pd
import pytest
from metal_history import Quote, every, history_of, walk

from feesheet.pricing.what_if.history import History, histories, up_to_pricing
from feesheet.pricing.what_if.windows import windows_of
from feesheet.problems import FEW, KINDS, Problem, as_text
from feesheet.reference import fixed

FLAT = every(1, "gold", [100.0] * 60)


def usable(quotes: list[Quote], metal: str = "gold", hold_days: int = 5) -> History:
    """The one metal's history, which nothing is wrong with."""
    found, problems = histories(history_of(quotes), [metal], hold_days)
    assert problems == []
    return found[metal]


def refused(quotes: list[Quote], hold_days: int = 5, confirmed: bool = True) -> list[Problem]:
    """What is wrong with the history of gold, which is left out."""
    found, problems = histories(history_of(quotes, confirmed), ["gold"], hold_days)
    assert found == {} and problems
    return problems


def jumping(price: float, confirmed: bool = False) -> list[Quote]:
    """A flat history in which the price of the last day is another."""
    return [*FLAT, (date(2026, 3, 2), "gold", price, "troy ounce", confirmed)]


def test_quotes_are_put_in_order() -> None:
    """Rows may stand in any order; the rows of the table are kept."""
    quotes = walk("gold", 1, 60)
    history = usable(quotes[::-1])

    assert history.prices.tolist() == pytest.approx([quote[2] for quote in quotes])
    assert history.rows.tolist() == list(range(59, -1, -1))
    assert (np.diff(history.days) > np.timedelta64(0)).all()


def test_other_units_are_converted_by_their_grams() -> None:
    """Prices are in the unit of the latest quote, 31.1034768 g for a troy ounce; the other units are named."""
    grams = [(day, metal, 50.0, "g") for day, metal, _ in FLAT[:30]]
    ounces = [(day, metal, 50.0 * 31.1034768) for day, metal, _ in FLAT[30:]]
    history = usable([*grams, *ounces])

    assert history.unit == "troy ounce" and history.converted == ("g",)
    assert history.prices.tolist() == pytest.approx([1555.17384] * 60)


def test_metals_are_read_apart_and_once() -> None:
    """Each metal has its own quotes; one that is asked for twice is read once, in the order asked for."""
    quotes = [*walk("gold", 1, 60), *walk("palladium", 2, 50)]
    found, problems = histories(history_of(quotes), ["palladium", "gold", "palladium"], 5)

    assert problems == [] and list(found) == ["palladium", "gold"]
    assert [len(history.days) for history in found.values()] == [50, 60]


@pytest.mark.parametrize(("price", "asked"), [(110.0, False), (110.01, True), (90.0, False), (89.99, True)])
def test_a_jump_is_more_than_a_tenth(price: float, asked: bool) -> None:
    """A tenth itself is no jump, whatever binary fractions make of 110 / 100 - 1."""
    found, problems = histories(history_of(jumping(price)), ["gold"], 5)

    assert [problem.kind for problem in problems] == ["price jump"] * asked
    assert ("gold" in found) is not asked


def test_a_jump_is_told_with_its_cell_and_its_cure() -> None:
    """File, sheet and cell; the price, how far off and from what; what it leads to and what to do."""
    (problem,) = refused(jumping(118.1))

    assert problem.place == "history.xlsx, Metal prices, C62"
    assert problem.what == (
        "Gold at 118.10 per troy ounce on 2026-03-02 is 18.1 % over the quote before it, 100.00 per troy ounce "
        "on 2026-03-01; gold is left out of quote safety."
    )
    assert "Correct the price" in problem.do and 'yes under "Confirmed"' in problem.do
    assert KINDS[problem.kind].rank == 1 and problem.severity == "notice"


def test_a_confirmed_jump_is_used() -> None:
    """Yes under Confirmed lets it in."""
    assert usable(jumping(118.1, confirmed=True)).prices[-1] == 118.1


def test_without_a_column_nothing_is_confirmed() -> None:
    """A history that lacks the column Confirmed is asked about every jump, and is used where there is none."""
    assert [problem.kind for problem in refused(jumping(118.1, True), confirmed=False)] == ["price jump"]
    assert "gold" in histories(history_of(FLAT, confirmed=False), ["gold"], 5)[0]


def test_all_jumps_of_a_metal_are_told() -> None:
    """A slip of the pen makes two, up and down, both told; very many are one line."""
    slip = every(1, "gold", [100.0] * 30 + [1000.0] + [100.0] * 30)
    problems = refused(slip)
    many = refused(every(1, "gold", [100.0, 150.0] * 30))

    assert [problem.cell for problem in problems] == ["C32", "C33"]
    assert ["over" in problem.what for problem in problems] == [True, False]
    assert len(many) == 59 > FEW and len(as_text(many).splitlines()) == 1


def test_a_jump_of_one_metal_leaves_the_others_in() -> None:
    """Only the metal itself is left out."""
    found, problems = histories(history_of([*jumping(200.0), *walk("silver", 1, 60)]), ["gold", "silver"], 5)

    assert list(found) == ["silver"] and len(problems) == 1


def test_units_are_compared_before_jumps() -> None:
    """The same price in another unit is no jump."""
    grams = [(day, metal, 100.0 / 31.1034768, "g") for day, metal, _ in FLAT[:30]]

    assert usable([*grams, *FLAT[30:]]).converted == ("g",)


@pytest.mark.parametrize(
    ("quotes", "words"),
    [
        ([], "Gold has no quote:"),
        (every(1, "gold", [100.0]), "Gold has one quote, of 2026-01-01:"),
        (every(1, "gold", [100.0] * 20), "Gold has 20 quotes from 2026-01-01 to 2026-01-20:"),
    ],
)
def test_a_short_history_gives_no_figure(quotes: list[Quote], words: str) -> None:
    """Too few holds seen is a plain problem for that metal, with its file where there is one."""
    (problem,) = refused(quotes)

    assert problem.kind == "short history" and problem.what.startswith(words)
    assert problem.file == ("history.xlsx" if quotes else "")
    assert problem.severity == "notice"


def test_thirty_holds_are_enough() -> None:
    """The least number of holds seen suffices, one less does not. The last days' holds end in the last quote."""
    least = int(fixed("least_windows"))
    enough = every(1, "gold", [100.0] * (least + 1))

    assert (usable(enough).windows.end > 0).sum() == least
    assert "29 times" in refused(enough[:-1])[0].what


def test_a_history_shorter_than_the_hold() -> None:
    """No start has an end: nothing is seen."""
    assert "0 times" in refused(every(1, "gold", [100.0] * 60), hold_days=100)[0].what


def test_a_hold_shorter_than_the_usual_step_sees_nothing() -> None:
    """With monthly quotes a fortnight can't be seen: the start is not its own end."""
    assert "0 times" in refused(every(30, "gold", [100.0] * 60), hold_days=14)[0].what


def test_missing_days_are_gaps() -> None:
    """A day without a quote is no row; a step over it longer than the tolerance is no return, and no price is carried."""
    history = usable(every(1, "gold", [100.0] * 40 + [nan] * 9 + [101.0] * 40))
    windows = history.windows

    assert len(history.days) == 80 and windows.tolerance == 4
    assert windows.before[39:42].tolist() == [39, 0, 41] and windows.span[39:42].tolist() == [1, 0, 1]
    assert windows.end[34:41].tolist() == [40, 40, 40, 40, 40, 0, 46]


def test_weekends_are_no_gaps() -> None:
    """Daily quotes on working days: three days from Friday to Monday follow each other, and count as three."""
    windows = windows_of(
        np.array(["2026-01-01", "2026-01-02", "2026-01-05", "2026-01-06"], "datetime64[D]"), 3
    )

    assert windows.before.tolist() == [0, 1, 2, 3] and windows.span.tolist() == [0, 1, 3, 1]
    assert windows.end.tolist() == [2, 3, 4, 0]


def test_a_long_weekend_is_no_gap_and_a_day_more_is() -> None:
    """With daily quotes a step of four days counts, one of five doesn't."""
    days = np.datetime64("2026-01-01") + np.array([0, 1, 2, 3, 7, 8, 13])
    windows = windows_of(days, 1)

    assert windows.tolerance == 4 and windows.span.tolist() == [0, 1, 1, 1, 4, 1, 0]


def test_the_end_is_the_latest_quote_by_the_last_day() -> None:
    """On or before it, never after it, never older than the tolerance, and later than the start."""
    days = np.datetime64("2026-01-01") + np.array([0, 7, 14, 21, 42, 49])
    windows = windows_of(days, 14)

    assert windows.tolerance == 10
    assert windows.end.tolist() == [3, 4, 4, 0, 6, 0]


def test_halves_and_windows_held_back() -> None:
    """Early windows end in the first half; the test's start in the second half and share at most an end with a start."""
    windows = windows_of(np.datetime64("2026-01-01") + np.arange(101), 10)
    early, test = np.flatnonzero(windows.early), np.flatnonzero(windows.held_back)

    assert windows.end[early].max() == 50 and early.tolist() == list(range(40))
    assert test.tolist() == [50, 60, 70, 80, 90]
    assert (windows.end[test][:-1] - 1 <= test[1:]).all()


def test_no_test_on_a_first_half_that_says_little() -> None:
    """With fewer early holds than a figure needs, no window is held back."""
    days = np.datetime64("2026-01-01") + np.arange(70)
    windows = windows_of(days, 10)

    assert (windows.end > 0).sum() > fixed("least_windows") > windows.early.sum() > 0
    assert windows.held_back.sum() == 0


def test_what_happened_in_a_gap_is_no_jump() -> None:
    """After months without quotes another price is no slip of the pen; the same step from one day to the next is asked about."""
    quotes = walk("gold", 3, 300)
    gap = [quote for quote in quotes if not 120 <= quotes.index(quote) < 200]
    dearer = [(day, metal, price * (1.3 if at >= 120 else 1.0)) for at, (day, metal, price) in enumerate(gap)]
    closed = [
        (day, metal, price * (1.3 if at >= 120 else 1.0)) for at, (day, metal, price) in enumerate(quotes)
    ]

    assert not histories(history_of(dearer), ["gold"], 10)[1]
    assert [problem.kind for problem in histories(history_of(closed), ["gold"], 10)[1]] == ["price jump"]


def test_quotes_after_the_pricing_date_are_left_out_and_told() -> None:
    """What nobody could know on the day does not count; a history that ends long before it is told too."""
    quotes = walk("gold", 4, 100)
    prices = replace(history_of(quotes), settings={"pricing_date": date(2020, 3, 2)})
    kept, problems = up_to_pricing(prices)
    old, told = up_to_pricing(replace(prices, settings={"pricing_date": date(2021, 1, 31)}))

    assert kept.tables["metal_prices"]["date"].max() == pd.Timestamp("2020-03-02")
    assert len(kept.tables["metal_prices"]) == 44
    assert kept.place("metal_prices", 43, "price") == ("history.xlsx", "Metal prices", "C45")
    assert [problem.kind for problem in problems] == ["dates out of order"]
    assert "56 quotes, the first here, are later" in problems[0].what and problems[0].cell == "A46"
    assert len(old.tables["metal_prices"]) == 100
    assert "days older than the pricing date" in told[0].what
