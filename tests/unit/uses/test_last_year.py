"""Last year's workbook read: each figure with its cell, and every workbook that can't stand for last year refused in words."""

from __future__ import annotations

import copy
import hashlib
from datetime import date
from pathlib import Path

import numpy as np
import openpyxl
import pytest
from conftest import need_libreoffice
from practices import write_practice
from priced import Rows, price_rows
from recalculated.engines import converted
from two_years import GONE, LAST_YEAR, NEW, this_year, with_cell, with_row_put_in, with_words
from written_books import schedule_of, what_if_of, written

from feesheet.costing.roster import Roster
from feesheet.pricing.review.last_year import Found, LastYear
from feesheet.problems import Problem, errors
from feesheet.uses.annual_update import Priced
from feesheet.uses.delivered import Delivered, Span, address, open_delivered
from feesheet.uses.last_year import read_last_year
from feesheet.uses.last_year_cells import Reader
from feesheet.uses.last_year_checks import kept_apart

CURRENCY = str(LAST_YEAR["practice"][0]["currency"])
NAME = str(LAST_YEAR["practice"][0]["practice_name"])


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Last year's fee schedule."""
    folder = tmp_path_factory.mktemp("last_year")
    return written(schedule_of(write_practice(LAST_YEAR, folder / "practice")), folder / "fees.xlsx")


@pytest.fixture(scope="module")
def then() -> Priced:
    """The pricing that it was written from."""
    return price_rows(LAST_YEAR)


@pytest.fixture(scope="module")
def delivered(book: Path) -> Delivered:
    """The workbook opened."""
    found, problems = open_delivered(book)
    assert found is not None, problems
    return found


@pytest.fixture(scope="module")
def read(book: Path, then: Priced) -> LastYear:
    """What is read of it; nothing is wrong and nothing differs."""
    found, problems = read_last_year(book, then.who, CURRENCY, NAME)
    assert found is not None and problems == [], problems
    return found


def refused(book: Path, who: Roster, currency: str = CURRENCY) -> list[Problem]:
    """Why the workbook is not read."""
    found, problems = read_last_year(book, who, currency)
    assert found is None
    assert all(problem.file == book.name and problem.what and problem.do for problem in problems)
    return errors(problems)


def kinds(problems: list[Problem]) -> set[str]:
    """The kinds of the problems."""
    return {problem.kind for problem in problems}


def cell_of(delivered: Delivered, key: str, down: int = 0) -> tuple[str, str]:
    """Sheet and address of a cell of a column, so many rows under its first."""
    block, _, name = key.partition(".")
    span = delivered.block(block)[name]
    return span.sheet, address(span.first_row + down, span.column)


def input_cell(delivered: Delivered, what: str) -> tuple[str, str]:
    """The cell on the Inputs sheet where that figure is typed."""
    span = delivered.block("inputs")["what"]
    rows = range(span.first_row, span.last_row + 1)
    row = next(row for row in rows if delivered.value(span.sheet, row, span.column) == what)
    return span.sheet, address(row, delivered.block("inputs")["value"].column)


def test_every_figure_is_that_of_the_pricing(read: LastYear, then: Priced) -> None:
    """Items, sites and roles in their order, each figure to 1e-9."""
    for rows, block in ((read.items, "costs"), (read.sites, "sites"), (read.roles, "staff")):
        for name in rows[0].figures:
            source = "margins" if name in ("year_units", "cash_now") else block
            figures = [row.of(name) for row in rows]
            np.testing.assert_allclose(
                figures, then.numbers.of(source, name), rtol=1e-9, atol=1e-9, err_msg=name
            )
    labels = list(zip(then.who.items["code"], then.who.items["site"], strict=True))
    assert [row.label for row in read.items] == labels
    assert [row.label for row in read.sites] == [(site,) for site in then.who.sites]
    staff = [(role["role"], role["site"] or "all") for role in LAST_YEAR["staff"]]
    assert [row.label for row in read.roles] == staff


def test_every_figure_stands_in_the_cell_that_is_named(read: LastYear, delivered: Delivered) -> None:
    """Sheet and cell hold the figure; units alone are nought where there was no fee."""
    sheets = openpyxl.load_workbook(delivered.path, data_only=True, read_only=False)
    places: list[Found] = [
        found
        for row in (*read.items, *read.sites, *read.roles)
        for name, found in row.figures.items()
        if name != "year_units" or found.value
    ]

    assert len(places) > 200
    assert [sheets[one.sheet][one.cell].value for one in places] == [one.value for one in places]
    first = read.items[0]
    row = delivered.block("costs")["code"].first_row
    assert first.place("last.xlsx").startswith("last.xlsx: ")
    assert f"Cost build-up, row {row}" in first.place("last.xlsx")


