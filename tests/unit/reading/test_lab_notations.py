"""How a lab numbers teeth, where its row does not say: shown if its invoices tell, asked if they don't."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from golden_practice import LABS, write_tables

from feesheet.problems import Problem
from feesheet.reading.folder import read_folder

PAPER = "A Lab of Ceramics\nInvoice no:,A-1\nClinic:,North\nDate:,2026-03-04\nTooth,Description,Qty,Unit price,Amount\n"


def read(folder: Path, *teeth: str) -> tuple[str, list[Problem]]:
    """The notation of lab A, whose row leaves it open, and what was told at its cell."""
    labs: list[dict[str, Any]] = [{**LABS[0], "tooth_notation": ""}, *LABS[1:]]
    write_tables(folder, {"labs": labs})
    lines = "".join(f'"{one}",FCZ crown,1,145.00,145.00\n' for one in teeth)
    (folder / "paper.csv").write_text(PAPER + lines, encoding="utf-8")
    practice, problems = read_folder(folder)
    told = [problem for problem in problems if problem.sheet == "Labs" and problem.cell == "D2"]
    return str(practice.tables["labs"]["tooth_notation"].iloc[0]), told


@pytest.mark.parametrize(("teeth", "notation"), [(("14", "46"), "ISO"), (("14", "30"), "universal")])
def test_one_number_that_only_one_notation_has_settles_it(
    tmp_path: Path, teeth: tuple[str, ...], notation: str
) -> None:
    """46 is no universal number and 30 no ISO one; the notation is told as taken from the evidence."""
    found, told = read(tmp_path, *teeth)
    assert found == notation
    assert [problem.kind for problem in told] == ["assumed"] and notation in told[0].what


def test_without_evidence_it_is_asked(tmp_path: Path) -> None:
    """14 alone may be a premolar or a molar: the run stops at the lab's own cell."""
    _, told = read(tmp_path, "14")
    assert [(problem.kind, problem.severity) for problem in told] == [("unclear tooth", "error")]


def test_words_of_one_meaning_need_no_answer(tmp_path: Path) -> None:
    """UR6 is the same tooth in every notation."""
    assert read(tmp_path, "UR6")[1] == []
