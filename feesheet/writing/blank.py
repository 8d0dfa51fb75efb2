"""Blank input workbooks, and filled ones of the very same layout, made from `feesheet.tables`.

A sheet has its title in A1, what it is for in A2, the headings in row 4 with "Note" in front, then rows
marked "unit", "help" and "example", which no reader takes for data, then the rows to fill in.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from pathlib import Path
from typing import Any

import xlsxwriter

from feesheet import reference
from feesheet.schema import NUMERIC_KINDS, Field, Table
from feesheet.tables import TABLES
from feesheet.writing.entry_checks import entry_check
from feesheet.writing.entry_formats import EntryFormats
from feesheet.writing.tables_page import hint, tables_page

CREATED = datetime(2026, 1, 1)
"""A fixed day inside each file, so that equal contents are equal bytes."""

HEADING_ROW = 3
SPARE_ROWS = 200
"""Rows to fill in on a blank sheet."""
SPARE_ROWS_WHEN_FILLED = 10
LINE_HEIGHT = 12.75
"""Points that one line of Arial 10 takes."""
LETTERS_A_WIDTH = 1.05
"""Letters of running text that fit a column of width one, the indent taken off."""
HOW_TO = "Fill in the pale cells. Rows marked unit, help or example are not read."

_WIDTHS = {"text": 22, "code": 13, "number": 13, "whole": 12, "minutes": 11, "choice": 18, "teeth": 16}
_WIDTHS |= {"money": 15, "fraction": 13, "grams": 13, "date": 15, "yes_no": 14}
"""Column widths by kind of field, in characters."""

_WIDTHS_BY_NAME = {"product": 40, "wording": 36, "description": 36, "step": 34, "account": 30, "material": 28}
_WIDTHS_BY_NAME |= {"alloy": 26, "roles": 24, "site": 16, "region": 16, "lab": 16, "role": 16, "unit": 16}
_WIDTHS_BY_NAME |= {"scenario": 28, "what": 26, "of_whom": 26, "new_alloy": 26}
_WIDTHS_BY_NAME |= {"reason": 36, "taken_from": 30}
_WIDTHS_BY_NAME |= dict.fromkeys(reference.metals(), 11)
"""Widths of columns whose words need another one."""


def write_templates(folder: Path) -> list[Path]:
    """Write every blank workbook and the page that explains them; return their paths.

    Never overwrites: FileExistsError, before anything is written, names the first file that is already there.
    """
    books: dict[str, dict[str, list[Mapping[str, Any]]]] = {}
    for table in TABLES.values():
        books.setdefault(table.workbook, {})[table.name] = []
    page = folder / "README.md"
    targets = {folder / f"{name}.xlsx": tables for name, tables in books.items()}
    for path in (*targets, page):
        if path.exists():
            raise FileExistsError(str(path))
    folder.mkdir(parents=True, exist_ok=True)
    for path, tables in targets.items():
        write_workbook(path, tables, example=True)
    page.write_text(tables_page(), encoding="utf-8", newline="\n")
    return [*targets, page]


def write_workbook(
    path: Path, rows: Mapping[str, Sequence[Mapping[str, Any]]], example: bool, title: str = ""
) -> None:
    """Write one workbook with a sheet per table named in `rows` (table name -> rows of field name -> value).

    `example` adds the marked example row, as the blank templates have it. Days may be `date` or ISO text; a
    missing value, None or "" leaves the cell blank. Fractions are stored as fractions, shown as percentages.
    The workbook's `title` is the file's own name where none is given.
    """
    with entry_book(path, title) as book:
        formats = EntryFormats(book)
        for name, table_rows in rows.items():
            table = TABLES[name]
            sheet = book.add_worksheet(table.sheet)
            _title(sheet, table, formats)
            if table.vertical:
                _settings(sheet, table, table_rows, example, formats)
            else:
                _columns(sheet, table, table_rows, example, formats)
            print_setup(sheet)


def entry_book(path: Path, title: str = "") -> xlsxwriter.Workbook:
    """A new workbook to type into, to be used in a `with` block; its title is the file's own name where none is given."""
    book = xlsxwriter.Workbook(
        str(path), {"default_format_properties": {"font_name": "Arial", "font_size": 10}}
    )
    book.set_properties({"created": CREATED, "title": title or path.stem})
    return book


def _title(sheet: Any, table: Table, formats: EntryFormats) -> None:
    sheet.write_string(0, 0, table.sheet, formats.title())
    sheet.write_string(1, 0, table.help, formats.line())
    sheet.write_string(2, 0, HOW_TO, formats.quiet_line())


