"""Invoices drawn as text, a bar between two cells, and written as the files that labs send.

In a workbook 185.00 becomes a number, 2026-03-04 a day and everything else text; a leading ' keeps a cell
text, a leading = makes it a formula with its value behind a second = ("=3*145=435").
"""

from __future__ import annotations

import csv
import io
import re
from dataclasses import dataclass, field
from datetime import date, datetime
from pathlib import Path
from typing import Any

import openpyxl
import xlsxwriter

_NUMBER = re.compile(r"-?\d+(\.\d+)?")
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}")
MADE = datetime(2026, 1, 1)
"""When every workbook says that it was made."""


@dataclass(frozen=True)
class Drawing:
    """One sheet: its cells as text, and what a workbook adds to them.

    `merged` are ranges, `hidden` letters of columns, `formats` number formats by column letter. Parts after a
    line "--- name" are further sheets.
    """

    text: str
    mark: str = ","
    codec: str = "utf-8"
    merged: tuple[str, ...] = ()
    hidden: tuple[str, ...] = ()
    formats: dict[str, str] = field(default_factory=dict)
    by: str = "openpyxl"


def rows(text: str) -> list[list[str]]:
    """The cells of a drawing; a line "." is an empty row."""
    lines = text.strip("\n").splitlines()
    return [[] if line.strip() == "." else [cell.strip() for cell in line.split("|")] for line in lines]


def sheets(text: str) -> dict[str, list[list[str]]]:
    """The sheets of a drawing by name."""
    found: dict[str, list[str]] = {"Invoice": []}
    name = "Invoice"
    for line in text.strip("\n").splitlines():
        if line.startswith("--- "):
            name = line[4:].strip()
            found[name] = []
        else:
            found[name].append(line)
    return {name: rows("\n".join(lines)) for name, lines in found.items() if lines}


def write(path: Path, drawing: Drawing) -> None:
    """The drawing as the file that the path's ending says."""
    if path.suffix == ".csv":
        _write_csv(path, drawing)
    elif path.suffix == ".xml":
        path.write_bytes(drawing.text.strip("\n").encode(drawing.codec))
    elif drawing.by == "xlsxwriter":
        _write_with_values(path, drawing)
    else:
        _write_workbook(path, drawing)


def _write_csv(path: Path, drawing: Drawing) -> None:
    made = io.StringIO(newline="")
    cells = [[cell.removeprefix("'").replace("\\n", "\n") for cell in row] for row in rows(drawing.text)]
    csv.writer(made, delimiter=drawing.mark, lineterminator="\r\n").writerows(cells)
    path.write_bytes(made.getvalue().encode(drawing.codec))


def _typed(cell: str) -> Any:
    """A cell's value in a workbook."""
    if _NUMBER.fullmatch(cell):
        return float(cell)
    if _DAY.fullmatch(cell):
        return date.fromisoformat(cell)
    return cell.removeprefix("'").replace("\\n", "\n")


def _write_workbook(path: Path, drawing: Drawing) -> None:
    book = openpyxl.Workbook()
    book.remove(book.active)
    book.properties.created = book.properties.modified = MADE
    for name, cells in sheets(drawing.text).items():
        sheet = book.create_sheet(name)
        for r, row in enumerate(cells, start=1):
            for c, cell in enumerate(row, start=1):
                if cell:
                    written = sheet.cell(r, c, _typed(cell))
                    shown = drawing.formats.get(written.column_letter)
                    if shown and isinstance(written.value, float):
                        written.number_format = shown
        for merged in drawing.merged:
            sheet.merge_cells(merged)
        for letter in drawing.hidden:
            sheet.column_dimensions[letter].hidden = True
    book.save(path)


def _write_with_values(path: Path, drawing: Drawing) -> None:
    with xlsxwriter.Workbook(str(path), {"strings_to_numbers": False, "strings_to_formulas": False}) as book:
        book.set_properties({"created": MADE})
        day = book.add_format({"num_format": "dd/mm/yyyy"})
        for name, cells in sheets(drawing.text).items():
            sheet = book.add_worksheet(name)
            for r, row in enumerate(cells):
                for c, cell in enumerate(row):
                    formula = re.fullmatch(r"=(.+)=(.+)", cell)
                    value = _typed(cell)
                    if formula:
                        sheet.write_formula(r, c, f"={formula[1]}", None, _typed(formula[2]))
                    elif isinstance(value, date):
                        sheet.write_datetime(r, c, datetime(value.year, value.month, value.day), day)
                    elif value != "":
                        sheet.write(r, c, value)
