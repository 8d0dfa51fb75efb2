"""The statistical operations: what they leave out, and that three outside engines work them out alike."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import formualizer
import ironcalc
import numpy as np
import pytest
import xlsxwriter
from recalculated.engines import by_libreoffice

from feesheet.formula.operations import (
    ALL_OPERATIONS,
    beta_quantile,
    count_numbers,
    count_over,
    normal_quantile,
    nth_smallest,
    standard_deviation,
)

COLUMN: list[Any] = [0.5, "", 0.2, "none", -0.1, None, 0.9, 0.2, 0.7]
"""A column of figures with words, an empty word and a blank cell between them."""

RANGE = "$A$1:$A$9"

CASES: list[tuple[str, tuple[str, ...], tuple[Any, ...]]] = [
    ("nth_smallest", (RANGE, "1"), (COLUMN, 1)),
    ("nth_smallest", (RANGE, "6"), (COLUMN, 6)),
    ("standard_deviation", (RANGE,), (COLUMN,)),
    ("count_numbers", (RANGE,), (COLUMN,)),
    ("count_over", (RANGE, "0.2"), (COLUMN, 0.2)),
    ("natural_log", ("0.97",), (0.97,)),
    ("exponential", ("-0.3",), (-0.3,)),
    ("square_root", ("21.5",), (21.5,)),
    ("normal_quantile", ("0.95",), (0.95,)),
    ("normal_quantile", ("0.999",), (0.999,)),
    ("beta_quantile", ("0.025", "3", "120"), (0.025, 3, 120)),
    ("beta_quantile", ("0.975", "37", "2"), (0.975, 37, 2)),
]
"""Operation, its parts in a formula, and the same as numbers."""


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """A workbook with the column and one formula a case, each with a wrong cached value."""
    path = tmp_path / "book.xlsx"
    made = xlsxwriter.Workbook(path)
    sheet = made.add_worksheet("A")
    for row, value in enumerate(COLUMN):
        if value == "":
            sheet.write_formula(row, 0, '=IF(1=1,"",0)', None, "stale")
        elif value is not None:
            sheet.write(row, 0, value)
    for row, (operation, parts, _) in enumerate(CASES):
        text = ALL_OPERATIONS[operation].excel.format(*parts)
        sheet.write_formula(row, 1, f"={text}", None, -999)
    made.close()
    return path


def expected() -> list[float]:
    """What this program makes of the cases."""
    return [float(ALL_OPERATIONS[operation].number(*numbers)) for operation, _, numbers in CASES]


def test_formualizer_and_ironcalc_agree(book: Path) -> None:
    """Two engines leave out words and blanks as the numbers do, and find the same quantiles."""
    one = formualizer.load_workbook(str(book))
    one.evaluate_all()
    other = ironcalc.load_from_xlsx(str(book), "en", "UTC", "en")
    other.evaluate()
    rows = range(1, len(CASES) + 1)

    assert [one.get_value("A", row, 2) for row in rows] == pytest.approx(expected(), rel=1e-11)
    assert [other.get_cell_value(0, row, 2) for row in rows] == pytest.approx(expected(), rel=1e-11)


def test_libreoffice_agrees(book: Path, tmp_path: Path, libreoffice: None) -> None:
    """LibreOffice, made to work everything out again, finds the same."""
    found = by_libreoffice([book], tmp_path)[0]

    assert [found["A", row, 2] for row in range(1, len(CASES) + 1)] == pytest.approx(expected(), rel=1e-11)


def test_what_a_spreadsheet_has_an_error_for_is_not_a_number() -> None:
    """A place past the last number, the spread of one number, a chance of 1, a beta without a second count."""
    assert np.isnan(nth_smallest(COLUMN, 7)) and np.isnan(nth_smallest(COLUMN, 0))
    assert np.isnan(standard_deviation([0.5, ""])) and np.isnan(nth_smallest([], 1))
    assert np.isnan(normal_quantile(1.0)) and np.isnan(beta_quantile(0.5, 1, 0))


def test_words_and_blanks_are_no_numbers() -> None:
    """Only numbers are ranked and counted; a number at the limit is not over it."""
    assert count_numbers(COLUMN) == 6 and count_numbers([]) == 0
    assert [nth_smallest(COLUMN, place) for place in (1, 2, 3, 4)] == [-0.1, 0.2, 0.2, 0.5]
    assert count_over(COLUMN, 0.2) == 3 and count_over(COLUMN, 0.9) == 0
