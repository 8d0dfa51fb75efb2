"""What is wrong with the inputs, as values: every problem in one go, each with its place and its cure."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from typing import Any, Literal

Severity = Literal["error", "notice"]

Rank = Literal[1, 2, 3]
"""Where a notice stands in a list: 1 tells of money that is in no fee, is counted twice or does not match, 2 of what
may move a fee or needs an eye, 3 of what was taken as it stood and is right more often than not."""

FEW = 3
"""Up to so many problems of one sort a list tells one by one; more of them it tells in one line."""


@dataclass(frozen=True)
class Kind:
    """One kind of problem: a name for machines, a title for people, why it matters, and its rank among notices."""

    title: str
    why: str
    severity: Severity = "error"
    rank: Rank = 2


KINDS: dict[str, Kind] = {
    "not a workbook": Kind("Not a workbook", "The file can't be opened as the kind its name says."),
    "encrypted": Kind("Encrypted workbook", "A password keeps the figures from being read."),
    "too large": Kind("Too large to be safe", "The file unpacks to more than a workbook of figures needs."),
    "reader stopped": Kind("Reading stopped", "The reader ran out of time or memory on this file."),
    "in use": Kind("File in use", "Another program keeps the file from being read or written."),
    "missing table": Kind("Missing table", "The fees can't be worked out without it."),
    "two tables fit": Kind("Two tables fit", "Only one of them can be meant."),
    "missing column": Kind("Missing column", "A figure that the fee needs has no place to stand."),
    "two columns fit": Kind("Two columns fit", "Only one of them can be meant."),
    "empty table": Kind(
        "No lines found", "Headings without rows are not the same as a cost of nothing.", "notice", 3
    ),
    "missing value": Kind("Missing value", "A blank is not a zero."),
    "not a number": Kind("Not a number", "A figure typed as words can't be added up."),
    "unclear number": Kind("Unclear number", "The figure can be read in two ways."),
    "not a date": Kind("Not a date", "The line can't be placed in time."),
    "unclear date": Kind("Unclear date", "The date can be read in two ways."),
    "out of range": Kind("Out of range", "The figure is outside what it can sensibly be."),
    "not a choice": Kind("Not one of the choices", "The word is not one the rules know."),
    "error cell": Kind("Error in a cell", "The workbook shows an error where a figure should be."),
    "formula without value": Kind(
        "Formula without a value", "The workbook was saved before it was calculated."
    ),
    "unclear unit": Kind("Unclear unit", "A plain ounce may be 31.10 g or 28.35 g."),
    "unclear tooth": Kind("Unclear tooth", "The number names different teeth in different notations."),
    "unknown name": Kind("Unknown name", "The name is on no list of the practice."),
    "duplicate": Kind("Listed twice", "Only one of the rows can be meant."),
    "does not add up": Kind("Does not add up", "The parts must make a whole."),
    "no current fee": Kind("No current fee", "Nothing says how far the fee may rise or fall.", "notice"),
    "no price": Kind("No metal price", "A metal without a price counts nothing.", "notice"),
    "no chair time": Kind("No chair time", "Such a fee leaves out people and overhead.", "notice"),
    "no dentist pay": Kind("No dentist's pay", "A margin before dentist pay is not one after it.", "notice"),
    "in no fee": Kind("In no fee", "The amounts are used on the way, but reach no fee.", "notice", 1),
    "mixed currency": Kind("More than one currency", "Amounts are never added up unconverted."),
    "nothing to start from": Kind(
        "Nothing to start from", "The item has neither a history nor a typed figure."
    ),
    "set aside": Kind("Lines set aside", "These amounts are in no fee.", "notice", 1),
    "copy": Kind("Copy of an invoice", "The same invoice should be counted once.", "notice", 1),
    "does not match its total": Kind(
        "Differs from its total",
        "Lines that don't add up to their invoice's total may be missing or mistyped.",
        "notice",
        1,
    ),
    "units and teeth differ": Kind(
        "Units and teeth differ", "A cost for one unit is only as right as the count of units.", "notice"
    ),
    "code and material": Kind("Both a code and a material", "A step is for one of the two.", "notice"),
    "may count twice": Kind(
        "May count twice",
        "Money that reaches a crown's cost in two ways is in the fee twice.",
        "notice",
        1,
    ),
    "no charge": Kind("No charge", "A word in place of an amount is read as 0.", "notice", 3),
    "dates out of order": Kind(
        "Dates out of order", "Prices of a later day would set the fees of an earlier one.", "notice"
    ),
    "unknown setting": Kind(
        "Unknown setting", "A row that nothing reads may be a slip of the pen.", "notice"
    ),
    "merged cells": Kind(
        "Merged cells", "One cell over several rows may mean each of them or all together.", "notice"
    ),
    "old workbook": Kind("Old kind of workbook", "In it an error can't be told from a blank.", "notice", 3),
    "unread sheet": Kind("Sheet not read", "It has the headings of none of the tables.", "notice"),
    "caution": Kind("Caution", "Something a dentist or the law decides, not this program.", "notice"),
    "plug-in failed": Kind(
        "Plug-in failed", "Fees without a part of their cost are not the fees that were asked for."
    ),
    "reader failed": Kind(
        "Invoice reader failed", "A plug-in broke down; the next reader that fits takes its files.", "notice"
    ),
    "two readers fit": Kind("Two invoice readers fit", "Only one of them can be meant."),
    "no reader": Kind("No invoice reader", "The file may hold invoices that are in no fee.", "notice", 1),
    "assumed": Kind(
        "Taken from the evidence", "The file does not say it; what its other lines show is used.", "notice", 3
    ),
    "not understood": Kind("Not understood", "These amounts are in no fee until they are.", "notice", 1),
    "open credit": Kind("Open credit", "A lab's terms set a last day for a claim.", "notice", 1),
    "rules contradict": Kind(
        "Rules contradict", "A floor over a cap is the owner's to settle: the fee is left on hold.", "notice"
    ),
    "out of reach": Kind("Out of reach", "With no full-fee patients, no fee reaches the margin.", "notice"),
    "rule refused": Kind("Rule refused", "The rule can't act as it is written."),
    "price jump": Kind(
        "Price jump",
        "A slip of the pen would pass for a move of the market, and set every quote.",
        "notice",
        1,
    ),
    "short history": Kind(
        "Short history", "What was seen a few times says little of a rise that is seldom passed.", "notice"
    ),
}
"""Every kind of problem. The page in DEVELOPERS.md is a loop over this."""


@dataclass(frozen=True)
class Sort:
    """What many problems have in common, for a list that tells more than `FEW` of them in one line.

    `many` is what they are in the plural, `do` what to do about all of them. `money` is the problem's own, in
    `currency`; without a currency no money is told.
    """

    many: str
    do: str
    money: float = 0.0
    currency: str = ""

    def of(self, count: int, money: float) -> str:
        """So many of them, the first of which stands at the line's place."""
        worth = f", worth {money:,.2f} {self.currency} in all" if self.currency else ""
        return f"{count} {self.many}, the first here{worth}."