def test_the_window_s_money_is_what_the_lines_brought_into_costs(read: LastYear, then: Priced) -> None:
    """Alloy apart from lab fees and charges; together all that was used."""
    uses, used = then.model.blocks["lines"].labels("use"), then.numbers.of("lines", "used_amount")
    alloy = sum(money for use, money in zip(uses, used, strict=True) if use == "alloy")

    assert read.spend["alloy"].value == pytest.approx(alloy, rel=1e-12) and alloy > 0
    assert read.spend["lab"].value == pytest.approx(sum(used) - alloy, rel=1e-12)
    assert read.spend["lab"].sheet == "Invoice lines" and ":" in read.spend["lab"].cell


def test_whose_workbook_it_is_and_of_when(read: LastYear, book: Path) -> None:
    """Name, currency, pricing date, window and the file's SHA-256."""
    assert (read.practice_name, read.currency, read.months) == (NAME, CURRENCY, 12)
    assert read.pricing_date == LAST_YEAR["practice"][0]["pricing_date"] == date(2026, 6, 10)
    assert (read.file, read.sha256) == ("fees.xlsx", hashlib.sha256(book.read_bytes()).hexdigest())
    assert read.period.last == read.pricing_date and read.period.months == 12


def test_what_came_and_went_and_another_name_are_noticed(book: Path) -> None:
    """Three notices, and the figures are read."""
    found, problems = read_last_year(book, price_rows(this_year()).who, CURRENCY, "Quite another practice")
    told = [str(problem) for problem in problems]

    assert found is not None and not errors(problems)
    assert len(told) == 3
    assert "Quite another practice" in told[0]
    assert GONE in told[1] and "no longer on the schedule" in told[1] and "Cost build-up" in told[1]
    assert NEW in told[2] and "not on last year's schedule" in told[2]


def test_case_and_spaces_of_names_do_not_matter(book: Path) -> None:
    """The same codes and sites, spelled otherwise: nothing is gone or new."""
    rows = copy.deepcopy(LAST_YEAR)
    who = price_rows(rows).who
    spelled = who.items.assign(
        code=[f" {code.lower()} " for code in who.items["code"]],
        site=[site.upper() for site in who.items["site"]],
    )
    _, problems = read_last_year(
        book, Roster(**{**vars(who), "items": spelled}), CURRENCY.lower(), f"  {NAME.upper()}"
    )

    assert problems == []


def test_another_currency_is_refused(book: Path, then: Priced) -> None:
    """Nothing is converted."""
    assert kinds(refused(book, then.who, "SEK")) == {"mixed currency"}


def test_what_is_no_fee_schedule_is_refused(tmp_path: Path, then: Priced) -> None:
    """No file, words in a file, a workbook of somebody else's."""
    words, other = tmp_path / "words.xlsx", tmp_path / "other.xlsx"
    words.write_text("no workbook")
    openpyxl.Workbook().save(other)

    for path in (tmp_path / "nothing.xlsx", words, other):
        assert kinds(refused(path, then.who)) == {"not a workbook"}, path


def test_a_what_if_is_refused(tmp_path: Path, then: Priced) -> None:
    """It holds a whole fee schedule too, but is none."""
    folder = write_practice(LAST_YEAR, tmp_path / "practice")
    path = written(what_if_of(folder, "lab fees=+5%"), tmp_path / "what if.xlsx")

    problems = refused(path, then.who)
    assert kinds(problems) == {"not a workbook"} and "what-if" in problems[0].what


def test_a_review_is_refused(delivered: Delivered) -> None:
    """Its fee schedule is that of its own period."""
    span = Span("Earned", "Earned", "Units", "units", "", "", "", "earned.units", 0, 8, 9)
    review = Delivered(delivered.path, delivered.sheets, [*delivered.spans, span], {}, None)

    assert kept_apart(delivered) == []
    assert "margin review" in kept_apart(review)[0].what


def test_a_missing_column_and_a_missing_sheet_are_refused(book: Path, tmp_path: Path, then: Priced) -> None:
    """Each is named."""
    listed = with_words(book, tmp_path / "older.xlsx", "costs.remake_cost", "costs.remade")
    without = tmp_path / "without.xlsx"
    opened = openpyxl.load_workbook(book)
    del opened["Margins"]
    opened.save(without)

    columns, sheets = refused(listed, then.who), refused(without, then.who)
    assert (
        kinds(columns) == {"missing column"} and "“" not in columns[0].what and "Remakes" in columns[0].what
    )
    assert kinds(sheets) == {"missing table"} and "Margins" in sheets[0].what


def test_formulas_without_stored_values_are_refused(book: Path, tmp_path: Path, then: Priced) -> None:
    """A library that saves formulas and no values: the cure is to let a spreadsheet program calculate."""
    path = tmp_path / "saved.xlsx"
    openpyxl.load_workbook(book).save(path)

    problems = refused(path, then.who)
    assert kinds(problems) == {"formula without value"} and "calculate" in problems[0].do


def test_a_figure_typed_over_that_nothing_follows_is_refused(
    book: Path, delivered: Delivered, tmp_path: Path, then: Priced
) -> None:
    """The new pay stands on the Inputs sheet, the stored costs are the old ones."""
    sheet, cell = input_cell(delivered, "Yearly cost: dentist, all")
    path = with_cell(book, tmp_path / "typed.xlsx", sheet, cell, "<v>99999</v>")

    problems = refused(path, then.who)
    assert kinds(problems) == {"formula without value"}
    assert problems[0].sheet and problems[0].cell and "not worked out again" in problems[0].what


