"""A review's workbook breaks no rule, can be audited and explained, opens on its own page, and hides nothing typed over."""

from __future__ import annotations

import hashlib
import re
from pathlib import Path

import pytest
from earned_cuts import with_seated
from opened_book import OpenedBook, letters, parts, write_parts
from practices import random_practice, write_practice
from workbook.lint import lint
from workbook.test_checks_can_fail import ODD, Engine
from written_books import EXAMPLE, review_of, schedule_of, written

from feesheet.uses.audit import audit
from feesheet.uses.explain import explain
from feesheet.writing.book import NOTES, Schedule, layout_of
from feesheet.writing.layout import SHEETS, sheets_of
from feesheet.writing.review_pages import NOTES as REVIEW_NOTES

PLAIN = 1
"""The seed of a random practice of three materials none of which is cast."""

FAULTY = 5
"""The seed of a random practice whose labs give the audit five kinds of findings."""

CHECKED = [
    ("earned", "units"),
    ("earned", "received"),
    ("earned", "cost"),
    ("earned", "left"),
    ("item_changes", "left_then"),
    ("item_changes", "effect_lab"),
    ("item_changes", "effect_volume_cost"),
    ("changes_material", "effect_price"),
    ("cut_material", "received"),
    ("cut_site", "cost"),
    ("cut_payer", "left"),
    ("cut_lab", "units"),
    ("cut_material", "contribution"),
    ("cut_region", "left_before_dentist"),
    ("cut_payer", "chair_hours"),
    ("money_by_use", "use_used"),
    ("money_by_use", "use_aside"),
    ("findings_by_kind", "kind_money"),
    ("findings_by_lab", "lab_money"),
    ("capacity", "unused_min"),
    ("capacity", "unused_cost"),
    ("lab_cash", "charged"),
    ("changes_told", "amount"),
    ("money_by_use", "use_amount"),
    ("review_ways", "review_way_2"),
]
"""Columns that a check stands over."""

AUDITED = [
    ("changes_told", "amount"),
    ("changes_told", "so_far"),
    ("earned", "units"),
    ("cut_material", "contribution"),
    ("shown_cut_material", "shown_cut_material_margin"),
    ("findings", "finding_money"),
    ("review_materials", "review_left"),
    ("review_ways", "review_way_2"),
    ("then_items", "then_lab_fee"),
    ("seated", "units"),
]
"""Columns that the audit stands over, facts among them."""

Book = tuple[Schedule, Path]


@pytest.fixture(scope="module")
def example(tmp_path_factory: pytest.TempPathFactory) -> Book:
    """The example's last six months, compared with the six before."""
    schedule, _ = review_of(EXAMPLE, months=6)
    return schedule, written(schedule, tmp_path_factory.mktemp("review") / "book.xlsx")


@pytest.fixture(scope="module")
def opened(example: Book) -> OpenedBook:
    """The example's workbook, opened."""
    return OpenedBook(example[1])


@pytest.fixture(scope="module")
def with_last_year(tmp_path_factory: pytest.TempPathFactory) -> Book:
    """The example's year, compared with a delivered fee schedule."""
    folder = tmp_path_factory.mktemp("review with last year")
    schedule, _ = review_of(EXAMPLE, last_year=written(schedule_of(EXAMPLE), folder / "last year.xlsx"))
    return schedule, written(schedule, folder / "book.xlsx")


@pytest.fixture(scope="module")
def faulty(tmp_path_factory: pytest.TempPathFactory) -> Engine:
    """A random practice with findings and work seated, reviewed, in an outside engine."""
    folder = tmp_path_factory.mktemp("review with findings")
    rows = with_seated(random_practice(FAULTY, sites=2, materials=3, lines=120, plans=2), FAULTY)
    schedule, examined = review_of(write_practice(rows, folder / "practice"), months=6)
    assert len({one.kind for one in examined.found}) >= 4
    return Engine(schedule, folder / "book.xlsx")


def plain_review(folder: Path) -> Schedule:
    """A review of a practice without alloy, plans, work seated and anything to compare."""
    rows = random_practice(PLAIN, sites=1, materials=3, lines=60, plans=0)
    return review_of(write_practice(rows, folder), against="none")[0]


def test_the_example_breaks_no_rule(example: Book) -> None:
    """The published rules hold on every sheet, the working ones too, and an outside engine finds every figure."""
    schedule, path = example
    assert {"changes_told", "then_lines", "findings", "seated"} <= set(schedule.model.blocks)
    assert lint(path, schedule.model, layout_of(schedule)) == []