@dataclass(frozen=True)
class Problem:
    """One thing wrong: its kind, its place, what it is and what to do.

    `file`, `sheet` and `cell` are empty where the place has none (a missing sheet has no cell). `sort` is set where
    there may be very many of the same.
    """

    kind: str
    what: str
    do: str
    file: str = ""
    sheet: str = ""
    cell: str = ""
    sort: Sort | None = field(default=None, compare=False)

    @property
    def severity(self) -> Severity:
        """An error stops the fees from being set; a notice is shown and the run goes on."""
        return KINDS[self.kind].severity

    @property
    def place(self) -> str:
        """File, sheet and cell, as far as they are known."""
        return ", ".join(part for part in (self.file, self.sheet, self.cell) if part)

    def __str__(self) -> str:
        """One line, place first."""
        head = f"{self.place}: " if self.place else ""
        return f"{head}{self.what} {self.do}".strip()


def errors(problems: Iterable[Problem]) -> list[Problem]:
    """Those that stop the run."""
    return [problem for problem in problems if problem.severity == "error"]


def notices(problems: Iterable[Problem]) -> list[Problem]:
    """Those that are only shown."""
    return [problem for problem in problems if problem.severity == "notice"]


def joined(problems: Iterable[Problem], most_cells: int = 3) -> list[Problem]:
    """Equal problems of one sheet made one, their cells listed ("C14, C15 and 7 more").

    >>> two = [Problem("missing value", "No price.", "Type it.", "a.xlsx", "Metals", c) for c in ("C4", "C5")]
    >>> print(joined(two)[0])
    a.xlsx, Metals, C4, C5: No price. Type it.
    """
    groups: dict[tuple[str, ...], list[Problem]] = {}
    for problem in problems:
        groups.setdefault((problem.kind, problem.file, problem.sheet, problem.what, problem.do), []).append(
            problem
        )
    result = []
    for (kind, file, sheet, what, do), members in groups.items():
        cells = list(dict.fromkeys(member.cell for member in members if member.cell))
        rest = len(cells) - most_cells
        shown = ", ".join(cells[:most_cells]) + (f" and {rest} more" if rest > 0 else "")
        result.append(Problem(kind, what, do, file, sheet, shown, members[0].sort))
    return result


def by_sort(problems: Iterable[Problem]) -> list[Problem]:
    """Of more than `FEW` problems of one sort one, at the first one's place, with their count and money; the others as they are."""
    every = list(problems)
    sorts: dict[tuple[str, str], list[Sort]] = {}
    for problem in every:
        if problem.sort:
            sorts.setdefault((problem.sort.many, problem.sort.do), []).append(problem.sort)
    result = []
    for problem in every:
        key = (problem.sort.many, problem.sort.do) if problem.sort else ("", "")
        if problem.sort is None or 0 < len(sorts.get(key, ())) <= FEW:
            result.append(problem)
        elif key in sorts:
            members = sorts.pop(key)
            told = problem.sort.of(len(members), sum(member.money for member in members))
            result.append(replace(problem, what=told, do=problem.sort.do))
    return result


def as_text(problems: Iterable[Problem], most: int = 40) -> str:
    """The list as a person reads it: errors first, then notices by their rank, one line each; a long list ends "… and N more"."""
    told = by_sort(joined(problems))
    lines = [str(p) for p in sorted(told, key=lambda p: (p.severity != "error", KINDS[p.kind].rank))]
    if len(lines) > most:
        lines = [*lines[:most], f"… and {len(lines) - most} more"]
    return "\n".join(lines)


def as_records(problems: Iterable[Problem]) -> list[dict[str, Any]]:
    """The list as machines read it (`--json`)."""
    names = ("kind", "what", "do", "file", "sheet", "cell", "severity")
    return [{name: getattr(problem, name) for name in names} for problem in problems]
