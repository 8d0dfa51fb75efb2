"""How the workbook looks: number formats by unit, one pale fill for headings and one for figures to type over."""

from __future__ import annotations

from typing import Any

INK = "#1F2933"
QUIET = "#52606D"
LINE = "#CBD2D9"
HEADING_FILL = "#E9EEF2"
ENTRY_FILL = "#FFF8E1"
ENTRY_INK = "#0B4A8F"
ACCENT = "#0F5C63"
GOOD, WARN, BAD = "#0B6B3A", "#8A5A00", "#A61B1B"

STACK_COLOURS = {
    "metal": "#E69F00",
    "lab": "#0072B2",
    "people": "#56B4E9",
    "overhead": "#8795A1",
    "other": "#CBD2D9",
}
"""Okabe and Ito's colour-universal hues for the layers of a cost, greys for the rest."""


def number_formats(money_digits: int, fee_digits: int) -> dict[str, str]:
    """A number format for each unit of a column."""

    def money(digits: int) -> str:
        return "#,##0" + ("." + "0" * digits if digits else "")

    exact, fee = money(money_digits), money(fee_digits)
    return {
        "money": exact,
        "fee": fee + ";-" + fee + ';"none"',
        "new_fee": fee + ";-" + fee + ';"none"',
        "needed": exact,
        "rounded": "#,##0",
        "rounded_bold": "#,##0",
        "change_fee": f"+{fee};-{fee};0",
        "change_money": f"+{money(0)};-{money(0)};0",
        "money_per_g": money(max(money_digits, 2)),
        "money_per_min": money(max(money_digits, 2) + 2),
        "limited": f'[>=900000000]"no limit";{exact}',
        "fraction": "0.0%",
        "weight": "0.00",
        "grams": "0.00",
        "minutes": "0.0",
        "many_minutes": "#,##0",
        "whole": "0",
        "mixed": "0",
        "units": "#,##0.0",
        "number": "#,##0.00##",
        "exact": "General",
        "date": "yyyy-mm-dd",
        "change": "+0.0%;-0.0%;0.0%",
        "figure_share": "0.0%",
        "figure_count": "#,##0",
        "figure_price": exact,
        "figure_change": "+0.0%;-0.0%;0.0%",
        "figure_money": f"+{money(0)};-{money(0)};0",
    }


def unit_words(unit: str, currency: str) -> str:
    """A unit as a heading or a list says it; "" where the heading says enough.

    >>> unit_words("money_per_g", "EUR")
    'EUR per g'
    """
    return {
        "money": currency,
        "limited": currency,
        "fee": currency,
        "new_fee": currency,
        "needed": currency,
        "change_fee": currency,
        "change_money": currency,
        "money_per_g": f"{currency} per g",
        "money_per_min": f"{currency} per min",
        "grams": "g",
        "minutes": "min",
        "many_minutes": "min",
        "fraction": "share",
        "units": "units",
        "weight": "0 to 1",
        "change": "share",
    }.get(unit, "")


WIDTHS = {
    "text": 9,
    "code": 9,
    "date": 11.5,
    "whole": 7,
    "units": 9,
    "weight": 7,
    "fraction": 9.5,
    "grams": 9,
    "minutes": 9,
    "exact": 11,
    "unit": 14,
    "entry": 14,
    "fee": 10,
    "new_fee": 10,
    "change": 10,
}
"""Widths of columns by unit, by hand: the worst figure fits. Everything else gets `WIDTH`."""

WIDTH = 12


class Styles:
    """The workbook's cell formats, each made once."""

    def __init__(self, book: Any, formats: dict[str, str]) -> None:
        """The formats of that workbook."""
        self._book = book
        self._formats = formats
        self._made: dict[tuple[tuple[str, Any], ...], Any] = {}

    def get(self, **properties: Any) -> Any:
        """A format with those properties."""
        key = tuple(sorted(properties.items()))
        if key not in self._made:
            base = {"font_name": "Arial", "font_size": 10, "font_color": INK, "valign": "vcenter"}
            self._made[key] = self._book.add_format({**base, **properties})
        return self._made[key]

    def title(self) -> Any:
        """The sheet's title."""
        return self.get(bold=True, font_size=15, font_color=ACCENT)

    def check(self) -> Any:
        """The line that says whether all checks pass."""
        return self.get(bold=True, font_color=GOOD)

    def failed(self) -> Any:
        """The same line when they do not."""
        return self.get(bold=True, font_color=BAD)

    def warned(self) -> Any:
        """The same line when they do, but not all of the invoices' money is understood."""
        return self.get(bold=True, font_color=WARN)

    def note(self) -> Any:
        """A quiet line of words."""
        return self.get(font_color=QUIET, font_size=9)

    def block_title(self) -> Any:
        """A block's title."""
        return self.get(bold=True, font_size=11)

    def heading(self, words: bool) -> Any:
        """A column heading, over words or over figures."""
        return self.get(
            bold=True,
            text_wrap=True,
            bg_color=HEADING_FILL,
            bottom=1,
            bottom_color=QUIET,
            valign="bottom",
            font_size=9,
            align="left" if words else "right",
            **({"indent": 1} if words else {}),
        )

    def cell(self, unit: str, entry: bool = False, fact: bool = False, counter: bool = False) -> Any:
        """A cell of a block. Words stand left, figures right; row numbers step back, figures to type over stand out."""
        properties: dict[str, Any] = {"bottom": 4, "bottom_color": LINE}
        if unit in ("text", "code", "unit", "choice"):
            properties |= {"align": "left", "indent": 1, **({"num_format": "@"} if fact or entry else {})}
        else:
            properties |= {"align": "right", "num_format": self._formats.get(unit, "#,##0.00##")}
        if unit in ("new_fee", "rounded_bold"):
            properties["bold"] = True
        if counter:
            properties |= {"font_color": QUIET, "font_size": 8}
        if entry:
            properties |= {"locked": False, "bg_color": ENTRY_FILL, "font_color": ENTRY_INK}
        return self.get(**properties)

    def wrapped(self) -> Any:
        """Words that may take several lines."""
        return self.get(text_wrap=True, valign="top", align="left", indent=1, bottom=4, bottom_color=LINE)

    def tile(self, part: str, unit: str = "") -> Any:
        """A part of a figure on the first page: its label, its value or the remark under it."""
        if part == "value":
            return self.get(
                bold=True,
                font_size=17,
                font_color=ACCENT,
                align="left",
                shrink=True,
                num_format=self._formats[unit],
            )
        if part == "label":
            return self.get(font_size=8, font_color=QUIET, align="left", top=2, top_color=ACCENT)
        return self.get(font_size=8, font_color=QUIET, align="left")
