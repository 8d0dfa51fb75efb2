"""A figure typed over anywhere on the way from the labs' bills to the cost makes a check fail."""

from __future__ import annotations

import pytest
from earned_cuts import with_seated
from practices import random_practice, write_practice
from workbook.test_checks_can_fail import ODD, Engine
from written_books import review_of

SEED = 5
"""The seed of a random practice with alloy lines, all-in prices and quoted prices."""

BLOCKS = ("bills_to_cost", "left_by_bills", "bill_places", "bill_pools", "bill_items")


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Engine:
    """Its review, in an outside engine."""
    folder = tmp_path_factory.mktemp("bills")
    rows = with_seated(random_practice(SEED, sites=2, materials=3, lines=120, plans=2), SEED)
    return Engine(review_of(write_practice(rows, folder / "practice"), months=6)[0], folder / "book.xlsx")


def test_every_figure_is_held(book: Engine) -> None:
    """Each column's first figure that is not nought, typed over, fails a check, and none fails once it is put back."""
    assert book.failing() == 0
    idle = []
    for block, column in figures_of(book):
        place = book.counting(block, column)
        book.type_over(place, ODD)
        if book.failing() == 0:
            idle.append((block, column))
        book.put_back(place)
    assert book.failing() == 0
    assert idle == [], idle


def figures_of(book: Engine) -> list[tuple[str, str]]:
    """The columns of those tables that have figures with formulas."""
    found = []
    for block in BLOCKS:
        place = book.places[block]
        for column in place.columns:
            cells = [book.opened.sheets[place.sheet].cells.get((place.first_row + row, place.columns[column] + 1)) for row in range(place.rows)]  # fmt: skip
            if any(cell is not None and cell.formula and cell.value for cell in cells):
                found.append((block, column))
    return found
