"""What is looked at before any reader opens a file: whether it is what its name says, and safe to unpack.

Nothing here trusts a size that the file itself declares: every part is inflated with a cut-off.
"""

from __future__ import annotations

import io
import re
import zipfile
import zlib
from dataclasses import dataclass
from pathlib import Path

from feesheet.problems import Problem

EXTENSIONS = (".xlsx", ".xlsm", ".xls", ".ods", ".csv", ".xml")
"""The files that are read. Every other file of the folder is left alone."""

MOST_ENTRIES = 10_000
MOST_BYTES = 512 * 2**20
MOST_RATIO = 150
DEFLATE_RATIO = 1032
"""Deflate can't make more of a byte (zlib, technical details): a part that says so is damaged."""
RATIO_FROM = 16 * 2**20
MOST_CELLS = 10_000_000
"""The largest grid of cells, empty ones counted, that a sheet may span."""

_ZIP, _OLE, _PDF = b"PK\x03\x04", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", b"%PDF"
_DTD = (b"<!DOCTYPE", b"<!ENTITY", b"D\0O\0C\0T\0Y\0P\0E", b"E\0N\0T\0I\0T\0Y")
"""Declarations that no spreadsheet program writes, in one-byte and in two-byte letters."""

_WIDE = re.compile(rb" r=\"([A-Z]{2,})(\d+)\"")
_ROW = re.compile(rb"[\s]r=\"(\d+)\"")
_TOO_LARGE = "Copy the figures into a new workbook and put that one in the folder."


@dataclass(eq=False)
class Refusal(Exception):
    """Why a file is not opened: kind, what and do of a `Problem`, `sheet` and `cell` where known."""

    kind: str
    what: str
    do: str
    sheet: str = ""
    cell: str = ""

    def problem(self, file: str) -> Problem:
        """The same, with the file it is about."""
        return Problem(self.kind, self.what, self.do, file, self.sheet, self.cell)


def check(path: Path) -> zipfile.ZipFile | None:
    """The opened archive of an xlsx, xlsm or ods file that may be read, None for xls and csv.

    Raises `Refusal` for a file that must not be given to a reader, and `OSError` as the system does.
    """
    kind = path.suffix.lower()
    with path.open("rb") as file:
        head = file.read(4096)
    if kind == ".csv":
        _check_text(head)
        return None
    if not head:
        raise Refusal("not a workbook", "The file is empty.", "Save it again from the program that made it.")
    if kind == ".xls":
        _check_old(head)
        return None
    if head.startswith(_OLE):
        raise _locked_or_old(path, kind)
    if not head.startswith(_ZIP):
        raise _wrong_kind(head, kind)
    return _checked_archive(path)


def _check_text(head: bytes) -> None:
    """Refuse a csv file that holds no text."""
    if head.startswith((_ZIP, _OLE, _PDF)):
        raise _wrong_kind(head, ".csv")
    if b"\0" in head and not head.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise Refusal(
            "not a workbook",
            "The file holds bytes that are not text.",
            'Save it again as "CSV UTF-8" from your spreadsheet program.',
        )


def _check_old(head: bytes) -> None:
    if not head.startswith((_OLE, b"\x09\x08", b"\x09\x04", b"\x09\x02")):
        raise _wrong_kind(head, ".xls")


def _wrong_kind(head: bytes, kind: str) -> Refusal:
    found = "a PDF" if head.startswith(_PDF) else "a zip-based workbook" if head.startswith(_ZIP) else ""
    found = found or ("an old-style workbook or a locked one" if head.startswith(_OLE) else "something else")
    return Refusal(
        "not a workbook",
        f"The name ends in {kind} but the file is {found}.",
        "Open it in your spreadsheet program and save it as .xlsx.",
    )


def _locked_or_old(path: Path, kind: str) -> Refusal:
    if "EncryptedPackage".encode("utf-16-le") in path.read_bytes():
        return encrypted()
    return _wrong_kind(_OLE, kind)


def encrypted() -> Refusal:
    """The refusal of a file that a password protects."""
    return Refusal(
        "encrypted",
        "The workbook opens only with a password.",
        "Save a copy without a password in the folder.",
    )


def _checked_archive(path: Path) -> zipfile.ZipFile:
    try:
        archive = zipfile.ZipFile(path)
    except (zipfile.BadZipFile, ValueError, NotImplementedError, UnicodeDecodeError, EOFError) as fault:
        raise Refusal(
            "not a workbook", "The workbook is cut short or damaged.", "Copy it again, or save it again."
        ) from fault
    try:
        _check_entries(archive)
    except BaseException:
        archive.close()
        raise
    return archive


