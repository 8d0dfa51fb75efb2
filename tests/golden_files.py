"""The golden invoices: what labs send, and beside each what a person reads in it.

`python tests/golden_files.py` writes the files anew, `--accept NAME` makes what the program reads the
expectation of one of them and shows what changes, `--old` writes the .xls and .ods files with LibreOffice.
"""

from __future__ import annotations

import argparse
import csv
import difflib
import json
import shutil
import subprocess
import sys
import tempfile
import zipfile
from pathlib import Path
from typing import Any

from drawn_sheets import Drawing, write
from golden_e_invoices import E_INVOICES
from golden_practice import write_tables
from golden_text_files import CSV
from golden_workbooks import OLD_AND_OPEN, WORKBOOKS
from read_back import COLUMNS, ReadBack, read_back

GOLDEN = Path(__file__).resolve().parent / "golden"

DRAWN: dict[str, Drawing] = {
    **{f"{name}.csv": drawing for name, drawing in CSV.items()},
    **{f"{name}.xlsx": drawing for name, drawing in WORKBOOKS.items()},
    **{f"{name}.xml": drawing for name, drawing in E_INVOICES.items()},
}
"""Files that are written anew for each run."""

NAMES = sorted([*DRAWN, *OLD_AND_OPEN])


def folder_of_all(folder: Path) -> Path:
    """A practice folder with every golden invoice in it."""
    folder.mkdir(parents=True, exist_ok=True)
    write_tables(folder)
    for name, drawing in DRAWN.items():
        write(folder / name, drawing)
    for name in OLD_AND_OPEN:
        shutil.copy(GOLDEN / name, folder / name)
    return folder


def expected_lines(name: str) -> list[dict[str, str]]:
    """The lines that a person reads in a file."""
    with (GOLDEN / f"{name}.expected.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def expected_facts(name: str) -> dict[str, Any]:
    """The documents, the listed invoices and the problems to be told of a file."""
    facts: dict[str, Any] = json.loads((GOLDEN / f"{name}.expected.json").read_text(encoding="utf-8"))
    return facts


def lines_text(lines: list[dict[str, str]]) -> str:
    """Lines as an expectation holds them."""
    return (
        "\n".join([",".join(COLUMNS), *(",".join(line[column] for column in COLUMNS) for line in lines)])
        + "\n"
    )


def facts_text(facts: dict[str, Any]) -> str:
    """Facts as an expectation holds them."""
    return json.dumps(facts, indent=2) + "\n"


def accept(name: str, read: ReadBack) -> str:
    """Make what was read the expectation of that file; the change as a diff."""
    facts = {**expected_facts(name), "documents": read.documents(name), "entries": read.entries(name)}
    new = {"csv": lines_text(read.lines(name)), "json": facts_text(facts)}
    shown = []
    for kind, text in new.items():
        path = GOLDEN / f"{name}.expected.{kind}"
        old = path.read_text(encoding="utf-8")
        shown += difflib.unified_diff(
            old.splitlines(), text.splitlines(), str(path.name), "as read", lineterm=""
        )
        path.write_text(text, encoding="utf-8")
    return "\n".join(shown)


def convert_old() -> None:
    """The .xls and .ods files, with LibreOffice, from workbooks of the same drawing."""
    with tempfile.TemporaryDirectory() as made:
        for name, drawing in OLD_AND_OPEN.items():
            stem, kind = name.split(".")
            write(Path(made) / f"{stem}.xlsx", drawing)
            command = ["soffice", "--headless", "--convert-to", kind, "--outdir", str(GOLDEN)]
            subprocess.run([*command, f"{made}/{stem}.xlsx"], check=True, capture_output=True)


def main() -> None:
    """The script's three uses."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--accept", metavar="NAME")
    parser.add_argument("--old", action="store_true")
    asked = parser.parse_args()
    if asked.accept:
        with tempfile.TemporaryDirectory() as made:
            print(accept(asked.accept, read_back(folder_of_all(Path(made)))))
        return
    if asked.old:
        convert_old()
    for name, drawing in DRAWN.items():
        _rewrite(GOLDEN / name, drawing)


def _rewrite(path: Path, drawing: Drawing) -> None:
    """Write a file; a workbook of which only the hour of its making would change stays."""
    before = _parts(path)
    kept = path.read_bytes() if before else b""
    write(path, drawing)
    if before and before == _parts(path):
        path.write_bytes(kept)


def _parts(path: Path) -> dict[str, bytes]:
    """A workbook's parts without its properties; nothing for other files."""
    if path.suffix != ".xlsx" or not path.exists():
        return {}
    with zipfile.ZipFile(path) as book:
        return {name: book.read(name) for name in book.namelist() if not name.startswith("docProps")}


if __name__ == "__main__":
    sys.exit(main())
