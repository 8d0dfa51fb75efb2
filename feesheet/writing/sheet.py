"""One sheet of the workbook: its title, its blocks, its print set-up, and the seals of its cells."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pandas as pd
from xlsxwriter.worksheet import Worksheet

from feesheet.formula.excel import at_rows, formula
from feesheet.formula.model import Block, Column
from feesheet.formula.numbers import Numbers
from feesheet.writing.layout import BookLayout, Place
from feesheet.writing.seals import BLANK, row_text, seal_of_formula, seal_of_value
from feesheet.writing.styles import WIDTH, WIDTHS, Styles, unit_words

CHECK_LINE = '=IF(CheckFailures=0,"All checks pass",CheckFailures&" check(s) fail: see the Checks sheet")&MoneyUnderstood'
STATE_LINE = (
    '=IF(InputsChanged=0,"As issued",InputsChanged&" figure(s) typed over since issue: see the Inputs sheet")'
)
PASS, ISSUED = "All checks pass", "As issued"


def check_words(checks_fail: int, understood: str) -> str:
    """What `CHECK_LINE` comes to: how many checks fail, then what is said where not all money is understood."""
    return (PASS if not checks_fail else f"{checks_fail} check(s) fail: see the Checks sheet") + understood


WIDEST_PAGE = 215
"""Widths that still fit one landscape page at 60 %; a wider sheet flows over pages, its first columns repeated."""

LEAST_MONEY = 9.0
"""Least width of a column of money that is made to fit its figures."""

WIDEST_WORDS = 46
"""Widest column of words; longer ones are cut off on paper, never on the screen's formula line."""

WORDS = frozenset({"text", "code", "unit", "choice"})


class PlainWorksheet(Worksheet):  # type: ignore[misc]
    """A worksheet that writes formulas as they are: none of ours holds a function that needs a prefix.

    xlsxwriter looks for 29 newer functions in every formula; leaving that out halves the time of writing.
    """

    def _prepare_formula(self, formula: str, expand_future_functions: bool = False) -> str:
        return formula.removeprefix("=")

    def share_cells(self, first: int, rows: int, column: int) -> None:
        """Keep equal cells of a column once. Facts repeat: in 100,000 rows that is a fifth of the memory of writing."""
        kept: dict[Any, Any] = {}
        for row in range(first, first + rows):
            cells = self.table[row]
            cell = cells[column]
            cells[column] = kept.setdefault((type(cell), cell), cell)  # a word's number is no figure


