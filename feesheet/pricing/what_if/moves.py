"""From what a person types, or the Scenarios table, to scenarios; everything that is wrong with them in one go."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from typing import Any

import pandas as pd

from feesheet.practice import Practice
from feesheet.pricing.what_if.limits import clashes, percent, refusal_of
from feesheet.pricing.what_if.refusals import Refusal, quoted
from feesheet.pricing.what_if.scenario import Move, Scenario
from feesheet.pricing.what_if.subjects import SUBJECTS, listed_name, names_in, subject_of
from feesheet.pricing.what_if.typed_values import typed_value
from feesheet.problems import Problem
from feesheet.tables import SCENARIOS

_HOW = "Type what changes, = and its new value or change, for example gold=4500 or lab fees=+5%."
_ALLOYS = ("alloys", "alloy")
_WAYS = ("new_value", "change_share", "new_alloy")
"""The columns of the Scenarios table of which one is filled in on each row."""


def typed_move(words: str, practice: Practice) -> tuple[Move | None, list[Problem]]:
    """One changed value in words such as "gold=+40%", or why it can't be looked at."""
    move = _typed(words.strip(), practice)
    if isinstance(move, Refusal):
        return None, [move.typed(words.strip())]
    return move, []


def _typed(words: str, practice: Practice) -> Move | Refusal:
    left, _, right = (part.strip() for part in words.partition("="))
    if not left or not right:
        return Refusal(
            "missing value", "it says no new value." if left else "it does not say what changes.", _HOW
        )
    found = subject_of(left, "", practice)
    if isinstance(found, Refusal):
        return found
    driver, of = found
    if driver == "alloy":
        return _swapped(of, right, words, practice)
    value = typed_value(right, SUBJECTS[driver], of, practice)
    if isinstance(value, Refusal):
        return value
    move = Move(driver, of, value.number, value.by_share, words=words)
    return refusal_of(move, practice) or move


def _swapped(material: str, alloy: str, words: str, practice: Practice) -> Move | Refusal:
    """The swap of a material's alloy for another on the Alloys sheet."""
    name = listed_name(alloy, names_in(practice, _ALLOYS), "alloy", "new_alloy")
    if isinstance(name, Refusal):
        return name
    move = Move("alloy", material, alloy=name, words=words)
    return refusal_of(move, practice) or move


def scenario_of(
    words: Sequence[str],
    practice: Practice,
    title: str = "",
    reason: str = "",
    source: str = "",
    day: str = "",
) -> tuple[Scenario | None, list[Problem]]:
    """The scenario of changes as they were typed, None where anything is wrong with them. The title is made from them if none is given."""
    moves: list[Move] = []
    problems: list[Problem] = []
    for one in words:
        move, more = typed_move(one, practice)
        moves += [move] if move else []
        problems += more
    if not words:
        problems.append(Problem("missing value", "The scenario changes nothing.", _HOW))
    problems += [refusal.typed(moves[at].words) for at, refusal in clashes(moves, practice)]
    iso = _iso(day.strip())
    if iso is None:
        what = f"{quoted(day)} is no day of 1980 to 2100."
        problems.append(Problem("not a date", what, "Type it as yyyy-mm-dd."))
    if problems:
        return None, problems
    name = title.strip() or title_of(moves)
    return Scenario(name, tuple(moves), reason.strip(), source.strip(), iso or ""), []


def _iso(day: str) -> str | None:
    """The day as yyyy-mm-dd, "" where none is given, None where it is none that a table would take."""
    if not day:
        return ""
    try:
        found = date.fromisoformat(day)
    except ValueError:
        return None
    return found.isoformat() if date(1980, 1, 1) <= found <= date(2100, 12, 31) else None


def title_of(moves: Sequence[Move]) -> str:
    """A title made from the changes.

    >>> title_of([Move("metal", "gold", 4500), Move("lab fees", "", 0.05, True)])
    'gold 4,500; lab fees +5 %'
    """
    return "; ".join(map(shown, moves))


