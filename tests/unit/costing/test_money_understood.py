"""How much of the invoices' money is understood is a live share that every result carries until it is all of it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from invoiced import Row, billed_abroad, line, outcome, practice_of, said, table
from opened_book import OpenedBook
from practices import write_practice
from truth.test_by_the_page import gold_crown
from typer.testing import CliRunner

from feesheet.cli import app
from feesheet.problems import as_text
from feesheet.uses.annual_update import figures, understood
from feesheet.writing.book import Schedule, write_book

NEW = "Emaxis crown"


def share(lines: list[Row], **more: object) -> float:
    """The share of the lines' money that is understood."""
    return understood(outcome(practice_of(lines, **more))[0])  # type: ignore[arg-type]


def test_an_unknown_name_lowers_the_share() -> None:
    """964 of 1,000 is understood where a new name costs 36; credits count without their sign, totals not at all."""
    lines = [line(900, teeth="16"), line(36, product=NEW), line(-64, kind="credit", product="Credit", teeth="16"),
             line(900, kind="balance", product="Total")]  # fmt: skip

    assert share(lines) == pytest.approx(0.964)


def test_the_share_is_whole_once_the_name_is_accepted() -> None:
    """A name said to be no crown, or to be a material, is accepted; nothing else makes the share whole."""
    lines = [line(900, teeth="16"), line(100, product=NEW, teeth="26")]

    assert share(lines) == pytest.approx(0.9)
    for material in ("not a crown", "cast gold"):
        assert share(lines, names=[{"wording": NEW, "material": material}]) == 1


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"kind": "freight", "product": "Courier", "invoice": "A-10"}, "an invoice without units"),
        (
            {"kind": "alloy", "product": "alloy", "weight": 2, "weight_unit": "g", "invoice": "A-10"},
            "not named",
        ),
        ({"product": NEW, "teeth": "26"}, "not on the map"),
    ],
)
def test_each_way_of_not_understanding_counts(more: Row, words: str) -> None:
    """A charge without units, alloy without a name and an unknown product each take their money from the share."""
    priced, problems = outcome(practice_of([line(900, teeth="16"), line(100, **more)]))

    assert understood(priced) == pytest.approx(0.9)
    (what,) = said(problems, "not understood")
    assert words in what


def test_what_is_outside_the_window_or_a_finance_charge_lowers_nothing() -> None:
    """Money that is set aside for a reason is understood; lines of other years are in neither sum."""
    lines = [line(900, teeth="16"), line(10, kind="finance charge", product="Interest"),
             line(500, product=NEW, date="2024-01-01", invoice="A-1")]  # fmt: skip

    assert share(lines) == 1


def test_each_unknown_name_is_told_once_with_its_money() -> None:
    """One notice for each lab and wording: its lines, its money and its first place, the most money first."""
    lines = [
        line(900, teeth="16"),
        line(36, product=NEW),
        line(37, product=NEW, invoice="A-10"),
        line(99, product="Guard"),
    ]
    _, problems = outcome(practice_of(lines))
    found = [problem for problem in problems if problem.kind == "not understood"]

    assert [problem.what.split(", is not")[0] for problem in found] == [
        'lab A: "Guard", 1 line(s) here, worth 99.00 EUR in all',
        'lab A: "… crown", 2 line(s) here, worth 73.00 EUR in all',
    ]
    assert (found[1].sheet, found[1].cell) == ("Invoice lines", "row 8")


def test_money_billed_abroad_is_told_in_both_currencies() -> None:
    """What the practice's books hold, and what stands on the lab's paper."""
    practice = billed_abroad(practice_of([line(900, teeth="16"), line(36, product=NEW)]), "USD", 1.5)

    (what,) = said(outcome(practice)[1], "not understood")
    assert "worth 36.00 EUR in all (billed as 54.00 USD)" in what


def test_many_unknown_names_are_one_line_of_a_list() -> None:
    """On the console they do not push other notices off; each is still a notice of its own."""
    lines = [
        line(900, teeth="16"),
        *(line(10, product=f"{NEW} of kind {word}") for word in ("red", "high", "model", "gold")),
    ]
    _, problems = outcome(practice_of(lines))

    assert len(said(problems, "not understood")) == 4
    assert (
        "row 8: 4 product names are not on the map, the first here, worth 40.00 EUR in all. feesheet map"
        in as_text(problems)
    )


def test_the_figure_never_rounds_up_to_all() -> None:
    """99.96 % is told as 99.9 %; the first lines of the sheets say how much money is missing."""
    priced, _ = outcome(practice_of([line(9996, teeth="16"), line(4, product=NEW)]))

    assert ", 4.00 not: " in str(priced.numbers.of("said", "money_understood")[0])
    assert dict(figures(priced))["Invoice money understood"].startswith("99.9%")


def test_every_sheet_says_so(tmp_path: Path) -> None:
    """The second row of every sheet reads the share by name; what is stored is what the formula comes to."""
    practice = practice_of([line(900, teeth="16"), line(100, product=NEW)])
    priced, problems = outcome(practice)
    path = tmp_path / "book.xlsx"
    write_book(path, Schedule(practice, priced.model, priced.numbers, priced.inputs, problems))
    tops = [sheet.cells[2, 1] for sheet in OpenedBook(path).sheets.values()]

    words = (
        "All checks pass; 90.0 % of the invoices' money understood, 100.00 not: see the Invoice lines sheet"
    )
    assert {cell.value for cell in tops} == {words}
    assert all("MoneyUnderstood" in cell.formula for cell in tops)


def test_the_command_line_says_so(tmp_path: Path) -> None:
    """`check` and `update` tell the share while it is under 1, and give it to machines in any case."""
    rows, _ = gold_crown()
    rows["invoice_lines"].append(line(100, product=NEW))
    folder = write_practice(rows, tmp_path / "practice")
    runner = CliRunner()

    assert "% of the invoices' money is understood" in runner.invoke(app, ["check", str(folder)]).output
    assert "% of the invoices' money is understood" in runner.invoke(app, ["update", str(folder)]).output
    for command in ("check", "update"):
        record = json.loads(runner.invoke(app, [command, str(folder), "--json"]).stdout)
        assert 0 < record["money_understood"] < 1


def test_the_counts_stand_on_the_checks_sheet() -> None:
    """In all, not understood and the share are figures of one row."""
    (row,) = table(outcome(practice_of([line(900, teeth="16"), line(100, product=NEW)]))[0], "understanding")

    assert (row["charges_in_all"], row["unknown"], row["share_understood"]) == (1000, 100, 0.9)
