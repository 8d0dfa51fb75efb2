"""Rules on sheets: protection, nothing hidden, legible on screen and on paper, and for those who can't see colours."""

from __future__ import annotations

import re
from collections.abc import Iterator
from xml.etree import ElementTree

from opened_book import MAIN, Sheet
from workbook.subject import INPUTS, Finding, Subject, at, place_of

LONGEST_PAGE = 40
"""Rows that certainly fit a page of paper."""

LEAST_SCALE = 0.6
LEAST_CONTRAST = 4.5
"""Source: WCAG 2.2, success criterion 1.4.3."""

PAPER_INCHES = {"landscape": 11.69, "portrait": 8.27}
PIXELS_A_WIDTH, PIXELS_AN_INCH = 7.0, 96.0
DRAWING = "{http://schemas.openxmlformats.org/drawingml/2006/spreadsheetDrawing}"


def inputs_apart(book: Subject) -> Iterator[Finding]:
    """1: cells that may be typed over stand on the Inputs sheet and hold no formula."""
    for sheet in book.opened.sheets.values():
        for cell in sheet.cells.values():
            if not book.look(cell).locked and (sheet.name != INPUTS or cell.formula):
                yield at(1, cell, "may be typed over" + (" although it is a formula" if cell.formula else ""))


def nothing_hidden(book: Subject) -> Iterator[Finding]:
    """19: no sheet, row or column is hidden."""
    for sheet in book.opened.sheets.values():
        if sheet.state != "visible":
            yield Finding(19, sheet.name, "", "the sheet is hidden")
        for kind, tags in (("row", sheet.all("sheetData", "row")), ("column", sheet.all("cols", "col"))):
            for tag in tags:
                if tag.get("hidden") == "1":
                    yield Finding(19, sheet.name, tag.get("r") or tag.get("min", ""), f"a hidden {kind}")


def protected(book: Subject) -> Iterator[Finding]:
    """20: sheets are protected without a password, formulas locked, figures to type over not."""
    for sheet in book.opened.sheets.values():
        protection = sheet.find("sheetProtection")
        if protection is None or protection.get("sheet") != "1":
            yield Finding(20, sheet.name, "", "the sheet is not protected")
        elif {"password", "hashValue"} & set(protection.attrib):
            yield Finding(20, sheet.name, "", "the sheet has a password")
    for cell in book.opened.formulas():
        if not book.look(cell).locked:
            yield at(20, cell, "a formula that is not locked")
    for place, block, column, cells in book.columns():
        for cell in (
            cells if block.name in ("inputs", "choices") and column.unit in ("entry", "choice") else ()
        ):
            if cell is not None and book.look(cell).locked:
                yield at(20, cell, f"{column.heading} on {place.sheet} can't be typed over")


def no_merged_cells(book: Subject) -> Iterator[Finding]:
    """26: no cells are merged, and no table has a blank row."""
    for sheet in book.opened.sheets.values():
        if sheet.find("mergeCells") is not None:
            yield Finding(26, sheet.name, "", "merged cells")
    for place, _ in book.tables():
        cells = book.opened.sheets[place.sheet].cells
        filled = {row for (row, _), cell in cells.items() if cell.formula or cell.value != ""}
        for row in range(place.first_row, place.last_row + 1):
            if row not in filled:
                yield Finding(26, place.sheet, place_of(place, 0, row), "a blank row in a table")


def a_title(book: Subject) -> Iterator[Finding]:
    """27: A1 of every sheet holds its title."""
    for sheet in book.opened.sheets.values():
        cell = sheet.cells.get((1, 1))
        if cell is None or not isinstance(cell.value, str) or not cell.value or cell.formula:
            yield Finding(27, sheet.name, "A1", "no title")


def charts_in_words(book: Subject) -> Iterator[Finding]:
    """28: every chart has a description that says where its figures stand."""
    for name, part in book.opened.parts.items():
        if name.startswith("xl/drawings/drawing"):
            for tag in ElementTree.fromstring(part).iter(f"{DRAWING}cNvPr"):
                words = tag.get("descr", "")
                if len(words) < 20 or not any(f"{sheet} sheet" in words for sheet in book.opened.sheets):
                    yield Finding(28, name, tag.get("name", ""), f"described as {words!r}")


def never_colour_alone(book: Subject) -> Iterator[Finding]:
    """29: a number format with a colour has a sign too, and only words change their colour."""
    for look in book.looks:
        for section in look.number_format.split(";"):
            if (
                re.search(r"\[(Red|Blue|Green|Magenta|Cyan|Yellow|Color ?\d+)\]", section, re.I)
                and "-" not in section
            ):
                yield Finding(29, "", "", f"only a colour tells in {look.number_format}")
    for sheet in book.opened.sheets.values():
        for tag in sheet.all("conditionalFormatting"):
            if tag.get("sqref") != "A2":
                yield Finding(
                    29, sheet.name, tag.get("sqref", ""), "a colour by rule where no words say the same"
                )


