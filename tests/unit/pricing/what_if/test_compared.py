"""Scenarios beside the baseline: what may be typed over a changed value on the Inputs sheet."""

from __future__ import annotations

import pytest

from feesheet.costing.quotes import SLIP
from feesheet.pricing.what_if.compared import moves_block
from feesheet.pricing.what_if.scenario import DRIVERS, Driver, Move, Scenario
from feesheet.pricing.what_if.subjects import SUBJECTS
from feesheet.tables import SCENARIOS


def limits(move: Move) -> tuple[float, float]:
    """The least and the most that may be typed over a move's value."""
    value = moves_block([Scenario("one", (move,))], [move]).columns["value"]
    assert isinstance(value.low, list) and isinstance(value.high, list)
    return value.low[0], value.high[0]


@pytest.mark.parametrize(
    ("driver", "value", "low", "high"),
    [
        ("target margin", 0.3, -1, 0.95),
        ("target margin", 0.0, -1, 0.95),
        ("collected share", 0.97, 0.01, 1),
        ("card cost", 0.0, 0, 0.2),
        ("plan share", 0.0, 0, 1),
        ("remake rate", 0.05, 0, 0.99),
    ],
)
def test_a_new_share_keeps_the_limits_of_its_column(
    driver: Driver, value: float, low: float, high: float
) -> None:
    """A share may be typed over within the limits that it has where the practice types it."""
    assert limits(Move(driver, "", value)) == (low, high)


@pytest.mark.parametrize("driver", [name for name in DRIVERS if SUBJECTS[name].sort in ("price", "amount")])
def test_new_money_is_held_to_a_slip_of_the_pen(driver: Driver) -> None:
    """A price or an amount may be typed over as far as a slip of the pen lies, and within its column's limits."""
    assert limits(Move(driver, "", 400.0)) == (400.0 / SLIP, 400.0 * SLIP)
    low, high = limits(Move(driver, "", SUBJECTS[driver].field.high or 0.0))
    assert high == SUBJECTS[driver].field.high
    assert low == pytest.approx(high / SLIP)


def test_a_new_amount_of_nought_leaves_room_to_type() -> None:
    """Supplies that a scenario takes to be nought may be typed over by any amount; none may be negative."""
    assert limits(Move("supplies", "", 0.0)) == (0.0, 100000)
    assert limits(Move("overhead", "", 0.0)) == (0.0, 1e9)


@pytest.mark.parametrize("driver", DRIVERS)
def test_a_change_keeps_the_limits_of_a_typed_change(driver: Driver) -> None:
    """A change by a share may be typed over as far as the Scenarios table takes one."""
    field = SCENARIOS.field("change_share")
    assert limits(Move(driver, "", 0.1, by_share=True)) == (field.low, field.high)
