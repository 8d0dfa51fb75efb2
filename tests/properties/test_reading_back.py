"""Whatever a table looks like on its sheet, it reads back as written; private columns do not travel."""

from __future__ import annotations

import csv
import pickle
import random
import tempfile
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from reading_inputs import write_grids

from feesheet.reading import folder
from feesheet.reading.folder import read_folder
from feesheet.reading.messages import Job
from feesheet.reading.worker import read_one
from feesheet.schema import NUMERIC_KINDS, Field, sample
from feesheet.tables import TABLES

FLAT = [table for table in TABLES.values() if not table.vertical]
PRIVATE = "Jane Roe 1970-01-01"


def disguised(field: Field, rng: random.Random) -> str:
    """The field's heading in another case and spacing, or by another of its names."""
    word = rng.choice([field.heading, field.name, *field.also])
    word = rng.choice([str.upper, str.lower, str.title, str])(word)
    return (
        rng.choice([" ", "  ", ""])
        + word.replace(" ", rng.choice([" ", "  ", "_"]))
        + rng.choice(["", " ", " (EUR)"])
    )


def written(table: str, rows: list[dict[str, Any]], rng: random.Random) -> list[list[Any]]:
    """A sheet of the table: a title, columns in any order, columns of one's own, blank rows between."""
    fields = [*TABLES[table].fields, None, None]
    rng.shuffle(fields)
    title = [[f"Title {n}"] for n in range(rng.randrange(4))]
    head = [disguised(field, rng) if field else f"Own column {n}" for n, field in enumerate(fields)]
    body = []
    for row in rows:
        body.append([row[field.name] if field else PRIVATE for field in fields])
        if rng.random() < 0.2:
            body.append([""] * len(fields))
    return [*title, head, *body]


def as_csv(path: Path, rows: list[list[Any]], mark: str) -> None:
    """The sheet as a text file."""
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, delimiter=mark)
        writer.writerows([[str(cell) for cell in row] for row in rows])


def expected(field: Field, value: Any) -> Any:
    """What the frame should hold for a sampled value."""
    if field.kind == "yes_no":
        return value == "yes"
    return float(value) if field.kind in NUMERIC_KINDS else value


def clear_numbers(row: dict[str, Any], table: str) -> dict[str, Any]:
    """Numbers with two decimals, which can be read in one way only even as text."""
    kinds = {field.name: field for field in TABLES[table].fields}
    return {
        name: round(value, 2) if kinds[name].kind in NUMERIC_KINDS and kinds[name].kind != "whole" else value
        for name, value in row.items()
    }


@pytest.mark.parametrize("table", FLAT, ids=lambda table: table.name)
@settings(max_examples=8, deadline=None)
@given(seed=st.integers(0, 2**32), mark=st.sampled_from(["xlsx", ",", ";", "\t"]))
def test_a_table_reads_back_as_written(table: Any, seed: int, mark: str) -> None:
    """Order, case and spacing of headings, titles and other columns change nothing."""
    rng = random.Random(seed)
    rows = [
        clear_numbers({f.name: sample(f, rng) for f in table.fields}, table.name)
        for _ in range(rng.randint(1, 6))
    ]
    rows = [
        {name: max(value, 0.01) if name == "price" else value for name, value in row.items()} for row in rows
    ]
    with tempfile.TemporaryDirectory() as place:
        grid = written(table.name, rows, rng)
        if mark == "xlsx":
            write_grids(Path(place) / "x.xlsx", {table.sheet: grid})
        else:
            as_csv(Path(place) / f"{table.sheet}.csv", grid, mark)
        practice, problems = read_folder(Path(place))
        allowed = {
            "missing table",
            "unknown name",
            "duplicate",
            "unclear tooth",
            "does not add up",
            "does not match its total",
            "units and teeth differ",
            "code and material",
            "copy",
            "unclear unit",
        }
        allowed |= {
            "mixed currency",
            "out of range",
            "no price",
            "missing value",
            "set aside",
            "nothing to start from",
        }
        assert {problem.kind for problem in problems} <= allowed
        frame = practice.tables[table.name]
        for field in table.fields:
            read = [
                value.date() if isinstance(row[field.name], date) else value
                for value, row in zip(frame[field.name], rows, strict=True)
            ]
            wanted = [expected(field, row[field.name]) for row in rows]
            if field.name == "case":  # only hashes leave the process: the same where the numbers are the same
                assert not set(read) & set(wanted)
                read, wanted = ([column.index(one) for one in column] for column in (read, wanted))
            assert read == wanted, field.name
        assert PRIVATE.encode() not in pickle.dumps((practice, problems))


@pytest.mark.parametrize("name", ["lines.xlsx", "lines.csv"])
def test_what_a_table_does_not_know_never_leaves_the_reading_process(tmp_path: Path, name: str) -> None:
    """A patient's name in a column of its own is in no message from the process, even beside bad cells."""
    rng = random.Random(3)
    rows = [{f.name: sample(f, rng) for f in TABLES["invoice_lines"].fields} for _ in range(5)]
    rows[2]["amount"] = rows[3]["date"] = "?"
    grid = written("invoice_lines", rows, rng)
    if name.endswith("csv"):
        as_csv(tmp_path / name, grid, ";")
    else:
        write_grids(tmp_path / name, {"Lines": grid, "Patients": [["Patient", "Born"], [PRIVATE, PRIVATE]]})
    content = read_one(Job(str(tmp_path / name), name))
    assert content.pieces
    assert {"not a number", "not a date"} <= {problem.kind for problem in content.problems}
    assert b"Roe" not in pickle.dumps(content)


def test_the_order_in_which_files_are_found_changes_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The folder's files are sorted by name before anything is read."""
    rng = random.Random(5)
    monkeypatch.setattr(
        folder.secrets, "token_bytes", bytes
    )  # case numbers are hashed with a key of each run
    for number in range(4):
        rows = [{f.name: sample(f, rng) for f in TABLES["invoice_lines"].fields}]
        write_grids(tmp_path / f"{number}.xlsx", {"Lines": written("invoice_lines", rows, rng)})
    practice, problems = read_folder(tmp_path)
    found = sorted(Path.rglob(tmp_path, "*"), reverse=True)
    monkeypatch.setattr(Path, "rglob", lambda *_: found)
    again, same_problems = read_folder(tmp_path)
    assert problems == same_problems
    assert practice.files == again.files
    assert practice.tables["invoice_lines"].equals(again.tables["invoice_lines"])
