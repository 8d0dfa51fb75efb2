"""Where the tables of a what-if stand, and that nothing stands over them."""

from __future__ import annotations

from itertools import pairwise

import pytest
from written_books import EXAMPLE, HISTORY, schedule_of, what_if_of

from feesheet.writing.book import layout_of
from feesheet.writing.layout import Place, sheets_of
from feesheet.writing.what_if_charts import LEFT_ROWS, MARGIN_ROWS
from feesheet.writing.what_if_pages import OPENING, fixed_rows, in_lines, title_of


def test_a_fee_schedule_is_left_alone() -> None:
    """No row of an update's workbook is fixed for a what-if's sake."""
    assert fixed_rows(schedule_of(EXAMPLE).model) == {}


@pytest.mark.parametrize("words", [(), ("gold=4500",)])
def test_tables_stand_below_each_other(words: tuple[str, ...]) -> None:
    """On every sheet a table begins under the last one, and the first page keeps the rows of its charts free."""
    schedule = what_if_of(EXAMPLE, *words, history=HISTORY)
    places = layout_of(schedule).places
    for names in sheets_of(schedule.model).values():
        for above, below in pairwise(name for name in names if name not in ("figures", "what_if_figures")):
            assert places[below].title_row > places[above].last_row + 1
    free = places["what_if_metals"].title_row - places["what_if_materials"].last_row
    assert free > MARGIN_ROWS + LEFT_ROWS


def test_lines_lose_no_word() -> None:
    """Words put into lines are the same words, and no line is too long."""
    words = "Only patients who pay the full fee pay the add-on, and get what is taken off."
    lines = list(in_lines(words, 30))
    assert " ".join(lines) == words and max(map(len, lines)) <= 30


def test_the_title_names_the_first_scenario() -> None:
    """Without a scenario the title says that prices move."""
    assert title_of(what_if_of(EXAMPLE, "gold=4500").model).startswith("What if: gold")
    assert title_of(what_if_of(EXAMPLE).model) == "What if metal prices move"


def test_headings_stay_only_where_one_table_is_long() -> None:
    """A long first table keeps its headings; under several tables the lines over them all stay."""
    short, long = Place("Metal bands", 6, 8, 9, 5, {}), Place("Metal bands", 20, 22, 23, 90, {})
    assert OPENING.repeated("Metal bands", [long, short]) == (22, 2)
    assert OPENING.repeated("Metal bands", [short, long]) == (4, 2)
    assert OPENING.repeated("Metal bands", [short, short]) is None
    assert OPENING.repeated("Metal bands", [short]) == (8, 2)
    assert OPENING.repeated("What if", [long]) is None
