"""Invoice lines, accounts and days that are readable but doubtful: a notice says so, with its place and words."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from reading_inputs import Rows, broken, good, grid, places, problems_of, write_grids, write_practice

from feesheet.problems import Problem
from feesheet.reading.folder import read_folder

Tables = dict[str, Rows]


def put(table: str, row: int, **values: Any) -> Callable[[Tables], None]:
    """Change some cells of one row."""
    return lambda tables: tables[table][row].update(values)


def with_total(folder: Path, amount: float, *more: dict[str, Any], **values: Any) -> list[Problem]:
    """The problems of a practice whose invoice B-7, of one line of 99, has a total line in row 6."""

    def change(tables: Tables) -> None:
        line = tables["invoice_lines"][3]
        bare = {**line, "teeth": "", "units": ""}
        total = {**bare, "product": "Total", "kind": "total", "amount": amount, **values}
        tables["invoice_lines"] += [total, *({**bare, **one} for one in more)]

    return broken(folder, change)


@pytest.mark.parametrize(
    ("amount", "values", "words"),
    [
        (98.0, {}, ("B-7 says 98.00, its lines add up to 99.00: 1.00 less.", "a line that is missing")),
        (98.99, {}, ("B-7 says 98.99, its lines add up to 99.00: 0.01 less.", "Accepted as rounding")),
        (99.01, {"kind": "invoice total"}, ("0.01 more", "Accepted as rounding")),
        (990, {"kind": "amount due", "product": "Due"}, ("says 990.00", "missing")),
        (9, {"kind": "balance", "product": "Invoice total EUR"}, ("90.00 less", "missing")),
        (9, {"kind": "balance", "product": "TOTAL"}, ("90.00 less", "missing")),
    ],
)
def test_a_total_is_held_against_its_lines(
    tmp_path: Path, amount: float, values: dict[str, Any], words: tuple[str, str]
) -> None:
    """A cent is rounding, more is a difference; both are told at the total with both figures."""
    (problem,) = with_total(tmp_path, amount, **values)

    assert places([problem]) == [("does not match its total", "all.xlsx", "Invoice lines", "I6")]
    assert words[0] in problem.what and words[1] in problem.do


@pytest.mark.parametrize(
    "values",
    [
        {"amount": 99},
        {"kind": "subtotal"},
        {"kind": "case total"},
        {"product": "Case total"},
        {"kind": "payment"},
        {"kind": "previous balance"},
        {"kind": "balance", "product": "Balance"},
    ],
)
def test_what_agrees_or_is_no_invoice_total_is_silent(tmp_path: Path, values: dict[str, Any]) -> None:
    """Parts, payments and balances are held against nothing."""
    assert with_total(tmp_path, **{"amount": 7, **values}) == []


def test_an_amount_due_that_carries_a_balance_is_silent(tmp_path: Path) -> None:
    """What is still owed from before is in no line of this invoice."""
    carried = {"kind": "previous balance", "product": "From last month", "amount": 500}
    assert with_total(tmp_path, 599, carried, kind="amount due", product="Due") == []


def test_a_total_may_leave_out_the_tax(tmp_path: Path) -> None:
    """Tax stands on its own line, so the total may be before it or after it."""
    tax = {"kind": "tax", "product": "Tax", "amount": 10}
    assert with_total(tmp_path / "before", 99, tax) == []
    assert with_total(tmp_path / "after", 109, tax) == []
    assert len(with_total(tmp_path / "neither", 104, tax)) == 1


def test_many_totals_are_one_notice_a_sheet(tmp_path: Path) -> None:
    """Five invoices are named, the rest counted."""

    def change(tables: Tables) -> None:
        line = tables["invoice_lines"][3]
        for number in range(7):
            tables["invoice_lines"] += [
                {**line, "invoice": f"N-{number}"},
                {**line, "invoice": f"N-{number}", "kind": "total", "amount": 50},
            ]

    (problem,) = broken(tmp_path, change)
    assert (problem.cell, problem.what.count("says")) == ("I7", 5)
    assert problem.what.endswith("N-4 says 50.00, its lines add up to 99.00: 49.00 less … and 2 more.")


def second_file(folder: Path, *rows: dict[str, Any]) -> list[Problem]:
    """The problems of the small practice with more invoice lines in `more.xlsx`."""
    write_practice(folder)
    write_grids(folder / "more.xlsx", {"Invoice lines": grid("invoice_lines", list(rows))})
    return problems_of(folder)


def test_an_invoice_on_two_sheets_with_different_lines_is_told(tmp_path: Path) -> None:
    """Both places are named; nothing is taken out."""
    (problem,) = second_file(tmp_path, {**good()["invoice_lines"][3], "amount": 98})

    assert places([problem]) == [("copy", "more.xlsx", "Invoice lines", "B2")]
    assert problem.what == (
        "Invoice B-7 of one lab stands here and in all.xlsx, Invoice lines with different lines: both are counted."
    )
    assert problem.do == "Take one out if it is a copy."


def test_an_exact_copy_or_a_statement_of_totals_is_not_told_here(tmp_path: Path) -> None:
    """A copy line for line is counted once anyway; a total on another sheet is no charge."""
    line = good()["invoice_lines"][3]
    assert second_file(tmp_path / "copy", line) == []
    assert second_file(tmp_path / "total", {**line, "kind": "total"}) == []
    assert second_file(tmp_path / "other lab", {**line, "lab": "lab A", "teeth": "16"}) == []


def test_an_invoice_pasted_twice_on_one_sheet_is_told(tmp_path: Path) -> None:
    """Every line twice, its first in rows 2 and 6."""

    def change(tables: Tables) -> None:
        tables["invoice_lines"] += [dict(line) for line in tables["invoice_lines"][:3]]

    (problem,) = broken(tmp_path, change)
    assert places([problem]) == [("copy", "all.xlsx", "Invoice lines", "B6")]
    assert (
        "Invoice A-1 of one lab stands here with every line twice, the first in rows 2 and 6" in problem.what
    )


def test_two_crowns_alike_without_teeth_are_no_copy(tmp_path: Path) -> None:
    """One invoice may well bill the same crown twice."""

    def change(tables: Tables) -> None:
        line = tables["invoice_lines"][3]
        line["teeth"] = ""
        tables["invoice_lines"].append(dict(line))

    assert broken(tmp_path, change) == []


def test_units_that_differ_from_teeth_are_told_once_a_file(tmp_path: Path) -> None:
    """Three teeth, two units; the second such line is counted."""

    def change(tables: Tables) -> None:
        tables["invoice_lines"][0].update(teeth="14-16", units=2)
        tables["invoice_lines"][3].update(teeth="3-5", units=1, kind="remake")

    (problem,) = broken(tmp_path, change)
    assert places([problem]) == [("units and teeth differ", "all.xlsx", "Invoice lines", "H2")]
    assert problem.what.startswith("2 line(s) of this file, the first here, have other units than teeth")
    assert "2 unit(s) for 3 tooth or teeth" in problem.what


def test_alloy_for_several_teeth_as_one_unit_is_told(tmp_path: Path) -> None:
    """The grams are taken as for one unit, and the notice says so."""
    (problem,) = broken(tmp_path, put("invoice_lines", 2, teeth="36,37", units=1))

    assert places([problem]) == [("units and teeth differ", "all.xlsx", "Invoice lines", "H4")]
    assert (
        "name several teeth but 1 unit: here 2 teeth. The grams are taken as for the units typed"
        in problem.what
    )


@pytest.mark.parametrize("units", ["", 2, -2])
def test_units_that_are_blank_or_the_teeth_are_silent(tmp_path: Path, units: Any) -> None:
    """A blank counts the teeth, and a credit takes them back."""
    assert broken(tmp_path, put("invoice_lines", 3, teeth="3,4", units=units)) == []


def test_words_for_no_charge_are_a_nought(tmp_path: Path) -> None:
    """They are told once a sheet, with how many lines they stand on; a blank stays a problem of its own."""

    def change(tables: Tables) -> None:
        for row, word in enumerate(("N/C", "n.c.", "", "included")):
            tables["invoice_lines"][row]["amount"] = word

    free, blank = sorted(broken(tmp_path, change), key=lambda problem: problem.kind, reverse=True)
    assert places([free, blank]) == [
        ("no charge", "all.xlsx", "Invoice lines", "I2"),
        ("missing value", "all.xlsx", "Invoice lines", "I4"),
    ]
    assert free.what == '"N/C", "n.c.", "included" is read as 0: no charge (3 line(s), the first here).'
    assert list(read_folder(tmp_path)[0].tables["invoice_lines"]["amount"].fillna(-1)) == [0, 0, -1, 0]


@pytest.mark.parametrize(
    ("account", "told"),
    [
        ("Lab fees", True),
        ("Dental laboratory", True),
        ("Dental supplies", True),
        ("Associate pay", True),
        ("Owner's pay", True),
        ("Dentists", True),
        ("Office supplies", False),
        ("Labels and collaboration", False),
    ],
)
def test_an_account_that_may_count_twice_is_told(tmp_path: Path, account: str, told: bool) -> None:
    """It is named with its amount, where the answer stands."""
    problems = broken(tmp_path, put("overhead", 0, account=account))

    wanted = [("may count twice", "all.xlsx", "Overhead ledger", "D2")]
    assert places(problems) == (wanted if told else [])
    assert all(f'"{account}" (96,000.00 a year) counts as overhead' in problem.what for problem in problems)


def test_an_account_that_is_costed_per_item_is_silent_and_sites_are_added_up(tmp_path: Path) -> None:
    """One notice an account, with all its money."""

    def change(tables: Tables) -> None:
        tables["overhead"][0].update(account="Lab", costed_per_item="yes")
        for site in ("North", "South"):
            row = {"site": site, "account": "Dentist", "amount": 1000, "costed_per_item": "no"}
            tables["overhead"].append(row)

    (problem,) = broken(tmp_path, change)
    assert (problem.cell, "(2,000.00 a year in 2 rows, the first here)" in problem.what) == ("D4", True)


def test_a_step_for_a_code_and_a_material_is_told(tmp_path: Path) -> None:
    """The code counts."""
    (problem,) = broken(tmp_path, put("chair_time", 0, code="C-1"))

    assert places([problem]) == [("code and material", "all.xlsx", "Chair time", "B2")]
    assert "counts for the code alone, and the material is not used" in problem.what


@pytest.mark.parametrize(
    ("setting", "day", "words"),
    [
        (
            "effective_date",
            date(2026, 10, 30),
            "effective date 2026-10-30 is before the pricing date 2026-10-31",
        ),
        ("fees_set_on", date(2026, 11, 1), "set on 2026-11-01, after the pricing date 2026-10-31"),
        ("effective_date", date(2026, 10, 31), ""),
        ("fees_set_on", date(2026, 10, 31), ""),
    ],
)
def test_days_out_of_order_are_told_at_their_setting(
    tmp_path: Path, setting: str, day: date, words: str
) -> None:
    """One and the same day is in order."""
    problems = broken(tmp_path, lambda tables: None, **{setting: day})

    cell = "B5" if setting == "effective_date" else "B10"
    assert places(problems) == ([("dates out of order", "all.xlsx", "Practice", cell)] if words else [])
    assert all(words in problem.what for problem in problems)


@pytest.mark.parametrize(
    ("price", "words"), [(0, "must be more than 0"), (2e9, "is more than 1,000,000,000")]
)
def test_a_price_of_nothing_is_told_in_plain_words(tmp_path: Path, price: float, words: str) -> None:
    """No power of ten is shown to a person."""
    (problem,) = broken(tmp_path, put("metal_prices", 0, price=price))

    assert places([problem]) == [("out of range", "all.xlsx", "Metal prices", "C2")]
    assert words in problem.what


def test_a_metal_quoted_only_later_has_no_price(tmp_path: Path) -> None:
    """On the pricing date it counts nothing, and the notice says that its price comes later."""
    (problem,) = broken(tmp_path, put("metal_prices", 1, date=date(2026, 11, 2)))

    assert problem.kind == "no price"
    assert problem.what == "The first price of silver is later than the pricing date 2026-10-31."
