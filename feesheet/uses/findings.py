"""What an audit finds, one thing a cell, and how it is said."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict, dataclass
from datetime import date, datetime
from typing import Any, Literal

FindingKind = Literal[
    "typed over",  # the cell does not hold what was issued
    "differs",  # the stored value is not what the formula gives
    "error",  # the formula gives an error
    "missing sheet",  # a sheet that was issued is not there
    "rows moved",  # rows were put in or taken out
    "columns moved",  # the headings do not stand where they were issued
]

TOGETHER = 3
"""Findings of one column that are told one by one; more are told together."""


@dataclass(frozen=True)
class Finding:
    """One thing found: its place, the heading it stands under, what it is, and its kind."""

    sheet: str
    cell: str
    heading: str
    what: str
    kind: FindingKind

    @property
    def place(self) -> str:
        """Sheet, cell and heading, as far as they are known."""
        where = ", ".join(part for part in (self.sheet, self.cell) if part)
        return f"{where} ({self.heading})" if self.heading else where

    def __str__(self) -> str:
        """One line, place first."""
        return f"{self.place}: {self.what}"

    def record(self) -> dict[str, str]:
        """The finding as machines read it."""
        return asdict(self)


def said(findings: Iterable[Finding]) -> list[str]:
    """One line a finding, but many of one kind in one column are told together."""
    groups: dict[tuple[str, str, str, str], list[Finding]] = {}
    for finding in findings:
        column = finding.cell.rstrip("0123456789")
        groups.setdefault((finding.sheet, finding.heading, column, finding.kind), []).append(finding)
    lines = []
    for members in groups.values():
        if len(members) <= TOGETHER:
            lines += [str(member) for member in members]
        else:
            lines.append(
                f"{members[0]} The same kind in {len(members) - 1:,} more cells, to {members[-1].cell}."
            )
    return lines


def figure(value: Any) -> str:
    """A value as people write it: thousands apart, two decimals where they say it all, words in quotes.

    >>> figure(1500.0), figure(0.125), figure("pass"), figure("")
    ('1,500.00', '0.125', '“pass”', 'nothing')
    """
    if value is None or value == "":
        return "nothing"
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if isinstance(value, (int, float)):
        return f"{value:,.2f}" if round(value, 2) == value else f"{value:,.15g}"
    if isinstance(value, (date, datetime)):
        return value.isoformat()[:10]
    return f"“{value}”"
