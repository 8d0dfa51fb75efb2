"""Why a move is refused: one record for what is typed and for what stands in a table, which tell their place differently."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from difflib import get_close_matches

from feesheet.problems import Problem

LIKE = 0.6
"""How alike two names must be for one to be offered for the other, from 0 to 1 (as for names in tables)."""
SHORTEST = 3
"""Letters from which on names that hold the word are offered."""
MOST_NAMES = 12
"""Names that are listed; of more, the first so many."""


@dataclass(frozen=True)
class Refusal:
    """Kind, what and do of a `Problem`; `field` is the column of the Scenarios table that it is about."""

    kind: str
    what: str
    do: str
    field: str = "what"

    def typed(self, words: str) -> Problem:
        """As a problem of words that somebody typed, which have no place."""
        return Problem(self.kind, f"{quoted(words)}: {self.what}", self.do)

    def at(self, place: tuple[str, str, str]) -> Problem:
        """As a problem of a cell."""
        return Problem(self.kind, f"{self.what[:1].upper()}{self.what[1:]}", self.do, *place)


def quoted(words: str) -> str:
    """Words in quotation marks, long ones cut short."""
    return f'"{words[:60]}…"' if len(words) > 61 else f'"{words}"'


def near(word: str, names: Collection[str]) -> str:
    """Which of the names may be meant, or what they are: a sentence.

    >>> near("zirconya", ["zirconia", "cast gold"]), near("x", ["zirconia", "cast gold"])
    ('Did you mean "zirconia"?', 'Known are: "zirconia", "cast gold".')
    """
    lower = {name.lower(): name for name in names}
    inside = [name for name in lower if word.lower() in name] if len(word) >= SHORTEST else []
    found = [lower[name] for name in inside or get_close_matches(word.lower(), list(lower), 2, LIKE)]
    if found:
        return f"Did you mean {' or '.join(map(quoted, found[:MOST_NAMES]))}?"
    if not names:
        return "There is none."
    listed = ", ".join(map(quoted, list(names)[:MOST_NAMES]))
    return f"Known are: {listed}{' …' if len(names) > MOST_NAMES else '.'}"
