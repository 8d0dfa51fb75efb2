"""Every formula of a review's workbook, caches poisoned, comes to the program's own figure in outside engines."""

from __future__ import annotations

from pathlib import Path

import pytest
from earned_cuts import with_seated
from opened_book import OpenedBook
from practices import random_practice, write_practice
from recalculated.engines import by_formualizer, by_ironcalc, by_libreoffice, poisoned
from recalculated.expected import agree
from two_years import LAST_YEAR, this_year
from written_books import EXAMPLE, review_of, schedule_of, written

from feesheet.writing.book import Schedule

FAULTY, YEN, PLAIN = 5, 7, 1
"""Seeds: findings of five kinds; a currency without decimals; neither alloys nor anything to compare with."""

Book = tuple[Schedule, OpenedBook, Path]


def book_of(schedule: Schedule, folder: Path, name: str) -> Book:
    """The review's workbook, opened, and its copy with wrong caches."""
    path = written(schedule, folder / f"{name}.xlsx")
    return schedule, OpenedBook(path), poisoned(path, folder / f"{name} poisoned.xlsx")[0]


def with_findings(folder: Path, seed: int) -> Schedule:
    """A random practice with work seated and faults of its labs, its last six months against the six before."""
    rows = with_seated(random_practice(seed, sites=2, materials=3, lines=120, plans=2), seed)
    schedule, examined = review_of(write_practice(rows, folder), months=6)
    assert examined.found
    return schedule


def beside_last_year(folder: Path) -> Schedule:
    """A small practice beside its workbook of last year; codes have come and gone."""
    last_year = written(schedule_of(write_practice(LAST_YEAR, folder / "then")), folder / "last year.xlsx")
    return review_of(write_practice(this_year(), folder / "now"), last_year=last_year)[0]


def plain(folder: Path) -> Schedule:
    """A practice without alloys, plans and work seated, compared with nothing."""
    rows = random_practice(PLAIN, sites=1, materials=3, lines=60, plans=0)
    return review_of(write_practice(rows, folder), against="none")[0]


@pytest.fixture(scope="module")
def books(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Book]:
    """Reviews of four random practices."""
    folder = tmp_path_factory.mktemp("reviews")
    return {
        "with findings": book_of(with_findings(folder / "findings", FAULTY), folder, "with findings"),
        "in yen": book_of(with_findings(folder / "yen", YEN), folder, "in yen"),
        "beside last year": book_of(beside_last_year(folder / "two years"), folder, "beside last year"),
        "plain": book_of(plain(folder / "plain"), folder, "plain"),
    }


@pytest.mark.parametrize("name", ["with findings", "in yen", "beside last year", "plain"])
def test_two_engines(name: str, books: dict[str, Book]) -> None:
    """Every figure of it by formualizer and by ironcalc."""
    schedule, opened, bad = books[name]
    agree(schedule, opened, by_formualizer(bad, opened))
    agree(schedule, opened, by_ironcalc(bad, opened))


def test_libreoffice(books: dict[str, Book], tmp_path: Path, libreoffice: None) -> None:
    """And every figure of all of them, and of the example's review, by LibreOffice."""
    every = [*books.values(), book_of(review_of(EXAMPLE, months=6)[0], tmp_path, "example")]
    found = by_libreoffice([bad for _, _, bad in every], tmp_path)
    for (schedule, opened, _), figures in zip(every, found, strict=True):
        agree(schedule, opened, figures)
