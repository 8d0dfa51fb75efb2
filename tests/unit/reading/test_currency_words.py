"""Currencies in words: those that plainly name one are taken for it, shared names for the practice's own alone, others hidden."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from golden_practice import write_tables

from feesheet import reference
from feesheet.practice import Practice
from feesheet.problems import Problem
from feesheet.reading import currency_words
from feesheet.reading.currency_words import code_of, is_known
from feesheet.reading.folder import read_folder

TABLE = "Date,Invoice,Lab,Site,Teeth,Product,Line kind,Units,Amount,Currency\n2026-03-04,A-1,lab A,North,16,FCZ crown,unit fee,1,145.00,{word}\n"
PAPER = "A Lab of Ceramics\nInvoice no:,A-1\nClinic:,North\nDate:,2026-03-24\n{top}Tooth,Description,Qty,Amount,Currency\n16,FCZ crown,1,200.00,{word}\n,,Total,200.00,\n"


def outcome(folder: Path, text: str, **settings: Any) -> tuple[Practice, list[Problem]]:
    """The practice with one more file of a lab, and what is said of currencies there."""
    write_tables(folder, {"exchange_rates": []}, settings)
    (folder / "lab A lines.csv").write_text(text, encoding="utf-8")
    practice, problems = read_folder(folder)
    return practice, [problem for problem in problems if problem.kind == "mixed currency"]


@pytest.mark.parametrize(
    ("word", "own", "code"),
    [
        ("US dollars", "", "USD"),
        ("US$", "", "USD"),
        ("U.S. Dollar", "EUR", "USD"),
        ("dollar", "USD", "USD"),
        ("Dollars", "CAD", "CAD"),
        ("dollar", "EUR", ""),
        ("$", "USD", "USD"),
        ("$", "GBP", ""),
        ("euros", "", "EUR"),
        ("€", "USD", "EUR"),
        ("pounds sterling", "", "GBP"),
        ("£", "", "GBP"),
        ("pounds", "GBP", "GBP"),
        ("pounds", "USD", ""),
        ("chf", "USD", "CHF"),
        ("Petrosyan", "USD", ""),
        ("", "USD", ""),
    ],
)
def test_a_name_is_taken_for_its_currency(word: str, own: str, code: str) -> None:
    """A name that several currencies share is the practice's own where it is one of them, else nothing."""
    assert code_of(word, own) == code


def test_every_code_of_the_table_is_a_currency() -> None:
    """Each name stands for a currency of ISO 4217, and no name stands for two without being told."""
    shared = {code for codes in currency_words._SHARED.values() for code in codes.split()}
    assert shared | set(currency_words._NAMES) <= set(reference.minor_digits())
    names = [name for names in currency_words._NAMES.values() for name in names.split("|")]
    assert len(names) == len(set(names)) and not set(names) & set(currency_words._SHARED)


@pytest.mark.parametrize("text", [TABLE, PAPER.replace("{top}", "")], ids=["table", "paper"])
@pytest.mark.parametrize("word", ["US dollars", "US$", "Dollars", "usd", "$"])
def test_the_practices_own_currency_in_words_passes(tmp_path: Path, text: str, word: str) -> None:
    """Nothing stops, and the line is in the practice's three letters."""
    practice, problems = outcome(tmp_path, text.format(word=word))
    assert problems == []
    assert set(practice.tables["invoice_lines"]["currency"].astype(str)) == {"USD"}


@pytest.mark.parametrize("text", [TABLE, PAPER.replace("{top}", "")], ids=["table", "paper"])
@pytest.mark.parametrize(
    ("word", "shown"), [("Euros", "EUR"), ("Canadian dollars", "CAD"), ("pounds", "pounds")]
)
def test_another_currency_in_words_stops_and_is_shown(
    tmp_path: Path, text: str, word: str, shown: str
) -> None:
    """What was typed is seen, as its three letters where it names one."""
    _, (problem,) = outcome(tmp_path, text.format(word=word))
    assert f'in "{shown}"' in problem.what.replace("POUNDS", "pounds")


def test_dollars_are_no_euros(tmp_path: Path) -> None:
    """A shared name stops the run where the practice counts in none of its currencies, and is shown."""
    _, problems = outcome(tmp_path, TABLE.format(word="dollars"), currency="EUR")
    assert [problem.what for problem in problems if "dollars" in problem.what]


def test_an_unknown_word_stays_hidden(tmp_path: Path) -> None:
    """It may be anybody's name."""
    _, (problem,) = outcome(tmp_path, TABLE.format(word="Petrosyan"))
    assert 'in "…"' in problem.what and not is_known("Petrosyan")


def test_a_letterhead_may_say_it_in_words(tmp_path: Path) -> None:
    """Euros in the letterhead are not added up as dollars."""
    text = PAPER.format(top="Currency:,Euros\n", word="")
    _, (problem,) = outcome(tmp_path, text)
    assert 'in "EUR"' in problem.what


def test_a_rate_may_be_for_a_currency_in_words(tmp_path: Path) -> None:
    """The rate of "Canadian dollars" converts lines in CAD."""
    rates = [{"rate_date": "2026-03-01", "foreign": "Canadian dollars", "rate": 0.75}]
    write_tables(tmp_path, {"exchange_rates": rates})
    (tmp_path / "lab A lines.csv").write_text(TABLE.format(word="CAD"), encoding="utf-8")
    practice, _ = read_folder(tmp_path)
    line = practice.tables["invoice_lines"].iloc[-1]
    assert (line["amount"], line["billed_currency"]) == (145 * 0.75, "CAD")
