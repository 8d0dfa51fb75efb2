"""The audit of a delivered workbook: every formula worked out again, every cell held against its seal.

A stored value must be what an independent engine gives, to 1e-9; words must be the same. A cell whose seal
differs was typed over since the workbook was issued.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from feesheet.problems import Problem, as_records
from feesheet.reading.gate import Refusal
from feesheet.uses.delivered import Delivered, open_delivered
from feesheet.uses.engine import Engine
from feesheet.uses.findings import Finding, said
from feesheet.uses.sheet_audit import Look, SheetAudit


@dataclass(frozen=True)
class Audit:
    """What the audit found. `problems` tell why a file could not be audited at all; then nothing else counts."""

    file: str
    formulas: int = 0
    sealed: int = 0
    findings: list[Finding] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)

    @property
    def clean(self) -> bool:
        """Whether the workbook is as issued and every stored value is what its formula gives."""
        return not self.findings and not self.problems

    def lines(self) -> list[str]:
        """The result as a person reads it: a summary, then the findings, those of one column together."""
        if self.problems:
            return [str(problem) for problem in self.problems]
        head = f"{self.file}: {self.formulas:,} formulas worked out again, {self.sealed:,} cells held against their seals."
        if self.clean:
            return [head, "Every stored value is what its formula gives, and nothing was typed over."]
        return [head, *said(self.findings)]

    def record(self) -> dict[str, Any]:
        """The result as machines read it (`--json`)."""
        return {
            "file": self.file,
            "clean": self.clean,
            "formulas": self.formulas,
            "sealed": self.sealed,
            "findings": [finding.record() for finding in self.findings],
            "problems": as_records(self.problems),
        }


def audit(path: Path) -> Audit:
    """Audit a delivered workbook; whatever is wrong with the file itself becomes a problem of the result."""
    book, problems = open_delivered(path)
    if book is None:
        return Audit(path.name, problems=problems)
    try:
        return _audited(book)
    except Refusal as refusal:
        return Audit(path.name, problems=[refusal.problem(path.name)])


def _audited(book: Delivered) -> Audit:
    engine = Engine(book.path)
    engine.recalculate()
    findings = [_missing(name) for name in book.seals if name not in book.sheets]
    looks = [Look.of(book, name) for name in book.seals if name in book.sheets and book.seals[name]]
    loose = bool(findings) or any(look.steps for look in looks)
    made = [SheetAudit(book, look, engine, loose) for look in looks]
    for one in made:
        findings += one.findings()
    formulas = sum(one.formulas for one in made)
    if formulas and not any(one.stored for one in made):
        return Audit(book.path.name, problems=[_never_calculated(book.path.name)])
    return Audit(book.path.name, formulas, sum(one.sealed for one in made), findings)


def _missing(name: str) -> Finding:
    return Finding(name, "", "", "The sheet is missing; it was issued with the workbook.", "missing sheet")


def _never_calculated(file: str) -> Problem:
    what = "No formula of the workbook has a stored value."
    do = "Open it in a spreadsheet program, let it calculate, and save it again."
    return Problem("formula without value", what, do, file)
