"""The workbook of product names to confirm: a best guess in pale cells to type over, what it rests on beside them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from feesheet.tables import NOT_A_CROWN, PRODUCT_MAP
from feesheet.writing.blank import HEADING_ROW, column_width, entry_book, print_setup, row_height, write_value
from feesheet.writing.entry_checks import entry_check
from feesheet.writing.entry_formats import EntryFormats
from feesheet.writing.styles import number_formats

HOW_TO = (
    "Type yes in Confirmed for each row that is right; correct the material where it isn't; save; run again.",
    'Words shown as "…" are hidden because they may name a patient: look at the invoice at "First seen" and '
    "type the product's own words in Wording; until then the row is not used.",
)

FIELDS = PRODUCT_MAP.fields
"""The columns to type in."""

NOT_CHOSEN = "choose one"
"""Stands for a material where nothing can be guessed; with a yes beside it, it is refused as an unknown name."""

CHOICES = "Choices"
"""A hidden sheet with the materials of the drop-down: a typed list would break them at their commas."""

_FIGURES = (("Lines", 8), ("Units", 9), ("Money", 14))
_WORDS = (("Best guess because", 40), ("First seen", 38), ("Also seen", 46))
"""Headings and widths of the columns that are told, not typed."""


@dataclass(frozen=True)
class NameRow:
    """One wording of one lab that stands on no row of "Product names", and the best guess at what it means.

    `money` is what its lines add up to, in the practice's currency. `kind` is "" where the wording makes a
    unit. `because` says in words what the guess rests on; `seen` are the first places of its lines.
    """

    wording: str
    material: str
    lab: str
    kind: str
    lines: int
    units: float
    money: float
    because: str
    seen: tuple[str, ...]


def write_names(path: Path, rows: Sequence[NameRow], materials: Sequence[str], money_digits: int) -> None:
    """Write the workbook; none of the rows is confirmed. The sheet is read as "Product names" as it stands."""
    with entry_book(path) as book:
        formats = EntryFormats(book)
        sheet = book.add_worksheet(PRODUCT_MAP.sheet)
        _head(sheet, formats)
        for at, row in enumerate(rows, start=HEADING_ROW + 1):
            _row(sheet, at, row, formats, number_formats(money_digits, money_digits))
        _checks(sheet, len(rows), len(materials) + 1)
        sheet.freeze_panes(HEADING_ROW + 1, 1)
        print_setup(sheet)
        _choices(book, (*materials, NOT_A_CROWN))


def _head(sheet: Any, formats: EntryFormats) -> None:
    """Title, the two lines that say what to do, headings and widths."""
    sheet.write_string(0, 0, "Product names to confirm", formats.title())
    for at, line in enumerate(HOW_TO, start=1):
        sheet.write_string(at, 0, line, formats.quiet_line())
    typed = [(field.heading, column_width(field), formats.heading()) for field in FIELDS]
    figures = [(heading, width, formats.figure_heading()) for heading, width in _FIGURES]
    words = [(heading, width, formats.heading()) for heading, width in _WORDS]
    for column, (heading, width, look) in enumerate((*typed, *figures, *words)):
        sheet.set_column(column, column, width)
        sheet.write_string(HEADING_ROW, column, heading, look)


def _row(sheet: Any, at: int, row: NameRow, formats: EntryFormats, number_format: dict[str, str]) -> None:
    """One wording: what may be typed over, then its figures and its places."""
    typed = {"wording": row.wording, "material": row.material, "lab": row.lab, "kind": row.kind}
    for column, field in enumerate(FIELDS):
        value = typed.get(field.name, "no")
        write_value(sheet, at, column, field, value, formats.entry(field))
    figures = (("#,##0", row.lines), (number_format["units"], row.units), (number_format["money"], row.money))
    for column, (shown, figure) in enumerate(figures, start=len(FIELDS)):
        sheet.write_number(at, column, figure, formats.figure(shown))
    told = (row.because, "".join(row.seen[:1]), "; ".join(row.seen[1:]))
    for column, words in enumerate(told, start=len(FIELDS) + len(figures)):
        sheet.write_string(at, column, words, formats.quiet())
    widths = [column_width(FIELDS[0]), *(width for _, width in _WORDS)]
    sheet.set_row(at, row_height(zip((row.wording, *told), widths, strict=True)))


def _checks(sheet: Any, rows: int, choices: int) -> None:
    """Drop-downs and limits of the cells to type in."""
    for column, field in enumerate(FIELDS):
        check = entry_check(field)
        if field.name == "material":
            check |= {"validate": "list", "source": f"={CHOICES}!$A$1:$A${choices}"}
            check["error_message"] = f'Choose one of the list: a material of yours, or "{NOT_A_CROWN}".'
        sheet.data_validation(HEADING_ROW + 1, column, HEADING_ROW + rows, column, check)


def _choices(book: Any, materials: Sequence[str]) -> None:
    hidden = book.add_worksheet(CHOICES)
    hidden.hide()
    for at, material in enumerate(materials):
        hidden.write_string(at, 0, material)
