"""Files that are broken, locked or made to do harm: one plain problem each, the others read all the same."""

from __future__ import annotations

import zipfile
from pathlib import Path

import pytest
import xlsxwriter
from reading_inputs import edited, grid, places, problems_of, write_grids, write_practice

from feesheet.reading import courier, worker
from feesheet.reading.folder import read_folder
from feesheet.reading.messages import Job

SHEET = "xl/worksheets/sheet1.xml"
LINES = grid("invoice_lines", [])


@pytest.fixture
def practice(tmp_path: Path) -> Path:
    """A folder with a sound practice, to put a bad file beside."""
    return write_practice(tmp_path)


def bad_file(practice: Path, name: str, data: bytes) -> list[tuple[str, str, str, str]]:
    """Places of the problems after a file of those bytes is put in."""
    (practice / name).write_bytes(data)
    return places(problems_of(practice))


def lines_book(practice: Path, name: str = "bad.xlsx") -> Path:
    """A workbook with one sheet of invoice lines, to break."""
    rows = [["2026-03-04", "A-9", "lab A", "North", "16", "FCZ crown", "unit fee", 1, 142]]
    write_grids(practice / name, {"Invoice lines": [*LINES, *rows]})
    return practice / name


def test_the_sound_practice_has_no_problem(practice: Path) -> None:
    """The small practice reads without a word."""
    assert problems_of(practice) == []


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("bad.xlsx", b""),
        ("bad.xlsx", b"date,invoice\n"),
        ("bad.xlsx", b"%PDF-1.7 ..."),
        ("bad.xlsm", b"PK\x03\x04 cut short"),
        ("bad.ods", b"PK\x03\x04" + b"\0" * 400),
        ("bad.xls", b"PK\x03\x04"),
        ("bad.xls", b"<html></html>"),
        ("bad.xls", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600),
        ("bad.xlsx", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600),
        ("bad.csv", b"PK\x03\x04"),
        ("bad.csv", b"date,in\0voice\n1,2\n"),
    ],
)
def test_a_file_that_is_not_what_its_name_says_is_no_workbook(practice: Path, name: str, data: bytes) -> None:
    """Whatever the bytes are, there is one problem that names the file."""
    assert bad_file(practice, name, data) == [("not a workbook", name, "", "")]


def test_a_truncated_workbook_is_no_workbook(practice: Path) -> None:
    """A download that stopped half way is told as such."""
    path = lines_book(practice)
    assert bad_file(practice, "bad.xlsx", path.read_bytes()[:-200]) == [
        ("not a workbook", "bad.xlsx", "", "")
    ]


def test_a_damaged_part_is_no_workbook(practice: Path) -> None:
    """Bytes changed within the compressed sheet are noticed."""
    path = lines_book(practice)
    with zipfile.ZipFile(path) as book:
        at = book.getinfo(SHEET).header_offset + 60
    data = bytearray(path.read_bytes())
    data[at : at + 30] = b"\xff" * 30
    assert bad_file(practice, "bad.xlsx", bytes(data)) == [("not a workbook", "bad.xlsx", "", "")]


def test_a_password_is_told_as_such(practice: Path) -> None:
    """An encrypted workbook is a compound file with a part of that name."""
    data = (
        b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
        + b"\0" * 600
        + "EncryptedPackage".encode("utf-16-le")
        + b"\0" * 600
    )
    assert bad_file(practice, "bad.xlsx", data) == [("encrypted", "bad.xlsx", "", "")]


def test_an_encrypted_open_document_is_told_as_such(practice: Path) -> None:
    """Its manifest says so."""
    with zipfile.ZipFile(practice / "bad.ods", "w") as book:
        book.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        book.writestr("META-INF/manifest.xml", "<manifest><encryption-data/></manifest>")
        book.writestr("content.xml", "garbage")
    assert places(problems_of(practice)) == [("encrypted", "bad.ods", "", "")]


def test_a_zip_without_sheets_is_no_workbook(practice: Path) -> None:
    """A renamed archive of something else is refused."""
    with zipfile.ZipFile(practice / "bad.xlsx", "w") as book:
        book.writestr("readme.txt", "hello")
    assert places(problems_of(practice)) == [("not a workbook", "bad.xlsx", "", "")]


@pytest.mark.parametrize("part", [SHEET, "xl/sharedStrings.xml"])
def test_a_bomb_is_not_unpacked(practice: Path, part: str) -> None:
    """A part that grows more than 150 times is refused, in a sheet and in the shared words."""
    path = lines_book(practice)
    edited(path, part, lambda data: data[:200] + b" " * (40 * 2**20) + data[200:])
    assert places(problems_of(practice)) == [("too large", "bad.xlsx", "", "")]


def test_a_size_that_lies_is_noticed(practice: Path) -> None:
    """A part that unpacks to more than it declares is cut off."""
    path = lines_book(practice)
    with zipfile.ZipFile(path) as book:
        size = book.getinfo(SHEET).file_size
    data = path.read_bytes().replace(size.to_bytes(4, "little"), (size - 100).to_bytes(4, "little"))
    assert bad_file(practice, "bad.xlsx", data) == [("too large", "bad.xlsx", "", "")]


def test_a_part_longer_than_its_file_is_no_workbook(practice: Path) -> None:
    """A packed size beyond the end of the file is refused before that much memory is asked for."""
    path = lines_book(practice)
    with zipfile.ZipFile(path) as book:
        size = book.getinfo(SHEET).compress_size
    data = path.read_bytes().replace(size.to_bytes(4, "little"), (2**32 - 2).to_bytes(4, "little"))
    assert bad_file(practice, "bad.xlsx", data) == [("not a workbook", "bad.xlsx", "", "")]


