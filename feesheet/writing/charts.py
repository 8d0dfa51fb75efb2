"""The charts of the first page. Each answers one question; the figures stand on the Materials sheet."""

from __future__ import annotations

from typing import Any

from feesheet.costing.components import STACKS
from feesheet.writing.layout import BookLayout, letters, quoted
from feesheet.writing.styles import ACCENT, INK, LINE, QUIET, STACK_COLOURS


class Charts:
    """Charts over the materials' block."""

    def __init__(self, book: Any, layout: BookLayout, currency: str) -> None:
        """Charts of that workbook."""
        self._book, self._layout, self._currency = book, layout, currency

    def costs_and_fees(self) -> Any:
        """What a crown costs, layer by layer, with the current and the new fee over it."""
        chart = self._book.add_chart({"type": "column", "subtype": "stacked"})
        for stack, heading in STACKS.items():
            chart.add_series(
                {
                    **self._data(f"stack_{stack}", heading),
                    "gap": 60,
                    "border": {"color": "white", "width": 0.75},
                    "fill": {"color": STACK_COLOURS[stack]},
                }
            )
        fees = self._book.add_chart({"type": "line"})
        for name, heading, marker, size, colour in (
            ("mean_now", "Current fee", "diamond", 7, "#B23A0E"),
            ("mean_new", "New fee", "long_dash", 14, INK),
        ):
            marker_look = {
                "type": marker,
                "size": size,
                "border": {"color": colour},
                "fill": {"color": colour},
            }
            fees.add_series({**self._data(name, heading), "line": {"none": True}, "marker": marker_look})
        chart.combine(fees)
        return self._dressed(chart, f"What a crown costs, and its fee ({self._currency})", "#,##0")

    def margins(self) -> Any:
        """Margin at the current and the new fee, with the target as a line."""
        chart = self._book.add_chart({"type": "column"})
        for name, heading, colour in (
            ("mean_margin_now", "Margin at the current fee", "#B3BEC8"),
            ("mean_margin_new", "Margin at the new fee", ACCENT),
        ):
            chart.add_series(
                {**self._data(name, heading), "gap": 60, "overlap": -5, "fill": {"color": colour}}
            )
        target = self._book.add_chart({"type": "line"})
        target.add_series(
            {**self._data("aim", "Target"), "line": {"color": "#D55E00", "width": 1.75, "dash_type": "dash"}}
        )
        chart.combine(target)
        return self._dressed(chart, "Margin by material, share of the money received", "0%")

    def alloy_then_and_now(self) -> Any:
        """The alloy in a crown when the current fees were set, and now."""
        chart = self._book.add_chart({"type": "column"})
        for name, heading, colour in (
            ("alloy_was", "When the fees were set", "#F3D9A4"),
            ("alloy_is", "Now", STACK_COLOURS["metal"]),
        ):
            chart.add_series(
                {
                    **self._data(name, heading, "alloyed"),
                    "gap": 60,
                    "overlap": -5,
                    "fill": {"color": colour},
                    "data_labels": {
                        "value": True,
                        "num_format": "#,##0",
                        "font": {"name": "Arial", "size": 8, "color": INK},
                    },
                }
            )
        return self._dressed(chart, f"Alloy in a crown, then and now ({self._currency})", "#,##0")

    def _data(self, column: str, heading: str, block: str = "by_material") -> dict[str, Any]:
        return {
            "name": heading,
            "categories": self._range(block, "material"),
            "values": self._range(block, column),
        }

    def _range(self, block: str, column: str) -> str:
        place = self._layout.places[block]
        letter = letters(place.columns[column])
        return f"={quoted(place.sheet)}!${letter}${place.first_row}:${letter}${place.last_row}"

    def _dressed(self, chart: Any, title: str, number_format: str) -> Any:
        font = {"name": "Arial", "size": 8, "color": INK}
        chart.set_title(
            {
                "name": title,
                "name_font": {**font, "size": 10, "bold": True},
                "overlay": False,
                "layout": {"x": 0.012, "y": 0.025},
            }
        )
        chart.set_x_axis(
            {"num_font": font, "line": {"color": QUIET}, "major_tick_mark": "none", "label_position": "low"}
        )
        chart.set_y_axis(
            {
                "num_font": font,
                "num_format": number_format,
                "line": {"none": True},
                "major_tick_mark": "none",
                "major_gridlines": {"visible": True, "line": {"color": "#E4E7EB", "width": 0.75}},
            }
        )
        chart.set_legend({"position": "bottom", "font": font})
        chart.set_chartarea({"border": {"color": LINE, "width": 0.75}})
        return chart
