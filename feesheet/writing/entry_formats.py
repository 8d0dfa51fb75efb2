"""How the cells of an input sheet look: one pale fill to type in, quiet words around it, a format by kind."""

from __future__ import annotations

from typing import Any

from feesheet.schema import Field

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
        return self._get(text_wrap=True)

    def line(self) -> Any:
        """One line of words that runs on to the right."""
        return self._get()

    def quiet_line(self) -> Any:
        """The same, stepping back."""
        return self._get(font_color=QUIET, italic=True)

    def quiet(self) -> Any:
        """Units and help."""
        return self._get(font_color=QUIET, italic=True, text_wrap=True, align="left")

    def heading(self) -> Any:
        """A column heading."""
        return self._get(bold=True, text_wrap=True, bottom=1, align="left", valign="bottom")

    def example(self, field: Field) -> Any:
        """The example of a field."""
        return self._get(font_color=QUIET, italic=True, num_format=_number_format(field), align="left")

    def column(self, field: Field) -> Any:
        """A whole column below the pale cells, so that a long paste keeps its kind."""
        return self._get(num_format=_number_format(field), locked=False)

    def entry(self, field: Field) -> Any:
        """A cell to fill in."""
        return self._get(num_format=_number_format(field), locked=False, bg_color=INPUT_FILL, border=1,
                         border_color=LINE)


def _number_format(field: Field) -> str:
    return _NUMBER_FORMATS.get(field.kind, "@")