def test_beside_last_years_workbook_none_is_broken(with_last_year: Book) -> None:
    """Nor where the figures of then are facts with their cells."""
    schedule, path = with_last_year
    assert {"changes_told", "then_book"} <= set(schedule.model.blocks)
    assert lint(path, schedule.model, layout_of(schedule)) == []


def test_with_nothing_to_show_none_is_broken(tmp_path: Path) -> None:
    """Nor without alloy, plans, work seated and a comparison; there is nothing then that asks why it changed."""
    schedule = plain_review(tmp_path / "practice")
    assert not {"changes_told", "review_changes", "then_items"} & set(schedule.model.blocks)
    path = written(schedule, tmp_path / "book.xlsx")
    assert lint(path, schedule.model, layout_of(schedule)) == []
    assert audit(path).clean


def test_it_can_be_audited_and_explained(example: Book) -> None:
    """Nothing was typed over, every formula comes to its stored figure, and a fee leads to its lines."""
    result = audit(example[1])
    assert result.clean, result.findings[:5]
    assert result.formulas > 50_000
    told = explain(example[1], "CR-CHN-M", "North")
    assert told.clean and any(step.heading == "Unit cost" for step in told.steps)


def test_so_can_one_beside_last_years_workbook(with_last_year: Book) -> None:
    """Figures read from another workbook keep their seals."""
    result = audit(with_last_year[1])
    assert result.clean, result.findings[:5]
    assert explain(with_last_year[1], "CR-CHN-M", "North").clean


def test_it_opens_on_its_own_page(example: Book, opened: OpenedBook) -> None:
    """The first page is the review's, titled by its period like the file; it fits one page of paper; checks pass."""
    first = next(iter(opened.sheets.values()))
    title = first.cells[(1, 1)].value
    assert (first.name, title) == ("Review", "Margin review, 1 May 2026 to 31 October 2026")
    assert f"<dc:subject>{title}</dc:subject>" in opened.parts["docProps/core.xml"].decode()
    setup = first.find("pageSetup")
    assert setup is not None and (setup.get("fitToWidth", "1"), setup.get("fitToHeight", "1")) == ("1", "1")
    assert list(example[0].numbers.of("state", "number")) == [0, 0]


def test_every_sheet_says_what_it_is(example: Book, with_last_year: Book, opened: OpenedBook) -> None:
    """Each sheet of a review has one plain sentence of its own under its title, and no note is of no sheet."""
    sheets = [sheet for sheet in sheets_of(example[0].model) if sheet not in SHEETS]
    for sheet in sheets:
        assert str(opened.sheets[sheet].cells[(4, 1)].value).startswith(REVIEW_NOTES[sheet])
    seen = {*sheets, *(sheet for sheet in sheets_of(with_last_year[0].model) if sheet not in SHEETS)}
    assert set(REVIEW_NOTES) == seen
    assert not set(REVIEW_NOTES) & set(NOTES)


@pytest.mark.parametrize(("block", "column"), CHECKED)
def test_a_figure_typed_over_fails_a_check(block: str, column: str, faulty: Engine) -> None:
    """One odd figure in a column that a check covers, and the count of failing checks rises from nought."""
    place = faulty.counting(block, column)
    assert faulty.failing() == 0
    faulty.type_over(place, ODD)
    assert faulty.failing() != 0, f"{block}.{column} can be typed over unnoticed"
    faulty.put_back(place)
    assert faulty.failing() == 0


def test_the_audit_names_every_cell_typed_over(faulty: Engine, tmp_path: Path) -> None:
    """A figure put over a formula or a fact in ten tables is ten findings, each with its cell."""
    contents, cells = parts(faulty.opened.path), []
    for block, column in AUDITED:
        sheet, row, at = faulty.at(block, column)
        cells.append((sheet, f"{letters(at)}{row}"))
        part, pattern = faulty.opened.sheets[sheet].part, rf'<c r="{cells[-1][1]}"[^>]*?(?:/>|>.*?</c>)'
        over = f'<c r="{cells[-1][1]}"><v>{ODD}</v></c>'.encode()
        contents[part], count = re.subn(pattern.encode(), over, contents[part])
        assert count == 1
    result = audit(write_parts(tmp_path / "broken.xlsx", contents))
    assert {(one.sheet, one.cell) for one in result.findings if one.kind == "typed over"} >= set(cells)


def test_same_question_same_bytes(tmp_path: Path) -> None:
    """Asked and written twice, the workbook is the same byte for byte."""
    books = [
        written(plain_review(tmp_path / str(number) / "practice"), tmp_path / f"{number}.xlsx")
        for number in (1, 2)
    ]
    assert len({hashlib.sha256(book.read_bytes()).hexdigest() for book in books}) == 1
