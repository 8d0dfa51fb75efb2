"""What a cell of an input sheet lets a person type: drop-downs and limits with plain messages.

They help while typing. They are no control: a paste goes past them, so the reader judges every value again.
"""

from __future__ import annotations

from datetime import date
from typing import Any

from feesheet.schema import NUMERIC_KINDS, Field
from feesheet.writing.tables_page import hint, limits, shown_choices

LONGEST_LIST = 255
"""Characters that a spreadsheet allows a typed drop-down list."""
LONGEST_MESSAGE = 255
LONGEST_TITLE = 32
FIRST_DAY, LAST_DAY = date(1950, 1, 1), date(2100, 12, 31)
ANY_NUMBER = 1e15
"""Stands for no limit: a number, but not words."""


def entry_check(field: Field) -> dict[str, Any]:
    """The data-validation options of one field, as the workbook writer takes them."""
    return {
        **_criteria(field),
        "input_title": field.heading[:LONGEST_TITLE],
        "input_message": hint(field)[:LONGEST_MESSAGE],
        "error_title": field.heading[:LONGEST_TITLE],
        "error_message": f"This can't be used here. {limits(field)}"[:LONGEST_MESSAGE],
    }


def _criteria(field: Field) -> dict[str, Any]:
    if field.kind == "yes_no":
        return {"validate": "list", "source": ["yes", "no"]}
    if field.choices:
        return _listed(shown_choices(field))
    if field.kind == "date":
        return {"validate": "date", "criteria": "between", "minimum": FIRST_DAY, "maximum": LAST_DAY}
    if field.kind in NUMERIC_KINDS:
        low = -ANY_NUMBER if field.low is None else field.low
        high = ANY_NUMBER if field.high is None else field.high
        kind = "integer" if field.kind == "whole" else "decimal"
        return {"validate": kind, "criteria": "between", "minimum": low, "maximum": high}
    return {"validate": "any"}


def _listed(choices: tuple[str, ...]) -> dict[str, Any]:
    """A drop-down; where the list is too long for one, the length of the word."""
    if len(",".join(choices)) <= LONGEST_LIST:
        return {"validate": "list", "source": list(choices)}
    lengths = [len(choice) for choice in choices]
    return {"validate": "length", "criteria": "between", "minimum": min(lengths), "maximum": max(lengths)}
