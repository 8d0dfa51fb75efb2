"""Outside spreadsheet engines that work a written workbook out again, whatever its cached values say."""

from __future__ import annotations

import subprocess
from collections.abc import Sequence
from datetime import date, datetime
from pathlib import Path
from typing import Any

import formualizer
import ironcalc
import python_calamine
from opened_book import FORMULA_CELL, OpenedBook, parts, write_parts

RECALCULATE_ALWAYS = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry" xmlns:xs="http://www.w3.org/2001/XMLSchema">
<item oor:path="/org.openoffice.Office.Calc/Formula/Load">
<prop oor:name="OOXMLRecalcMode" oor:op="fuse"><value>0</value></prop></item>
</oor:items>
"""
"""LibreOffice's settings: without them it shows the cached values of a workbook that it did not write itself."""

SECONDS_TO_START, SECONDS_A_BOOK = 90, 30

WRONG_NUMBER, WRONG_WORDS = b"-999.25", b"stale"
"""What a poisoned cache holds: nothing that a fee schedule could come to."""

EPOCH = datetime(1899, 12, 30)

Figures = dict[tuple[str, int, int], Any]
"""What an engine finds in each cell: sheet, row and column from 1 -> a number, words or None."""


def poisoned(path: Path, to: Path) -> tuple[Path, int]:
    """The workbook with every formula's cached value made wrong, and how many there were."""
    contents, count = parts(path), 0
    for name, content in contents.items():
        if name.startswith("xl/worksheets/sheet"):
            contents[name], found = FORMULA_CELL.subn(_with_wrong_value, content)
            count += found
    return write_parts(to, contents), count


def _with_wrong_value(found: Any) -> bytes:
    wrong = WRONG_WORDS if b' t="str"' in found[1] else WRONG_NUMBER
    return bytes(found[1] + found[2] + b"<v>" + wrong + b"</v></c>")


def converted(books: Sequence[Path], folder: Path, kind: str = "xlsx") -> list[Path]:
    """Each workbook opened, worked out and saved again by one LibreOffice with a profile of its own."""
    profile, saved = folder / "profile", folder / "saved"
    (profile / "user").mkdir(parents=True, exist_ok=True)
    (profile / "user" / "registrymodifications.xcu").write_text(RECALCULATE_ALWAYS, encoding="utf-8")
    command = [
        "soffice",
        f"-env:UserInstallation={profile.as_uri()}",
        "--headless",
        "--norestore",
        "--convert-to",
        kind,
        "--outdir",
        str(saved),
        *map(str, books),
    ]
    seconds = SECONDS_TO_START + SECONDS_A_BOOK * len(books)
    done = subprocess.run(command, capture_output=True, text=True, timeout=seconds, check=False)
    results = [saved / f"{book.stem}.{kind}" for book in books]
    missing = [book.name for book, result in zip(books, results, strict=True) if not result.exists()]
    if missing:
        raise RuntimeError(f"LibreOffice did not save {missing}: {done.stdout}{done.stderr}")
    return results


def by_libreoffice(books: Sequence[Path], folder: Path) -> list[Figures]:
    """What LibreOffice works each workbook out to."""
    return [as_saved(path) for path in converted(books, folder)]


def as_saved(path: Path) -> Figures:
    """The cached values of a workbook, as a reader of its own finds them."""
    book = python_calamine.CalamineWorkbook.from_path(str(path))
    return {
        (name, row, column): _plain(value)
        for name in book.sheet_names
        for row, values in enumerate(book.get_sheet_by_name(name).to_python(skip_empty_area=False), start=1)
        for column, value in enumerate(values, start=1)
        if value != ""
    }


def by_formualizer(path: Path, opened: OpenedBook, typed: Figures | None = None) -> Figures:
    """What formualizer works the workbook's formulas out to, after `typed` figures were put over its cells."""
    book = formualizer.load_workbook(str(path))
    for (sheet, row, column), value in (typed or {}).items():
        book.set_value(sheet, row, column, value)
    book.evaluate_all()
    cells = opened.formulas()
    return {(c.sheet, c.row, c.column): _plain(book.get_value(c.sheet, c.row, c.column)) for c in cells}


def by_ironcalc(path: Path, opened: OpenedBook) -> Figures:
    """What ironcalc works the workbook's formulas out to."""
    book = ironcalc.load_from_xlsx(str(path), "en", "UTC", "en")
    book.evaluate()
    numbers = {name: number for number, name in enumerate(opened.sheets)}
    return {
        (c.sheet, c.row, c.column): book.get_cell_value(numbers[c.sheet], c.row, c.column)
        for c in opened.formulas()
    }


def _plain(value: Any) -> Any:
    """Days as the numbers that a sheet keeps them as."""
    if isinstance(value, datetime):
        return (value - EPOCH).total_seconds() / 86400
    return (datetime(value.year, value.month, value.day) - EPOCH).days if isinstance(value, date) else value
