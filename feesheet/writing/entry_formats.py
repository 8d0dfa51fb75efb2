"""How the cells of an input sheet look: one pale fill to type in, quiet words around it, a format by kind."""

from __future__ import annotations

from typing import Any

from feesheet.schema import NUMERIC_KINDS, Field

INPUT_FILL = "#FFF8E1"
LINE = "#D9D9D9"
QUIET = "#595959"

_NUMBER_FORMATS = {
    "money": "#,##0.00",
    "whole": "0",
    "fraction": "0.0%",
    "grams": "0.00",
    "date": "yyyy-mm-dd",
    "number": "General",
    "minutes": "General",
}
"""Number formats by kind of field; all else is text, so that leading zeros stay."""


class EntryFormats:
    """The few cell formats of one workbook, each made once."""

    def __init__(self, book: Any) -> None:
        """The formats of that workbook."""
        self._book = book
        self._made: dict[tuple[tuple[str, Any], ...], Any] = {}

    def _get(self, **properties: Any) -> Any:
        properties = {"font_name": "Arial", "font_size": 10, "valign": "top", **properties}
        key = tuple(sorted(properties.items()))
        if key not in self._made:
            self._made[key] = self._book.add_format(properties)
        return self._made[key]

    def title(self) -> Any:
        """The name of the sheet."""
        return self._get(bold=True, font_size=14)

    def words(self) -> Any:
        """Words that may take several lines."""
        return self._get(text_wrap=True, align="left", indent=1)

    def line(self) -> Any:
        """One line of words that runs on to the right."""
        return self._get()

    def quiet_line(self) -> Any:
        """The same, stepping back."""
        return self._get(font_color=QUIET, italic=True)

    def quiet(self) -> Any:
        """Units and help."""
        return self._get(font_color=QUIET, italic=True, text_wrap=True, align="left", indent=1)

    def heading(self) -> Any:
        """A column heading."""
        return self._get(bold=True, text_wrap=True, bottom=1, align="left", indent=1, valign="bottom")

    def figure(self, number_format: str) -> Any:
        """A figure that is told, not typed."""
        return self._get(num_format=number_format, align="right", font_color=QUIET)

    def figure_heading(self) -> Any:
        """A heading over such figures."""
        return self._get(bold=True, text_wrap=True, bottom=1, align="right", valign="bottom")

    def example(self, field: Field) -> Any:
        """The example of a field."""
        return self._get(font_color=QUIET, italic=True, **_shown(field))

    def column(self, field: Field) -> Any:
        """A whole column below the pale cells, so that a long paste keeps its kind."""
        return self._get(locked=False, **_shown(field))

    def entry(self, field: Field) -> Any:
        """A cell to fill in."""
        return self._get(locked=False, bg_color=INPUT_FILL, border=1, border_color=LINE, **_shown(field))


def _shown(field: Field) -> dict[str, Any]:
    """Number format and side: figures right, words and days left with an indent, so that they never touch."""
    number_format = _NUMBER_FORMATS.get(field.kind, "@")
    if field.kind in NUMERIC_KINDS:
        return {"num_format": number_format, "align": "right"}
    return {"num_format": number_format, "align": "left", "indent": 1}
