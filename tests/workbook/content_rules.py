"""Rules on what is said: units, labels, signs, checks, the control total, names, the page on what changed."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from xml.etree import ElementTree

from opened_book import Cell
from workbook.formula_rules import tokens
from workbook.subject import INPUTS, Finding, Subject, at, place_of

from feesheet.writing.prose import METHOD_HEADINGS

ONE_CELL = re.compile(r"^('[^']+'|\w+)!\$[A-Z]+\$\d+$")
MASTER = "CheckFailures"


def _column(book: Subject, block: str, name: str) -> list[Cell | None]:
    place = book.layout.places[block]
    rows = range(place.first_row, place.first_row + place.rows)
    return [book.opened.sheets[place.sheet].cells.get((row, place.columns[name] + 1)) for row in rows]


def units_on_every_line(book: Subject) -> Iterator[Finding]:
    """11: every figure to type over and every fixed number has its unit; every column stands on the method list."""
    for block in ("inputs", "fixed"):
        for unit, value in zip(
            _column(book, block, "unit"), _column(book, block, next(_value(block))), strict=True
        ):
            if value is not None and (unit is None or unit.value == ""):
                yield at(11, value, "has no unit")
    listed = {
        cell.value
        for (_, column), cell in book.opened.sheets["Method"].cells.items()
        if column == len(METHOD_HEADINGS)
    }
    for place, block, column, _ in book.columns():
        if f"{block.name}.{column.name}" not in listed:
            yield Finding(11, place.sheet, "", f"{column.heading} is not on the method list")


def _value(block: str) -> Iterator[str]:
    yield "value" if block == "inputs" else "number"


def headings_differ(book: Subject) -> Iterator[Finding]:
    """12: the headings of a table differ, and so do the labels of the figures to type over."""
    for place, block in book.tables():
        cells = book.opened.sheets[place.sheet].cells
        headings = [cells.get((place.header_row, position + 1)) for position in range(len(block.columns))]
        yield from _twice([cell for cell in headings if cell is not None], block.title)
        if len(headings) != sum(cell is not None and cell.value != "" for cell in headings):
            yield Finding(12, place.sheet, place_of(place, 0, place.header_row), "a column without a heading")
    yield from _twice([cell for cell in _column(book, "inputs", "what") if cell is not None], INPUTS)


def _twice(cells: list[Cell], where: str) -> Iterator[Finding]:
    counts = Counter(cell.value for cell in cells)
    for cell in cells:
        if counts[cell.value] > 1:
            yield at(12, cell, f"{where}: {cell.value!r} stands there twice")


def costs_are_positive(book: Subject) -> Iterator[Finding]:
    """13: no part of a cost is negative."""
    for place, block, column, cells in book.columns():
        if block.name == "costs" and column.unit == "money":
            for cell in cells:
                if cell is not None and isinstance(cell.value, float) and cell.value < 0:
                    yield at(13, cell, f"{column.heading} on {place.sheet} is {cell.value}")


def a_master_check(book: Subject) -> Iterator[Finding]:
    """15: the name CheckFailures is one cell with a formula that comes to nought."""
    target = book.opened.names.get(MASTER, "")
    cell = _named_cell(book, target)
    if cell is None or not cell.formula:
        yield Finding(15, "Checks", target, f"{MASTER} is no cell with a formula")
    elif cell.value != 0:
        yield at(15, cell, f"{cell.value} checks fail")


def _named_cell(book: Subject, target: str) -> Cell | None:
    sheet, _, place = target.replace("$", "").replace("'", "").rpartition("!")
    cells = book.opened.sheets[sheet].cells.values() if sheet in book.opened.sheets else ()
    return next((cell for cell in cells if cell.place == place), None)


def the_master_check_everywhere(book: Subject) -> Iterator[Finding]:
    """16: the second line of every sheet reads it."""
    for sheet in book.opened.sheets.values():
        cell = sheet.cells.get((2, 1))
        if cell is None or MASTER not in cell.formula:
            yield Finding(16, sheet.name, "A2", f"does not read {MASTER}")


def a_control_total(book: Subject) -> Iterator[Finding]:
    """18: each file's total was added up as it was read, is no formula, and is what its lines add up to."""
    half_a_coin = float(book.model.settings["money_tolerance"].value)
    columns = (_column(book, "files", name) for name in ("read", "used", "aside"))
    for read, used, aside in zip(*columns, strict=True):
        if read is None or read.formula or not isinstance(read.value, float):
            yield Finding(18, "Checks", read.place if read else "", "the total as read is no typed figure")
        elif (
            used is None
            or aside is None
            or abs(read.value - float(used.value) - float(aside.value)) > half_a_coin
        ):
            yield at(18, read, "the file's lines do not add up to its total")


def limits_are_checked(book: Subject) -> Iterator[Finding]:
    """21: every figure to type over has a validation and a cell that says whether it is in range, read by a check."""
    place = book.layout.places["inputs"]
    ranges = " ".join(
        tag.get("sqref", "") for tag in book.opened.sheets[INPUTS].all("dataValidations", "dataValidation")
    )
    covered = set(ranges.split())
    for name in ("value", "in_range"):
        for cell in _column(book, "inputs", name):
            if cell is not None and not (cell.place in covered if name == "value" else cell.formula):
                yield at(
                    21,
                    cell,
                    "has no validation" if name == "value" else "does not say whether it is in range",
                )
    if not any(
        book.layout.whole("inputs", "in_range") in (cell.formula if cell else "")
        for cell in _column(book, "checks", "found")
    ):
        yield Finding(21, "Checks", "", f"no check reads the ranges of the {place.rows} inputs")


def what_changed(book: Subject) -> Iterator[Finding]:
    """22: the file has a title, and a sheet says its dates, its version and the files read."""
    core = ElementTree.fromstring(book.opened.parts["docProps/core.xml"])
    if not any(tag.tag.endswith("}title") and tag.text for tag in core):
        yield Finding(22, "", "docProps/core.xml", "the workbook has no title")
    said = {str(cell.value) for cell in book.opened.sheets["What changed"].cells.values()}
    for wanted in ("Pricing date", "Effective date", "Written by", "SHA-256"):
        if wanted not in said:
            yield Finding(22, "What changed", "", f"does not say {wanted}")


def names_are_cells(book: Subject) -> Iterator[Finding]:
    """23: a name is one cell, not a bare number, and some formula reads it."""
    read = {
        token.value
        for cell in book.forms.values()
        for token in tokens(cell.formula)
        if token.subtype == "RANGE"
    }
    for name, target in book.opened.names.items():
        if name.startswith("_xlnm."):
            continue
        if not ONE_CELL.match(target):
            yield Finding(23, "", name, f"is no cell: {target}")
        if name not in read:
            yield Finding(23, "", name, "no formula reads it")


RULES = (
    units_on_every_line,
    headings_differ,
    costs_are_positive,
    a_master_check,
    the_master_check_everywhere,
    a_control_total,
    limits_are_checked,
    what_changed,
    names_are_cells,
)