def _columns(
    sheet: Any, table: Table, rows: Sequence[Mapping[str, Any]], example: bool, formats: EntryFormats
) -> None:
    """A table with one column a field and one row a thing."""
    marked = ("unit", "help", "example") if example else ("unit", "help")
    sheet.set_column(0, 0, 10)
    sheet.write_string(HEADING_ROW, 0, "Note", formats.heading())
    for offset, mark in enumerate(marked, start=1):
        sheet.write_string(HEADING_ROW + offset, 0, mark, formats.quiet())
        sheet.set_row(HEADING_ROW + offset, LINE_HEIGHT + 4)
    first = HEADING_ROW + 1 + len(marked)
    spare = SPARE_ROWS if example else SPARE_ROWS_WHEN_FILLED
    for column, field in enumerate(table.fields, start=1):
        _column_head(sheet, column, field, example, formats)
        values = [*(row.get(field.name) for row in rows), *[None] * spare]
        for number, value in enumerate(values, start=first):
            write_value(sheet, number, column, field, value, formats.entry(field))
        sheet.data_validation(first, column, first + len(values) - 1, column, entry_check(field))
    sheet.set_row(HEADING_ROW, row_height((field.heading, column_width(field)) for field in table.fields))
    sheet.set_row(HEADING_ROW + 2, row_height((hint(field), column_width(field)) for field in table.fields))
    sheet.freeze_panes(HEADING_ROW + 1, 0)


def _column_head(sheet: Any, column: int, field: Field, example: bool, formats: EntryFormats) -> None:
    """Width, heading, unit, help and, in a template, the example."""
    sheet.set_column(column, column, column_width(field), formats.column(field))
    sheet.write_string(HEADING_ROW, column, field.heading, formats.heading())
    sheet.write_string(HEADING_ROW + 1, column, field.unit, formats.quiet())
    sheet.write_string(HEADING_ROW + 2, column, hint(field), formats.quiet())
    if example:
        write_value(sheet, HEADING_ROW + 3, column, field, field.example, formats.example(field))


def _settings(
    sheet: Any, table: Table, rows: Sequence[Mapping[str, Any]], example: bool, formats: EntryFormats
) -> None:
    """A list of settings, one row a field; the example has its own column, so that no value is preset."""
    columns = [("Note", 10), ("Setting", 26), ("Value", 22), ("Unit", 12), ("Help", 70)]
    if example:
        columns.append(("Example", 18))
    values = rows[0] if rows else {}
    for column, (heading, width) in enumerate(columns):
        sheet.set_column(column, column, width)
        sheet.write_string(HEADING_ROW, column, heading, formats.heading())
    for row, field in enumerate(table.fields, start=HEADING_ROW + 1):
        sheet.write_string(row, 1, field.heading, formats.words())
        write_value(sheet, row, 2, field, values.get(field.name), formats.entry(field))
        sheet.data_validation(row, 2, row, 2, entry_check(field))
        sheet.write_string(row, 3, field.unit, formats.quiet())
        sheet.write_string(row, 4, hint(field), formats.quiet())
        if example:
            write_value(sheet, row, 5, field, field.example, formats.example(field))
        sheet.set_row(row, row_height([(hint(field), 70)]))
    sheet.freeze_panes(HEADING_ROW + 1, 0)


def write_value(sheet: Any, row: int, column: int, field: Field, value: Any, cell_format: Any) -> None:
    """One value as the kind of its field; words stay words, for the reader to judge."""
    if value is None or value == "":
        sheet.write_blank(row, column, None, cell_format)
    elif field.kind in NUMERIC_KINDS and isinstance(value, int | float):
        sheet.write_number(row, column, exact(value), cell_format)
    elif field.kind == "date":
        day = value if isinstance(value, date) else date.fromisoformat(value)
        sheet.write_datetime(row, column, day, cell_format)
    else:
        sheet.write_string(row, column, str(value), cell_format)


class Exact(float):
    """A number that is written with all its digits; the workbook writer keeps sixteen, and some numbers need seventeen."""

    def __format__(self, spec: str) -> str:
        """The shortest text that reads back as the same number."""
        return float.__repr__(self)


def exact(number: float) -> float:
    """The number so that it reads back from the file as the very same.

    >>> f"{0.1 + 0.2:.16G}", f"{exact(0.1 + 0.2):.16G}", f"{exact(5):.16G}"
    ('0.3', '0.30000000000000004', '5')
    """
    return number if float(f"{number:.16G}") == number else Exact(number)


def column_width(field: Field) -> int:
    """The width of a field's column, in characters."""
    return _WIDTHS_BY_NAME.get(field.name, _WIDTHS[field.kind])


def row_height(texts: Iterable[tuple[str, int]]) -> float:
    """Row height in points that shows the longest of (text, column width) without cutting it off."""
    lines = max(len(textwrap.wrap(text, round(LETTERS_A_WIDTH * width))) for text, width in texts)
    return LINE_HEIGHT * max(lines, 1) + 4


def print_setup(sheet: Any) -> None:
    """Landscape, as wide as the page, the headings on every page."""
    sheet.set_landscape()
    sheet.set_paper(9)
    sheet.set_margins(left=0.5, right=0.5, top=0.6, bottom=0.7)
    sheet.fit_to_pages(1, 0)
    sheet.repeat_rows(HEADING_ROW)
    sheet.set_footer("&L&F&C&A&RPage &P of &N")