def _check_entries(archive: zipfile.ZipFile) -> None:
    entries = archive.infolist()
    if len(entries) > MOST_ENTRIES:
        raise Refusal("too large", f"The workbook is made of {len(entries):,} parts.", _TOO_LARGE)
    total = sum(entry.file_size for entry in entries)
    if total > MOST_BYTES:
        raise Refusal("too large", f"The workbook unpacks to {total / 2**20:,.0f} MB.", _TOO_LARGE)
    length = archive.fp.seek(0, io.SEEK_END) if archive.fp else 0
    for entry in entries:
        if entry.flag_bits & 1:
            raise encrypted()
        if entry.header_offset < 0 or entry.header_offset + entry.compress_size > length:
            raise _of_another_size("not a workbook")
        if entry.file_size > DEFLATE_RATIO * (entry.compress_size + 1):
            raise _of_another_size("not a workbook")
        if entry.file_size > RATIO_FROM and entry.file_size > MOST_RATIO * max(entry.compress_size, 1):
            raise Refusal(
                "too large", "A part of the workbook unpacks to more than 150 times its size.", _TOO_LARGE
            )


def part(archive: zipfile.ZipFile, name: str) -> bytes:
    """One part of the archive, inflated; refused where it is longer than it says or declares entities."""
    entry = archive.getinfo(name)
    data = _inflated(archive, entry)
    if len(data) != entry.file_size:
        raise _of_another_size("too large" if len(data) > entry.file_size else "not a workbook")
    if any(word in data for word in _DTD):
        raise Refusal(
            "not a workbook",
            "The workbook declares entities, which no spreadsheet program writes.",
            _TOO_LARGE,
        )
    return data


def _of_another_size(kind: str) -> Refusal:
    what = "A part of the workbook is not of the size it says."
    return Refusal(kind, what, "Save it again from your spreadsheet program.")


def _inflated(archive: zipfile.ZipFile, entry: zipfile.ZipInfo) -> bytes:
    """The bytes of one part, at most one more than it declares."""
    file = archive.fp
    if file is None:
        return b""
    file.seek(entry.header_offset)
    head = file.read(30)
    file.seek(int.from_bytes(head[26:28], "little") + int.from_bytes(head[28:30], "little"), 1)
    packed = file.read(entry.compress_size)
    if entry.compress_type == zipfile.ZIP_STORED:
        return packed
    if entry.compress_type != zipfile.ZIP_DEFLATED:
        raise Refusal(
            "not a workbook", "The workbook is packed in an unusual way.", "Save it again as .xlsx."
        )
    try:
        return zlib.decompressobj(-15).decompress(packed, entry.file_size + 1)
    except zlib.error as fault:
        raise Refusal(
            "not a workbook", "The workbook is cut short or damaged.", "Copy it again, or save it again."
        ) from fault


def check_reach(sheet: str, xml: bytes) -> None:
    """Refuse a sheet whose cells lie so far out that its grid would fill the memory, however few they are.

    This is the cheap look that lets a person be told which cell it is; a file made to slip past it meets the
    memory limit of the reading process.
    """
    columns, rows, cell = 26, _last_row(xml), ""
    for letters, row in {(match[1].decode(), match[2].decode()) for match in _WIDE.finditer(xml)}:
        if len(letters) > 3 or column_number(letters) > 16384 or len(row) > 7:
            raise _outside(sheet, f"{letters[:8]}{row[:12]}")
        if column_number(letters) > columns:
            columns, cell = column_number(letters), f"{letters}{row}"
        rows = max(rows, int(row))
    if rows > 1048576:
        raise _outside(sheet, f"row {rows}")
    if columns == 26 and columns * rows > MOST_CELLS:
        columns = _last_letter(xml)
    if columns * rows > MOST_CELLS:
        raise Refusal(
            "too large",
            f"The sheet reaches to row {rows:,} and column {column_letters(columns)}.",
            "Delete everything to the right of the table and below it, and save; or split a longer table.",
            sheet,
            cell or f"row {rows}",
        )


def _last_row(xml: bytes) -> int:
    """The number that the last row gives itself, 0 where it gives none."""
    at = xml.rfind(b"<row ")
    match = _ROW.search(xml, at, at + 200) if at >= 0 else None
    return int(match[1][:12]) if match else 0


def _last_letter(xml: bytes) -> int:
    """The last of the columns A to Z in which a cell says it stands; 26 where none says so."""
    return next(
        (number for number in range(26, 0, -1) if f' r="{column_letters(number)}'.encode() in xml), 26
    )


def _outside(sheet: str, cell: str) -> Refusal:
    return Refusal("not a workbook", "A cell's address lies outside any sheet.", _TOO_LARGE, sheet, cell)


def column_number(letters: str) -> int:
    """1 for A, 27 for AA."""
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - 64
    return number


def column_letters(number: int) -> str:
    """A for 1, AA for 27."""
    letters = ""
    while number:
        number, rest = divmod(number - 1, 26)
        letters = chr(65 + rest) + letters
    return letters
