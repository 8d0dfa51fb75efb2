"""An invoice number keeps its figures and known words; a name in its cell is hidden, and two numbers are never made one."""

from __future__ import annotations

import pickle
from pathlib import Path

import pytest
from golden_practice import write_tables

from feesheet.practice import Practice
from feesheet.problems import Problem
from feesheet.reading.folder import read_folder
from feesheet.reading.invoice_numbers import discreet_number, told_apart
from feesheet.reading.invoices.context import Context
from feesheet.reading.messages import Job
from feesheet.reading.worker import read_one

HEAD = "Date,Invoice,Lab,Site,Teeth,Product,Line kind,Units,Amount\n"
LINE = "2026-03-04,{number},lab A,North,{tooth},FCZ crown,unit fee,1,{amount}\n"
PAPER = "A Lab of Ceramics\n{title}\nInvoice no:,{number}\nClinic:,North\nDate:,2026-03-04\nTooth,Description,Qty,Amount\n16,FCZ crown,1,145.00\n,,Total,145.00\n"


def shown(*numbers: str) -> list[str]:
    """What such numbers are called outside the reading process."""
    inside = [discreet_number(number, Context(key=b"run")) for number in numbers]
    known = told_apart(inside)
    return [known[number] for number in inside]


def outcome(folder: Path, *numbers: str, **files: str) -> tuple[Practice, list[Problem]]:
    """A practice with one line of each number, and further files of the lab."""
    write_tables(folder)
    lines = [LINE.format(number=number, tooth=16, amount=100 + at) for at, number in enumerate(numbers)]
    (folder / "a lines.csv").write_text(HEAD + "".join(lines), encoding="utf-8")
    for name, text in files.items():
        (folder / f"lab A {name}.csv").write_text(text, encoding="utf-8")
    return read_folder(folder)


@pytest.mark.parametrize(
    "number",
    [
        "A-2609-008", "A-2609-008-R", "A-2609-008 COPY", "A-2609-008/REV2", "2026/17 (duplicate)", "20261002", "Rechnung 2026/17",
        "FACTURE 88", "Invoice no. 12 corrected", "credit note 12", "MARCH", "March 2026", "Nº 12/2026", "SERIES-12",
        "LABNAME-A-12", "lab A 12", "INV#1042", "case 7", "", "K2609-014", "B 4.1",
    ],
)  # fmt: skip
def test_a_number_without_a_name_stays_as_it_is(number: str) -> None:
    """Figures, the words of paper and of the trade, months, short signs and the front of a series."""
    assert discreet_number(number, Context()) == number


@pytest.mark.parametrize(
    ("number", "told"),
    [
        ("A-2609-008 Petrosyan Anahit", "A-2609-008 …"),
        ("A-2609-008 Petrosyan COPY", "A-2609-008 … COPY"),
        ("A-2609-008-Petrosyan", "A-2609-008-…"),
        ("A-2609-008_Petrosyan", "A-2609-008_…"),
        ("A-2609-008 J. Petrosyan 1961-05-17", "A-2609-008 …"),
        ("A-2609-008 Petrosyan, J", "A-2609-008 …"),
        ("Petrosyan, A-2609-008", "…, A-2609-008"),
        ("O'Brien 12", "… 12"),
        ("Petrosyan J 12", "… 12"),
        ("Müller-Lüdenscheidt 4711", "… 4711"),
        ("12 Гольд", "12 …"),
        ("A-1 Gold", "A-1 …"),
        ("Petrosyan Anahit", "…"),
    ],
)
def test_a_name_in_the_cell_is_hidden(number: str, told: str) -> None:
    """With the short words and figures that stand beside or behind it."""
    assert shown(number) == [told]


def test_numbers_that_differ_only_in_names_stay_apart() -> None:
    """A running mark tells them, the same for the same name, however it is written."""
    numbers = ("A-1 Petrosyan", "A-1 Ericsson", "A-1  PETROSYAN", "A-2 Ericsson", "A-1 Ericsson COPY", "A-1")
    assert shown(*numbers) == ["A-1 …", "A-1 …2", "A-1 …", "A-2 …", "A-1 …2 COPY", "A-1"]


def test_lines_keep_their_invoices(tmp_path: Path) -> None:
    """In the practice each number is one invoice, in whatever file it stands."""
    paper = PAPER.format(title="Invoice", number="A-1 Ericsson")
    practice, problems = outcome(tmp_path, "A-1 Petrosyan", "A-1 Ericsson", "A-7", paper=paper)
    lines = practice.tables["invoice_lines"]
    assert list(lines["invoice"].astype(str)) == ["A-1 …", "A-1 …2", "A-7", "A-1 …2"]
    assert list(lines["invoice"].cat.categories) == ["", "A-1 …", "A-1 …2", "A-7"]
    assert b"etrosyan" not in pickle.dumps((practice, problems))


def test_a_statement_finds_its_invoice(tmp_path: Path) -> None:
    """The entry of a number with a name is that of the invoice, and is shown without it."""
    statement = "A Lab of Ceramics\nStatement\nStatement date:,2026-03-31\n\nDate,Invoice,Details,Amount\n2026-03-04,A-1 Petrosyan,Invoice,100.00\n,,Amount due,100.00\n"
    practice, _ = outcome(tmp_path, "A-1 Petrosyan", statement=statement)
    assert list(practice.entries["invoice"]) == ["A-1 …"]
    assert "A-1 …" in set(practice.tables["invoice_lines"]["invoice"].astype(str))


def test_an_invoice_issued_again_is_counted_once(tmp_path: Path) -> None:
    """The ending "COPY" behind a hidden name is still seen."""
    write_tables(tmp_path)
    for number in ("A-1 Petrosyan", "A-1 Petrosyan COPY"):
        text = HEAD + LINE.format(number=number, tooth=16, amount=145)
        (tmp_path / f"{len(number)}.csv").write_text(text, encoding="utf-8")
    practice, _ = read_folder(tmp_path)
    assert set(practice.tables["invoice_lines"]["invoice"].astype(str)) == {"A-1 …"}


def test_the_name_never_leaves_the_reading_process(tmp_path: Path) -> None:
    """What comes back holds a hash of it at most."""
    path = tmp_path / "lines.csv"
    path.write_text(HEAD + LINE.format(number="A-1 Petrosyan", tooth=16, amount=145), encoding="utf-8")
    content = read_one(Job(str(path), path.name, Context(key=b"run")))
    assert content.pieces and b"etrosyan" not in pickle.dumps(content)
