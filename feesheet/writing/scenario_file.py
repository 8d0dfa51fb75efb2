"""A scenario as a workbook of its own, in the layout of the template, that reads back as the same scenario."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from feesheet.pricing.what_if.scenario import Move, Scenario
from feesheet.tables import SCENARIOS
from feesheet.writing.blank import write_workbook
from feesheet.writing.place import free_stem, write_whole


def write_scenario(path: Path, scenario: Scenario) -> Path:
    """Write the scenario and return where: at the path, or where that is taken under the same name with a number behind it."""
    path.parent.mkdir(parents=True, exist_ok=True)
    free = path.with_name(f"{free_stem(path.parent, path.stem, (path.suffix,))}{path.suffix}")
    rows = [_row(scenario, move) for move in scenario.moves]
    write_whole(free, lambda draft: write_workbook(draft, {SCENARIOS.name: rows}, False, scenario.title))
    return free


def _row(scenario: Scenario, move: Move) -> dict[str, Any]:
    """One changed value as a row of the Scenarios table."""
    way = "new_alloy" if move.alloy else "change_share" if move.by_share else "new_value"
    return {
        "scenario": scenario.title,
        "what": move.of if move.driver == "metal" else move.driver,
        "of_whom": "" if move.driver == "metal" else move.of,
        way: move.alloy or move.value,
        "reason": scenario.reason,
        "taken_from": scenario.source,
        "date": scenario.day,
    }