def test_ten_thousand_parts_are_too_many(practice: Path) -> None:
    """An archive of countless parts is refused by its list alone."""
    path = lines_book(practice)
    with zipfile.ZipFile(path, "a") as book:
        for number in range(10001):
            book.writestr(f"x/{number}", b"")
    assert places(problems_of(practice)) == [("too large", "bad.xlsx", "", "")]


@pytest.mark.parametrize("part", [SHEET, "xl/workbook.xml", "xl/sharedStrings.xml"])
@pytest.mark.parametrize("codec", ["utf-8", "utf-16"])
def test_entities_are_refused(practice: Path, part: str, codec: str) -> None:
    """A document type declaration can read files or blow up memory; no spreadsheet program writes one."""
    path = lines_book(practice)
    doctype = '<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a SYSTEM "file:///etc/passwd">]><x>&a;</x>'
    edited(path, part, lambda data: doctype.encode(codec))
    assert places(problems_of(practice)) == [("not a workbook", "bad.xlsx", "", "")]


@pytest.mark.parametrize(
    ("cell", "kind", "place"),
    [
        (b"XFD1048576", "too large", "XFD1048576"),
        (b"ZZZZZZ99999999999", "not a workbook", "ZZZZZZ99999999999"),
        (b"XFE9", "not a workbook", "XFE9"),
    ],
)
def test_a_cell_at_the_end_of_the_world_is_named(practice: Path, cell: bytes, kind: str, place: str) -> None:
    """One stray cell far out would fill the memory with blanks."""
    path = lines_book(practice)
    edited(
        path,
        SHEET,
        lambda data: data.replace(b"</row></sheetData>", b'<c r="%s"><v>1</v></c></row></sheetData>' % cell),
    )
    assert places(problems_of(practice)) == [(kind, "bad.xlsx", "Invoice lines", place)]


def test_a_reader_that_breaks_down_takes_nothing_with_it(practice: Path) -> None:
    """A file that gets past the gate and fills the memory is one problem; the next is read."""
    path = lines_book(practice, "bad.xlsx")
    lines_book(practice, "later.xlsx")
    stray = b'<c\tr="XFD1048576"><v>1</v></c></row></sheetData>'
    edited(path, SHEET, lambda data: data.replace(b"</row></sheetData>", stray))
    frames, problems = read_folder(practice)
    assert places(problems) == [("reader stopped", "bad.xlsx", "", "")]
    assert frames.files[-1].rows == {"invoice_lines": 1}


def test_a_reader_that_hangs_is_stopped(practice: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """No file may take longer than its time; here no file reaches the reader, which waits without end."""
    monkeypatch.setattr(courier.Courier.__init__, "__defaults__", (0.05,))
    monkeypatch.setattr(courier, "send", lambda stream, job: None)
    problems = [problem for problem in problems_of(practice) if problem.file == "all.xlsx"]
    assert [(problem.kind, problem.what) for problem in problems] == [
        ("reader stopped", "Reading the file took too long.")
    ]


@pytest.mark.parametrize(
    "change",
    [
        lambda data: data.replace(b"<v>142</v>", b"<v>1\x0042</v>"),
        lambda data: data.replace(b"</worksheet>", b""),
        lambda data: data.replace(b'<c r="A1" t="s"><v>', b'<c r="A1" t="s"><v>9999'),
        lambda data: b"",
        lambda data: data[: len(data) // 2],
    ],
)
def test_damage_inside_a_sheet_never_escapes(practice: Path, change: object) -> None:
    """However the sheet's XML is hurt, reading ends with problems of that file and no exception."""
    path = lines_book(practice)
    edited(path, SHEET, change)  # type: ignore[arg-type]
    found = problems_of(practice)
    assert all(problem.file == "bad.xlsx" for problem in found)


def test_lock_files_hidden_files_and_results_are_no_inputs(practice: Path) -> None:
    """Files of other programs and the fee schedules themselves are passed over."""
    for name in (
        "~$all.xlsx",
        ".~lock.all.xlsx#",
        ".hidden.csv",
        "notes.txt",
        "Fee schedules/2027.xlsx",
        ".git/x.csv",
    ):
        (practice / name).parent.mkdir(exist_ok=True)
        (practice / name).write_bytes(b"anything")
    assert problems_of(practice) == []


def test_a_workbook_that_feesheet_wrote_is_no_input(practice: Path) -> None:
    """It is known by a word in its properties, wherever it lies and whatever it is called."""
    with xlsxwriter.Workbook(str(practice / "copy of fees.xlsx")) as book:
        book.set_properties({"keywords": "feesheet-schedule"})
        sheet = book.add_worksheet("Sites")
        sheet.write_row(0, 0, grid("sites", [])[0])
    assert problems_of(practice) == []


@pytest.mark.parametrize(
    ("fault", "kind"),
    [
        (PermissionError(), "in use"),
        (FileNotFoundError(), "in use"),
        (MemoryError(), "reader stopped"),
        (BaseException("a panic"), "not a workbook"),
    ],
)
def test_whatever_stops_the_reader_is_told(
    monkeypatch: pytest.MonkeyPatch, fault: BaseException, kind: str
) -> None:
    """A lock, a file that went away, too little memory and a panic each end in one problem."""

    def stop(path: Path) -> None:
        raise fault

    monkeypatch.setattr(worker, "read", stop)
    assert places(worker.read_one(Job("a.xlsx", "a.xlsx")).problems) == [(kind, "a.xlsx", "", "")]


def test_the_program_is_never_taken_from_the_folder(practice: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A module left in the working folder is not imported by the reading process."""
    (practice / "pickle.py").write_text("raise SystemExit")
    monkeypatch.chdir(practice)
    assert problems_of(practice) == []
