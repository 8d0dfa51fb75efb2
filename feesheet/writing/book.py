"""The fee-schedule workbook: every sheet from the model, every formula with its true cached value.

The same model gives the same bytes: no clock, no random name, a fixed creation date.
"""

from __future__ import annotations

import gc
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import xlsxwriter

from feesheet import __version__
from feesheet.formula.model import Block, Model
from feesheet.formula.numbers import Numbers
from feesheet.practice import Practice
from feesheet.pricing.inputs import InputRow
from feesheet.problems import Problem
from feesheet.writing.charts import Charts
from feesheet.writing.layout import FIRST_ROW, SHEETS, TILES, BookLayout, letters, quoted, sheets_of
from feesheet.writing.openings import Filling, kind_of
from feesheet.writing.prose import write_changes, write_method, write_seals
from feesheet.writing.sheet import Page, PlainWorksheet
from feesheet.writing.styles import Styles, number_formats

KEYWORD = "feesheet-schedule"
"""Stands in the properties of every workbook written here, so that none is read as an input."""

TILES_ROW = 6
TILE_COLUMNS = (0, 1, 3, 5, 7)
FRONT_ROW = 10
ROW_PIXELS = 20

NOTES = {
    "Summary": "Fees from this practice's own costs. Payer contracts override; the choice of material is the dentist's.",
    "Fee schedule": "One row per code and site.",
    "Cost build-up": "What one unit costs, part by part. Follow a figure to the left, then to the sheet that it comes from.",
    "Fee rules": "How the needed fee becomes the new fee, rule by rule.",
    "Path": "Fees held back by the largest rise, carried on year by year.",
    "Margins": "What is left of the money that really comes in.",
    "Plans": "Allowed amounts, shares of patients, and the fee that covers cost and margin.",
    "Materials": "Means by material behind the charts, and what is typed for each material.",
    "Lab fees": "n is the units behind a mean; Z is how much that mean weighs against the starting value.",
    "Alloy": "Metal prices to alloy prices, and grams by material and tooth region.",
    "Alloy lines": "Alloy billed by weight, in grams and in metal value on the day.",
    "All-in prices": "The metal never hides inside a lab fee: it is estimated from grams and taken out.",
    "Metal history": "The quotes, and what each alloy's metal was worth on each invoice date.",
    "Chair time": "Expected minutes and pay. Chair minutes are not the dentist's minutes, nor the appointment's length.",
    "Overhead": "Overhead a chair minute, always with its denominator: usable chair minutes a year.",
    "Remakes and credits": "What labs charged for remakes and deposits, and what they gave back. An open one waits for your question.",
    "Invoice charges": "Freight, rush, tax and rebates on a whole invoice.",
    "Invoice lines": "Every line read, what it is used for, or why it is set aside.",
    "Inputs": "Protected against slips only, without a password: Review, Unprotect Sheet lifts it.",
    "What changed": "What changes, the files that were read, and what was noticed while reading them.",
    "Checks": "Each row of Checks must pass. Invoices are held against their papers and the labs' statements, to the cent.",
}


@dataclass(frozen=True)
class Schedule:
    """All that a workbook is written from."""

    practice: Practice
    model: Model
    numbers: Numbers
    inputs: list[InputRow]
    problems: list[Problem]


def write_book(path: Path, schedule: Schedule) -> None:
    """Write the workbook. The path must be free: nothing is ever overwritten."""
    book = xlsxwriter.Workbook(
        str(path), {"default_format_properties": {"font_name": "Arial", "font_size": 10}}
    )
    collecting = gc.isenabled()
    gc.disable()  # millions of cells and not one cycle: looking for cycles among them takes a tenth of the time
    try:
        _Book(book, schedule).write()
    finally:
        book.close()
        if collecting:
            gc.enable()


def layout_of(schedule: Schedule) -> BookLayout:
    """Where every block of the workbook stands; on the first page there are charts between the blocks."""
    charts = FRONT_ROW + 2 + schedule.model.blocks["front"].rows + 1
    first_page = {"figures": TILES_ROW, "front": FRONT_ROW, "front_moves": charts + 17 + 15}
    kind = kind_of(schedule.model)
    return BookLayout(
        schedule.model, schedule.inputs, first_page | (kind.fixed_rows(schedule.model) if kind else {})
    )


