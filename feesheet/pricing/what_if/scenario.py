"""A scenario: a few changed values with a title, a reason, a source and a date."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

Driver = Literal[
    "metal",  # the price of one quoted unit of a metal
    "lab fees",  # what the labs' work costs, of all materials or one
    "minutes",  # the expected minutes of all steps, of all materials or one; only by a share
    "pay",  # the yearly cost of all roles or one
    "overhead",  # the yearly overhead of all sites or one
    "supplies",  # supplies at the chair, of all materials or one
    "remake rate",  # the share of makes that are rejected, of all materials or one
    "plan share",  # the share of patients on a plan
    "target margin",  # the practice's target margin
    "collected share",  # the share of money collected
    "card cost",  # what card companies keep
    "alloy",  # the alloy that a material is cast in
]
"""What a scenario can change."""

DRIVERS: tuple[Driver, ...] = get_args(Driver)


@dataclass(frozen=True)
class Move:
    """One changed value.

    `of` is the metal, material, role, site or plan that it is for; "" for all. With `by_share` the `value` is added as
    a share (0.4: 40 % more), else it takes the place of the present one. `alloy` is the new alloy of a swap; its
    `value` is 0. `words` is the move as it was typed, `place` the file, sheet and cell, or empty.
    """

    driver: Driver
    of: str = ""
    value: float = 0.0
    by_share: bool = False
    alloy: str = ""
    words: str = ""
    place: tuple[str, str, str] = ("", "", "")


@dataclass(frozen=True)
class Scenario:
    """Changed values that are looked at together. `day` is ISO 8601, or empty."""

    title: str
    moves: tuple[Move, ...]
    reason: str = ""
    source: str = ""
    day: str = ""


@dataclass(frozen=True)
class Step:
    """One case of a scenario: its moves up to and with a step of the explanation. `last` is the whole scenario."""

    scenario: int
    name: str
    moves: tuple[int, ...]
    last: bool
