"""Labs whose names are made of words that also head columns of people, and the one question for many files."""

from __future__ import annotations

from pathlib import Path

import pytest
from golden_practice import write_tables
from lab_grids import CONTEXT, read, sheet

from feesheet.reading.folder import read_folder
from feesheet.reading.invoices.context import Context, LabKnown
from feesheet.reading.invoices.parties import lab_of

NAMES = ("City Dental Lab", "Main Street Dental Laboratory", "Mobile Dental Ceramics", "Dr-Lab")
TABLE = ("Invoice no | 7", "Description | Amount", "FCZ crown | 145.00")


@pytest.mark.parametrize("name", NAMES)
def test_a_listed_lab_is_known_by_its_letterhead(name: str) -> None:
    """A word such as "street" or "mobile" in its name hides no lab of the practice's list."""
    labs = (LabKnown("lab A", (name,)), LabKnown("lab B", ("Works of B",)))
    known = Context(key=b"run", words=CONTEXT.words, labs=labs)

    (paper,) = read(sheet(name, *TABLE), context=known)
    assert lab_of(paper, "x.csv", known) == [] and paper.lab == "lab A"


def test_a_patient_called_like_a_lab_names_none() -> None:
    """The value of a label of people is no lab's name."""
    labs = (LabKnown("lab A", ("Dental Works",)), LabKnown("lab B", ("Works of B",)))
    known = Context(key=b"run", words=CONTEXT.words, labs=labs)

    (paper,) = read(sheet("Patient: | Dental Works", *TABLE), context=known)
    assert [problem.kind for problem in lab_of(paper, "x.csv", known)] == ["unknown name"]


def test_many_papers_without_a_lab_are_one_question(tmp_path: Path) -> None:
    """It stands at the first file and counts the others."""
    write_tables(tmp_path)
    for number in range(3):
        text = f"Invoice no:,{number}1\nDate:,2026-03-05\nTooth,Description,Amount\n14,FCZ crown,145.00\n"
        (tmp_path / f"paper {number}.csv").write_text(text, encoding="utf-8")
    _, problems = read_folder(tmp_path)

    asked = [problem for problem in problems if "names a lab" in problem.what]
    assert [(problem.file, "(this file and 2 more)" in problem.what) for problem in asked] == [
        ("paper 0.csv", True)
    ]
