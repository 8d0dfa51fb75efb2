"""What was earned, its cuts and the plans: every formula, caches poisoned, comes to the same in three outside engines."""

from __future__ import annotations

from pathlib import Path

import pytest
from earned_cuts import earned_schedule, with_seated
from opened_book import OpenedBook
from practices import random_practice
from priced import read_rows
from recalculated.engines import by_formualizer, by_ironcalc, by_libreoffice, poisoned
from recalculated.expected import agree
from workbook.lint import lint
from written_books import written

from feesheet.writing.book import layout_of

ON_PAPER = {32}
"""How wide a sheet prints is held by the tests of whole reviews."""


@pytest.mark.parametrize("seated", [False, True], ids=["by the labs' invoices", "by the work seated"])
def test_three_engines(seated: bool, tmp_path: Path, request: pytest.FixtureRequest) -> None:
    """The whole workbook, review blocks among it, comes to the program's figures and breaks no rule."""
    rows = random_practice(2, lines=60)
    schedule = earned_schedule(read_rows(with_seated(rows, 2) if seated else rows))
    book = written(schedule, tmp_path / "book.xlsx")
    found = lint(book, schedule.model, layout_of(schedule))
    assert [one for one in found if one.rule not in ON_PAPER] == []
    opened, bad = OpenedBook(book), poisoned(book, tmp_path / "poisoned.xlsx")[0]
    agree(schedule, opened, by_formualizer(bad, opened))
    agree(schedule, opened, by_ironcalc(bad, opened))
    request.getfixturevalue("libreoffice")
    agree(schedule, opened, by_libreoffice([bad], tmp_path)[0])
