"""A written workbook together with what it was declared to be: whose column each cell is, and how each cell looks."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from xml.etree import ElementTree

from opened_book import MAIN, Cell, OpenedBook, letters

from feesheet.formula.model import Block, Column, Model
from feesheet.writing.book import TILES_ROW
from feesheet.writing.layout import TILES, BookLayout, Place
from feesheet.writing.seals import relative

INPUTS = "Inputs"


@dataclass(frozen=True)
class Finding:
    """A rule that the workbook breaks: its number, the sheet and cell, and what is wrong."""

    rule: int
    sheet: str
    cell: str
    words: str


@dataclass(frozen=True)
class Look:
    """How a cell looks and whether it may be typed over."""

    number_format: str
    font: str
    fill: str
    locked: bool


class Subject:
    """The workbook, opened, with its model and layout."""

    def __init__(self, path: Path, model: Model, layout: BookLayout) -> None:
        """Open the workbook; the model and the layout are those that it was written from."""
        self.model, self.layout, self.opened = model, layout, OpenedBook(path)
        self._places: dict[str, list[tuple[Place, Block]]] = {}
        for name, place in layout.places.items():
            if name not in TILES and model.blocks[name].rows:
                self._places.setdefault(place.sheet, []).append((place, model.blocks[name]))

    def column_of(self, cell: Cell) -> tuple[Block, Column] | None:
        """The block and the column that the cell is declared to be a row of; None for titles, headings and tiles."""
        for place, block in self._places.get(cell.sheet, ()):
            if place.first_row <= cell.row <= place.last_row and cell.column <= len(block.columns):
                return block, list(block.columns.values())[cell.column - 1]
        return None

    def tables(self) -> Iterator[tuple[Place, Block]]:
        """Every table with rows, and where it stands."""
        for places in self._places.values():
            yield from places

    def columns(self) -> Iterator[tuple[Place, Block, Column, list[Cell | None]]]:
        """Every column of every table, with its cells from the top down."""
        for place, block in self.tables():
            cells = self.opened.sheets[place.sheet].cells
            for name, position in place.columns.items():
                rows = range(place.first_row, place.last_row + 1)
                yield place, block, block.columns[name], [cells.get((row, position + 1)) for row in rows]

    def tiles(self) -> Iterator[Cell]:
        """The cells of the figures on the first pages."""
        for name in TILES:
            if name in self.layout.places:
                cells = self.opened.sheets[self.layout.places[name].sheet].cells.values()
                yield from (cell for cell in cells if TILES_ROW <= cell.row <= TILES_ROW + 2)

    @cached_property
    def forms(self) -> dict[tuple[str, int, str], Cell]:
        """One cell for each formula of a column that is not just another row's: (sheet, column, form) -> first cell."""
        found: dict[tuple[str, int, str], Cell] = {}
        for cell in self.opened.formulas():
            found.setdefault((cell.sheet, cell.column, relative(cell.formula, cell.row)), cell)
        return found

    @cached_property
    def looks(self) -> list[Look]:
        """The cell formats of the workbook by number."""
        styles = ElementTree.fromstring(self.opened.parts["xl/styles.xml"])
        formats = {tag.get("numFmtId"): tag.get("formatCode", "") for tag in styles.iter(f"{MAIN}numFmt")}
        fonts = [_colour(font, "color", "FF000000") for font in styles.find(f"{MAIN}fonts") or ()]
        fills = [
            _colour(fill, "patternFill/" + MAIN + "fgColor", "FFFFFFFF")
            for fill in styles.find(f"{MAIN}fills") or ()
        ]
        return [_look(xf, formats, fonts, fills) for xf in styles.find(f"{MAIN}cellXfs") or ()]

    def look(self, cell: Cell) -> Look:
        """How the cell looks."""
        return self.looks[cell.style]

    def is_calculation(self, sheet: str) -> bool:
        """Whether the sheet works something out: neither inputs nor prose."""
        return sheet in {place.sheet for place in self.layout.places.values()} - {INPUTS}


def _colour(tag: ElementTree.Element, path: str, otherwise: str) -> str:
    found = tag.find(MAIN + path)
    return otherwise if found is None else found.get("rgb", otherwise)


def _look(
    xf: ElementTree.Element, formats: dict[str | None, str], fonts: list[str], fills: list[str]
) -> Look:
    protection = xf.find(f"{MAIN}protection")
    locked = protection is None or protection.get("locked", "1") != "0"
    number_format = formats.get(xf.get("numFmtId"), "")
    return Look(number_format, fonts[int(xf.get("fontId", "0"))], fills[int(xf.get("fillId", "0"))], locked)


def at(rule: int, cell: Cell, words: str) -> Finding:
    """A finding at a cell."""
    return Finding(rule, cell.sheet, cell.place, words)


def place_of(place: Place, column: int, row: int) -> str:
    """An address in a table; columns count from 0."""
    return f"{letters(column + 1)}{row}"
