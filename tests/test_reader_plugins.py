"""A stranger's invoice reader: found by the reading process, preferred for its lab's papers; named, not obeyed, where it breaks."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from written_books import EXAMPLE

from feesheet.practice import Practice
from feesheet.problems import Problem
from feesheet.reading.folder import read_folder

COPIED = EXAMPLE.parent / "own_reader"
BROKEN = """
from feesheet.reading.invoices.door import InvoiceReader

def broken(content, context):
    raise ValueError("Jane Roe has no crown")

PART = InvoiceReader("broken", {suits}, {read})
"""


def installed(folder: Path, monkeypatch: pytest.MonkeyPatch, module: Path, point: str) -> None:
    """Make a reader known as an installed package would be, to this process and to the reading process."""
    info = folder / "stranger-1.0.dist-info"
    info.mkdir(parents=True)
    (info / "METADATA").write_text("Metadata-Version: 2.1\nName: stranger\nVersion: 1.0\n", encoding="utf-8")
    declared = f"[feesheet.invoice_readers]\nriver_lab = {point}\n"
    (info / "entry_points.txt").write_text(declared, encoding="utf-8")
    monkeypatch.setenv("PYTHONPATH", f"{module}:{folder}")


def read(tmp_path: Path) -> tuple[Practice, list[Problem]]:
    """The practice's own tables with the lab's paper beside them."""
    folder = tmp_path / "practice"
    folder.mkdir()
    for name in ("labs.xlsx", "materials.xlsx", "practice.xlsx"):
        shutil.copy(EXAMPLE / name, folder)
    shutil.copy(COPIED / "ticket 88.csv", folder)
    return read_folder(folder)


def of_paper(practice: Practice) -> list[tuple[str, float]]:
    """Kind and amount of each line of the paper."""
    lines = practice.tables["invoice_lines"]
    return list(zip(lines["kind"].astype(str), lines["amount"], strict=True))


LINES = [("unit fee", 142.0), ("unit fee", 142.0), ("freight", 12.5)]


def test_the_copied_reader_reads_its_labs_paper(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Its own words for headings and letterhead are understood: lines, number, day, lab, clinic and total."""
    declared = (COPIED / "pyproject.toml").read_text(encoding="utf-8")
    assert 'river_lab = "own_reader:RIVER_LAB"' in declared
    installed(tmp_path / "site", monkeypatch, COPIED, "own_reader:RIVER_LAB")
    practice, problems = read(tmp_path)
    lines = practice.tables["invoice_lines"]
    assert of_paper(practice) == LINES
    assert set(lines["invoice"].astype(str)) == {"88"}
    assert set(lines["lab"].astype(str)) == {"lab A"} and set(lines["site"].astype(str)) == {"North"}
    assert [day.date().isoformat() for day in lines["date"].unique()] == ["2026-04-03"]
    assert practice.documents["total"].tolist() == [296.5]
    assert not [one for one in problems if one.file == "ticket 88.csv" and one.kind != "assumed"]


def test_without_it_the_paper_is_not_read(tmp_path: Path) -> None:
    """The general readers don't know these headings: it is said that no lines were found, nothing is guessed."""
    practice, problems = read(tmp_path)
    assert of_paper(practice) == []
    assert [one.kind for one in problems if one.file == "ticket 88.csv"] == ["empty table"]


@pytest.mark.parametrize(
    ("suits", "takes"),
    [("lambda content, context: 2", "broken"), ("broken", "lambda content, context: []")],
    ids=["in reading", "in looking"],
)
def test_a_reader_that_breaks_down_is_named_and_the_run_goes_on(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, suits: str, takes: str
) -> None:
    """The problem names the reader and the kind of failure, never the words of the invoice that its error repeats."""
    module = tmp_path / "module"
    module.mkdir()
    (module / "breaking.py").write_text(BROKEN.format(suits=suits, read=takes), encoding="utf-8")
    installed(tmp_path / "site", monkeypatch, module, "breaking:PART")
    practice, problems = read(tmp_path)
    told = [one for one in problems if one.kind == "reader failed"]
    assert told and all('"broken" broke down: ValueError' in one.what for one in told)
    assert not [one for one in problems if "Roe" in str(one)]
    assert len(practice.tables["materials"]) > 0
    assert practice.documents["total"].tolist() == [296.5]


def test_a_reader_that_cannot_be_loaded_is_named_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """However many files there are."""
    installed(tmp_path / "site", monkeypatch, tmp_path, "no_such_module:PART")
    _, problems = read(tmp_path)
    told = [one for one in problems if one.kind == "reader failed"]
    assert len(told) == 1 and "no_such_module" in told[0].what


def test_two_readers_as_sure_as_each_other_are_a_question(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Neither is obeyed: both are named, and the file's invoices are not read twice."""
    installed(
        tmp_path / "site", monkeypatch, COPIED, "own_reader:RIVER_LAB\nsame_again = own_reader:RIVER_LAB"
    )
    practice, problems = read(tmp_path)
    assert of_paper(practice) == []
    assert "two readers fit" in {one.kind for one in problems if one.file == "ticket 88.csv"}
