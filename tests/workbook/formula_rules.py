"""Rules on formulas: few plain functions, no typed numbers, one form a column, short, flowing left to right."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from functools import lru_cache
from typing import Any

import formualizer
from opened_book import Cell, position
from openpyxl.formula import Tokenizer
from workbook.subject import Finding, Subject, at, place_of

from feesheet.writing.seals import relative

LONGEST_FORMULA = 140

PLAIN_FUNCTIONS = frozenset(
    [
        "SUM",
        "SUMPRODUCT",
        "SUMIFS",
        "COUNTIF",
        "COUNTIFS",
        "INDEX",
        "IF",
        "CHOOSE",
        "AND",
        "OR",
        "MAX",
        "MIN",
        "ABS",
        "ROUND",
        "ROUNDUP",
        "ROUNDDOWN",
        "ROWS",
        "ISNUMBER",
        "FIXED",
        "COUNT",
        "SMALL",
        "SQRT",
        "LN",
        "EXP",
        "STDEV",
        "NORMSINV",
        "BETAINV",
    ]
)
"""Functions that every spreadsheet program of the last fifteen years works out alike."""

VOLATILE = frozenset(["OFFSET", "INDIRECT", "TODAY", "NOW", "RAND", "RANDBETWEEN", "CELL", "INFO"])
"""Functions that change by themselves, or that hide what they read."""

GUARD_DIGITS = frozenset({"compare_digits", "step_digits"})
"""Digits kept so that two figures compare as decimals: rounds nothing that people see."""

CHANGE_OF_A_CASE = re.compile(r"\*IF\((\w+)=0,1,INDEX\([^()]*\)\)\+IF\(\1=0,0,INDEX\([^()]*\)\)$")
"""The end of a formula by which a case changes a figure: times a factor, plus an addend, both of one numbered row.

The two stand side by side, neither in the other, and are the same everywhere; what comes before is held to the rules.
"""

ROUNDED_TO_A_STEP = re.compile(r"ROUND\(ROUND(UP|DOWN)?\(ROUND\(")

ROW_OF_A_RANGE = re.compile(r"(INDEX\([^(),]+),\d+\)")

REFERENCE = re.compile(r"(?:('[^']+'|[A-Za-z]\w*)!)?\$?([A-Z]{1,3})(\$?)(\d+)(?![\w(])")


@lru_cache(maxsize=4096)
def tokens(formula: str) -> tuple[Any, ...]:
    """The formula's tokens."""
    return tuple(Tokenizer(f"={formula}").items)


def functions(formula: str) -> list[str]:
    """The functions that the formula calls, in order."""
    return [
        token.value.rstrip("(")
        for token in tokens(formula)
        if token.type == "FUNC" and token.subtype == "OPEN"
    ]


def no_typed_numbers(book: Subject) -> Iterator[Finding]:
    """2: on calculation sheets only columns declared as facts or counters hold typed numbers."""
    for sheet in book.opened.sheets.values():
        for cell in sheet.cells.values() if book.is_calculation(sheet.name) else ():
            declared = book.column_of(cell)
            fact = declared is not None and declared[1].values is not None and not declared[1].entry
            if isinstance(cell.value, float) and not cell.formula and not fact:
                yield at(2, cell, f"a typed number, {cell.value}, where a formula belongs")


def no_numbers_in_formulas(book: Subject) -> Iterator[Finding]:
    """3: no number stands in a formula but 0 and 1, and the row of a fixed range that an INDEX reads.

    Such a row number is an address, no figure: it names one cell as $A$5 does, and nothing is worked out with it.
    """
    for cell in book.forms.values():
        for token in tokens(ROW_OF_A_RANGE.sub(r"\1)", cell.formula)):
            if token.subtype == "NUMBER" and token.value not in ("0", "1"):
                yield at(3, cell, f"{token.value} stands in ={cell.formula}")


def one_formula_a_column(book: Subject) -> Iterator[Finding]:
    """4: every row of a worked-out column has a formula, the same one, counted from its own row."""
    for place, _, column, cells in book.columns():
        if column.values is not None and not column.entry:
            continue
        first = None
        for row, cell in enumerate(cells, start=place.first_row):
            form = relative(cell.formula, row) if cell is not None and cell.formula else ""
            first = first or form
            if not form or (form != first and not column.trees):
                words = f"{column.heading}: {form or 'no formula'}, where the column has {first}"
                yield Finding(4, place.sheet, place_of(place, place.columns[column.name], row), words)


def short(book: Subject) -> Iterator[Finding]:
    """5: a formula is at most 140 characters long, the change of a case aside."""
    for cell in book.forms.values():
        if len(CHANGE_OF_A_CASE.sub("", cell.formula)) > LONGEST_FORMULA:
            yield at(5, cell, f"{len(cell.formula)} characters: ={cell.formula}")


