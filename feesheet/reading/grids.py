"""The sheets of one file as grids of raw cells that keep their addresses, whatever the kind of file."""

from __future__ import annotations

import zipfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

from python_calamine import CalamineError, PasswordError, SheetTypeEnum, SheetVisibleEnum, load_workbook

from feesheet.reading import gate, open_document, sheet_facts, text_files
from feesheet.reading.gate import Refusal
from feesheet.reading.sheet_facts import Facts, Styles
from feesheet.tables import EXPORT_HEADINGS, FINDINGS_HEADINGS

OWN_KEYWORD = b"feesheet-schedule"
"""Stands in the document properties of every workbook that this program writes."""


@dataclass(frozen=True)
class Marked:
    """A cell that holds no value: an error, or a formula that was never calculated."""

    kind: str
    text: str


@dataclass
class Grid:
    """One sheet: `rows[0][0]` is A1; rows may differ in length. `position` counts the workbook's sheets from 1."""

    name: str
    rows: list[list[Any]]
    facts: Facts = field(default_factory=Facts)
    hidden: bool = False
    position: int = 1


def read(path: Path) -> list[Grid]:
    """Every sheet of the file; none of a workbook that this program wrote itself. Raises `Refusal`."""
    archive = gate.check(path)
    if path.suffix.lower() == ".csv":
        rows = text_files.rows(path)
        return [] if rows and tuple(rows[0]) in (EXPORT_HEADINGS, FINDINGS_HEADINGS) else [Grid("", rows)]
    facts: dict[str, Facts] = {}
    if archive is not None:
        with archive:
            if _is_own(archive):
                return []
            facts = _looked_over(archive, path.suffix.lower())
    try:
        return list(_grids(path, facts))
    except PasswordError as fault:
        raise gate.encrypted() from fault
    except CalamineError as fault:
        raise Refusal(
            "not a workbook",
            "The workbook is damaged.",
            "Open it in your spreadsheet program and save it again.",
        ) from fault


def _grids(path: Path, facts: dict[str, Facts]) -> Iterator[Grid]:
    book = load_workbook(path)
    for position, sheet in enumerate(book.sheets_metadata, start=1):
        if sheet.typ != SheetTypeEnum.WorkSheet:
            continue
        rows = book.get_sheet_by_name(sheet.name).to_python(skip_empty_area=False)
        known = facts.get(sheet.name, Facts())
        _mark(rows, known)
        yield Grid(sheet.name, rows, known, sheet.visible != SheetVisibleEnum.Visible, position)


def _mark(rows: list[list[Any]], known: Facts) -> None:
    """Put a mark where the reader left a blank, so that an error is never taken for nothing."""
    marks = {cell: Marked("error cell", text or "an error") for cell, text in known.errors.items()}
    marks |= {cell: Marked("formula without value", "") for cell in known.unvalued}
    for (row, column), mark in marks.items():
        if row < gate.MOST_CELLS and column < 16384:
            _reach(rows, row, column)
            rows[row][column] = mark


def _reach(rows: list[list[Any]], row: int, column: int) -> None:
    width = len(rows[0]) if rows else 0
    while len(rows) <= row:
        rows.append([""] * max(width, column + 1))
    rows[row].extend([""] * (column + 1 - len(rows[row])))


def _is_own(archive: zipfile.ZipFile) -> bool:
    names = archive.NameToInfo
    return any(
        OWN_KEYWORD in gate.part(archive, name)
        for name in ("docProps/core.xml", "docProps/custom.xml", "meta.xml")
        if name in names
    )


def _looked_over(archive: zipfile.ZipFile, kind: str) -> dict[str, Facts]:
    """Every part that a reader would open, inflated and looked at; facts by sheet name."""
    names = archive.NameToInfo
    if kind == ".ods":
        return _open_document(archive)
    if "xl/workbook.xml" not in names:
        raise _no_sheets()
    sheets = _sheet_parts(archive)
    known = Styles()
    for name in names:
        if name == "xl/styles.xml":
            known = sheet_facts.styles(gate.part(archive, name))
        elif name not in sheets and name.startswith("xl/") and "/" not in name[3:] and name.endswith(".xml"):
            gate.part(archive, name)
    return {sheet: _facts(archive, name, sheet, known) for name, sheet in sheets.items()}


def _no_sheets() -> Refusal:
    again = "Save it again from your spreadsheet program."
    return Refusal("not a workbook", "The file holds no sheets.", again)


def _open_document(archive: zipfile.ZipFile) -> dict[str, Facts]:
    names, manifest = archive.NameToInfo, "META-INF/manifest.xml"
    if manifest in names and b"encryption-data" in gate.part(archive, manifest):
        raise gate.encrypted()
    if "content.xml" not in names:
        raise _no_sheets()
    return open_document.facts(gate.part(archive, "content.xml"))


def _facts(archive: zipfile.ZipFile, name: str, sheet: str, known: Styles) -> Facts:
    xml = gate.part(archive, name)
    gate.check_reach(sheet, xml)
    return sheet_facts.facts(xml, known)


def _sheet_parts(archive: zipfile.ZipFile) -> dict[str, str]:
    """Sheet name by the part that holds it."""
    targets: dict[str, str] = {}
    if "xl/_rels/workbook.xml.rels" in archive.NameToInfo:
        for link in ElementTree.fromstring(gate.part(archive, "xl/_rels/workbook.xml.rels")):
            target = link.get("Target", "")
            targets[link.get("Id", "")] = target.lstrip("/") if target.startswith("/") else f"xl/{target}"
    found = {}
    for element in ElementTree.fromstring(gate.part(archive, "xl/workbook.xml")).iter():
        if element.tag.rpartition("}")[2] == "sheet":
            ids = [value for name, value in element.attrib.items() if name.rpartition("}")[2] == "id"]
            part = targets.get(ids[0], "") if ids else ""
            if part in archive.NameToInfo:
                found[part] = element.get("name", "")
    return found
