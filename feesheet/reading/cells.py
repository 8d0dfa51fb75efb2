"""One raw cell -> one value of its column's kind, or a fault that says what is wrong and what to do."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from datetime import date, datetime
from typing import Any

from feesheet import number_words
from feesheet.reading import date_words
from feesheet.reading.faults import Evidence, Fault, quoted, shortest
from feesheet.reading.grids import Marked
from feesheet.schema import NUMERIC_KINDS, Field, plain

EPOCH = date(1970, 1, 1).toordinal()
YES = frozenset({"yes", "y", "true", "1", "x", "✓", "✔"})
NO = frozenset({"no", "n", "false", "0"})
_ERRORS = re.compile(r"#(?:DIV/0!|N/A|NAME\?|NULL!|NUM!|REF!|VALUE!|SPILL!|CALC!)|Err:\d{3}")
_CONTROLS = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ufeff\u200b]")
_FULL_YEAR = re.compile(r"\d{4}")
_FIRST_DAY, _LAST_DAY = date(1980, 1, 1), date(2100, 12, 31)


def day(number: float) -> date:
    """The day of a number of days since 1970."""
    return date.fromordinal(int(number) + EPOCH)


def is_blank(cell: Any) -> bool:
    """Whether a cell holds nothing but spaces."""
    return cell is None or (isinstance(cell, str) and not cell.strip())


def nothing(field: Field) -> Any:
    """What stands in the column where nothing is known."""
    return (
        math.nan
        if field.kind in NUMERIC_KINDS or field.kind == "date"
        else 0.0
        if field.kind == "yes_no"
        else ""
    )


def blank(field: Field) -> Any:
    """What a blank cell stands for."""
    if field.required:
        return Fault(
            "missing value",
            f'"{field.heading}" is blank.',
            "Fill it in; type 0 only if it really is nothing."
            if field.kind in NUMERIC_KINDS
            else "Fill it in.",
        )
    if field.default is None:
        return nothing(field)
    if field.kind == "yes_no":
        return float(str(field.default).lower() in YES)
    return float(field.default) if field.kind in NUMERIC_KINDS else field.default


def read(field: Field, cell: Any, evidence: Evidence) -> Any:
    """The value of a cell in `field`'s kind (days since 1970, 1.0 or 0.0 for yes or no), or a `Fault`."""
    if is_blank(cell):
        return blank(field)
    if isinstance(cell, Marked):
        return _marked(cell)
    if isinstance(cell, str):
        cell = (cell if cell.isprintable() else _CONTROLS.sub("", cell)).strip()
        if cell[:1] in ("#", "E") and _ERRORS.fullmatch(cell):
            return _marked(Marked("error cell", cell))
    reader: Callable[[Field, Any, Evidence], Any] = _READERS.get(field.kind, _number)
    return reader(field, cell, evidence)


def _marked(cell: Marked) -> Fault:
    if cell.kind == "error cell":
        return Fault(
            "error cell", f"The cell shows {cell.text}.", "Mend its formula, or type the figure itself."
        )
    return Fault(
        "formula without value",
        "The cell's formula has never been calculated.",
        "Open the workbook in your spreadsheet program, let it calculate, and save it.",
    )


def _number(field: Field, cell: Any, evidence: Evidence) -> float | Fault:
    if isinstance(cell, str):
        result = _typed_number(field, cell, evidence)
        return result if isinstance(result, Fault) else _in_range(field, result, cell)
    if isinstance(cell, bool) or not isinstance(cell, int | float):
        return _no_number(field, cell)
    return _in_range(field, float(cell), cell)


def _typed_number(field: Field, text: str, evidence: Evidence) -> float | Fault:
    word = number_words.taken_apart(text)
    if word is None or (word.percent and field.kind not in ("fraction", "number")):
        return _no_number(field, text)
    if not any(mark in word.body for mark in ".,"):
        return number_words.value(word, ".") or 0.0
    if len(evidence.marks) == 1:
        number = number_words.value(word, next(iter(evidence.marks)))
        if number is not None:
            return number
    return _unclear_number(text, evidence.marks)


def _unclear_number(text: str, marks: dict[str, str]) -> Fault:
    if not marks:
        what = f"{quoted(text)} can be read with a decimal mark or with thousands, and no other cell tells."
    else:
        shown = " and ".join(f'"{mark}" ({example})' for mark, example in marks.items())
        what = f"{quoted(text)} is unclear: this sheet writes decimals with {shown}."
    return Fault("unclear number", what, "Make the cell a number instead of text.")


def _no_number(field: Field, cell: Any) -> Fault:
    do = f"Type {_wanted(field)} in digits, for example {shortest(field.example) or '0'}"
    return Fault("not a number", f"{quoted(cell)} is not a number.", f"{do}; 0 if it really is nothing.")


def _wanted(field: Field) -> str:
    return f'"{field.heading}"' + (f" ({field.unit})" if field.unit else "")


