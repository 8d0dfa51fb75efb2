"""Which sheets stand before the fee schedule of a workbook, and what is put between their tables."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from feesheet.formula.model import Model
from feesheet.formula.numbers import Numbers
from feesheet.writing import review_pages, what_if_pages
from feesheet.writing.layout import BookLayout
from feesheet.writing.opening import Opening, snug
from feesheet.writing.review_charts import ReviewCharts
from feesheet.writing.sheet import Page
from feesheet.writing.what_if_charts import WhatIfCharts


@dataclass(frozen=True)
class Filling:
    """A workbook whose tables are written: what stands between them is put in now."""

    book: Any
    layout: BookLayout
    currency: str
    model: Model
    numbers: Numbers
    sheets: Mapping[str, tuple[str, ...]]
    pages: dict[str, Page]


@dataclass(frozen=True)
class Kind:
    """A kind of workbook that has sheets before the fee schedule: its sheets, title, kept rows, and charts and words.

    `schedule_title` is the title of the page that opens the fee schedule, "" for the usual one.
    """

    opening: Opening
    title_of: Callable[[Model], str]
    fixed_rows: Callable[[Model], dict[str, int]]
    between: Callable[[Filling], None]
    schedule_title: str = ""

    def fill(self, filling: Filling) -> None:
        """Put charts and words between the tables, and fit the columns of those that people print."""
        filling.pages[self.opening.front].widths = dict(self.opening.front_widths)
        for sheet in self.opening.snug_sheets(filling.pages):
            blocks = [filling.model.blocks[name] for name in filling.sheets[sheet]]
            snug(filling.pages[sheet], blocks, filling.numbers)
        self.between(filling)


def _between_what_if(filling: Filling) -> None:
    pages, places, model = filling.pages, filling.layout.places, filling.model
    if "add_ons" in model.blocks:
        what_if_pages.write_band_words(pages[what_if_pages.BANDS], model, places["add_ons"])
    if "safety_notes" in model.blocks:
        what_if_pages.wrap_notes(pages["Quote safety"], model.blocks["safety_notes"], places["safety_notes"])
    WhatIfCharts(filling.book, filling.layout, filling.currency, model).insert(pages)


def _between_review(filling: Filling) -> None:
    pages, places, model = filling.pages, filling.layout.places, filling.model
    review_pages.wrap_sentences(pages, places, model)
    ReviewCharts(filling.book, filling.layout, filling.currency, model).insert(pages)


WHAT_IF = Kind(what_if_pages.OPENING, what_if_pages.title_of, what_if_pages.fixed_rows, _between_what_if)
REVIEW = Kind(
    review_pages.OPENING,
    review_pages.title_of,
    review_pages.fixed_rows,
    _between_review,
    review_pages.SCHEDULE_TITLE,
)


def kind_of(model: Model) -> Kind | None:
    """The kind of a workbook; None for a plain fee schedule."""
    if what_if_pages.is_what_if(model):
        return WHAT_IF
    return REVIEW if review_pages.is_review(model) else None