@dataclass
class Page:
    """A sheet being written."""

    name: str
    sheet: Any
    styles: Styles
    currency: str
    seals: dict[int, str] = field(default_factory=dict)
    widths: dict[int, float] = field(default_factory=dict)
    headed: dict[int, Block] = field(default_factory=dict)

    def head(self, title: str, note: str, checks_fail: int, understood: str) -> None:
        """Title in A1, the master check and the share of money understood in A2, the state in A3, a note in A4."""
        self.sheet.write_string(0, 0, title, self.styles.title())
        self.sheet.write_formula(1, 0, CHECK_LINE, self.styles.check(), check_words(checks_fail, understood))
        for criteria, look in (
            ("=CheckFailures>0", self.styles.failed()),
            ('=MoneyUnderstood<>""', self.styles.warned()),
        ):
            self.sheet.conditional_format(
                1, 0, 1, 0, {"type": "formula", "criteria": criteria, "format": look, "stop_if_true": True}
            )
        self.sheet.write_formula(2, 0, STATE_LINE, self.styles.note(), ISSUED)
        self.sheet.write_string(3, 0, note, self.styles.note())
        self.seals[2], self.seals[3] = seal_of_formula(CHECK_LINE, 2), seal_of_formula(STATE_LINE, 3)

    def block(self, block: Block, place: Place, layout: BookLayout, numbers: Numbers) -> None:
        """A block as a table: title, note, headings, rows."""
        self.sheet.write_string(place.title_row - 1, 0, block.title, self.styles.block_title())
        if block.note:
            self.sheet.write_string(place.title_row, 0, block.note, self.styles.note())
        self.headed[place.header_row] = block
        seals: list[Iterable[str]] = []
        for position, column in enumerate(block.columns.values()):
            self.heading(place.header_row, position, column)
            seals.append(self.column(block, place, position, column, layout, numbers))
        if not block.rows:
            self.sheet.write_string(place.first_row - 1, 0, "none", self.styles.cell("text"))
            return
        for row, parts in enumerate(zip(*seals, strict=True), start=place.first_row):
            self.seals[row] = "".join(parts)

    def heading(self, row: int, position: int, column: Column) -> None:
        """A column's heading with its unit, and the width that it needs."""
        self.sheet.write_string(
            row - 1, position, self._heading_words(column), self.styles.heading(column.unit in WORDS)
        )
        self.widths[position] = max(self.widths.get(position, 0), self._heading_width(column))

    def _heading_words(self, column: Column) -> str:
        unit = unit_words(column.unit, self.currency)
        if unit in ("", "share", "units", "0 to 1") or column.heading.endswith(f" {unit}"):
            return column.heading
        return f"{column.heading}, {self.currency if ' per ' in column.heading else unit}"

    def _heading_width(self, column: Column) -> float:
        longest = max((len(word) for word in self._heading_words(column).split()), default=0) * 1.1 + 1.5
        return max(column.width or WIDTHS.get(column.unit, WIDTH), longest)

    def width_for(self, column: Column, figures: Any) -> float:
        """The width that the figures of a column of money and the longest word of its heading need."""
        words = max(len(word) for word in self._heading_words(column).split()) * 1.1 + 1.5
        shown = (value if isinstance(value, str) else f"{value:+,.2f}" for value in plain_values(figures))
        return max(words, LEAST_MONEY, max((len(one) for one in shown), default=0) * 1.02 + 1.5)

    def _heading_lines(self, position: int, column: Column) -> int:
        """Lines that the wrapped heading takes, generously counted."""
        return lines_of(self._heading_words(column), self.widths[position] - 1.5)

    def column(
        self, block: Block, place: Place, position: int, column: Column, layout: BookLayout, numbers: Numbers
    ) -> Sequence[str]:
        """A column's cells, each with its cached value; returns their seals."""
        values = plain_values(numbers.of(block.name, column.name))
        if column.unit == "unit":
            values = [unit_words(value, self.currency) or value for value in values]
        if column.unit in WORDS and column.width is None:
            longest = max((len(str(value)) for value in values), default=0)
            self.widths[position] = max(self.widths[position], min(longest * 1.02 + 2.5, WIDEST_WORDS))
        look = self.styles.cell(
            column.unit,
            entry=column.unit in ("entry", "choice"),
            fact=column.values is not None,
            counter=column.counter,
        )
        if column.trees:
            return self._listed(block, place, position, column, layout, values)
        if column.entry or column.tree is not None:
            tree = column.tree
            text = layout.entry(block, column.name) if tree is None else formula(tree, block, layout)
            looks = [self.styles.cell(unit) for unit in column.units] or [look] * len(values)
            return self._formulas(at_rows(text), values, place, position, looks)
        return self._facts(values, column, place, position, look)

    def _formulas(
        self, made: Any, values: list[Any], place: Place, position: int, looks: list[Any]
    ) -> list[str]:
        write = self.sheet.write_formula
        for row, (value, look) in enumerate(zip(values, looks, strict=True), start=place.first_row):
            write(row - 1, position, made(row), look, value)
        return [seal_of_formula(made(place.first_row), place.first_row)] * len(values)

    def _listed(
        self, block: Block, place: Place, position: int, column: Column, layout: BookLayout, values: list[Any]
    ) -> list[str]:
        seals, units = [], column.units or [column.unit] * len(values)
        for row, (tree, value, unit) in enumerate(
            zip(column.trees, values, units, strict=True), start=place.first_row
        ):
            text = at_rows(formula(tree, block, layout))(row)
            self.sheet.write_formula(row - 1, position, text, self.styles.cell(unit), value)
            seals.append(seal_of_formula(text, row))
        return seals

    def _facts(self, values: list[Any], column: Column, place: Place, position: int, look: Any) -> list[str]:
        """Facts as read. Words that begin like a formula are written as words."""
        sheet, seals, known = self.sheet, [], {}
        for row, value in enumerate(values, start=place.first_row - 1):
            if isinstance(value, str):
                sheet.write_string(row, position, value, look) if value else sheet.write_blank(
                    row, position, None, look
                )
            elif value is None or value != value:
                sheet.write_blank(row, position, None, look)
            elif isinstance(value, pd.Timestamp):
                sheet.write_datetime(row, position, value.to_pydatetime(), look)
                value = (value - _EPOCH).days
            else:
                sheet.write_number(row, position, value, look)
            if value not in known:
                known[value] = (
                    BLANK if value is None or value == "" or value != value else seal_of_value(value)
                )
            seals.append(known[value])
        sheet.share_cells(place.first_row - 1, len(values), position)
        return seals

    def across(
        self, block: Block, row: int, columns: Sequence[int], layout: BookLayout, numbers: Numbers
    ) -> None:
        """The five figures as tiles side by side: label, value, remark."""
        units = plain_values(numbers.of(block.name, "shown_as"))
        seals: dict[int, dict[int, str]] = {row + 1: {}, row + 2: {}}
        for position, (at, unit) in enumerate(zip(columns, units, strict=True)):
            self.sheet.write_string(
                row - 1, at, str(numbers.of(block.name, "figure")[position]), self.styles.tile("label")
            )
            for offset, name in ((1, "value"), (2, "remark")):
                text = at_rows(formula(block.columns[name].trees[position], block, layout))(row + offset)
                value = plain_values(numbers.of(block.name, name))[position]
                self.sheet.write_formula(row + offset - 1, at, text, self.styles.tile(name, unit), value)
                seals[row + offset][at] = seal_of_formula(text, row + offset)
        for at, found in seals.items():
            self.seals[at] = row_text(found)

    def finish(self, landscape: bool, repeat: tuple[int, int] | None, footer: str) -> None:
        """Widths, freeze panes, protection against slips, and one page wide on paper."""
        sheet = self.sheet
        for position, width in self.widths.items():
            sheet.set_column(position, position, width)
        for row, block in self.headed.items():
            lines = max(
                self._heading_lines(position, column)
                for position, column in enumerate(block.columns.values())
            )
            sheet.set_row(row - 1, 4 + 12.5 * lines)
        if repeat:
            sheet.freeze_panes(repeat[0], repeat[1])
            sheet.repeat_rows(repeat[0] - 1)
        if landscape:
            sheet.set_landscape()
        sheet.hide_gridlines(2)
        sheet.set_paper(9)
        if sum(self.widths.values()) <= WIDEST_PAGE or not repeat:
            sheet.fit_to_pages(1, 0)
        else:
            sheet.set_print_scale(60)
            sheet.repeat_columns(0, repeat[1] - 1)
            sheet.print_across()
        sheet.set_margins(left=0.5, right=0.5, top=0.55, bottom=0.7)
        sheet.set_footer(footer)
        sheet.protect("", {"format_columns": True, "format_rows": True, "select_locked_cells": True})


def lines_of(words: str, width: float) -> int:
    """Lines that words take when they are wrapped in a column of that width."""
    lines, used = 1, 0.0
    for word in words.split():
        length = len(word) * 0.95 + 1
        lines, used = (lines + 1, length) if used and used + length - 1 > width else (lines, used + length)
    return lines


_EPOCH = pd.Timestamp("1899-12-30")


def plain_values(figures: Any) -> list[Any]:
    """Figures as Python's own numbers, words and days; equal ones are one object, so that a long column takes less memory.

    Nought has no sign here, as in a spreadsheet.
    """
    if isinstance(figures, pd.Categorical):
        words = [str(word) for word in figures.categories]
        return [words[code] for code in figures.codes.tolist()]
    array = np.asarray(figures)
    if array.dtype.kind == "M":
        return [pd.Timestamp(day) for day in array]
    if array.dtype.kind == "f":
        known: dict[float, float] = {}
        return [known.setdefault(number, number) for number in (array + 0.0).tolist()]
    return [item.item() if isinstance(item, np.generic) else item for item in array.tolist()]
