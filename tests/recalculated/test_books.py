"""Every formula of every workbook, caches poisoned, comes to the program's own figure in three outside engines."""

from __future__ import annotations

from pathlib import Path

import pytest
from opened_book import OpenedBook
from recalculated.engines import by_formualizer, by_ironcalc, by_libreoffice, poisoned
from recalculated.expected import agree
from written_books import EXAMPLE, random_schedule, schedule_of, written

BATCH = 5
PRACTICES = 50


def test_the_example(tmp_path: Path, request: pytest.FixtureRequest) -> None:
    """The example's workbook comes to the program's figures in formualizer, ironcalc and LibreOffice."""
    schedule = schedule_of(EXAMPLE)
    book = written(schedule, tmp_path / "book.xlsx")
    opened, bad = OpenedBook(book), poisoned(book, tmp_path / "poisoned.xlsx")[0]
    agree(schedule, opened, by_formualizer(bad, opened))
    agree(schedule, opened, by_ironcalc(bad, opened))
    request.getfixturevalue("libreoffice")
    agree(schedule, opened, by_libreoffice([bad], tmp_path)[0])


@pytest.mark.parametrize("first", range(0, PRACTICES, BATCH))
def test_random_practices(first: int, tmp_path: Path, request: pytest.FixtureRequest) -> None:
    """So do the workbooks of random practices of every size, each named by its seed."""
    schedules = {
        seed: random_schedule(seed, tmp_path / f"practice {seed}") for seed in range(first, first + BATCH)
    }
    books = {
        seed: written(schedule, tmp_path / "written" / f"{seed}.xlsx") for seed, schedule in schedules.items()
    }
    opened = {seed: OpenedBook(book) for seed, book in books.items()}
    bad = {seed: poisoned(book, tmp_path / f"poisoned {seed}.xlsx")[0] for seed, book in books.items()}
    for seed, schedule in schedules.items():
        agree(schedule, opened[seed], by_formualizer(bad[seed], opened[seed]))
        agree(schedule, opened[seed], by_ironcalc(bad[seed], opened[seed]))
    request.getfixturevalue("libreoffice")
    for (seed, schedule), figures in zip(
        schedules.items(), by_libreoffice(list(bad.values()), tmp_path), strict=True
    ):
        agree(schedule, opened[seed], figures)
