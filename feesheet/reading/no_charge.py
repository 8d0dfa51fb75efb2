"""Words that a lab writes in place of an amount where it charges nothing."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from feesheet.problems import Problem
from feesheet.tables import INVOICE_LINES

AMOUNT = INVOICE_LINES.field("amount")
"""The one column in which they are read as 0; elsewhere they are no number."""

_WORDS = frozenset({"n/c", "n.c.", "nc", "no charge", "incl.", "incl", "included", "—", "–", "-"})


def is_free(cell: Any) -> bool:
    """Whether a cell says in words that nothing is charged.

    >>> is_free(" N/C "), is_free("No  charge"), is_free(""), is_free("n/a")
    (True, True, False, False)
    """
    return isinstance(cell, str) and " ".join(cell.lower().split()) in _WORDS


def told(words: Sequence[str], count: int, place: tuple[str, str, str]) -> Problem:
    """The notice that so many amounts of a sheet are read as 0, with the words in which they were typed."""
    shown = ", ".join(f'"{word.strip()}"' for word in words[:3])
    what = f"{shown} is read as 0: no charge ({count} line(s), the first here)."
    return Problem("no charge", what, "Type the amount if something was charged.", *place)
