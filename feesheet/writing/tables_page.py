"""The input tables in words: the hint of one column, and the page that documents them all."""

from __future__ import annotations

from collections.abc import Iterator

from feesheet import reference
from feesheet.schema import NUMERIC_KINDS, Field, Table
from feesheet.tables import TABLES

MOST_CHOICES = 20
"""A longer list of choices is not spelt out."""

BEYOND_DOUBT = 1e6
"""A limit that only a slip of the pen would reach is not spelt out."""

KIND_WORDS = {
    "text": "words",
    "code": "code, kept as text",
    "money": "money",
    "number": "number",
    "whole": "whole number",
    "fraction": "fraction",
    "grams": "grams",
    "minutes": "minutes",
    "date": "day",
    "choice": "choice",
    "yes_no": "yes or no",
    "teeth": "teeth",
}


def hint(field: Field) -> str:
    """What the column means, what it may hold, and what a blank stands for."""
    return " ".join(part for part in (field.help, limits(field), _blank(field)) if part)


def limits(field: Field) -> str:
    """What the column may hold, in one short sentence; empty where anything goes."""
    if field.kind == "yes_no":
        return "Type yes or no."
    choices = shown_choices(field)
    if choices and len(choices) <= MOST_CHOICES:
        return f"One of: {', '.join(choices)}."
    if field.kind == "date":
        return "A day, as 2026-10-31."
    if field.kind in NUMERIC_KINDS:
        return _numbers(field)
    return ""


def shown_choices(field: Field) -> tuple[str, ...]:
    """The choices without their other names: "unit fee", but not "crown", which is read as the same."""
    if field.name != "kind":
        return field.choices
    return tuple(dict.fromkeys(kind for kind, _, _ in reference.line_kinds().values()))


def tables_page() -> str:
    """The page on every table and column, in Markdown."""
    return "\n".join(_page_lines()) + "\n"


def _numbers(field: Field) -> str:
    what = "A whole number" if field.kind == "whole" else "A number"
    low = field.low if field.low is not None and field.low > -BEYOND_DOUBT else None
    high = field.high if field.high is not None and field.high < BEYOND_DOUBT else None
    if low is not None and high is not None:
        return f"{what} from {_figure(low)} to {_figure(high)}."
    if low is not None:
        return f"{what}, {_figure(low)} or more."
    return f"{what}."


def _figure(value: float) -> str:
    """The figure with a true minus sign, and commas only where a year could not be meant."""
    text = f"{value:,.10g}" if abs(value) >= 10000 else f"{value:.10g}"
    return text.replace("-", "−")


def _blank(field: Field) -> str:
    if field.required or "blank" in field.help:
        return ""
    if field.default in (None, ""):
        return "May be blank."
    return f"Blank: {field.default if isinstance(field.default, str) else _figure(field.default)}."


def _page_lines() -> Iterator[str]:
    yield "# Blank workbooks"
    yield ""
    yield "Made by `feesheet templates` from the declarations in `feesheet/tables.py`; this page too."
    yield "Sheets are told by their headings, so they may stand in any workbook of the practice folder."
    yield "Rows marked unit, help or example in the Note column are not read. Shares and rates are fractions:"
    yield "0.18, which a cell may show as 18%."
    for table in TABLES.values():
        yield from _table_lines(table)


def _table_lines(table: Table) -> Iterator[str]:
    yield ""
    yield f"## {table.sheet}"
    yield ""
    needed = "Required." if table.required else "Optional."
    several = " May stand on several sheets." if table.many else ""
    yield f"In `{table.workbook}.xlsx`. {needed}{several} {table.help}"
    if table.key:
        yield f"Told apart by: {', '.join(table.field(name).heading for name in table.key)}."
    yield ""
    first = "Setting" if table.vertical else "Column"
    yield f"| {first} | Holds | Unit | Needed | Meaning and limits |"
    yield "|---|---|---|---|---|"
    for field in table.fields:
        needed = "required" if field.required else "optional"
        words = (field.heading, KIND_WORDS[field.kind], field.unit, needed, hint(field))
        yield "| " + " | ".join(word.replace("|", "\\|") for word in words) + " |"
