"""Who a crown is for never leaves an invoice: planted names and numbers stand in no byte of any output."""

from __future__ import annotations

import csv
import shutil
import zipfile
from pathlib import Path

from feesheet.paths import EXAMPLE
from feesheet.problems import as_text
from feesheet.uses.annual_update import update

HEADINGS = (
    "Date",
    "Patient",
    "Chart no",
    "Born",
    "Case",
    "Invoice",
    "Lab",
    "Site",
    "Teeth",
    "Product",
    "Line kind",
    "Units",
    "Amount",
)
PLANTED = ("Zwetschgenbaum", "Quillfeather", "CH-778812", "1961-05-17", "CASE-90417-X")
"""Two names, a chart number, a birth date and a case number that nothing else can hold by chance."""


def invoice_lines() -> list[list[str]]:
    """Lines that name people in columns of their own and inside known and unknown wordings."""
    who = ["Zwetschgenbaum", "CH-778812", "1961-05-17", "CASE-90417-X"]
    rest = ["P-1", "lab A", "North", "3"]
    return [
        ["2026-03-04", *who, *rest, "Quillfeather, Full cast crown, yellow", "unit fee", "1", "185.00"],
        ["2026-03-04", *who, *rest, "Full cast crown, yellow", "unit fee", "1", "185.00"],
        ["2026-03-04", *who, *rest, "Custom stain for Zwetschgenbaum CH-778812", "extra", "", "18.00"],
    ]


def every_byte(folder: Path) -> bytes:
    """All that an update wrote, workbooks unzipped."""
    parts = []
    for path in sorted(folder.rglob("*")):
        if path.suffix == ".xlsx":
            with zipfile.ZipFile(path) as archive:
                parts += [archive.read(name) for name in archive.namelist()]
        elif path.is_file():
            parts.append(path.read_bytes())
    return b"\n".join(parts)


def test_no_identifier_is_in_any_output(tmp_path: Path) -> None:
    """Planted identifiers are in neither the workbook, the list nor the messages, and the lines still count."""
    folder = tmp_path / "practice"
    shutil.copytree(EXAMPLE, folder, ignore=shutil.ignore_patterns("Fee schedules"))
    with (folder / "planted.csv").open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows([HEADINGS, *invoice_lines()])
    outcome = update(folder, tmp_path / "out")
    written = every_byte(tmp_path / "out") + as_text(outcome.problems).encode()

    assert outcome.workbook is not None
    assert b"planted.csv" in written
    for word in PLANTED:
        assert word.encode() not in written, word