class _Book:
    """The workbook while it is written."""

    def __init__(self, book: Any, schedule: Schedule) -> None:
        self.book, self.schedule = book, schedule
        settings = schedule.practice.settings
        self.currency = str(settings["currency"])
        digits = int(schedule.model.settings["money_digits"].value)
        self.styles = Styles(book, number_formats(digits, _fee_digits(schedule, digits)))
        self.layout = layout_of(schedule)
        self.sheets = sheets_of(schedule.model)
        self.kind = kind_of(schedule.model)
        self.notes = NOTES | dict(self.kind.opening.notes if self.kind else {})
        self.fronts = {"Summary", self.kind.opening.front if self.kind else "Summary"}
        self.pages: dict[str, Page] = {}

    def write(self) -> None:
        self._properties()
        money = f" Money in {self.currency}."
        failed = int(self.schedule.numbers.of("state", "number")[0])
        known = str(self.schedule.numbers.of("said", "money_understood")[0])
        for sheet, names in self.sheets.items():
            page = self._page(sheet)
            note = f"{self.notes.get(sheet, '')}{money if sheet in self.fronts else ''}"
            page.head(self._title(sheet), note, failed, known)
            for name in names:
                self._block(page, self.schedule.model.blocks[name])
        self._summary_charts()
        if self.kind:
            self.kind.fill(
                Filling(
                    self.book,
                    self.layout,
                    self.currency,
                    self.schedule.model,
                    self.schedule.numbers,
                    self.sheets,
                    self.pages,
                )
            )
        prose = {name: self._page(name) for name in ("Method", "Seals")}
        for name, page in prose.items():
            page.head({"Method": "Method and cautions"}.get(name, name), _PROSE_NOTES[name], failed, known)
        below = self.layout.places["changes"].last_row + 2
        write_changes(self.pages["What changed"], below, self.schedule.practice, self.schedule.problems)
        write_method(prose["Method"], self.schedule.model, self.layout)
        write_seals(prose["Seals"], [page for page in self.pages.values() if page.name not in prose])
        self._names()
        self._finish()

    def _title(self, sheet: str) -> str:
        if self.kind and sheet == self.kind.opening.front:
            return self.kind.title_of(self.schedule.model)
        if self.kind and self.kind.schedule_title and sheet == "Summary":
            return self.kind.schedule_title
        day = self.schedule.practice.settings["effective_date"]
        return f"Fee schedule from {day}" if sheet == "Summary" else sheet

    def _properties(self) -> None:
        settings = self.schedule.practice.settings
        day = settings["pricing_date"]
        title = f"Fee schedule of {settings['practice_name']} from {settings['effective_date']}"
        asked = self.kind.title_of(self.schedule.model) if self.kind else ""
        self.book.set_properties(
            {
                "title": f"{asked}. {title}" if asked else title,
                **({"subject": asked} if asked else {}),
                "keywords": KEYWORD,
                "comments": f"Written by feesheet {__version__}",
                "created": datetime(day.year, day.month, day.day, tzinfo=UTC),
            }
        )

    def _page(self, name: str) -> Page:
        sheet = self.book.add_worksheet(name, worksheet_class=PlainWorksheet)
        self.pages[name] = Page(name, sheet, self.styles, self.currency)
        return self.pages[name]

    def _block(self, page: Page, block: Block) -> None:
        place = self.layout.places[block.name]
        if block.name in TILES:
            page.across(block, TILES_ROW, TILE_COLUMNS[: block.rows], self.layout, self.schedule.numbers)
            return
        page.block(block, place, self.layout, self.schedule.numbers)
        if block.name == "inputs":
            self._limits(page, block)
        if block.name == "choices":
            cell = f"{letters(place.columns['basis'])}{place.first_row}"
            choices = self.schedule.model.settings["margin_basis"].choices
            page.sheet.data_validation(
                cell,
                {
                    "validate": "list",
                    "source": list(choices),
                    "error_title": "Not one of the words",
                    "error_message": "Choose one of the words of the list.",
                },
            )

    def _limits(self, page: Page, block: Block) -> None:
        """Each figure to type over gets its own number format and limits."""
        place = self.layout.places["inputs"]
        column, low, high = (place.columns[name] for name in ("value", "low", "high"))
        for row, typed in enumerate(self.schedule.inputs, start=place.first_row - 1):
            for position in (column, low, high, place.columns["as_issued"]):
                value = {column: typed.value, low: typed.low, high: typed.high}.get(position, typed.value)
                page.sheet.write_number(
                    row, position, value, self.styles.cell(typed.unit, entry=position == column)
                )
            page.sheet.data_validation(
                row,
                column,
                row,
                column,
                {
                    "validate": "decimal",
                    "criteria": "between",
                    "minimum": f"=${letters(low)}${row + 1}",
                    "maximum": f"=${letters(high)}${row + 1}",
                    "error_title": "Out of range",
                    "error_message": "The figure must lie between the lowest and the highest in this row.",
                },
            )

    def _summary_charts(self) -> None:
        page, model = self.pages["Summary"], self.schedule.model
        if not model.blocks["by_material"].rows:
            return
        page.widths = {0: 27, **dict.fromkeys(range(1, 9), 10.6)}
        charts, row = (
            Charts(self.book, self.layout, self.currency),
            FRONT_ROW + 2 + model.blocks["front"].rows,
        )
        self._insert(
            row,
            0,
            charts.costs_and_fees(),
            829,
            17,
            "Stacked columns: mean unit cost by material in layers, with the current and the "
            "new fee over them; the figures stand on the Materials sheet.",
        )
        self._insert(
            row + 17,
            0,
            charts.margins(),
            829,
            15,
            "Columns: margin by material at the current and the new fee, with the target as a "
            "line; the figures stand on the Materials sheet.",
        )
        if "front_moves" in model.blocks and model.blocks["alloyed"].rows:
            self._insert(
                row + 32,
                4,
                charts.alloy_then_and_now(),
                395,
                13,
                "Columns: alloy in a crown when the current fees were set and now, by "
                "material; the figures stand on the Materials sheet.",
            )

    def _insert(self, row: int, column: int, chart: Any, width: int, rows: int, words: str) -> None:
        chart.set_size({"width": width, "height": rows * ROW_PIXELS - 8})
        self.pages["Summary"].sheet.insert_chart(
            row, column, chart, {"object_position": 2, "y_offset": 4, "description": words}
        )

    def _names(self) -> None:
        """Names for the cells that formulas read by name; none that nothing uses."""
        state = self.layout.places["state"]
        cell = f"{quoted(state.sheet)}!${letters(state.columns['number'])}$"
        self.book.define_name("CheckFailures", f"={cell}{state.first_row}")
        self.book.define_name("InputsChanged", f"={cell}{state.first_row + 1}")
        known = self.layout.places["said"]
        column = letters(known.columns["money_understood"])
        self.book.define_name("MoneyUnderstood", f"={quoted(known.sheet)}!${column}${known.first_row}")
        for name in sorted(self.layout.used_names):
            self.book.define_name(name, f"={self.layout.setting_cell(name)}")

    def _finish(self) -> None:
        settings = self.schedule.practice.settings
        looks_back = self.kind and self.kind.schedule_title
        days = (
            f"Review to {settings['pricing_date']}"
            if looks_back
            else f"Fees from {settings['effective_date']}"
        )
        footer = f"&L&8&F · &A&C&8Page &P of &N&R&8{days}"
        for name, page in self.pages.items():
            placed = [self.layout.places[b] for b in self.sheets.get(name, ()) if b in self.layout.places]
            if name == "Seals" and self.kind:
                page.finish(landscape=True, repeat=(FIRST_ROW - 1, 1), footer=footer)
                page.sheet.print_area(0, 0, 3, 3)
                continue
            if placed and name not in SHEETS and self.kind:
                self.kind.opening.finish_page(page, placed, footer)
                continue
            longest = max(placed, key=lambda place: place.rows, default=None)
            if name == "Seals":
                page.sheet.print_area(0, 0, 3, 3)
            repeat = (
                (longest.header_row, 2 if name not in ("Inputs", "Checks") else 1)
                if longest and name not in ("Summary", "What changed")
                else None
            )
            page.finish(landscape=name != "Summary", repeat=repeat, footer=footer)
        self.pages["Summary"].sheet.fit_to_pages(1, 1)
        next(iter(self.pages.values())).sheet.activate()


_PROSE_NOTES = {
    "Method": "What every column means, in words and as the formula of its first row.",
    "Seals": "Two characters for each cell, by which `feesheet audit` names every cell that was typed over.",
}


def _fee_digits(schedule: Schedule, money_digits: int) -> int:
    """Decimals that fees are shown with: none if every current and new fee is whole."""
    fees = [*schedule.numbers.of("fee_rules", "current_fee"), *schedule.numbers.of("fee_rules", "new_fee")]
    return 0 if all(float(fee) == int(fee) for fee in fees) else money_digits
