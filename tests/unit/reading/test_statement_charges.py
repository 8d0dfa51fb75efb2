"""A statement for several clinics may charge for paying late: it is read, counted towards what is due, and in no fee."""

from __future__ import annotations

from pathlib import Path

import pytest
from golden_practice import write_tables

from feesheet.practice import Practice
from feesheet.problems import Problem
from feesheet.reading.folder import read_folder

HEAD = "A Lab of Ceramics\nStatement\nStatement date:,2026-03-31\n{clinic}\nDate,Invoice,Details,Amount\n"
INVOICE = "2026-03-04,A-1,Invoice,145.00\n"
LATE = "2026-03-28,,Finance charge 2 %,95.10\n"


def statement(folder: Path, *rows: str, clinic: str = "") -> tuple[Practice, list[Problem]]:
    """The practice of two clinics with one statement of such rows, and all that is told."""
    write_tables(folder)
    text = HEAD.format(clinic=clinic) + "".join(rows)
    (folder / "lab A statement.csv").write_text(text, encoding="utf-8")
    return read_folder(folder)


def test_a_finance_charge_is_kept_without_a_clinic(tmp_path: Path) -> None:
    """Nothing stops, the line has its amount and kind and no clinic, and it belongs to what is due."""
    practice, problems = statement(tmp_path, INVOICE, LATE, ",,Amount due,240.10\n")
    line = practice.tables["invoice_lines"].iloc[-1]
    assert [str(problem) for problem in problems if problem.severity == "error"] == []
    assert (line["kind"], line["amount"], line["site"]) == ("finance charge", 95.10, "")
    assert not [problem for problem in problems if problem.kind == "does not match its total"]


def test_an_amount_due_without_the_charge_is_told(tmp_path: Path) -> None:
    """The charge is held against what is due."""
    _, problems = statement(tmp_path, INVOICE, LATE, ",,Amount due,145.00\n")
    assert [problem for problem in problems if problem.kind == "does not match its total"]


@pytest.mark.parametrize(("clinic", "stops"), [("", True), ("Clinic,South", False)])
def test_a_crown_on_it_needs_a_clinic_which_can_be_typed(tmp_path: Path, clinic: str, stops: bool) -> None:
    """What the message says to type is understood: the crown is of that clinic."""
    practice, problems = statement(
        tmp_path, LATE, "2026-03-28,,FCZ crown 16,145.00\n", ",,Amount due,240.10\n", clinic=clinic
    )
    asked = [problem for problem in problems if problem.kind == "unknown name"]
    assert [problem.cell for problem in asked] == (["row 7"] if stops else [])
    assert practice.tables["invoice_lines"]["site"].iloc[-1] == ("" if stops else "South")
