"""The sheets of a margin review: their titles, notes and order on paper, and what stands between their tables."""

from __future__ import annotations

from collections.abc import Mapping

from feesheet.formula.model import Model
from feesheet.writing.layout import FIRST_ROW, REVIEW_SHEETS, Place, sheets_of
from feesheet.writing.opening import Opening, after
from feesheet.writing.sheet import Page, lines_of

FRONT = "Review"

SCHEDULE_TITLE = "Fee schedule as the period would set it"
"""A review looks back: these fees are what the costs of its period lead to, and no proposal."""

NOTES = {
    FRONT: "What each crown earned, why it changed, and what to take up with the labs. The choice of material is the dentist's.",
    "Plans under cost": "Full fees under an allowed amount come first: a plan pays the lower of the two. Payer contracts override.",
    "Margins by cut": "The same money cut six ways; every cut adds up to the whole. Few units say little.",
    "Why it changed": "From what was left then to what is left now, step by step, to the cent.",
    "Changes by material": "The same steps for every material.",
    "Changes by item": "The same steps for every item: what is dearer than then takes away from what is left.",
    "Then by item": "The figures of then that the steps start from.",
    "Capacity": "Chair minutes that were paid for, used and left over; idle chairs are a line of their own, not hidden in rates.",
    "Lab audit": "What the labs' charges were held against, and what it comes to. Freight, rush, rebates, tax and finance charges: against totals alone.",
    "Findings": "Each finding with its money, its lines and words for the lab. A finding is a question until the lab has answered.",
    "Remakes by lab": "What was made again, whose the cause was, what it cost and what came back.",
    "Alloy premiums": "What each lab added to the metal's value on the invoice date, over time.",
    "Lab cost": "The labs' money: what of it is in a cost and why the rest is not, and its share of the money that came in.",
    "Bills and costs": "From what the labs billed to what the margins carry, step by step: margins use standard costs, as fees do.",
    "Cash and accrual": "What was charged beside what was paid, what was earned beside what came in: never mixed.",
    "Plan workings": "Workings: every plan's amounts, item by item.",
    "Cut workings": "Workings: the sums behind the Margins by cut sheet.",
    "Capacity workings": "Workings: the minutes and money behind the Capacity sheet.",
    "Steps": "Workings: units, money, grams and minutes behind the steps, and the other convention item by item.",
    "Bill workings": "Workings: the steps from the labs' bills to the cost, by place, by material and tooth region, and by item.",
    "Cash workings": "Workings: what each lab charged and was paid.",
    "Then workings": "Workings: the calculations of the schedule once more, as they were then.",
    "Earned": "What each item brought from each payer, and what it cost.",
    "Work seated": "The work seated as it was read, and where each row counts.",
    "Margin ranges": "Workings: the lowest and the highest of every cut.",
    "Lab parts": "Workings: what each lab made at each place, and what its units cost.",
    "Lab tests": "Lines held against price lists, sums, totals and each other: what the lab audit looked at, line by line.",
    "Alloy prices": "Alloy lines held against the metal's value on the invoice date, line by line.",
    "Alloy weights": "Grams a unit held against the practice's own usual ones, line by line.",
    "Alloy classes": "Classes billed held against the compositions of the alloys.",
    "As prescribed": "What was billed held against what was seated, case by case.",
    "Receipts": "Money in for the work seated, row by row, by the day of seating and by its own day.",
}
"""The line under the title of every sheet that only a review has."""

FRONT_ROW = 10
FRONT_WIDTHS = {0: 34, **dict.fromkeys(range(1, 9), 12.4), 7: 14.0}
CHANGES_ROWS, MARGIN_ROWS = 16, 13
"""Rows that the charts take, 20 pixels each."""

SENTENCES = {"findings": ("finding_words", "finding_lines"), "findings_by_kind": ("kind_words",)}
"""The columns of long words, whose rows are as high as they need."""


def is_review(model: Model) -> bool:
    """Whether the workbook is a margin review, whose own sheets come before those of the fee schedule."""
    return "review_figures" in model.blocks


def title_of(model: Model) -> str:
    """The title of the first page, which is the workbook's too."""
    return model.blocks["review_figures"].title


def rows_between(model: Model) -> dict[str, int]:
    """The rows kept free after a block for a chart."""
    return {
        "review_materials": MARGIN_ROWS + 1 if model.blocks["review_materials"].rows else 0,
        "changes_told": CHANGES_ROWS + 1,
    }


def fixed_rows(model: Model) -> dict[str, int]:
    """The title rows of the blocks of every sheet that only a review has."""
    between, found = rows_between(model), {}
    for sheet, names in sheets_of(model).items():
        row = FIRST_ROW
        for name in names if sheet in REVIEW_SHEETS else ():
            row = FRONT_ROW if name == "review_materials" else row
            found[name] = row
            row = after(model.blocks[name], row) + between.get(name, 0)
    return found


def wrap_sentences(pages: Mapping[str, Page], places: Mapping[str, Place], model: Model) -> None:
    """Long sentences in several lines each, and their rows as high as they need."""
    for name, columns in SENTENCES.items():
        block, place = model.blocks.get(name), places.get(name)
        if block is None or place is None:
            continue
        page = pages[place.sheet]
        words = [(place.columns[column], block.labels(column)) for column in columns]
        for row in range(block.rows):
            lines = 1
            for position, said in words:
                page.sheet.write_string(place.first_row - 1 + row, position, said[row], page.styles.wrapped())
                lines = max(lines, lines_of(said[row], page.widths[position] - 2))
            page.sheet.set_row(place.first_row - 1 + row, 3 + 12.5 * lines)


PRINTED_TO = {"Findings": "finding_lines"}
"""The last column on paper of a sheet whose columns to the right are workings."""

BREAKS = {"Margins by cut": 3, "Cash and accrual": 6, "Why it changed": 2}
"""The table of a sheet that begins a new page."""

OPENING = Opening(FRONT, REVIEW_SHEETS, NOTES, FRONT_WIDTHS, PRINTED_TO, BREAKS)
"""The sheets of a review and how they look on paper."""
