"""The harness itself: poisoned caches are wrong before and right after, and an altered formula is caught."""

from __future__ import annotations

from pathlib import Path

import conftest
import pytest
from opened_book import OpenedBook, letters, parts, write_parts
from recalculated.engines import (
    WRONG_NUMBER,
    WRONG_WORDS,
    Figures,
    as_saved,
    by_formualizer,
    by_ironcalc,
    by_libreoffice,
    poisoned,
)
from recalculated.expected import agree, differing, expected
from written_books import random_schedule, written

from feesheet.writing.book import Schedule, layout_of

Made = tuple[Schedule, Path]


@pytest.fixture
def made(tmp_path: Path) -> Made:
    """A random practice's schedule and its workbook."""
    schedule = random_schedule(3, tmp_path / "practice")
    return schedule, written(schedule, tmp_path / "book.xlsx")


def by_one_libreoffice(path: Path, opened: OpenedBook) -> Figures:
    """What LibreOffice works this one workbook out to."""
    return by_libreoffice([path], path.parent)[0]


def test_poisoned_caches_are_all_wrong_and_come_back_right(made: Made, libreoffice: None) -> None:
    """No formula's cache is right after poisoning; every one is after LibreOffice has worked it out."""
    schedule, book = made
    bad, count = poisoned(book, book.parent / "poisoned.xlsx")
    opened = OpenedBook(book)
    ours, stale = expected(schedule, opened), as_saved(bad)
    assert count == len(ours) == len(differing(ours, stale))
    assert {stale[cell] for cell in ours} == {float(WRONG_NUMBER), WRONG_WORDS.decode()}
    assert differing(ours, by_one_libreoffice(bad, opened)) == []


def test_caches_as_written_are_the_programs_figures(made: Made) -> None:
    """Before anything recalculates, a preview shows the right figure in every formula cell."""
    schedule, book = made
    opened = OpenedBook(book)
    agree(schedule, opened, as_saved(book))


def test_an_altered_formula_is_named_by_every_engine(made: Made, libreoffice: None) -> None:
    """With one unit cost off by one, each engine's message names that cell, its heading and its formula."""
    schedule, book = made
    place = layout_of(schedule).places["costs"]
    cell = f"{letters(place.columns['unit_cost'] + 1)}{place.first_row}"
    bad = altered(poisoned(book, book.parent / "poisoned.xlsx")[0], place.sheet, cell)
    opened = OpenedBook(bad)
    for engine in (by_one_libreoffice, by_formualizer, by_ironcalc):
        with pytest.raises(AssertionError, match=rf"Cost build-up!{cell} \(Unit cost.*=.*\+1") as told:
            agree(schedule, opened, engine(bad, opened))
        assert len(str(told.value).splitlines()) <= 21


def altered(book: Path, sheet: str, cell: str) -> Path:
    """The workbook with one added to what the cell's formula gives."""
    contents, part = parts(book), OpenedBook(book).sheets[sheet].part
    before, found, rest = contents[part].partition(f'<c r="{cell}"'.encode())
    contents[part] = before + found + rest.replace(b"</f>", b"+1</f>", 1)
    return write_parts(book.parent / "altered.xlsx", contents)


def test_a_missing_libreoffice_is_skipped_or_a_failure_where_it_must_be(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Without soffice the tests are skipped by name; with FEESHEET_REQUIRE_LIBREOFFICE they fail."""
    monkeypatch.setattr(conftest.shutil, "which", lambda program: None)
    monkeypatch.delenv("FEESHEET_REQUIRE_LIBREOFFICE", raising=False)
    with pytest.raises(pytest.skip.Exception, match="soffice"):
        conftest.need_libreoffice()
    monkeypatch.setenv("FEESHEET_REQUIRE_LIBREOFFICE", "1")
    with pytest.raises(pytest.fail.Exception, match="soffice"):
        conftest.need_libreoffice()