def shown(move: Move) -> str:
    """One change in a few words."""
    subject = move.of if move.driver == "metal" else f"{move.driver} of {move.of}" if move.of else move.driver
    if move.alloy:
        return f"{subject}: {move.alloy}"
    if move.by_share:
        return f"{subject} {'+' if move.value >= 0 else ''}{percent(move.value)}"
    is_share = SUBJECTS[move.driver].sort == "share"
    return f"{subject} {percent(move.value)}" if is_share else f"{subject} {move.value:,.10g}"


def listed_scenarios(practice: Practice) -> tuple[list[Scenario], list[Problem]]:
    """The scenarios of the Scenarios table, rows of one title together; one with anything wrong is told and left out.

    A row whose title or subject could not be read has its problem already: its scenario is left out, and nothing more is said.
    """
    frame = practice.tables[SCENARIOS.name]
    groups: dict[str, list[int]] = {}
    for row, title in enumerate(frame["scenario"].astype(object)):
        if title:
            groups.setdefault(" ".join(title.split()).casefold(), []).append(row)
    scenarios: list[Scenario] = []
    problems: list[Problem] = []
    for rows in groups.values():
        scenario, more = _listed(frame.iloc[rows], rows, practice)
        problems += more
        scenarios += [scenario] if scenario else []
    return scenarios, problems


def _listed(
    frame: pd.DataFrame, rows: list[int], practice: Practice
) -> tuple[Scenario | None, list[Problem]]:
    """The scenario of the table's rows of one title."""
    refused: list[tuple[int, Refusal]] = []
    moves: dict[int, Move] = {}
    for row, cells in zip(rows, frame.to_dict("records"), strict=True):
        move = _row_move(cells, practice) if cells["what"] else None
        if isinstance(move, Refusal):
            refused.append((row, move))
        elif move:
            place = practice.place(SCENARIOS.name, row, "what")
            moves[row] = replace(move, words=shown(move), place=place)
    positions = list(moves)
    refused += [(positions[at], refusal) for at, refusal in clashes(list(moves.values()), practice)]
    days = {day: row for row, day in zip(rows[::-1], frame["date"][::-1], strict=True) if not pd.isna(day)}
    if len(days) > 1:
        what = "the rows of one scenario have different dates."
        refused.append((max(days.values()), Refusal("duplicate", what, "Type one date.", "date")))
    problems = [refusal.at(practice.place(SCENARIOS.name, row, refusal.field)) for row, refusal in refused]
    if problems or len(moves) < len(rows):
        return None, problems
    day = next((day.date().isoformat() for day in days), "")
    reason, source = (
        "; ".join(filter(None, frame[name].astype(object).unique())) for name in ("reason", "taken_from")
    )
    return Scenario(str(frame["scenario"].iloc[0]), tuple(moves.values()), reason, source, day), []


def _row_move(cells: dict[Any, Any], practice: Practice) -> Move | Refusal:
    """The change that one row of the table means."""
    given = [name for name in _WAYS if cells[name] != "" and not _is_nan(cells[name])]
    headings = [quoted(SCENARIOS.field(name).heading) for name in given or _WAYS]
    if not given:
        what = "the row says no new value."
        return Refusal("missing value", what, f"Fill in one of {', '.join(headings)}.", "new_value")
    if len(given) > 1:
        what = f"the row fills in {' and '.join(headings)}."
        return Refusal("two columns fit", what, "Leave one of them.", given[-1])
    found = subject_of(str(cells["what"]), str(cells["of_whom"]), practice)
    if isinstance(found, Refusal):
        return found
    driver, of = found
    if (driver == "alloy") != (given[0] == "new_alloy"):
        subject = of if driver == "metal" else driver
        what = "an alloy is changed for another by its name"
        what += "." if driver == "alloy" else f", and {subject} is none."
        do = 'Use the column "New alloy".' if driver == "alloy" else 'Use "New value" or "Change by".'
        return Refusal("not a choice", what, do, given[0])
    if driver == "alloy":
        return _swapped(of, str(cells["new_alloy"]), "", practice)
    move = Move(driver, of, float(cells[given[0]]), given[0] == "change_share")
    return refusal_of(move, practice) or move


def _is_nan(value: Any) -> bool:
    return isinstance(value, float) and math.isnan(value)
