"""The letterhead of one paper -> a document without lines: its kind, number, day, and what may name lab and clinic."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date, datetime
from typing import Any

from feesheet.reading import currency_words
from feesheet.reading.faults import shortest
from feesheet.reading.grids import Marked
from feesheet.reading.invoices import labels
from feesheet.reading.invoices.context import Context, LabKnown
from feesheet.reading.invoices.document import Document
from feesheet.reading.invoices.labels import Fact
from feesheet.reading.invoices.lines import unclear_day
from feesheet.reading.invoices.sections import Part
from feesheet.reading.invoices.vocabulary import Vocabulary
from feesheet.reading.invoices.wordings import Reading
from feesheet.schema import plain


def document(part: Part, reading: Reading, vocabulary: Vocabulary) -> Document:
    """The document that the part is, still without lines."""
    first = part.first_heading
    found = Document(part.kind, part.own_number, sheet=part.grid.name)
    found.header_row = (first.bottom if first is not None and part.headings else part.start) + 1
    found.lab, found.repeats, found.replaces = reading.lab, part.repeats, part.replaces
    found.day = _day(part, reading)
    found.names = _names(part, vocabulary, reading.context)
    found.accounts = [
        text for fact in part.facts() if fact.field in ("account", "clinic") and (text := _text(fact, part))
    ]
    said = [shortest(fact.value) for fact in part.facts() if fact.field == "currency"]
    found.currency = next((code for word in said if (code := currency_words.code_of(word))), "")
    return found


def _text(fact: Fact, part: Part) -> str:
    return "" if isinstance(fact.value, Marked) else labels.code(fact.value, fact.row, fact.column, part.grid)


def _day(part: Part, reading: Reading) -> float:
    """The day in the letterhead: the one labelled as the paper's own, else a lone date; unclear ones are told."""
    for fact in part.facts():
        if fact.field in ("date", "statement_date"):
            day = reading.evidence.day(fact.value)
            if day is None:
                unclear_day(reading, fact.row, fact.column)
                return math.nan
            if not math.isnan(day):
                return day
    first = part.first_heading
    top = first.top if first is not None and part.headings else part.start
    labelled = {(fact.row, fact.column) for fact in part.facts()}
    for index, row in enumerate(part.grid.rows[part.start : top], start=part.start):
        for column, cell in enumerate(row):
            if isinstance(cell, datetime | date | str) and (index, column) not in labelled:
                day = reading.evidence.day(cell)
                if day is not None and not math.isnan(day):
                    return day
    return math.nan


def _names(part: Part, vocabulary: Vocabulary, context: Context) -> list[str]:
    """Words on top of the paper that may name the lab, found once."""
    if part.names is None:
        part.names = _found_names(part, vocabulary, context)
    return part.names


def _found_names(part: Part, vocabulary: Vocabulary, context: Context) -> list[str]:
    first = part.first_heading
    top = first.top if first is not None and part.headings else min(part.start + 12, part.end)
    labelled = [_text(fact, part) for fact in part.facts() if fact.field == "lab"]
    people = {
        fact.value for fact in part.facts() if fact.field in labels.PEOPLE and isinstance(fact.value, str)
    }
    rows = part.grid.rows[part.start : top] or part.grid.rows[: min(12, part.start)]
    found = [*_listed(rows, vocabulary, context), *labels.names(rows, vocabulary)]
    return labelled + [name for name in dict.fromkeys(found) if name not in people]


def _listed(rows: Sequence[Sequence[Any]], vocabulary: Vocabulary, context: Context) -> list[str]:
    """Texts that hold the name of a lab of the practice's list, whatever words it is made of ("City Dental Lab")."""
    names = [name for lab in context.labs for word in (lab.name, *lab.on_invoices) if (name := plain(word))]
    texts = [cell.strip() for row in rows for cell in row if isinstance(cell, str) and len(cell) > 2]
    return [
        text
        for text in texts
        if any(f" {name} " in f" {plain(text)} " for name in names) and vocabulary.label(text) is None
    ]


def lab_known(part: Part, vocabulary: Vocabulary, context: Context, named: str) -> LabKnown | None:
    """The lab of the practice's list that the letterhead names, or that the layout is of."""
    if named:
        return context.lab(named)
    said = [f" {plain(name)} " for name in _names(part, vocabulary, context)]
    fits = [
        lab
        for lab in context.labs
        if any(
            f" {plain(name)} " in text
            for name in (lab.name, *lab.on_invoices)
            if plain(name)
            for text in said
        )
    ]
    if len(fits) == 1:
        return fits[0]
    return context.lab(context.path_lab) or (context.labs[0] if len(context.labs) == 1 else None)
