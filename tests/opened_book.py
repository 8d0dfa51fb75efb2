"""A written workbook as its own XML says it: sheets, cells and parts, without a spreadsheet library between."""

from __future__ import annotations

import re
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from xml.etree import ElementTree

MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
RELATION = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}"

FORMULA_CELL = re.compile(rb'(<c r="[A-Z]+\d+"[^>]*>)(<f>[^<]*</f>)<v>([^<]*)</v></c>')
"""A cell with a formula and its cached value, as xlsxwriter writes it: opening tag, formula, value."""


@dataclass(frozen=True)
class Cell:
    """A cell. Row and column count from 1; `value` is a number or words, of a formula the cached one."""

    sheet: str
    row: int
    column: int
    style: int
    value: float | str
    formula: str = ""

    @property
    def place(self) -> str:
        """The cell's address without its sheet."""
        return f"{letters(self.column)}{self.row}"


@dataclass
class Sheet:
    """A sheet of the workbook: its name, the path of its part, its XML, and its cells by (row, column)."""

    name: str
    part: str
    state: str
    xml: ElementTree.Element
    cells: dict[tuple[int, int], Cell]

    def find(self, *path: str) -> ElementTree.Element | None:
        """The first element under these tags."""
        return self.xml.find("/".join(MAIN + tag for tag in path))

    def all(self, *path: str) -> list[ElementTree.Element]:
        """Every element under these tags."""
        return self.xml.findall("/".join(MAIN + tag for tag in path))


class OpenedBook:
    """All parts of a workbook, its sheets parsed."""

    def __init__(self, path: Path) -> None:
        """Read the whole file."""
        self.path = path
        self.parts = parts(path)
        self.workbook = ElementTree.fromstring(self.parts["xl/workbook.xml"])
        self.names = {
            name.get("name", ""): name.text or "" for name in self.workbook.iter(f"{MAIN}definedName")
        }
        self._shared = [
            "".join(text.text or "" for text in item.iter(f"{MAIN}t"))
            for item in ElementTree.fromstring(self.parts.get("xl/sharedStrings.xml", b"<sst/>"))
        ]
        targets = relations(self.parts["xl/_rels/workbook.xml.rels"])
        self.sheets = {
            tag.get("name", ""): self._sheet(tag, "xl/" + targets[tag.get(f"{RELATION}id", "")])
            for tag in self.workbook.iter(f"{MAIN}sheet")
        }

    def formulas(self) -> Iterator[Cell]:
        """Every cell with a formula."""
        return (cell for sheet in self.sheets.values() for cell in sheet.cells.values() if cell.formula)

    def _sheet(self, tag: ElementTree.Element, part: str) -> Sheet:
        name, xml = tag.get("name", ""), ElementTree.fromstring(self.parts[part])
        cells = {
            (cell.row, cell.column): cell for cell in (self._cell(name, c) for c in xml.iter(f"{MAIN}c"))
        }
        return Sheet(name, part, tag.get("state", "visible"), xml, cells)

    def _cell(self, sheet: str, tag: ElementTree.Element) -> Cell:
        row, column = position(tag.get("r", ""))
        kind, text, formula = tag.get("t", "n"), tag.findtext(f"{MAIN}v"), tag.findtext(f"{MAIN}f") or ""
        value: float | str = text or ""
        if text and kind == "s":
            value = self._shared[int(text)]
        elif text and kind == "n":
            value = float(text)
        return Cell(sheet, row, column, int(tag.get("s", "0")), value, formula)


def parts(path: Path) -> dict[str, bytes]:
    """Every part of the file, in its order."""
    with zipfile.ZipFile(path) as file:
        return {name: file.read(name) for name in file.namelist()}


def write_parts(path: Path, contents: dict[str, bytes]) -> Path:
    """A workbook of these parts."""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as file:
        for name, content in contents.items():
            file.writestr(name, content)
    return path


def relations(xml: bytes) -> dict[str, str]:
    """The targets of a part's relations by their id."""
    return {tag.get("Id", ""): tag.get("Target", "") for tag in ElementTree.fromstring(xml)}


def position(place: str) -> tuple[int, int]:
    """Row and column of an address, counted from 1.

    >>> position("AA7")
    (7, 27)
    """
    digits = place.lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ")
    column = 0
    for letter in place.removesuffix(digits):
        column = column * 26 + ord(letter) - 64
    return int(digits), column


def letters(column: int) -> str:
    """The letters of the column with this number, counted from 1."""
    more, last = divmod(column - 1, 26)
    return (letters(more) if more else "") + chr(ord("A") + last)
