"""A what-if's workbook breaks no rule, can be audited and explained, opens on its own page and says what it shows."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from opened_book import OpenedBook
from practices import random_practice, write_practice
from workbook.lint import lint
from workbook.test_lint import Draft, parts, write_parts
from written_books import EXAMPLE, HISTORY, what_if_of, written

from feesheet.pricing.what_if.bands_words import FOOT, HEAD
from feesheet.uses.audit import audit
from feesheet.uses.explain import explain
from feesheet.writing.book import NOTES, Schedule, layout_of
from feesheet.writing.layout import SHEETS, sheets_of
from feesheet.writing.what_if_pages import NOTES as WHAT_IF_NOTES

MOVES = ("gold=+40%", "lab fees=+5%", "minutes=-10%")
WITHOUT_ALLOY = 1
"""The seed of a random practice of three materials none of which is cast."""

Book = tuple[Schedule, Path]


@pytest.fixture(scope="module")
def example(tmp_path_factory: pytest.TempPathFactory) -> Book:
    """The example with three changes and a price history."""
    schedule = what_if_of(EXAMPLE, *MOVES, history=HISTORY)
    return schedule, written(schedule, tmp_path_factory.mktemp("what if") / "book.xlsx")


def plain_practice(folder: Path) -> Path:
    """A practice without any alloy."""
    return write_practice(random_practice(WITHOUT_ALLOY, sites=1, materials=3, lines=60), folder)


def test_the_example_breaks_no_rule(example: Book) -> None:
    """The published rules hold on every sheet, the working ones too, and an outside engine finds every figure."""
    schedule, path = example
    assert lint(path, schedule.model, layout_of(schedule)) == []


@pytest.mark.parametrize("words", [(), ("lab fees=+5%",)])
def test_without_alloy_none_is_broken(words: tuple[str, ...], tmp_path: Path) -> None:
    """Nor where no item holds a metal, with a scenario and without."""
    schedule = what_if_of(plain_practice(tmp_path / "practice"), *words)
    assert "metal_years" not in schedule.model.blocks
    assert lint(written(schedule, tmp_path / "book.xlsx"), schedule.model, layout_of(schedule)) == []


@pytest.mark.parametrize(
    ("rule", "change"),
    [
        (3, lambda formula: f"{formula}*7"),
        (3, lambda formula: re.sub(r"(INDEX\([^()]*,)\d+\)", r"\g<1>1+8)", formula, count=1)),
        (6, lambda formula: f"{formula}+IF(0=1,IF(1=0,0,1),0)"),
    ],
)
def test_a_row_number_excuses_nothing_else(
    rule: int, change: Callable[[str], str], example: Book, tmp_path: Path
) -> None:
    """A formula that reads the row of a range is reported for any other number, and for an IF in an IF."""
    schedule, book = example
    draft = Draft(schedule, OpenedBook(book), parts(book))
    draft.formula(draft.cell("tornado", "left_change_up"), change)
    found = lint(write_parts(tmp_path / "broken.xlsx", draft.parts), schedule.model, layout_of(schedule))
    assert rule in {finding.rule for finding in found if finding.sheet == "Drivers"}


def test_it_can_be_audited_and_explained(example: Book) -> None:
    """Nothing was typed over, every formula comes to its stored figure, and a fee leads to its lines."""
    result = audit(example[1])
    assert result.clean, result.findings[:5]
    assert result.formulas > 100_000
    told = explain(example[1], "CR-CHN-M", "North")
    assert told.clean and any(step.heading == "Unit cost" for step in told.steps)


def test_it_opens_on_its_own_page(example: Book) -> None:
    """The first page is the what-if's, titled by its scenario like the file; it fits one page of paper."""
    opened = OpenedBook(example[1])
    first = next(iter(opened.sheets.values()))
    title = first.cells[(1, 1)].value
    assert first.name == "What if" and str(title).startswith("What if: ")
    assert f"<dc:subject>{title}</dc:subject>" in opened.parts["docProps/core.xml"].decode()
    setup = first.find("pageSetup")
    assert setup is not None and (setup.get("fitToWidth", "1"), setup.get("fitToHeight", "1")) == ("1", "1")


def test_every_sheet_says_what_it_is(example: Book) -> None:
    """Each sheet of a what-if has one plain sentence of its own under its title, and no note is of no sheet."""
    schedule, path = example
    opened, own = OpenedBook(path), [sheet for sheet in sheets_of(schedule.model) if sheet not in SHEETS]
    for sheet in own:
        assert str(opened.sheets[sheet].cells[(4, 1)].value).startswith(WHAT_IF_NOTES[sheet])
    assert set(WHAT_IF_NOTES) == set(own)
    assert not set(WHAT_IF_NOTES) & set(NOTES)


def test_the_bands_say_all_there_is_to_say(example: Book) -> None:
    """The page for the front desk has every sentence of the bands, those on plans and on payer contracts too."""
    words = " ".join(
        str(cell.value) for cell in OpenedBook(example[1]).sheets["Metal bands"].cells.values() if cell.value
    )
    assert [said for said in (*HEAD, *FOOT) if said not in words] == []


def test_a_scenarios_values_stand_first_on_the_inputs(example: Book) -> None:
    """Whoever opens the Inputs sheet sees the scenario's values on top, each with what it changes and how."""
    schedule = example[0]
    first = [row.heading for row in schedule.inputs[: len(MOVES)]]
    assert [heading.split(", ")[-2:] for heading in first] == [
        ["Price of gold", "by this share"],
        ["Lab fees", "by this share"],
        ["Minutes", "by this share"],
    ]


def test_same_question_same_bytes(tmp_path: Path) -> None:
    """Asked and written twice, the workbook is the same byte for byte."""
    folder = plain_practice(tmp_path / "practice")
    books = [written(what_if_of(folder, "lab fees=+5%"), tmp_path / f"{number}.xlsx") for number in (1, 2)]
    assert len({hashlib.sha256(book.read_bytes()).hexdigest() for book in books}) == 1
