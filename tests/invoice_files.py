"""Messy invoices as files: workbooks, and text files of several encodings and marks between cells."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import xlsxwriter
from invoice_layouts import Paper, Style, papers
from invoice_tables import Lines
from invoice_xml import SYNTAXES

TEXTS = {
    "csv comma": ("utf-8", ","),
    "csv semicolon": ("cp1252", ";"),
    "csv tab": ("utf-16", "\t"),
    "csv marked": ("utf-8-sig", ";"),
}
"""Kinds of text file: how its letters are written, and what stands between cells."""

FORMATS = ("xlsx", *TEXTS, *SYNTAXES)


def write_invoices(folder: Path, lines: Lines, style: Style, form: str, stem: str = "invoices") -> list[Path]:
    """One file a lab (text: one a sheet, XML: one an invoice) in that layout and format; their paths."""
    written = []
    for lab in sorted({line["lab"] for line in lines}):
        own = [line for line in lines if line["lab"] == lab]
        if form in SYNTAXES:
            written += _write_xml(folder, own, form, f"{stem} {lab[-1]}")
            continue
        if form == "xlsx":
            written.append(write_book(folder / f"{stem} {lab[-1]}.xlsx", papers(own, style)))
            continue
        for name, paper in papers(own, _as_text(style, form)).items():
            path = folder / f"{stem} {lab[-1]} {name}.csv"
            path.write_bytes(text_of(paper, *TEXTS[form]))
            written.append(path)
    return written


def _write_xml(folder: Path, lines: Lines, form: str, stem: str) -> list[Path]:
    """One file an invoice."""
    paths = []
    for number, invoice in enumerate(dict.fromkeys(line["invoice"] for line in lines)):
        paths.append(folder / f"{stem} {number}.xml")
        said = SYNTAXES[form]([line for line in lines if line["invoice"] == invoice])
        paths[-1].write_text(said, encoding="utf-8")
    return paths


def _as_text(style: Style, form: str) -> Style:
    """A text file has no number or date cells, and one sheet only."""
    numbers = style.numbers
    if numbers == "typed":
        numbers = "1234,56" if TEXTS[form][1] == ";" else "1'234.56"
    layout = "stacked" if style.layout in ("one a sheet", "statement") else style.layout
    return replace(
        style, numbers=numbers, layout=layout, dates={"typed": "ISO"}.get(style.dates, style.dates)
    )


def write_book(path: Path, sheets: Mapping[str, Paper]) -> Path:
    """A workbook of those sheets."""
    path.parent.mkdir(parents=True, exist_ok=True)
    with xlsxwriter.Workbook(str(path), {"strings_to_formulas": False, "strings_to_urls": False}) as book:
        day = book.add_format({"num_format": "dd/mm/yyyy"})
        for name, paper in sheets.items():
            sheet = book.add_worksheet(name)
            for first, left, last, right in paper.merged:
                sheet.merge_range(first, left, last, right, "")
            for row, cells in enumerate(paper.rows):
                for column, value in enumerate(cells):
                    _write(sheet, row, column, value, day)
    return path


def _write(sheet: Any, row: int, column: int, value: Any, day: Any) -> None:
    if isinstance(value, date):
        sheet.write_datetime(row, column, value, day)
    elif value != "":
        sheet.write(row, column, value)


def text_of(paper: Paper, encoding: str, mark: str) -> bytes:
    """The sheet as a text file; letters that the encoding lacks become question marks."""
    text = io.StringIO(newline="")
    csv.writer(text, delimiter=mark).writerows([[str(cell) for cell in row] for row in paper.rows])
    return text.getvalue().encode(encoding, errors="replace")
