"""A cost component and a pricing rule of our own, to copy from."""

from __future__ import annotations

from feesheet.costing.components import Component, OwnSetting
from feesheet.formula.model import figure
from feesheet.formula.tree import Traced
from feesheet.pricing.rules import Rule


@figure("Infection control", "money")
def infection_control_cost(chair_min: Traced, infection_control_per_chair_min: Traced) -> Traced:
    """Barriers, instrument packs and sterilising for the minutes in the chair. Unit: money a unit.

    >>> infection_control_cost(90, 0.5)
    45.0
    """
    return chair_min * infection_control_per_chair_min


@figure("Kept up with prices", "money")
def with_inflation(current_fee: Traced, rule_value: Traced) -> Traced:
    """The current fee raised by a year's inflation, as typed in the rule's Value. Unit: money.

    >>> with_inflation(1000, 0.03)
    1030.0
    """
    return current_fee * (1 + rule_value)


INFECTION_CONTROL = Component(
    infection_control_cost,
    variable=True,
    settings=(
        OwnSetting(
            "infection_control_per_chair_min", "Infection control a chair minute", "money_per_min", 0, 100
        ),
    ),
)

INFLATION = Rule("inflation", with_inflation, "at_least", "Kept up with inflation. ")
