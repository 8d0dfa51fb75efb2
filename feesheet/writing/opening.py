"""Sheets that stand before the fee schedule, in a workbook that asks something of it: a what-if, a review."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from feesheet.formula.model import Block, Column
from feesheet.formula.numbers import Numbers
from feesheet.writing.layout import SHEETS, Place
from feesheet.writing.sheet import Page

LONG_TABLE = 40
"""Rows that fit one page."""

HEAD_ROWS = 4
"""Rows over the first table: title, checks, state, note."""

WIDEST_PORTRAIT = 155
"""Widths that a page on end holds at three fifths of their size."""

_MONEY = ("money", "needed", "fee", "change_money")


@dataclass(frozen=True)
class Opening:
    """The sheets of one kind of question and how they look on paper.

    `front` is the first page, one page of paper; `sheets` the blocks of each sheet; `notes` the line under each title.
    `printed_to` names the last column on paper of sheets whose columns to the right are workings; `breaks` the table that
    begins a new page, counted from the first, or from the last by minus. `kept` are columns that stay in view.
    """

    front: str
    sheets: Mapping[str, tuple[str, ...]]
    notes: Mapping[str, str]
    front_widths: Mapping[int, float]
    printed_to: Mapping[str, str] = field(default_factory=dict)
    breaks: Mapping[str, int] = field(default_factory=dict)
    kept: int = 2

    def snug_sheets(self, pages: Iterable[str]) -> list[str]:
        """The sheets of tables that people print."""
        return [sheet for sheet in pages if sheet in self.sheets and sheet != self.front]

    def repeated(self, sheet: str, placed: Sequence[Place]) -> tuple[int, int] | None:
        """The rows and columns of a sheet that stay in view: the headings of its table where it is one long one.

        None where everything fits one page. Where several tables stand below each other, the lines over them stay.
        """
        if sheet == self.front:
            return None
        longest = max(placed, key=lambda place: place.rows)
        if longest is placed[0] and (len(placed) == 1 or longest.rows > LONG_TABLE):
            return longest.header_row, self.kept
        if sheet in self.sheets and longest.rows <= LONG_TABLE:
            return None
        return HEAD_ROWS, self.kept

    def finish_page(self, page: Page, placed: Sequence[Place], footer: str) -> None:
        """The print set-up of a sheet that only this kind of workbook has."""
        landscape = page.name != self.front and sum(page.widths.values()) > WIDEST_PORTRAIT
        page.finish(landscape, self.repeated(page.name, placed), footer)
        if page.name == self.front:
            page.sheet.fit_to_pages(1, 1)
        elif page.name in self.printed_to:
            last = placed[-1]
            page.sheet.print_area(0, 0, last.last_row - 1, last.columns[self.printed_to[page.name]])
        elif len(placed) > max(1, self.breaks.get(page.name, len(placed))):
            page.sheet.set_h_pagebreaks([placed[self.breaks[page.name]].title_row - 1])
        elif page.name not in self.sheets and page.name not in SHEETS:
            page.sheet.print_area(0, 0, HEAD_ROWS - 1, 7)


def snug(page: Page, blocks: Sequence[Block], numbers: Numbers) -> None:
    """Columns that hold only money as wide as their figures and headings need, so that a page holds more of them."""
    found: dict[int, list[tuple[Block, Column]]] = {}
    for block in blocks:
        for position, column in enumerate(block.columns.values()):
            found.setdefault(position, []).append((block, column))
    for position, columns in found.items():
        if all(column.unit in _MONEY and column.width is None for _, column in columns):
            needed = [
                page.width_for(column, numbers.of(block.name, column.name)) for block, column in columns
            ]
            page.widths[position] = max(needed)


def after(block: Block, row: int) -> int:
    """The row after a table that begins in that row, and one blank row."""
    return row + (2 if block.note else 1) + max(block.rows, 1) + 2
