"""Who a crown is for never leaves an invoice, whatever its form: no identifier stands in a byte that any command makes.

The classes of identifiers are those of 45 CFR 164.514(b)(2)(i), (A) to (R).
"""

from __future__ import annotations

import io
import os
import shutil
import subprocess
import sys
import zipfile
from collections.abc import Iterator
from pathlib import Path

import planted
import pytest

from feesheet.paths import EXAMPLE
from feesheet.reading.folder import read_folder

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def practice(tmp_path: Path) -> Path:
    """The example practice, for planted files to be put beside its own."""
    folder = tmp_path / "practice"
    shutil.copytree(
        EXAMPLE, folder, ignore=shutil.ignore_patterns("Fee schedules", "lab A 2026*", "lab B 2026*")
    )
    return folder


def run(tmp_path: Path, *arguments: str) -> bytes:
    """What a command prints, home and temporary folders of its own given to it."""
    homes = {
        name: str(tmp_path / "made" / name) for name in ("HOME", "TMPDIR", "XDG_CACHE_HOME", "XDG_STATE_HOME")
    }
    for home in homes.values():
        Path(home).mkdir(parents=True, exist_ok=True)
    command = [sys.executable, "-m", "feesheet", *arguments]
    env = {**os.environ, **homes, "PYTHONPATH": str(ROOT)}
    done = subprocess.run(
        command, cwd=tmp_path / "made", env=env, capture_output=True, timeout=120, check=False
    )
    assert done.returncode in (0, 1), done.stderr.decode()
    assert b"Traceback" not in done.stderr, done.stderr.decode()
    return done.stdout + b"\n" + done.stderr


def every_byte(data: bytes) -> Iterator[bytes]:
    """The bytes, or those of every part within, however deep it is packed; packed bytes spell anything by chance."""
    if not data.startswith(b"PK\x03\x04"):
        yield data
        return
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        yield archive.comment
        for entry in archive.infolist():
            yield entry.filename.encode() + b" " + entry.comment + b" " + entry.extra
            yield from every_byte(archive.read(entry))


def made_files(tmp_path: Path, given: set[Path]) -> Iterator[bytes]:
    """Every file that was not there before, with its name."""
    for path in tmp_path.rglob("*"):
        if path.is_file() and path not in given:
            yield path.name.encode()
            yield from every_byte(path.read_bytes())


def leaks(pieces: list[bytes]) -> set[str]:
    """The identifiers that stand in any of the pieces, in any case, as UTF-8 or UTF-16."""
    plain = b"\n".join(pieces)
    folded = plain.decode("utf-8", errors="replace").casefold()
    wide = [plain[at:].decode("utf-16-le", errors="replace").casefold() for at in (0, 1)]
    return {word for word in planted.ALL if any(word.casefold() in text for text in (folded, *wide))}


def plant(folder: Path) -> None:
    """A sound invoice in each format, identifiers in all that the lab may write freely."""
    planted.write_book(folder / "lab A planted.xlsx", planted.rows("B-1"))
    planted.write_text(folder / "lab A planted.csv", planted.rows("C-1"))
    planted.write_text(folder / "lab A wide.csv", planted.rows("C-2"), "\t", "utf-16")
    planted.write_text(folder / "plain lines.csv", planted.plain_table())
    (folder / "lab A ubl.xml").write_text(planted.ubl(), encoding="utf-8")
    (folder / "lab A cii.xml").write_text(planted.cii(), encoding="utf-8")
    named = " Zwetschgenbaum QUILLFEATHER J"
    planted.write_text(folder / "lab A named.csv", planted.rows("C-3", named))
    lines = [[f"P-3{named}" if cell == "P-1" else cell for cell in row] for row in planted.plain_table()]
    planted.write_text(folder / "named lines.csv", lines)
    (folder / "lab A named.xml").write_text(planted.ubl().replace(">U-1<", f">U-3{named}<"), encoding="utf-8")


def test_the_planted_invoices_are_really_read(practice: Path) -> None:
    """Each planted file brings its lines, so that what follows is no empty test."""
    plant(practice)
    read, _ = read_folder(practice)
    assert {"C-3 …", "P-3 …", "U-3 …"} <= set(read.tables["invoice_lines"]["invoice"].astype(str))
    rows = {file.name: file.rows.get("invoice_lines", 0) for file in read.files}
    for name in (
        "lab A planted.xlsx",
        "lab A planted.csv",
        "lab A wide.csv",
        "plain lines.csv",
        "lab A ubl.xml",
        "lab A cii.xml",
        "lab A named.csv",
        "named lines.csv",
        "lab A named.xml",
    ):
        assert rows[name] >= len(planted.ALL), name


def test_no_command_shows_or_keeps_an_identifier(practice: Path, tmp_path: Path) -> None:
    """Every command is run on sound invoices in every format; its words, files, caches and leavings are searched."""
    plant(practice)
    given = {path for path in practice.rglob("*") if path.is_file()}
    out = tmp_path / "made" / "out"
    printed = [
        run(tmp_path, command, str(practice), *more)
        for command in ("check", "invoices", "map")
        for more in ((), ("--json",))
    ]
    printed += [run(tmp_path, "update", str(practice), "--out", str(out)), run(tmp_path)]
    (book,) = out.glob("*.xlsx")
    printed.append(run(tmp_path, "audit", str(book)))
    for code in ("CR-ZIR-M", "CR-CHN-M"):
        printed += [
            run(tmp_path, "explain", str(book), code),
            run(tmp_path, "explain", str(book), code, "--json"),
        ]
    assert leaks([*printed, *made_files(tmp_path, given)]) == set()


@pytest.mark.parametrize("form", ["xlsx", "csv", "plain"])
def test_no_complaint_quotes_an_identifier(practice: Path, tmp_path: Path, form: str) -> None:
    """An identifier in place of a number, day, tooth, unit or currency is complained of, and not repeated."""
    if form == "xlsx":
        planted.write_book(practice / "lab A wrong.xlsx", planted.every_cell("W-1"))
    elif form == "csv":
        planted.write_text(practice / "lab A wrong.csv", planted.every_cell("W-2"))
    else:
        planted.write_text(practice / "wrong.csv", planted.plain_in_every_cell())
    given = {path for path in practice.rglob("*") if path.is_file()}
    printed = [
        run(tmp_path, command, str(practice), "--json") for command in ("check", "invoices", "map", "update")
    ]
    printed += [run(tmp_path, command, str(practice)) for command in ("check", "invoices", "map", "update")]
    assert leaks([*printed, *made_files(tmp_path, given)]) == set()


def test_the_search_finds_what_is_there(tmp_path: Path) -> None:
    """An identifier is found in words, in a workbook within a workbook, in capitals, and in wide letters."""
    inner = io.BytesIO()
    with zipfile.ZipFile(inner, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("a.xml", "… ZWETSCHGENBAUM …")
    with zipfile.ZipFile(tmp_path / "x.xlsx", "w") as archive:
        archive.writestr("inner.xlsx", inner.getvalue())
    assert leaks(list(made_files(tmp_path, set()))) == {"Zwetschgenbaum"}
    assert leaks([b"x" + "quillfeather j".encode("utf-16-le")]) == {"QUILLFEATHER J"}
    assert leaks([b"nobody"]) == set()
