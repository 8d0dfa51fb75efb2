"""What a move must keep to be looked at: prices above nought, shares within what a share can be, and no two moves of one thing."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from feesheet.practice import Practice
from feesheet.pricing.what_if.refusals import Refusal, near, quoted
from feesheet.pricing.what_if.scenario import Move
from feesheet.pricing.what_if.subjects import SUBJECTS, Subject, names_in
from feesheet.pricing.what_if.typed_values import latest_quote
from feesheet.tables import SCENARIOS

_CHANGE = SCENARIOS.field("change_share")


def percent(share: float) -> str:
    """A share in words.

    >>> percent(0.04), percent(-0.3)
    ('4 %', '-30 %')
    """
    return f"{share * 100:.6g} %"


def refusal_of(move: Move, practice: Practice) -> Refusal | None:
    """Why a move whose names are known can't be looked at; None where it can."""
    subject = SUBJECTS[move.driver]
    if subject.sort == "alloy":
        return _swap(move, practice)
    if move.driver == "metal" and latest_quote(move.of, practice) is None:
        what = f"no price of {move.of} is quoted on or before the pricing date."
        return Refusal("nothing to start from", what, 'Add a quote to the sheet "Metal prices".')
    if move.by_share:
        return _change(move, subject, practice)
    return _new_value(move, subject, practice)


def _change(move: Move, subject: Subject, practice: Practice) -> Refusal | None:
    """A change that leaves nothing, is past all sense, or takes a share out of its limits."""
    lowest, highest = _limits(_CHANGE.low, _CHANGE.high)
    if move.value <= -1:
        what = "a fall of 100 % or more leaves nothing."
        return Refusal("out of range", what, "Type a smaller fall, for example -30%.", _CHANGE.name)
    if not lowest <= move.value <= highest:
        what = f"a change of {percent(move.value)} is outside {percent(lowest)} to {percent(highest)}."
        return Refusal("out of range", what, "Correct it.", _CHANGE.name)
    low, high = _limits(subject.field.low, subject.field.high)
    for now in _present_shares(move, subject, practice):
        then = now * (1 + move.value)
        if not low <= then <= high:
            what = f"{percent(now)} changed by {percent(move.value)} of itself is {percent(then)}, outside {percent(low)} to {percent(high)}."
            do = f"For a new value type it without a sign, for example {percent(now).replace(' ', '')}."
            return Refusal("out of range", what, do, _CHANGE.name)
    return None


def _present_shares(move: Move, subject: Subject, practice: Practice) -> list[float]:
    """What the shares are now that the move changes; none for prices and amounts."""
    if subject.sort != "share":
        return []
    if subject.home is None:
        now = practice.settings.get(subject.field.name)
        return [now] if isinstance(now, float) else []
    table, column = subject.home
    frame = practice.tables[table]
    rows = frame[column].astype(object).isin([move.of] if move.of else names_in(practice, subject.home))
    return [float(share) for share in frame.loc[rows, subject.field.name].dropna()]


def _new_value(move: Move, subject: Subject, practice: Practice) -> Refusal | None:
    """A new value where only a change makes sense, one for nobody in particular, or one outside its limits."""
    field, value = "new_value", move.value
    if subject.sort == "change":
        return Refusal(
            "unclear number", f"{move.driver} take a change in %.", "Type it as +10% or -10%.", field
        )
    names = [] if subject.each or move.of or not subject.home else names_in(practice, subject.home)
    if len(names) > 1 and subject.home:
        what = f"a new {move.driver} is for one {subject.home[1]}."
        return Refusal("missing value", what, f'Name it after "of". {near("", names)}', "of_whom")
    low, high = _limits(subject.field.low, subject.field.high)
    if subject.sort == "share":
        return _share(move, low, high)
    if value < 0 or (subject.sort == "price" and value == 0):
        what = "a price must be more than 0." if subject.sort == "price" else "it can't be negative."
        return Refusal("out of range", what, "Type the new value, or a change in %, for example -10%.", field)
    if not low <= value <= high:
        return Refusal(
            "out of range",
            f"{value:,.10g} is outside {max(low, 0):,.10g} to {high:,.10g}.",
            "Correct it.",
            field,
        )
    return None


def _share(move: Move, low: float, high: float) -> Refusal | None:
    """A new share outside its limits; one over 1 may be a percentage."""
    value = move.value
    if low <= value <= high:
        return None
    if move.driver == "target margin" and value == 1:
        what = "no fee leaves a margin of 100 %."
        return Refusal("out of range", what, "Type a lower one.", "new_value")
    what = f"{percent(value)} is outside {percent(low)} to {percent(high)}."
    do = f"If {value:.10g} % is meant, type {value:.10g}%." if 1 < value <= 100 * high else "Correct it."
    return Refusal("out of range", what, do, "new_value")


def _swap(move: Move, practice: Practice) -> Refusal | None:
    """An alloy for a material that has none, or the one that it has."""
    materials = practice.tables["materials"]
    now = str(materials.loc[materials["material"].astype(object) == move.of, "alloy"].iloc[0])
    if not now:
        what = f"{quoted(move.of)} is cast from no alloy."
        return Refusal("nothing to start from", what, "Name a material that has one.", "of_whom")
    if now == move.alloy:
        what = f"{quoted(move.of)} is cast from {quoted(now)} already."
        return Refusal("not a choice", what, "Name another alloy.", "new_alloy")
    return None


def clashes(moves: Sequence[Move], practice: Practice) -> Iterator[tuple[int, Refusal]]:
    """Moves of one scenario that change one thing twice, by their position, and plans that take more patients than there are."""
    for later, move in enumerate(moves):
        other = next((one for one in moves[:later] if _meet(one, move)), None)
        if other:
            same = "changes the same as" if other.of == move.of else "overlaps with"
            what = f"it {same} {quoted(other.words)} in the same scenario."
            yield later, Refusal("duplicate", what, "Leave one of the two, or put them into two scenarios.")
    total, last = _plans_together(moves, practice)
    if round(total, 9) > 1:
        what = f"the plans' shares would add up to {percent(total)}."
        yield last, Refusal("does not add up", what, "Lower one of them.", "new_value")


def _meet(one: Move, other: Move) -> bool:
    return one.driver == other.driver and (one.of == other.of or "" in (one.of, other.of))


def _plans_together(moves: Sequence[Move], practice: Practice) -> tuple[float, int]:
    """All plans' shares after the moves, and the last move of one; nought where there is none."""
    changed = {move.of: (at, move) for at, move in enumerate(moves) if move.driver == "plan share"}
    if not changed:
        return 0.0, 0
    plans = practice.tables["plans"]
    shares = dict(zip(plans["plan"].astype(object), plans["plan_share"].fillna(0.0), strict=True))
    for plan, (_, move) in changed.items():
        shares[plan] = shares[plan] * (1 + move.value) if move.by_share else move.value
    return float(sum(shares.values())), max(at for at, _ in changed.values())


def _limits(low: float | None, high: float | None) -> tuple[float, float]:
    return -math.inf if low is None else low, math.inf if high is None else high
