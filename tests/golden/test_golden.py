"""What labs really send is read as a person reads it: every charge, with its kind, teeth, weight and place.

The expectations beside the files are written by hand; `python tests/golden_files.py --accept NAME` takes over
what the program reads and shows the change.
"""

from __future__ import annotations

from typing import Any

import pytest
from drawn_sheets import write
from golden_files import DRAWN, GOLDEN, NAMES, expected_facts, expected_lines, folder_of_all
from read_back import COLUMNS, ReadBack, added, read_back

from feesheet.problems import Problem


@pytest.fixture(scope="module")
def read(tmp_path_factory: pytest.TempPathFactory) -> ReadBack:
    """All golden files in one practice folder, read once."""
    return read_back(folder_of_all(tmp_path_factory.mktemp("golden")))


def test_every_file_is_drawn_and_expected() -> None:
    """The folder holds each file and its two expectations, nothing else."""
    held = {path.name for path in GOLDEN.iterdir() if path.is_file()} - {"test_golden.py"}
    assert held == {f"{name}{end}" for name in NAMES for end in ("", ".expected.csv", ".expected.json")}


@pytest.mark.parametrize("name", sorted(name for name in DRAWN if not name.endswith(".xlsx")))
def test_files_of_text_are_as_drawn(name: str, tmp_path: Any) -> None:
    """A file that was changed by hand, or a drawing that was not written out, is found."""
    write(tmp_path / name, DRAWN[name])
    assert (tmp_path / name).read_bytes() == (GOLDEN / name).read_bytes()


@pytest.mark.parametrize("name", NAMES)
def test_expectations_add_up(name: str) -> None:
    """The charges that a person reads add up to the totals of the documents, to the cent."""
    facts = expected_facts(name)
    totals = [document["total"] for document in facts["documents"] if document["kind"] != "statement"]
    if "" not in totals and totals:
        assert added(line["amount"] for line in expected_lines(name)) == added(totals)
    if facts["entries"]:
        assert added(str(amount) for _, amount in facts["entries"]) == added(
            document["total"] for document in facts["documents"]
        )


@pytest.mark.parametrize("name", NAMES)
def test_lines_are_as_a_person_reads_them(read: ReadBack, name: str) -> None:
    """Every charge is there once, with its place; no heading, total, note or banner is a charge."""
    lines, wanted = read.lines(name), expected_lines(name)
    if not lines and expected_facts(name).get("lines_may_be_dropped"):
        return
    assert [_difference(line, want) for line, want in zip(lines, wanted, strict=False)] == [{}] * len(
        wanted
    ), _told(read, name)
    assert lines[len(wanted) :] == []


@pytest.mark.parametrize("name", NAMES)
def test_documents_are_as_the_paper_says(read: ReadBack, name: str) -> None:
    """Kind, number, day, total and whether it is a copy; on statements the invoices that they list."""
    facts = expected_facts(name)
    wanted = facts["documents"]
    found = [
        {key: "*" if want[key] == "*" else value for key, value in document.items()}
        for document, want in zip(read.documents(name), wanted, strict=False)
    ]
    assert found + read.documents(name)[len(wanted) :] == wanted, _told(read, name)
    assert [list(entry) for entry in read.entries(name)] == facts["entries"]


@pytest.mark.parametrize("name", NAMES)
def test_what_must_be_told_is_told_and_nothing_stops(read: ReadBack, name: str) -> None:
    """Doubts stand with their place; a file that a person can read stops nothing."""
    wanted = expected_facts(name)["told"]
    for want in wanted:
        assert any(_is_about(problem, want) for problem in read.problems(name)), (want, _told(read, name))
    kinds = {kind for want in wanted for kind in want["kinds"].split("|")}
    assert [
        str(problem)
        for problem in read.problems(name)
        if problem.severity == "error" and problem.kind not in kinds
    ] == []


def test_nobody_is_named(read: ReadBack) -> None:
    """A patient's name in a description or a hidden column stands in no line, document or problem."""
    lines, documents = read.practice.tables["invoice_lines"], read.practice.documents
    everything = " ".join([lines.to_csv(), documents.to_csv(), *map(str, read.found)]).lower()
    assert [name for name in ("smith", "jones", "quillfeather", "weber", "münch") if name in everything] == []


def _difference(line: dict[str, str], want: dict[str, str]) -> dict[str, tuple[str, str]]:
    """Columns that differ: what was read, and what a person reads."""
    return {
        column: (line[column], want[column])
        for column in COLUMNS
        if want[column] != "*" and line[column] not in want[column].split("|")
    }


def _is_about(problem: Problem, want: dict[str, str]) -> bool:
    digits = "".join(letter if letter.isdigit() else " " for letter in problem.cell).split()
    return problem.kind in want["kinds"].split("|") and (not want["place"] or want["place"] in digits)


def _told(read: ReadBack, name: str) -> str:
    return "\n".join(map(str, read.problems(name)))
