"""A scenario file from elsewhere: its scenarios in place of those that the practice keeps."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from feesheet.practice import Practice
from feesheet.problems import Problem
from feesheet.reading.one_file import read_table
from feesheet.tables import SCENARIOS


def with_scenarios(path: Path, practice: Practice) -> tuple[Practice, list[Problem]]:
    """The practice with the scenarios of that file alone, and what is wrong with the file."""
    found, _, problems = read_table(path, SCENARIOS, practice)
    rows = found.tables[SCENARIOS.name]
    rows = rows.assign(source=rows["source"] + len(practice.sources))
    tables = {**practice.tables, SCENARIOS.name: rows}
    return replace(practice, tables=tables, sources=practice.sources + found.sources), problems
