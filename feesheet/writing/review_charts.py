"""The charts of a margin review. Each answers one question; the figures stand in a table of the workbook."""

from __future__ import annotations

from typing import Any

from feesheet.formula.model import Model
from feesheet.writing.charts import Charts
from feesheet.writing.layout import BookLayout, letters, quoted
from feesheet.writing.review_pages import CHANGES_ROWS, FRONT, MARGIN_ROWS
from feesheet.writing.sheet import Page
from feesheet.writing.styles import ACCENT, INK

ROW_PIXELS = 20
FRONT_PIXELS, SHEET_PIXELS, BESIDE_PIXELS = 980, 980, 540
BEFORE = "#B3BEC8"


class ReviewCharts(Charts):
    """Charts over the review's blocks."""

    def __init__(self, book: Any, layout: BookLayout, currency: str, model: Model) -> None:
        """Charts of that workbook."""
        super().__init__(book, layout, currency)
        self._model = model

    def insert(self, pages: dict[str, Page]) -> None:
        """Put every chart that the model has figures for where rows were kept free for it."""
        if self._model.blocks["review_materials"].rows:
            row = self._layout.places["review_materials"].last_row + 1
            self._put(pages[FRONT], "review_materials", self.margins(), (row, 0), FRONT_PIXELS, MARGIN_ROWS)
        if "changes_told" not in self._model.blocks:
            return
        row = self._layout.places["changes_told"].last_row + 1
        self._put(
            pages["Why it changed"], "changes_told", self.changes(), (row, 0), SHEET_PIXELS, CHANGES_ROWS
        )
        place = self._layout.places["review_changes"]
        beside = (place.header_row - 1, len(place.columns))
        self._put(pages[FRONT], "review_changes", self.changes(), beside, BESIDE_PIXELS, place.rows + 1)

    def _put(self, page: Page, block: str, chart: Any, at: tuple[int, int], width: int, rows: int) -> None:
        words = f"Chart of the table {self._model.blocks[block].title}; the figures stand on the {page.name} sheet."
        chart.set_size({"width": width, "height": rows * ROW_PIXELS - 8})
        page.sheet.insert_chart(
            *at,
            chart,
            {"object_position": 2, "y_offset": 4, "x_offset": 8 if at[1] else 0, "description": words},
        )

    def margins(self) -> Any:
        """Margin by material before and after dentist pay, worst first."""
        chart = self._book.add_chart({"type": "column"})
        for name, heading, colour in (
            ("review_margin_before", "Margin before dentist pay", BEFORE),
            ("review_margin", "Margin after all costs", ACCENT),
        ):
            chart.add_series(
                {
                    **self._data(name, heading, "review_materials"),
                    "gap": 60,
                    "overlap": -5,
                    "fill": {"color": colour},
                }
            )
        return self._dressed(chart, "Margin by material, share of the money received", "0%")

    def changes(self) -> Any:
        """What each step does to what is left."""
        chart = self._book.add_chart({"type": "column"})
        chart.add_series(
            {
                "name": "Change of what is left",
                "categories": self._steps("step"),
                "values": self._steps("amount"),
                "gap": 50,
                "fill": {"color": ACCENT},
                "invert_if_negative": True,
                "invert_if_negative_color": "#B23A0E",
                "data_labels": {
                    "value": True,
                    "num_format": "+#,##0;-#,##0;0",
                    "font": {"name": "Arial", "size": 8, "color": INK},
                },
            }
        )
        chart = self._dressed(chart, f"Change of what is left, step by step ({self._currency})", "#,##0")
        chart.set_legend({"none": True})
        return chart

    def _steps(self, column: str) -> str:
        """The steps between what was left then and what is left now."""
        place = self._layout.places["changes_told"]
        letter = letters(place.columns[column])
        return f"={quoted(place.sheet)}!${letter}${place.first_row + 1}:${letter}${place.last_row - 1}"

    def _data(self, column: str, heading: str, block: str = "review_materials") -> dict[str, Any]:
        return {
            "name": heading,
            "categories": self._range(block, "review_material"),
            "values": self._range(block, column),
        }
