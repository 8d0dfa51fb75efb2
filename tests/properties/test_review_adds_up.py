"""Money in the review is money in the update is money in the invoices, whatever the practice; every check passes."""

from __future__ import annotations

import random

import numpy as np
import pytest
from earned_cuts import with_seated
from practices import random_practice
from priced import read_rows

from feesheet.practice import Practice
from feesheet.pricing.review.period import as_of
from feesheet.problems import errors
from feesheet.uses.annual_update import price
from feesheet.uses.review import Examined, examine
from feesheet.uses.review_asked import ReviewAsked, periods

PRACTICES, WINDOWS = range(30), range(100, 104)
ASKED = (ReviewAsked(months=6), ReviewAsked(against="none"), ReviewAsked(months=3), ReviewAsked())
ALIKE = {
    "costs": ("lab_fee", "alloy_cost", "people_cost", "overhead_cost", "remake_cost", "unit_cost"),
    "lab_fees": ("n", "money", "own_mean"),
    "margins": ("margin_now", "net_now"),
}
"""What a review of the pricing window has in common with the update."""


def practice_of(seed: int) -> Practice:
    """A random practice of a random size; every second one with work seated."""
    rng = random.Random(f"size {seed}")
    rows = random_practice(
        seed,
        sites=rng.randint(1, 3),
        materials=rng.randint(2, 4),
        lines=rng.choice((0, 20, 40, 60)),
        plans=rng.randint(0, 2),
    )
    return read_rows(with_seated(rows, seed) if seed % 2 else rows)


def examined_of(practice: Practice, asked: ReviewAsked) -> Examined:
    """The review; a refusal is a failure."""
    now, then, more = periods(practice, asked)
    assert now is not None and errors(more) == []
    examined, problems = examine(practice, now, then, asked)
    assert examined is not None and errors(problems) == []
    return examined


def close(one: float, other: float) -> bool:
    """The same to nine digits, or to a thousandth of a coin."""
    return bool(np.isclose(one, other, rtol=1e-9, atol=1e-5))


@pytest.mark.parametrize("seed", PRACTICES)
def test_the_money_is_kept_and_every_check_passes(seed: int) -> None:
    """What is used, set aside and repeated is what was read; what was earned is what was received; left is received - cost."""
    practice = practice_of(seed)
    schedule = examined_of(practice, ASKED[seed // 2 % len(ASKED)]).schedule
    of, model = schedule.numbers.of, schedule.model

    assert list(of("state", "number")) == [0, 0]
    read = float(practice.tables["invoice_lines"]["amount"].sum())
    used, aside = (float(of("money_by_use", name).sum()) for name in ("use_used", "use_aside"))
    control = float((of("lines", "part_amount") * of("lines", "control")).sum())
    assert close(used + aside + control, read)
    assert close(used, of("lines", "used_amount").sum()) and close(aside, of("lines", "aside_amount").sum())
    received, cost, left = (float(of("earned", name).sum()) for name in ("received", "cost", "left"))
    assert close(received - cost, left)
    for name in ("received", "cost", "left"):
        assert all(close(total, of("earned", name).sum()) for total in of("cut_totals", name))
    if "changes_told" in model.blocks:
        steps = dict(zip(of("changes_told", "step"), of("changes_told", "amount"), strict=True))
        assert close(steps["Left now"], left) and close(steps["Not explained"], 0)


@pytest.mark.parametrize("seed", WINDOWS)
def test_the_pricing_window_has_the_update_s_own_figures(seed: int) -> None:
    """Unit costs and their parts, lab fees and their n, nets and margins, item by item, with allowed amounts of one day."""
    practice = practice_of(seed)
    examined = examined_of(practice, ReviewAsked())
    updated, _ = price(as_of(practice, examined.now))
    dated_apart, _ = price(practice)
    of = examined.schedule.numbers.of
    for block, names in ALIKE.items():
        for name in names:
            assert np.allclose(of(block, name), updated.numbers.of(block, name), rtol=1e-12, atol=1e-12), name
    for name in ALIKE["costs"]:
        assert np.allclose(of("costs", name), dated_apart.numbers.of("costs", name), rtol=1e-12), name
    items = np.asarray(of("earned", "item_no"), dtype=int) - 1
    assert np.allclose(of("earned", "unit_cost"), updated.numbers.of("costs", "unit_cost")[items])
