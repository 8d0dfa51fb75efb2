"""The cells of last year's workbook that a review reads: each figure with its place, each cell without one a problem."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from itertools import takewhile
from typing import Any

from feesheet.costing.line_uses import USED
from feesheet.pricing.review.last_year import ALLOY, LAB, Found, Label, LastYear, ThenRow
from feesheet.problems import Problem
from feesheet.reading.folder import sha256_of
from feesheet.uses.delivered import Delivered, Span, address
from feesheet.uses.last_year_checks import DELIVERED, SAVE_AGAIN

ISSUE, ISSUE_SHEET = "This issue", "What changed"
"""The table that says whose workbook it is and of when, and its sheet."""

NEEDED: dict[str, dict[str, str]] = {
    "costs": {
        "code": "Code",
        "site": "Site",
        "lab_fee": "Lab fee",
        "alloy_g": "Alloy grams",
        "alloy_price_per_g": "Alloy price per g",
        "supplies": "Supplies",
        "people_cost": "People",
        "chair_min": "Chair minutes",
        "overhead_per_chair_min": "Overhead a chair minute",
        "remake_cost": "Remakes",
        "unit_cost": "Unit cost",
    },
    "margins": {"fee_now": "Current fee", "units": "Units", "cash_now": "Cash a unit, now"},
    "sites": {
        "site": "Site",
        "yearly_overhead": "Yearly overhead",
        "usable_chair_min": "Usable chair minutes",
    },
    "staff": {
        "role": "Role",
        "site": "Site",
        "yearly_cost": "Yearly cost",
        "productive_hours": "Productive hours",
    },
    "lines": {"use": "Used for, or why set aside", "used_amount": "Used"},
}
"""The tables and columns that are read, by their names in the program, with their headings."""


@dataclass
class Reader:
    """The workbook while it is read. `problems` grows by every cell that holds no figure."""

    book: Delivered
    problems: list[Problem] = field(default_factory=list)

    def last_year(self) -> LastYear:
        """All that is read; figures that are not there are nought, and a problem each."""
        issue = self._issue()
        return LastYear(
            self.book.path.name,
            sha256_of(self.book.path),
            str(issue["Practice"][0]),
            str(issue["Currency"][0]),
            self._day(*issue["Pricing date"]),
            self._months(*issue["Invoice months"]),
            tuple(self._items()),
            tuple(self._rows("sites", ("site",))),
            tuple(self._roles()),
            self._spend(),
        )

    def _issue(self) -> dict[str, tuple[Any, str]]:
        """What the workbook says of its issue: each value with its cell."""
        rows = self.book.grid(ISSUE_SHEET) if ISSUE_SHEET in self.book.sheets else []
        start = next((number for number, row in enumerate(rows) if row and row[0] == ISSUE), len(rows))
        below = takewhile(lambda row: len(row) > 1 and row[0] != "", rows[start + 1 :])
        table = {row[0]: (row[1], f"B{number}") for number, row in enumerate(below, start=start + 2)}
        wanted = ("Practice", "Currency", "Pricing date", "Invoice months")
        for name in wanted:
            if name not in table or table[name][0] == "":
                what = f'The table "{ISSUE}" does not say: {name.lower()}.'
                self.problems.append(
                    Problem("missing value", what, DELIVERED, self.book.path.name, ISSUE_SHEET)
                )
        return {name: table.get(name, ("", "")) for name in wanted}

    def _day(self, value: Any, cell: str) -> date:
        try:
            return date.fromisoformat(str(value)[:10])
        except ValueError:
            self._not("not a date", value, "no day", ISSUE_SHEET, cell)
            return date.min

    def _months(self, value: Any, cell: str) -> int:
        try:
            return int(float(value))
        except ValueError:
            self._not("not a number", value, "no number of months", ISSUE_SHEET, cell)
            return 0

    def _not(self, kind: str, value: Any, what: str, sheet: str, cell: str) -> None:
        if value != "":
            said = f"“{value}” is {what}."
            self.problems.append(Problem(kind, said, DELIVERED, self.book.path.name, sheet, cell))

    def _items(self) -> list[ThenRow]:
        """The items: what one unit cost, what it brought, and last year's units, none where there was no fee."""
        margins = self.book.block("margins")
        down = margins["units"].first_row - self.book.block("costs")["code"].first_row
        rows = []
        for number, row in self._numbered("costs", ("code", "site")):
            fee, units, cash = (
                self._figure(margins[name], number + down) for name in ("fee_now", "units", "cash_now")
            )
            sold = Found(units.value if fee.value > 0 else 0.0, units.sheet, units.cell)
            rows.append(ThenRow(row.label, {"year_units": sold, "cash_now": cash, **row.figures}))
        return rows

    def _roles(self) -> list[ThenRow]:
        rows = self._rows("staff", ("role", "site"))
        for row in rows:
            hours = row.figures["productive_hours"]
            if hours.value <= 0:
                what = f"{row.label[0]} has no productive hours."
                do = "Mend it on its Inputs sheet, and save the workbook again."
                self.problems.append(
                    Problem("out of range", what, do, self.book.path.name, hours.sheet, hours.cell)
                )
        return rows

    def _rows(self, block: str, labels: Sequence[str]) -> list[ThenRow]:
        return [row for _, row in self._numbered(block, labels)]

    def _numbered(self, block: str, labels: Sequence[str]) -> list[tuple[int, ThenRow]]:
        """The rows of a table with their numbers in the sheet; a table without rows keeps one blank one."""
        spans, rows = self.book.block(block), []
        first = spans[labels[0]]
        for row in range(first.first_row, first.last_row + 1):
            label: Label = tuple(
                str(self.book.value(spans[name].sheet, row, spans[name].column)) for name in labels
            )
            if any(label):
                names = [name for name in NEEDED[block] if name not in labels]
                figures = {name: self._figure(spans[name], row) for name in names}
                rows.append((row, ThenRow(label, figures)))
        return rows

    def _figure(self, span: Span, row: int) -> Found:
        """The figure in one row of a column; what is none is a problem, and nought."""
        value, cell = self.book.value(span.sheet, row, span.column), address(row, span.column)
        if isinstance(value, (int, float)) and not isinstance(value, bool):
            return Found(float(value), span.sheet, cell)
        kind, what, do = _wrong(value, span)
        self.problems.append(Problem(kind, what, do, self.book.path.name, span.sheet, cell))
        return Found(0.0, span.sheet, cell)

    def _spend(self) -> Mapping[str, Found]:
        """The money of the invoice lines that was in a cost: alloy, and everything else."""
        spans = self.book.block("lines")
        use, used = spans["use"], spans["used_amount"]
        money = {LAB: 0.0, ALLOY: 0.0}
        for row in range(used.first_row, used.last_row + 1):
            word = str(self.book.value(use.sheet, row, use.column))
            if word:
                money[ALLOY if word == USED[2] else LAB] += self._figure(used, row).value
        cells = f"{address(used.first_row, used.column)}:{address(used.last_row, used.column)}"
        return {which: Found(amount, used.sheet, cells) for which, amount in money.items()}


def _wrong(value: Any, span: Span) -> tuple[str, str, str]:
    """Kind, what and cure of a cell without a figure."""
    if value == "" and span.calculated:
        return "formula without value", f"{span.heading}: the formula has no stored value.", SAVE_AGAIN
    if value == "":
        return "missing value", f"{span.heading}: the cell is blank.", DELIVERED
    return "not a number", f"{span.heading}: “{value}” is no figure.", DELIVERED