def _in_range(field: Field, number: float, cell: Any) -> float | Fault:
    if not math.isfinite(number):
        return _no_number(field, cell)
    if field.kind == "whole" and not number.is_integer():
        return Fault(
            "out of range",
            f"{quoted(cell)} is not a whole number.",
            f"Type {_wanted(field)} as a whole number.",
        )
    low = -math.inf if field.low is None else field.low
    high = math.inf if field.high is None else field.high
    if low <= number <= high:
        return number
    if field.kind == "fraction" and number > 1 and low <= number / 100 <= high:
        shown = shortest(number)
        return Fault(
            "out of range", f"{shown} was typed.", f"For {shown} % type {number / 100:g} or {shown}%."
        )
    return Fault(
        "out of range", f'{quoted(cell)} {_outside(low, high, number)} for "{field.heading}".', "Correct it."
    )


def _outside(low: float, high: float, number: float) -> str:
    """In what way a number is out of range; a smallest value next to 0 means more than 0."""
    if 0 < low < 1e-3:
        return "must be more than 0" if number < low else f"is more than {high:,.12g}"
    return f"is outside {low:,.12g} to {high:,.12g}"


def _date(field: Field, cell: Any, evidence: Evidence) -> float | Fault:
    found = _day(field, cell, evidence)
    if isinstance(found, Fault):
        return found
    if not _FIRST_DAY <= found <= _LAST_DAY:
        return Fault(
            "out of range",
            f'{found.isoformat()} is outside 1980 to 2100 for "{field.heading}".',
            "Correct it.",
        )
    return float(found.toordinal() - EPOCH)


def _day(field: Field, cell: Any, evidence: Evidence) -> date | Fault:
    if isinstance(cell, datetime):
        return cell.date()
    if isinstance(cell, date):
        return cell
    text = shortest(cell)
    found = date_words.plain_date(text)
    if found is None and date_words.three_numbers(text):
        return _ordered_day(text, evidence.orders)
    return found or Fault(
        "not a date",
        f"{quoted(cell)} is not a date.",
        f'Type "{field.heading}" as a date cell or as yyyy-mm-dd.',
    )


def _ordered_day(text: str, orders: dict[str, str]) -> date | Fault:
    known = date_words.meant(text, orders)
    if not known:
        return Fault("not a date", f"{quoted(text)} is on no calendar.", "Type it as yyyy-mm-dd.")
    days = sorted({day.isoformat() for day in known.values()})
    if date_words.is_dotted(text) and list(known) == ["day first"]:
        return known["day first"]
    if len(orders) == 1 and next(iter(orders)) in known:
        return known[next(iter(orders))]
    if len(orders) < 2 and len(days) == 1 and _FULL_YEAR.search(text):
        return next(iter(known.values()))
    if len(orders) == 2:
        shown = " and ".join(f'"{example}"' for example in orders.values())
        return Fault(
            "unclear date",
            f"{quoted(text)} is unclear: the column holds {shown}.",
            "Make the column real date cells.",
        )
    return Fault(
        "unclear date",
        f"{quoted(text)} can be {' or '.join(days)}.",
        "Make it a real date cell, or type yyyy-mm-dd.",
    )


def _text(field: Field, cell: Any, evidence: Evidence) -> str | Fault:
    return shortest(cell)


def _code(field: Field, cell: Any, evidence: Evidence) -> str | Fault:
    if isinstance(cell, date):
        return Fault(
            "unclear number",
            f"The spreadsheet program has turned this {field.heading.lower()} into a date.",
            "Make the cell text and type it again.",
        )
    return shortest(cell)


def _teeth(field: Field, cell: Any, evidence: Evidence) -> str | Fault:
    if isinstance(cell, date):
        return Fault(
            "unclear tooth",
            f"The spreadsheet program has turned the teeth into a date ({shortest(cell)}).",
            'Make the cell text and type the teeth again, for example "3-5".',
        )
    return shortest(cell)


def _choice(field: Field, cell: Any, evidence: Evidence) -> str | Fault:
    text = shortest(cell)
    word = plain(text)
    found = next((choice for choice in field.choices if plain(choice) == word), None)
    if found is not None:
        return found
    shown = ", ".join(field.choices[:12]) + (" …" if len(field.choices) > 12 else "")
    return Fault(
        "not a choice", f'{quoted(text)} is not a choice for "{field.heading}".', f"Type one of: {shown}."
    )


def _yes_no(field: Field, cell: Any, evidence: Evidence) -> float | Fault:
    word = shortest(cell).lower()
    if word in YES or word in NO:
        return float(word in YES)
    return Fault(
        "not a choice", f'{quoted(cell)} is neither yes nor no for "{field.heading}".', "Type yes or no."
    )


_READERS: dict[str, Callable[[Field, Any, Evidence], Any]] = {
    "text": _text,
    "code": _code,
    "teeth": _teeth,
    "date": _date,
    "choice": _choice,
    "yes_no": _yes_no,
}