@pytest.fixture(scope="module")
def saved(book: Path, delivered: Delivered, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Figures typed over on the Inputs sheet and saved by a spreadsheet program."""
    need_libreoffice()
    folder, account = tmp_path_factory.mktemp("typed"), LAST_YEAR["overhead"][0]
    pay = input_cell(delivered, "Yearly cost: dentist, all")
    rent = input_cell(delivered, f"Yearly amount: {account['site']}, {account['account']}")
    one = with_cell(book, folder / "one.xlsx", *pay, "<v>99999</v>")
    typed = with_cell(one, folder / "typed.xlsx", *rent, "<v>44444</v>")
    return converted([typed], folder / "office")[0]


def test_a_workbook_typed_over_and_saved_by_a_spreadsheet_program_has_the_new_figures(
    saved: Path, then: Priced
) -> None:
    """Pay and an overhead account typed over: the figures are those of a pricing with them, and it is said that they were."""
    rows: Rows = copy.deepcopy(LAST_YEAR)
    rows["staff"][0]["yearly_cost"], rows["overhead"][0]["amount"] = 99999.0, 44444.0
    expected = price_rows(rows).numbers

    found, problems = read_last_year(saved, then.who, CURRENCY, NAME)

    assert found is not None, problems
    for name in ("people_cost", "overhead_per_chair_min", "remake_cost", "unit_cost", "alloy_g"):
        figures = [row.of(name) for row in found.items]
        np.testing.assert_allclose(figures, expected.of("costs", name), rtol=1e-9, err_msg=name)
    assert found.roles[0].of("yearly_cost") == 99999
    assert found.spend["lab"].value == pytest.approx(sum_of_lab(then), rel=1e-9)
    assert [problem.kind for problem in problems] == ["caution"]
    assert problems[0].what.startswith("2 cells were typed over on the Inputs sheet")


def test_errors_that_a_typed_figure_makes_are_named(
    book: Path, delivered: Delivered, tmp_path: Path, then: Priced
) -> None:
    """Hours of nought: each cell whose formula gives an error, and no other kind of problem."""
    sheet, cell = input_cell(delivered, "Productive hours: dentist, all")
    problems = refused(with_cell(book, tmp_path / "broken.xlsx", sheet, cell, "<v>0</v>"), then.who)

    assert kinds(problems) == {"error cell"}
    pay = delivered.block("staff")["staff_cost_per_min"]
    assert (pay.sheet, address(pay.first_row, pay.column)) in {(one.sheet, one.cell) for one in problems}
    assert "#DIV/0!" in problems[0].what


def sum_of_lab(then: Priced) -> float:
    """The lab money of the window."""
    uses, used = then.model.blocks["lines"].labels("use"), then.numbers.of("lines", "used_amount")
    return float(sum(money for use, money in zip(uses, used, strict=True) if use != "alloy"))


@pytest.mark.parametrize(
    ("key", "inside", "cell_kind", "kind"),
    [
        ("costs.chair_min", "<is><t>long</t></is>", ' t="inlineStr"', "not a number"),
        ("sites.usable_chair_min", "", "", "formula without value"),
        ("staff.productive_hours", "<v>0</v>", "", "out of range"),
        ("lines.used_amount", "<is><t>much</t></is>", ' t="inlineStr"', "not a number"),
    ],
)
def test_a_cell_without_a_figure_is_named(
    key: str, inside: str, cell_kind: str, kind: str, book: Path, delivered: Delivered, tmp_path: Path
) -> None:
    """Words, nothing, or hours of nought where a figure should be: the one problem, with sheet and cell."""
    sheet, cell = cell_of(delivered, key, 1)
    spoiled, _ = open_delivered(with_cell(book, tmp_path / "spoiled.xlsx", sheet, cell, inside, cell_kind))
    assert spoiled is not None
    reader = Reader(spoiled)
    reader.last_year()

    assert [(one.kind, one.sheet, one.cell) for one in reader.problems] == [(kind, sheet, cell)]


def test_rows_that_were_put_in_are_refused(book: Path, tmp_path: Path, then: Priced) -> None:
    """Figures are found by their places."""
    path = with_row_put_in(book, tmp_path / "moved.xlsx", "Margins", 12)

    assert "missing column" in kinds(refused(path, then.who))


@pytest.mark.parametrize(
    ("old", "new", "kind"),
    [
        ("This issue", "That issue", "missing value"),
        ("2026-06-10", "some day", "not a date"),
        ("Invoice months", "Months", "missing value"),
    ],
)
def test_an_issue_that_is_not_told_is_refused(
    old: str, new: str, kind: str, book: Path, tmp_path: Path, then: Priced
) -> None:
    """Nobody knows then whose workbook it is, or of when."""
    assert kinds(refused(with_words(book, tmp_path / "issue.xlsx", old, new), then.who)) == {kind}
