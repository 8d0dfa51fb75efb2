"""Ten thousand spoiled invoices: none crashes, hangs or fills the memory, and none changes a sum in silence."""

from __future__ import annotations

import os
import random
import time
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pandas as pd
import pytest
from invoice_damage import damaged_bytes, damaged_cells, damaged_digit, damaged_part
from invoice_files import TEXTS, text_of, write_book
from invoice_layouts import LAYOUTS, Paper, Style, papers
from invoice_tables import sample_lines, write_context
from invoice_xml import SYNTAXES

from feesheet import reference
from feesheet.costing import lines as costed
from feesheet.costing.reconciliation import invoice_totals
from feesheet.practice import Practice
from feesheet.problems import Problem
from feesheet.reading import folder as reading
from feesheet.reading.assembled import FolderContent, practice_of
from feesheet.reading.courier import Courier
from feesheet.reading.invoices.context import Context
from feesheet.reading.known import context_of
from feesheet.reading.messages import FileContent, Job
from feesheet.schema import plain

BATCHES, CASES = 40, 260
"""Tests, and spoiled files in each: more than ten thousand in all."""

SECONDS = 20.0
"""More than any of these small files may take, even on a busy machine."""

MOST_MEMORY_KIB = 2**20
WAYS = ("cells", "cells of text", "part", "packing", "text", "digit", "xml", "xml digit")
STILL_FILES = ("cells", "cells of text", "digit")
"""Ways after which the file is still a sound one of its kind."""


@dataclass(frozen=True)
class Base:
    """A sound file before it is spoiled: its sheets, and the file that they make."""

    sheets: dict[str, Paper]
    book: bytes
    text: bytes
    xml: bytes


@dataclass(frozen=True)
class Known:
    """A practice as the reading process learns of it, with what its own file holds."""

    content: FileContent
    context: Context


@pytest.fixture(scope="module")
def known(tmp_path_factory: pytest.TempPathFactory) -> Known:
    """Read once for all cases."""
    folder = write_context(tmp_path_factory.mktemp("known"))
    key = bytes(32)
    with Courier() as courier:
        (content,) = courier.read_all([Job(str(folder / "all.xlsx"), "all.xlsx", Context(key))])
    practice, _ = practice_of(FolderContent((("all.xlsx", "", content),)))
    return Known(content, context_of(practice, key))


