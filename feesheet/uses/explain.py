"""One fee from the top down to the invoice lines behind it, in words and figures, from the workbook alone.

First the rules that made the new fee of the needed one, then the needed fee, then the unit cost part by part.
"""

from __future__ import annotations

import difflib
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from feesheet.problems import Problem, as_records
from feesheet.reading.gate import Refusal
from feesheet.uses.delivered import Delivered, open_delivered
from feesheet.uses.engine import Engine
from feesheet.uses.references import Cell
from feesheet.uses.told import Told
from feesheet.uses.trail import Trail


@dataclass(frozen=True)
class Explanation:
    """What one fee is made of. `problems` tell why it could not be explained; then nothing else counts."""

    file: str
    title: str = ""
    steps: list[Told] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)

    @property
    def clean(self) -> bool:
        """Whether there is an explanation."""
        return not self.problems

    def lines(self) -> list[str]:
        """The explanation as a person reads it, or the problems."""
        if self.problems:
            return [str(problem) for problem in self.problems]
        lines = [self.title]
        for step in self.steps:
            lines += ["", *step.lines()]
        return lines

    def record(self) -> dict[str, Any]:
        """The explanation as machines read it (`--json`)."""
        steps = [step.record() for step in self.steps]
        return {"file": self.file, "title": self.title, "steps": steps, "problems": as_records(self.problems)}


def explain(path: Path, code: str, site: str | None = None) -> Explanation:
    """Explain the fee of a code at a site (which may be left out where there is only one)."""
    book, problems = open_delivered(path)
    if book is None:
        return Explanation(path.name, problems=problems)
    try:
        row, problem = _row(book, code, site)
        return _explained(book, row) if problem is None else Explanation(path.name, problems=[problem])
    except Refusal as refusal:
        return Explanation(path.name, problems=[refusal.problem(path.name)])


def _row(book: Delivered, code: str, site: str | None) -> tuple[int, Problem | None]:
    """The row of the fee schedule, or why there is none."""
    spans = book.block("schedule")
    codes, sites = spans["code"], spans["site"]
    keys = {
        row: (
            str(book.value(codes.sheet, row, codes.column)),
            str(book.value(sites.sheet, row, sites.column)),
        )
        for row in range(codes.first_row, codes.last_row + 1)
    }
    rows = [row for row, (found, _) in keys.items() if _plain(found) == _plain(code)]
    if not rows:
        return 0, _unknown_code(book, code, [found for found, _ in keys.values()])
    fitting = [row for row in rows if site is None or _plain(keys[row][1]) == _plain(site)]
    if len(fitting) == 1:
        return fitting[0], None
    return 0, _which_site(book, code, site, [keys[row][1] for row in rows])


def _plain(word: str) -> str:
    return word.strip().casefold()


def _unknown_code(book: Delivered, code: str, codes: list[str]) -> Problem:
    known = list(dict.fromkeys(codes))
    near = difflib.get_close_matches(code.upper(), known, n=5, cutoff=0.4) or known[:5]
    what = f"The fee schedule has no code {code}."
    return Problem("unknown name", what, f"Codes like it: {', '.join(near)}.", book.path.name, "Fee schedule")


def _which_site(book: Delivered, code: str, site: str | None, sites: list[str]) -> Problem:
    named = ", ".join(sites)
    what = f"{code} has a fee at several sites." if site is None else f"{code} has no fee at a site {site}."
    return Problem("unknown name", what, f"Add --site with one of: {named}.", book.path.name, "Fee schedule")


def _explained(book: Delivered, row: int) -> Explanation:
    spans = book.block("schedule")
    cells = {name: Cell(span.sheet, row, span.column) for name, span in spans.items()}
    words = {name: str(book.value(*_at(cells[name]))) for name in ("code", "site", "description")}
    trail = Trail(book, Engine(book.path), (words["code"], words["site"]))
    later = [cells["schedule_needed"], cells["schedule_cost"]]
    new_fee = trail.rules(cells["schedule_new"], cells["schedule_reason"], later)
    told = [trail.tell(cell, first=True) for cell in later]
    steps = [trail.short(cells["schedule_now"]), new_fee, *(step for step in told if step is not None)]
    title = f"{words['code']} at {words['site']}: {words['description']}"
    return Explanation(book.path.name, title, steps)


def _at(cell: Cell) -> tuple[str, int, int]:
    return cell.sheet, cell.row, cell.column
