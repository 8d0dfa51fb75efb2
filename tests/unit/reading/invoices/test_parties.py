"""Whose paper it is and for which clinic: by the practice's own names, the more telling words first."""

from __future__ import annotations

import pytest

from feesheet.reading.invoices.context import Context, LabKnown
from feesheet.reading.invoices.document import Document, Line
from feesheet.reading.invoices.parties import lab_in_path, lab_of, site_of

KNOWN = Context(
    labs=(
        LabKnown("lab A", ("A Lab of Ceramics",)),
        LabKnown("lab B", ("Works of B", "B Works"), currency="CAD"),
    ),
    sites=("North", "North Hill"),
    accounts=(("", "20417", "North"), ("lab B", "77", "North Hill")),
    currency="USD",
)


def document(**facts: object) -> Document:
    """A paper with one charge on it."""
    made = Document("invoice", lines=[Line(1, "unit fee", "crown", 100.0)])
    for name, value in facts.items():
        setattr(made, name, value)
    return made


@pytest.mark.parametrize(
    ("facts", "file", "lab"),
    [
        ({"names": ["A LAB OF CERAMICS, Inc."]}, "x.csv", "lab A"),
        ({"names": ["B works"]}, "lab A 2026-03.csv", "lab B"),
        ({}, "lab A/2026-03.csv", "lab A"),
        ({"lab": "lab B", "names": ["A Lab of Ceramics"]}, "x.csv", "lab B"),
    ],
    ids=["letterhead", "letterhead before file", "folder", "label before letterhead"],
)
def test_the_lab_is_found(facts: dict[str, object], file: str, lab: str) -> None:
    """By a label, else by the letterhead, else by the names of file and folders."""
    paper = document(**facts)
    assert lab_of(paper, file, KNOWN) == []
    assert paper.lab == lab


def test_a_paper_that_names_no_lab_is_asked_about() -> None:
    """Nothing is guessed, and the cure is a cell of the sheet Labs."""
    paper = document()
    (problem,) = lab_of(paper, "x.csv", KNOWN)
    assert '"Name on invoices"' in problem.do and paper.lab == ""


def test_of_two_labs_on_a_paper_the_longer_name_is_meant() -> None:
    """A letterhead may name a partner besides."""
    paper = document(names=["A Lab of Ceramics", "Works of B"])
    assert lab_of(paper, "x.csv", KNOWN) == [] and paper.lab == "lab A"


def test_the_currency_is_the_labs_own_unless_the_paper_says_a_code() -> None:
    """A sign such as $ says nothing of the country."""
    for said, currency in (("", "CAD"), ("$", "CAD"), ("EUR", "EUR")):
        paper = document(lab="lab B", currency=said)
        lab_of(paper, "x.csv", KNOWN)
        assert paper.currency == currency


@pytest.mark.parametrize(
    ("facts", "site"),
    [
        ({"accounts": ["20417"]}, "North"),
        ({"accounts": ["North Hill clinic"]}, "North Hill"),
        ({"accounts": ["77"], "lab": "lab B"}, "North Hill"),
        ({"accounts": ["77"], "lab": "lab A"}, ""),
        ({}, ""),
    ],
)
def test_the_clinic_is_found_by_account_or_name(facts: dict[str, object], site: str) -> None:
    """An account counts for its own lab only; the longest name that fits is meant; else it is asked."""
    paper = document(**facts)
    problems = site_of(paper, "x.csv", KNOWN)
    assert paper.site == site
    assert bool(problems) == (site == "")


def test_a_path_names_a_lab_only_if_it_names_one() -> None:
    """Two labs in one path name none."""
    assert lab_in_path("lab A/2026.csv", KNOWN) == "lab A"
    assert lab_in_path("lab A and lab B.csv", KNOWN) == ""


@pytest.mark.parametrize("kind", ["finance charge", "deposit", "balance", "note"])
def test_what_is_in_no_crowns_cost_needs_no_clinic(kind: str) -> None:
    """A finance charge on a statement is for no clinic; the line is kept without one."""
    paper = document(kind="statement", lines=[Line(9, kind, "words", 95.1)])
    assert site_of(paper, "x.csv", KNOWN) == []
    assert paper.site == ""


@pytest.mark.parametrize("kind", ["unit fee", "freight", "alloy surcharge", "remake credit", "credit", "tax"])
def test_a_statement_line_that_may_be_of_a_crown_is_named_by_its_row(kind: str) -> None:
    """Not the heading row, and the cure is a line that can really be typed."""
    lines = [Line(7, "finance charge", "words", 95.1), Line(9, kind, "words", 12.0)]
    (problem,) = site_of(document(kind="statement", header_row=5, lines=lines), "x.csv", KNOWN)
    assert (problem.kind, problem.cell) == ("unknown name", "row 9")
    assert '"Clinic"' in problem.do and "North" in problem.do and '"Lab accounts"' in problem.do
