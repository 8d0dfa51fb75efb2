"""One and the same question about very many files, asked once."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from feesheet.problems import Problem

_ASKED_ONCE = frozenset({"unknown name"})
"""Kinds of problem that one answer settles for all files."""


def over_files(problems: Iterable[Problem]) -> list[Problem]:
    """Equal questions of several files as one, at the first of its places, with the number of the other files.

    >>> asked = [Problem("unknown name", "No lab is named.", "Type it.", f"{name}.csv") for name in "abc"]
    >>> [str(problem) for problem in over_files(asked)]
    ['a.csv: No lab is named (this file and 2 more). Type it.']
    """
    listed = list(problems)
    files: dict[tuple[str, str], set[str]] = {}
    for one in listed:
        if one.kind in _ASKED_ONCE:
            files.setdefault((one.what, one.do), set()).add(one.file)
    found, told = [], set()
    for one in listed:
        question = one.what, one.do
        others = len(files.get(question, ())) - 1 if one.kind in _ASKED_ONCE else 0
        if others < 1:
            found.append(one)
        elif question not in told:
            told.add(question)
            found.append(replace(one, what=f"{one.what.removesuffix('.')} (this file and {others:,} more)."))
    return found
