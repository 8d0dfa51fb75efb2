"""The charts of a what-if. Each answers one question; the figures stand in a table of the workbook."""

from __future__ import annotations

from typing import Any

from feesheet.formula.model import Model
from feesheet.writing.charts import Charts
from feesheet.writing.layout import BookLayout
from feesheet.writing.sheet import Page
from feesheet.writing.styles import ACCENT, INK, STACK_COLOURS
from feesheet.writing.what_if_pages import CHART_ROWS, FRONT, LEFT_ROWS, MARGIN_ROWS

ROW_PIXELS = 20
WIDEST_PIXELS = 980
FRONT_PIXELS = 829

NOW, UP, DOWN = "#B3BEC8", "#D55E00", "#0072B2"

LINES = (
    ("#E69F00", "solid", "circle"),
    ("#0072B2", "dash", "square"),
    ("#B23A0E", "solid", "triangle"),
    ("#56B4E9", "dash", "diamond"),
    ("#0F5C63", "round_dot", "circle"),
    ("#52606D", "long_dash", "square"),
)
"""Colour, dash and marker of each line: never the colour alone."""


class WhatIfCharts(Charts):
    """Charts over the what-if's blocks."""

    def __init__(self, book: Any, layout: BookLayout, currency: str, model: Model) -> None:
        """Charts of that workbook."""
        super().__init__(book, layout, currency)
        self._model = model

    def insert(self, pages: dict[str, Page]) -> None:
        """Put every chart that the model has figures for where rows were kept free for it."""
        self._front(pages[FRONT])
        if "tornado" in self._model.blocks:
            self._under(pages["Drivers"], "tornado", self.tornado(), self._model.blocks["tornado"].rows + 5)
        if "scenario_steps" in self._model.blocks:
            self._under(pages["Scenarios"], "scenario_steps", self.steps(), CHART_ROWS)
        if "quote_answers" in self._model.blocks:
            self._under(pages["Quote safety"], "quote_answers", self.rises(), CHART_ROWS)

    def _front(self, page: Page) -> None:
        row = self._layout.places["what_if_materials"].last_row + 1
        if "metal_left" in self._model.blocks:
            self._put(page, row + MARGIN_ROWS, self.left(), FRONT_PIXELS, LEFT_ROWS, "metal_left")
        if not self._model.blocks["what_if_materials"].rows:
            return
        then = "if_cost_then" in self._model.blocks["what_if_materials"].columns
        chart = self.margins_then() if then else self.left_now()
        self._put(page, row, chart, FRONT_PIXELS, MARGIN_ROWS, "what_if_materials")

    def _under(self, page: Page, block: str, chart: Any, rows: int) -> None:
        """Under a table, as wide as the sheet's columns."""
        width = min(sum(int(w * 7 + 0.5) + 5 for w in page.widths.values()), WIDEST_PIXELS)
        self._put(page, self._layout.places[block].last_row + 1, chart, width, rows, block)

    def _put(self, page: Page, row: int, chart: Any, width: int, rows: int, block: str) -> None:
        home = self._layout.places[block].sheet
        words = (
            f"Chart of the table {self._model.blocks[block].title}; the figures stand on the {home} sheet."
        )
        chart.set_size({"width": width, "height": rows * ROW_PIXELS - 8})
        page.sheet.insert_chart(row, 0, chart, {"object_position": 2, "y_offset": 4, "description": words})

    def margins_then(self) -> Any:
        """Margin by material now and in the scenario, with the target as a line."""
        chart = self._columns(
            "what_if_materials",
            "if_material",
            (("if_margin", "Margin now", NOW), ("if_margin_then", "Margin then", ACCENT)),
        )
        target = self._book.add_chart({"type": "line"})
        target.add_series(
            {
                "name": "Target now",
                "categories": self._range("what_if_materials", "if_material"),
                "values": self._range("by_material", "aim"),
                "line": {"color": "#D55E00", "width": 1.75, "dash_type": "dash"},
            }
        )
        chart.combine(target)
        return self._dressed(chart, "Margin by material at today's fees, share of the money received", "0%")

    def left_now(self) -> Any:
        """What is left of the fee by material."""
        series = (("if_left", "Left of the fee", ACCENT),)
        chart = self._columns("what_if_materials", "if_material", series)
        title = f"What is left of a fee after all costs ({self._currency} a unit)"
        chart = self._dressed(chart, title, "#,##0")
        chart.set_legend({"none": True})
        return chart

    def left(self) -> Any:
        """What is left of today's fee as the watched metal's price moves, one line a material."""
        chart = self._book.add_chart({"type": "scatter", "subtype": "straight_with_markers"})
        block = self._model.blocks["metal_left"]
        names = [name for name in block.columns if name.startswith("left_")]
        for name, (colour, dash, marker) in zip(names, LINES * len(names), strict=False):
            chart.add_series(
                {
                    "name": block.columns[name].heading,
                    "categories": self._range("metal_left", "price_then"),
                    "values": self._range("metal_left", name),
                    "line": {"color": colour, "width": 1.75, "dash_type": dash},
                    "marker": {
                        "type": marker,
                        "size": 5,
                        "border": {"color": colour},
                        "fill": {"color": colour},
                    },
                }
            )
        chart = self._dressed(chart, f"{block.title} ({self._currency} a unit)", "#,##0")
        chart.set_x_axis(
            {
                "num_font": {"name": "Arial", "size": 8, "color": INK},
                "num_format": "#,##0",
                "label_position": "low",
                "major_tick_mark": "none",
                "major_gridlines": {"visible": False},
            }
        )
        return chart

    def tornado(self) -> Any:
        """What a step of each driver does to the money left in a year, the largest on top."""
        chart = self._book.add_chart({"type": "bar"})
        for name, heading, colour in (
            ("left_change_up", "Step up", UP),
            ("left_change_down", "Step down", DOWN),
        ):
            chart.add_series(
                {
                    "name": heading,
                    "categories": self._range("tornado", "driver"),
                    "values": self._range("tornado", name),
                    "gap": 45,
                    "overlap": 100,
                    "fill": {"color": colour},
                }
            )
        title = f"Change of the money left in a year ({self._currency})"
        chart = self._dressed(chart, title, "#,##0")
        font = {"name": "Arial", "size": 8, "color": INK}
        chart.set_y_axis(
            {"num_font": font, "reverse": True, "label_position": "low", "major_tick_mark": "none"}
        )
        chart.set_x_axis(
            {
                "num_font": font,
                "num_format": "+#,##0;-#,##0;0",
                "major_tick_mark": "none",
                "line": {"none": True},
                "label_position": "high",
                "major_gridlines": {"visible": True, "line": {"color": "#E4E7EB", "width": 0.75}},
            }
        )
        return chart

    def steps(self) -> Any:
        """What each step of each scenario does to the money left in a year."""
        chart = self._book.add_chart({"type": "column"})
        first = self._range("scenario_steps", "scenario")
        last = self._range("scenario_steps", "step")
        chart.add_series(
            {
                "name": "Change of the money left in a year",
                "categories": f"{first.split(':')[0]}:{last.split(':')[1]}",
                "values": self._range("scenario_steps", "left_year_change"),
                "gap": 60,
                "fill": {"color": ACCENT},
                "data_labels": {
                    "value": True,
                    "num_format": "+#,##0;-#,##0;0",
                    "font": {"name": "Arial", "size": 8, "color": INK},
                },
            }
        )
        title = f"Change of the money left in a year, step by step ({self._currency})"
        chart = self._dressed(chart, title, "#,##0")
        chart.set_legend({"none": True})
        return chart

    def rises(self) -> Any:
        """The rise by history beside the one by formula, metal by metal."""
        series = (
            ("by_history", "Historical simulation", STACK_COLOURS["lab"]),
            ("by_formula", "Parametric", STACK_COLOURS["people"]),
        )
        chart = self._columns("quote_answers", "metal", series)
        return self._dressed(chart, "Rise that a quote should withstand, share of the price now", "0%")

    def _columns(self, block: str, labels: str, series: tuple[tuple[str, str, str], ...]) -> Any:
        """Columns side by side."""
        chart = self._book.add_chart({"type": "column"})
        for name, heading, colour in series:
            chart.add_series(
                {
                    "name": heading,
                    "categories": self._range(block, labels),
                    "values": self._range(block, name),
                    "gap": 60,
                    "overlap": -5,
                    "fill": {"color": colour},
                }
            )
        return chart
