"""Tables that must agree with each other."""

from __future__ import annotations

from feesheet.practice import Practice
from feesheet.problems import Problem
from feesheet.reading.pieces import Piece


def disagreements(practice: Practice, pieces: list[tuple[str, Piece]]) -> list[Problem]:
    """Everything on which the tables of a practice disagree."""
    return []
