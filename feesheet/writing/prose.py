"""The sheets that are words: what changed, method and cautions, and the seals."""

from __future__ import annotations

from collections.abc import Sequence

from feesheet import __version__, reference
from feesheet.formula.excel import at_rows, formula
from feesheet.formula.model import Block, Column, Model
from feesheet.formula.words import words
from feesheet.practice import Practice
from feesheet.problems import Problem, joined
from feesheet.writing.layout import TILES, BookLayout, letters, sheets_of
from feesheet.writing.sheet import Page, lines_of
from feesheet.writing.styles import unit_words

METHOD_HEADINGS = (
    "Sheet",
    "Table",
    "Column",
    "Unit",
    "What it means",
    "In words",
    "Formula of the first row",
    "Cells",
    "Key",
)
"""Headings of the method list; `feesheet explain` reads the workbook by it."""

EACH_ROW = "Each row in its own way."
COUNTER = "A number of a row, set by the program."
AS_TYPED = "As typed; may be typed over on the Inputs sheet."
"""What the method list says in words of columns that have no calculation of their own."""

FIRST_ROW = 6


def write_changes(page: Page, row: int, practice: Practice, problems: Sequence[Problem]) -> None:
    """From that row down: dates and version, the files read with their SHA-256, and the notices."""
    page.widths = {0: 38, 1: 74, 2: 52}
    settings = practice.settings
    facts = [
        ("Practice", str(settings["practice_name"])),
        ("Pricing date", str(settings["pricing_date"])),
        ("Effective date", str(settings["effective_date"])),
        ("Invoice months", str(int(settings["invoice_months"]))),
        ("Currency", str(settings["currency"])),
        ("Written by", f"feesheet {__version__}"),
    ]
    row = _table(page, row, "This issue", ("What", "Value"), facts)
    files = [
        (file.name, file.sha256, ", ".join(f"{name} {count}" for name, count in file.rows.items()))
        for file in practice.files
    ]
    row = _table(page, row + 1, "Files read", ("File", "SHA-256", "Tables and rows"), files)
    seen = [(problem.place, problem.what, problem.do) for problem in joined(problems)]
    _table(
        page,
        row + 1,
        "Noticed while reading",
        ("Where", "What", "What to do"),
        seen or [("", "Nothing.", "")],
    )


def _table(page: Page, row: int, title: str, headings: Sequence[str], rows: Sequence[Sequence[str]]) -> int:
    """A table of words, each row as high as its words need in `page.widths`; returns the row after it."""
    page.sheet.write_string(row - 1, 0, title, page.styles.block_title())
    for position, heading in enumerate(headings):
        page.sheet.write_string(row, position, heading, page.styles.heading(words=True))
    for number, cells in enumerate(rows, start=row + 1):
        lines = max(lines_of(cell, page.widths[position] - 2) for position, cell in enumerate(cells))
        page.sheet.set_row(number, 3 + 12.5 * lines)
        for position, cell in enumerate(cells):
            page.sheet.write_string(number, position, cell, page.styles.wrapped())
    return row + len(rows) + 2


def write_method(page: Page, model: Model, layout: BookLayout) -> None:
    """The cautions, and every column with its meaning, its words and its formula."""
    page.widths = {0: 15, 1: 24, 2: 22, 3: 12, 4: 40, 5: 44, 6: 46, 7: 12, 8: 22}
    cautions = [
        (row["topic"].capitalize(), row["caution"], row["source"]) for row in reference.rows("cautions")
    ]
    row = FIRST_ROW
    page.sheet.write_string(row - 1, 0, "Cautions", page.styles.block_title())
    for topic, caution, source in cautions:
        page.sheet.write_string(row, 0, topic, page.styles.note())
        page.sheet.write_string(row, 1, caution, page.styles.get())
        page.sheet.write_string(row + 1, 1, f"Source: {source}", page.styles.note())
        row += 2
    currency = page.currency
    rows = [
        _method_row(model.blocks[name], column, model, layout, currency)
        for blocks in sheets_of(model).values()
        for name in blocks
        for column in model.blocks[name].columns.values()
    ]
    _table(page, row + 2, "Columns", METHOD_HEADINGS, rows)


def _method_row(
    block: Block, column: Column, model: Model, layout: BookLayout, currency: str
) -> tuple[str, ...]:
    place = layout.places[block.name]
    letter = letters(place.columns[column.name])
    if column.entry:
        said, text = (
            AS_TYPED,
            at_rows(layout.entry(block, column.name))(place.first_row),
        )
    elif column.tree is not None:
        said, text = (
            words(column.tree, block, model),
            at_rows(formula(column.tree, block, layout))(place.first_row),
        )
    elif column.trees:
        said, text = EACH_ROW, ""
    else:
        said, text = COUNTER if column.counter else "As read.", ""
    cells = "" if block.name in TILES else f"{letter}{place.first_row}:{letter}{place.last_row}"
    return (
        place.sheet,
        block.title,
        column.heading,
        unit_words(column.unit, currency),
        column.meaning,
        said,
        text,
        cells,
        f"{block.name}.{column.name}",
    )


def write_seals(page: Page, pages: Sequence[Page]) -> None:
    """One column a sheet, one text a row: the seals of that sheet's cells in that row."""
    for position, other in enumerate(pages):
        page.sheet.write_string(4, position, other.name, page.styles.heading(words=True))
        page.widths[position] = 10.5
        for row, text in sorted(other.seals.items()):
            page.sheet.write_string(FIRST_ROW + row - 1, position, text, page.styles.note())