def one_if(book: Subject) -> Iterator[Finding]:
    """6: a formula has one IF at most, the change of a case aside."""
    for cell in book.forms.values():
        if functions(CHANGE_OF_A_CASE.sub("", cell.formula)).count("IF") > 1:
            yield at(6, cell, f"more than one IF: ={cell.formula}")


def plain_functions(book: Subject) -> Iterator[Finding]:
    """7: formulas call few, plain functions."""
    for cell in book.forms.values():
        for name in sorted(set(functions(cell.formula)) - PLAIN_FUNCTIONS - VOLATILE):
            yield at(7, cell, f"{name} is not one of the plain functions")


def nothing_volatile(book: Subject) -> Iterator[Finding]:
    """8: nothing changes by itself or hides what it reads."""
    for cell in book.forms.values():
        for name in sorted(set(functions(cell.formula)) & VOLATILE):
            yield at(8, cell, f"{name} changes by itself or hides what it reads")


def nothing_outside(book: Subject) -> Iterator[Finding]:
    """9: no links to other files, no macros, no connections."""
    for name in book.opened.parts:
        if any(word in name for word in ("externalLink", "vbaProject", "connections")):
            yield Finding(9, "", name, "a link, a macro or a connection")
    for cell in book.forms.values():
        if any("[" in token.value for token in tokens(cell.formula) if token.subtype == "RANGE"):
            yield at(9, cell, f"reads another file: ={cell.formula}")


def worked_out_once(book: Subject) -> Iterator[Finding]:
    """10: no two columns of a table have the same formula; a nought, as of a row without a ladder, works nothing out."""
    for place, block, column, cells in book.columns():
        top = cells[0]
        if top is None or top.formula in ("", "0") or column.trees:
            continue
        for name, other in place.columns.items():
            twin = book.opened.sheets[place.sheet].cells.get((top.row, other + 1))
            if other < place.columns[column.name] and twin is not None and twin.formula == top.formula:
                yield at(
                    10,
                    top,
                    f"{column.heading} is worked out as {block.columns[name].heading} is: ={top.formula}",
                )


def left_to_right(book: Subject) -> Iterator[Finding]:
    """14: a reference to the same row points left."""
    for cell in book.forms.values():
        if book.column_of(cell) is None:
            continue
        for sheet, column, fixed, row in REFERENCE.findall(_without_words(cell.formula)):
            if not sheet and not fixed and int(row) == cell.row and position(f"{column}1")[1] >= cell.column:
                yield at(14, cell, f"reads {column}{row}, which stands to its right: ={cell.formula}")


def _without_words(formula: str) -> str:
    return "".join(formula.split('"')[0::2])


def rounds_fees_only(book: Subject) -> Iterator[Finding]:
    """25: only fees are rounded, to their step; any other rounding keeps the digits that a comparison needs."""
    for cell in book.forms.values():
        names = functions(cell.formula)
        digits = re.findall(r",([^,()]*)\)", _without_words(cell.formula))
        if "ROUND" not in " ".join(names) or ROUNDED_TO_A_STEP.search(cell.formula):
            continue
        if (
            not GUARD_DIGITS & set(digits)
            or {"ROUNDUP", "ROUNDDOWN"} & set(names)
            or "money_digits" in digits
        ):
            yield at(25, cell, f"rounds: ={cell.formula}")


def comes_out(book: Subject) -> Iterator[Finding]:
    """24 and 35: worked out by an outside engine, no formula is an error or a circle, and each cache is what comes out."""
    engine = formualizer.load_workbook(str(book.opened.path))
    try:
        engine.evaluate_all()
    except formualizer.ExcelEvaluationError as error:
        yield Finding(24, "", "", f"can't be worked out: {error}")
        return
    for cell in book.opened.formulas():
        found = engine.get_value(cell.sheet, cell.row, cell.column)
        if isinstance(found, dict):
            yield at(24, cell, f"{found.get('kind')}: ={cell.formula}")
        elif not _alike(cell, found):
            yield at(35, cell, f"shows {cell.value!r}, comes to {found!r}")


def _alike(cell: Cell, found: Any) -> bool:
    if isinstance(cell.value, float) and isinstance(found, (int, float)):
        return math.isclose(cell.value, found, rel_tol=1e-9, abs_tol=1e-9)
    return cell.value == (found or "")


RULES = (
    no_typed_numbers,
    no_numbers_in_formulas,
    one_formula_a_column,
    short,
    one_if,
    plain_functions,
    nothing_volatile,
    nothing_outside,
    worked_out_once,
    left_to_right,
    rounds_fees_only,
    comes_out,
)
