"""A change by a share of the present value, and how far the practice's own shares may be changed so."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from feesheet.formula.model import Model, figure
from feesheet.formula.numbers import Numbers
from feesheet.formula.operations import larger, largest, ratio, smaller, when
from feesheet.formula.tree import Name, Node, Traced, Whole, added, node
from feesheet.pricing.what_if.drivers import changed_by
from feesheet.pricing.what_if.scenario import Move
from feesheet.pricing.what_if.subjects import SUBJECTS


@figure("Factor", "number")
def share_factor(share: Traced) -> Traced:
    """What the present value is multiplied by."""
    return 1 + share


@figure("Added", "number")
def nothing_added(share: Traced) -> Traced:
    """Nothing is added to it."""
    return 0 * share


@figure("Room", "change")
def room(most: Traced, present: Traced, driver_step: Traced) -> Traced:
    """How far the present value may rise until its limit, as a share of it; where there is no limit, twice the step.

    >>> room(0.75, 0.5, 0.1), room(0, 0, 0.5)
    (0.5, 1.0)
    """
    return larger(ratio(most, present, 1 + driver_step + driver_step) - 1, 0)


@figure("Share", "change")
def driver_share(up: Traced, driver_step: Traced, room: Traced) -> Traced:
    """The step up or down, as a share of the present value; up no further than the room to its limit.

    >>> driver_share(1, 0.1, 0.04), driver_share(0, 0.1, 0.04)
    (0.04, -0.1)
    """
    return when(up >= 1, smaller(driver_step, room), 0 - driver_step)


def most_of(move: Move) -> float:
    """The most that the driver's share may be, all that it moves together; 0 for one that is no share."""
    subject = SUBJECTS[move.driver]
    return float(subject.field.high or 0.0) if subject.sort == "share" else 0.0


def present_of(move: Move, model: Model) -> Node:
    """The share that a driver moves, as it is: the plans' together, the largest remake rate; nought for one that is no share.

    Nought too for a target under nought: no step takes it to its limit.
    """
    if not most_of(move):
        return node(0)
    keys = list(changed_by(move, model))
    settings = [Name(name) for block, name in keys if not block]
    return node(larger(added(settings), 0) if settings else largest(Whole(*keys[0])))


def steps_room(move: Move, moves: Iterable[Move], model: Model, steps: int) -> float | None:
    """The largest step of which so many, up or down, leave the driver's shares inside their limits as issued.

    None for a driver that is no share. Plans that are moved together share out what no plan takes.
    """
    subject = SUBJECTS[move.driver]
    low, high = subject.field.low, subject.field.high
    if subject.sort != "share" or low is None or high is None:
        return None
    shares = _shares(move, model)
    if move.driver == "plan share":
        together = sum(sum(_shares(one, model)) for one in moves if one.driver == "plan share")
        free = high - sum(_shares(Move("plan share"), model))
        rooms = [max(free, 0.0) / together] if together else []
    else:
        rooms = [(high if share > 0 else low) / share - 1 for share in shares if share]
    rooms += [1 - low / share for share in shares if share > 0 and low > 0]
    return max(0.0, min(rooms, default=float(steps))) / steps


def _shares(move: Move, model: Model) -> Sequence[float]:
    """The shares that a move is for, as issued."""
    found: list[float] = []
    for (block, name), marks in changed_by(move, model).items():
        values = np.asarray(Numbers(model).of(block, name))[marks] if block else [model.settings[name].value]
        found += [float(value) for value in values]
    return found
