"""The sheets of a what-if: their titles, notes and order on paper, and what stands between their tables."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from feesheet.formula.model import Block, Model
from feesheet.pricing.what_if.bands_words import FOOT, HEAD
from feesheet.writing.layout import FIRST_ROW, WHAT_IF_SHEETS, Place, sheets_of
from feesheet.writing.opening import HEAD_ROWS, Opening, after
from feesheet.writing.sheet import Page, lines_of

FRONT, BANDS = "What if", "Metal bands"

NOTES = {
    FRONT: "At last year's units and today's fees. Payer contracts override; the choice of material is the dentist's.",
    "Scenarios": "What each scenario changes, what a year brings then, and which step of it does how much.",
    "Items compared": "Every fee now and in each scenario: unit cost, needed fee, and the margin that today's fee leaves.",
    "Metal exposure": "What each metal costs in a unit and in a year, and what is left of the fees as a price moves.",
    "Metal in each item": "Each metal in each fee's unit cost, and the price of it at which the margin at today's fee is gone.",
    "Overtakes": "At which metal price one material leaves as much of a chair hour as another: facts, no advice.",
    "Drivers": "What the same step, up and down, of each driver does to the money left in a year.",
    "Grid": "One item with two drivers moved at once; the first row and column of a table are the changes.",
    BANDS: "For the front desk: what the day's metal price adds to a full fee, or takes off it.",
    "Quote safety": "How far metal prices may rise while a quote stands, by the history and by a formula; the larger is used.",
    "Quote buffers": "What the rise of its metals and a heavy casting may add to each quote while it stands.",
    "Price paths": "What a year may bring over many paths of the metal prices, drawn from the history: no forecast.",
    "Paths by item": "In how many of those paths each fee misses its target, or leaves nothing.",
    "Quote workings": "Workings: the figures behind the Quote safety and Quote buffers sheets.",
    "Price history": "Workings: the quotes, day by day, and what each metal did in the time that a quote stands.",
    "Year": "Workings: what a year brings at today's fees, item by item.",
    "Driver cases": "Workings: the calculations of the schedule once for each step of a driver.",
    "Scenario cases": "Workings: the calculations of the schedule once for each step of a scenario.",
    "Grid cases": "Workings: the calculations of one item once for each cell of the grid.",
    "Band workings": "Workings: each item's add-on in each band, and how far its margin moves at the band's edges.",
}
"""The line under the title of every sheet that only a what-if has."""

TILES_ROW, FRONT_ROW = 6, 10
LEFT_ROWS, MARGIN_ROWS, CHART_ROWS = 17, 15, 16
"""Rows that the charts take, 20 pixels each."""

FRONT_WIDTHS = {0: 27, **dict.fromkeys(range(1, 7), 9.9), 7: 12, 8: 13.4}

PRINTED_TO = {"Items compared": "points"}
"""The last column on paper of a sheet whose columns to the right are workings."""

BREAKS = {BANDS: 1, "Scenarios": -1}
"""The table of a sheet that begins a new page, counted from the first, or from the last by minus."""

BANDS_WIDTH = 180
"""Widths of the words about the bands, in characters, so that they stay on the page."""


def is_what_if(model: Model) -> bool:
    """Whether the workbook is a what-if, whose own sheets come before those of the fee schedule."""
    return "what_if_materials" in model.blocks


def scenario_titles(model: Model) -> list[str]:
    """The titles of the scenarios, in order."""
    years = model.blocks.get("scenario_years")
    return years.labels("scenario") if years else []


def title_of(model: Model) -> str:
    """The title of the first page, which is the workbook's too."""
    titles = scenario_titles(model)
    if not titles:
        return "What if metal prices move" if "metal_years" in model.blocks else "What if costs move"
    others = len(titles) - 1
    return f"What if: {titles[0]}" + (f", and {others} more" if others else "")


def rows_between(model: Model) -> dict[str, int]:
    """The rows kept free after a block, for a chart or for words."""
    return {
        "what_if_materials": MARGIN_ROWS + (LEFT_ROWS if "metal_left" in model.blocks else 0) + 1,
        "scenario_steps": CHART_ROWS + 1,
        "quote_answers": CHART_ROWS + 1,
        "add_ons": len(_words_of(model, FOOT)) + 1,
    }


def fixed_rows(model: Model) -> dict[str, int]:
    """The title rows of the blocks of every sheet of a what-if; none for a fee schedule."""
    if not is_what_if(model):
        return {}
    between, found = rows_between(model), {}
    for sheet, names in sheets_of(model).items():
        row = FIRST_ROW + (len(_words_of(model, HEAD)) if sheet == BANDS else 0)
        for name in names if sheet in WHAT_IF_SHEETS else ():
            row = FRONT_ROW if name == "what_if_materials" else row
            found[name] = row
            row = after(model.blocks[name], row) + between.get(name, 0)
    return found


def _words_of(model: Model, words: Sequence[str]) -> list[str]:
    """What is said about the bands beside the table's own note, in lines that fit the page."""
    note = model.blocks["add_ons"].note if "add_ons" in model.blocks else ""
    return [line for said in words if said not in note for line in in_lines(said, BANDS_WIDTH)]


def in_lines(words: str, width: int) -> Iterator[str]:
    """The words in lines of so many characters at most.

    >>> list(in_lines("Find the band of the day", 15))
    ['Find the band', 'of the day']
    """
    line = ""
    for word in words.split():
        if line and len(line) + 1 + len(word) > width:
            yield line
            line = word
        else:
            line = f"{line} {word}".strip()
    yield line


def write_band_words(page: Page, model: Model, place: Place) -> None:
    """Over the table of add-ons what an edge means, under it who pays and what stays untouched."""
    for row, words in enumerate(_words_of(model, HEAD), start=HEAD_ROWS + 1):
        page.sheet.write_string(row - 1, 0, words, page.styles.get())
    for row, words in enumerate(_words_of(model, FOOT), start=place.last_row + 2):
        page.sheet.write_string(row - 1, 0, words, page.styles.get())


def wrap_notes(page: Page, block: Block, place: Place) -> None:
    """Long sentences in a column: several lines each, as high as they need."""
    width = page.widths[0]
    for row, words in enumerate(block.labels("note"), start=place.first_row - 1):
        page.sheet.write_string(row, 0, words, page.styles.wrapped())
        page.sheet.set_row(row, 3 + 12.5 * lines_of(words, width - 2))


OPENING = Opening(FRONT, WHAT_IF_SHEETS, NOTES, FRONT_WIDTHS, PRINTED_TO, BREAKS)
"""The sheets of a what-if and how they look on paper."""