def contrast(book: Subject) -> Iterator[Finding]:
    """30: letters stand out from their ground by 4.5 to 1."""
    used = {
        cell.style: cell
        for sheet in book.opened.sheets.values()
        for cell in sheet.cells.values()
        if cell.value != ""
    }
    for style, cell in used.items():
        look = book.looks[style]
        light, dark = sorted((_light(look.font), _light(look.fill)), reverse=True)
        if (light + 0.05) / (dark + 0.05) < LEAST_CONTRAST:
            yield at(30, cell, f"{look.font} on {look.fill}")


def _light(colour: str) -> float:
    """Relative luminance. Source: WCAG 2.2, definitions."""
    parts = [int(colour[-6:][place : place + 2], 16) / 255 for place in (0, 2, 4)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return sum(weight * part for weight, part in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


def opens_at_the_start(book: Subject) -> Iterator[Finding]:
    """31: the workbook opens on its first sheet, from the top."""
    view = book.opened.workbook.find(f"{MAIN}bookViews/{MAIN}workbookView")
    first = next(iter(book.opened.sheets))
    if view is not None and view.get("activeTab", "0") != "0":
        yield Finding(31, first, "", "the workbook opens on another sheet")
    for sheet in book.opened.sheets.values():
        shown = sheet.find("sheetViews", "sheetView")
        if shown is not None and (shown.get("tabSelected") == "1") != (sheet.name == first):
            yield Finding(31, sheet.name, "", "the wrong sheet is chosen")
        if shown is not None and shown.get("topLeftCell", "A1") != "A1":
            yield Finding(31, sheet.name, shown.get("topLeftCell", ""), "the sheet is not shown from the top")


def legible_on_paper(book: Subject) -> Iterator[Finding]:
    """32: one page wide at 0.6 of its size or more; a wider sheet flows over pages, its first columns repeated."""
    for sheet in book.opened.sheets.values():
        setup, fit = sheet.find("pageSetup"), sheet.find("sheetPr", "pageSetUpPr")
        if setup is None:
            yield Finding(32, sheet.name, "", "no page set-up")
        elif fit is not None and fit.get("fitToPage") == "1":
            scale = _printable_inches(sheet) / _inches(sheet)
            if setup.get("fitToWidth", "1") != "1" or scale < LEAST_SCALE:
                yield Finding(32, sheet.name, "", f"one page wide at {scale:.2f} of its size")
        elif int(setup.get("scale", "100")) < LEAST_SCALE * 100 or "$A:" not in titles(book, sheet.name):
            yield Finding(32, sheet.name, "", "too wide for a page, and its first columns are not repeated")


def titles(book: Subject, sheet: str) -> str:
    """What the sheet repeats on every page; "" for nothing."""
    number = str(list(book.opened.sheets).index(sheet))
    names = book.opened.workbook.iter(f"{MAIN}definedName")
    found = (
        tag.text or ""
        for tag in names
        if tag.get("name") == "_xlnm.Print_Titles" and tag.get("localSheetId") == number
    )
    return next(found, "")


def _printable_inches(sheet: Sheet) -> float:
    setup, margins = sheet.find("pageSetup"), sheet.find("pageMargins")
    paper = PAPER_INCHES[setup.get("orientation", "portrait") if setup is not None else "portrait"]
    return paper - (
        0.0 if margins is None else float(margins.get("left", "0")) + float(margins.get("right", "0"))
    )


def _inches(sheet: Sheet) -> float:
    """The width of the columns with something in them."""
    used = max((column for _, column in sheet.cells), default=1)
    widths = dict.fromkeys(range(1, used + 1), 9.14)
    for tag in sheet.all("cols", "col"):
        for column in range(int(tag.get("min", "1")), min(int(tag.get("max", "1")), used) + 1):
            widths[column] = float(tag.get("width", "9.14"))
    return sum(widths.values()) * PIXELS_A_WIDTH / PIXELS_AN_INCH


def a_footer(book: Subject) -> Iterator[Finding]:
    """33: every page says its file, its sheet, its number and the day that the fees are for."""
    for sheet in book.opened.sheets.values():
        tag = sheet.find("headerFooter", "oddFooter")
        text = "" if tag is None else tag.text or ""
        for wanted in ("&F", "&A", "&P of &N"):
            if wanted not in text:
                yield Finding(33, sheet.name, "", f"the footer has no {wanted}")
        if not re.search(r"\d{4}-\d\d-\d\d", text):
            yield Finding(33, sheet.name, "", "the footer has no day")


def headings_stay(book: Subject) -> Iterator[Finding]:
    """34: where a table is longer than a page, headings repeat on paper and stay in view."""
    for name in dict.fromkeys(place.sheet for place, _ in book.tables() if place.rows > LONGEST_PAGE):
        sheet = book.opened.sheets[name]
        pane = sheet.find("sheetViews", "sheetView", "pane")
        if pane is None or pane.get("state") != "frozen":
            yield Finding(34, name, "", "headings do not stay in view")
        if not re.search(r"\$\d+:\$\d+", titles(book, name)):
            yield Finding(34, name, "", "headings do not repeat on paper")


RULES = (
    inputs_apart,
    nothing_hidden,
    protected,
    no_merged_cells,
    a_title,
    charts_in_words,
    never_colour_alone,
    contrast,
    opens_at_the_start,
    legible_on_paper,
    a_footer,
    headings_stay,
)
