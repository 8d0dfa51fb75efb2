"""Small papers for the numbered hard cases: a letterhead, the lines that a case is about, and a total if it has one."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

from drawn_sheets import Drawing, write
from read_back import ReadBack, read_beside

from feesheet.problems import Problem
from feesheet.uses.annual_update import price

A, B, C = "A Lab of Ceramics", "B Crown and Bridge Works", "C Lab of the North"
"""What the three labs' papers call themselves: the ISO one, the universal one, the one in another currency."""

HEADING = "Case | Tooth | Description | Qty | Unit price | Amount"
FIRST = 6
"""The row of a paper's first line."""

FILE = "paper.csv"


def paper(
    *lines: str,
    lab: str = B,
    number: str = "B-1",
    day: str = "2026-03-04",
    account: str = "20417",
    heading: str = HEADING,
    called: str = "Invoice",
) -> str:
    """An invoice: the lab, number, day and account in rows 1 to 4, headings in row 5, then the lines."""
    head = [lab, f"{called} no | {number}", f"{called} date | {day}", f"Account | {account}", heading]
    return "\n".join([*head, *lines])


def read_papers(
    folder: Path, papers: dict[str, str | Drawing], changed: Any = None, settings: Any = None
) -> ReadBack:
    """The papers as files beside the golden practice's tables, read."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, drawn in papers.items():
        write(folder / name, Drawing(drawn) if isinstance(drawn, str) else drawn)
    return read_beside(folder, changed, settings)


def read_lines(folder: Path, *lines: str, changed: Any = None, settings: Any = None, **said: str) -> ReadBack:
    """One invoice of those lines, `paper.csv`, read; `said` is what its head says."""
    return read_papers(folder, {FILE: paper(*lines, **said)}, changed, settings)


def semicolons(text: str) -> Drawing:
    """A paper from a country of decimal commas."""
    return replace(Drawing(text), mark=";", codec="cp1252")


def said(read: ReadBack, *kinds: str, file: str = FILE) -> list[Problem]:
    """What reading and pricing together say about a file, of some kinds if they are named."""
    _, more = price(read.practice)
    return [one for one in [*read.found, *more] if one.file == file and (not kinds or one.kind in kinds)]


def told(read: ReadBack, *words: str, file: str = FILE) -> list[str]:
    """What is said about a file in all of these words."""
    texts = [f"{problem.kind}: {problem}" for problem in said(read, file=file)]
    return [text for text in texts if all(word.lower() in text.lower() for word in words)]