@cache
def base(number: int) -> Base:
    """One sound invoice file that carries totals; layouts and ways of writing in turn."""
    names = sorted(LAYOUTS)
    style = Style(
        names[number % len(names)],
        ("English", "German")[number // 8 % 2],
        ("typed", "1,234.56", "1.234,56")[number % 3],
        ("ISO", "day first", "words")[number % 3],
        number,
    )
    lines = sample_lines(random.Random(number), style.language, 2)
    sheets = papers(lines, style)
    path = Path(os.environ.get("TMPDIR", "/tmp")) / f"base {os.getpid()} {number}.xlsx"
    book = write_book(path, sheets).read_bytes()
    path.unlink()
    text = text_of(list(sheets.values())[-1], *TEXTS["csv semicolon"])
    invoice = [line for line in lines if line["invoice"] == lines[0]["invoice"]]
    return Base(sheets, book, text, SYNTAXES[("ubl", "cii")[number % 2]](invoice).encode())


def spoiled(way: str, sound: Base, rng: random.Random, path: Path) -> Path:
    """The file, hurt in that way."""
    name = rng.choice(sorted(sound.sheets))
    if way == "cells":
        return write_book(
            path.with_suffix(".xlsx"), {**sound.sheets, name: damaged_cells(sound.sheets[name], rng)}
        )
    hurt = {
        "cells of text": lambda: text_of(
            damaged_cells(list(sound.sheets.values())[-1], rng), *TEXTS["csv marked"]
        ),
        "part": lambda: damaged_part(sound.book, rng),
        "packing": lambda: damaged_bytes(sound.book, rng),
        "text": lambda: damaged_bytes(sound.text, rng),
        "digit": lambda: damaged_digit(sound.text, rng),
        "xml": lambda: damaged_bytes(sound.xml, rng),
        "xml digit": lambda: damaged_digit(sound.xml, rng),
    }
    path = path.with_suffix(
        {"part": ".xlsx", "packing": ".xlsx"}.get(way, ".xml" if "xml" in way else ".csv")
    )
    path.write_bytes(hurt[way]())
    return path


@dataclass(frozen=True)
class Outcome:
    """What both readings of one file brought, in how many seconds at most."""

    tables: FileContent
    papers: FileContent | None
    seconds: float

    @property
    def problems(self) -> list[Problem]:
        """What both readings say is wrong within the file."""
        return [*self.tables.problems, *(self.papers.problems if self.papers else [])]


def read_twice(paths: list[Path], known: Known) -> Iterator[Outcome]:
    """Each file read for tables, and its other sheets as invoices, in one reading process that is watched."""
    first = [Job(str(path), path.name, Context(known.context.key)) for path in paths if path.suffix != ".xml"]
    with Courier(SECONDS) as courier:
        tables = dict(zip([job.name for job in first], timed(courier, first), strict=True))
        second = [
            Job(str(path), path.name, known.context, tuple(found.open_sheets))
            for path in paths
            for found, _ in [tables.get(path.name, (FileContent(), 0.0))]
            if found.open_sheets or path.suffix == ".xml"
        ]
        read = dict(zip([job.name for job in second], timed(courier, second), strict=True))
        assert most_memory() < MOST_MEMORY_KIB
    for path in paths:
        one, took = tables.get(path.name, (FileContent(), 0.0))
        two, more = read.get(path.name, (None, 0.0))
        yield Outcome(one, two, max(took, more))


def timed(courier: Courier, jobs: list[Job]) -> Iterator[tuple[FileContent, float]]:
    """Every answer, and how long it was waited for."""
    start = time.perf_counter()
    for answer in courier.read_all(jobs):
        yield answer, time.perf_counter() - start
        start = time.perf_counter()


def most_memory() -> int:
    """The most memory (KiB) that a reading process of this one ever took; 0 where the system does not say."""
    tasks = Path("/proc/self/task")
    children = [
        pid
        for task in (tasks.iterdir() if tasks.exists() else ())
        for pid in (task / "children").read_text().split()
    ]
    peaks = [0]
    for pid in children:
        if b"feesheet.reading.worker" in Path(f"/proc/{pid}/cmdline").read_bytes():
            status = Path(f"/proc/{pid}/status").read_text().splitlines()
            peaks += [int(line.split()[1]) for line in status if line.startswith("VmHWM")]
    return max(peaks)


def money(content: FileContent | None) -> float:
    """The charges of all lines of a file, as its papers write them."""
    total = 0.0
    for piece in content.pieces if content else ():
        kinds = piece.data["kind"]
        names = [kinds.distinct[code] for code in kinds.codes]
        for kind, amount in zip(names, piece.data["amount"], strict=True):
            if reference.line_kinds()[plain(kind)][1] != "control" and kind != "note":
                total += amount
    return round(total, 2)


def told(path: Path, outcome: Outcome, known: Known, monkeypatch: pytest.MonkeyPatch) -> list[Problem]:
    """All that a person hears of the folder with that file in it."""
    together = reading._together(outcome.tables, outcome.papers or FileContent())
    content = FolderContent((("all.xlsx", "", known.content), (path.name, "", together)))
    monkeypatch.setattr(reading, "_content", lambda *_: content)
    practice, problems = reading.read_folder(path.parent)
    parts, more = costed.understand(practice)
    totals = invoice_totals(practice, parts)
    return [*problems, *more, *held_against_papers(practice, totals), *counted(totals)]


def held_against_papers(practice: Practice, totals: pd.DataFrame) -> list[Problem]:
    """One problem if each invoice with lines has a total of its own on paper, which the workbook holds against them."""
    named = {(str(lab), str(name)) for lab, name in zip(totals["lab"], totals["invoice"], strict=True)}
    said = totals[totals["total"].notna()]
    shown = {(str(lab), str(name)) for lab, name in zip(said["lab"], said["invoice"], strict=True)}
    return [Problem("assumed", f"Held against {len(shown)}.", "")] if named and named <= shown else []


def counted(totals: pd.DataFrame) -> list[Problem]:
    """One problem more for each further invoice that the workbook's checks count: without a total on paper, or off it."""
    off = ((totals["total"] - totals["lines"]).abs() > 0.005) & ~totals["net"]
    counts = {"Without a total on paper": totals["total"].isna().sum(), "Differ from their paper": off.sum()}
    return [
        Problem("assumed", f"{what}: {number + 1}.", "")
        for what, count in counts.items()
        for number in range(count)
    ]


def wrongly_stopped(path: Path, outcome: Outcome) -> list[Problem]:
    """Problems that only a fault of the program brings: nothing here is large, and changed cells are sound files."""
    sound = WAYS[int(path.stem.split()[-1]) % len(WAYS)] in STILL_FILES if "case" in path.stem else True
    faults = ("reader stopped", "reader failed", "plug-in failed", "not a workbook")[: 4 if sound else 3]
    return [problem for problem in outcome.problems if problem.kind in faults]


def words(problems: list[Problem]) -> set[tuple[str, str, str]]:
    """What tells one problem from another, wherever its file is."""
    return {(problem.kind, problem.what, problem.cell) for problem in problems}


@pytest.mark.parametrize("batch", range(BATCHES))
def test_no_spoiled_invoice_crashes_hangs_or_changes_a_sum_in_silence(
    batch: int, known: Known, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each batch spoils one sound file in every way, with seeds of its own; the reading process outlives all."""
    sound = base(batch)
    paths = [
        write_book(tmp_path / "sound.xlsx", sound.sheets),
        tmp_path / "sound.csv",
        tmp_path / "sound.xml",
    ]
    paths[1].write_bytes(sound.text)
    paths[2].write_bytes(sound.xml)
    paths += [
        spoiled(
            WAYS[case % len(WAYS)], sound, random.Random(batch * 100_000 + case), tmp_path / f"case {case}"
        )
        for case in range(CASES)
    ]
    outcomes = dict(zip(paths, read_twice(paths, known), strict=True))
    assert all(money(outcomes[path].papers) for path in paths[:3])
    silent = []
    for path, outcome in outcomes.items():
        assert outcome.seconds < SECONDS
        assert not wrongly_stopped(path, outcome), path.name
        twin = outcomes[tmp_path / f"sound{path.suffix}"]
        if money(outcome.papers) == money(twin.papers) or words(outcome.problems) - words(twin.problems):
            continue
        before = words(told(path, twin, known, monkeypatch))
        after = told(path, outcome, known, monkeypatch)
        if not words(after) - before and not any(problem.what.startswith("Held") for problem in after):
            silent.append((path.name, money(twin.papers), money(outcome.papers)))
    assert not silent
