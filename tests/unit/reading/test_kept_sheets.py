"""Sheets kept between the two readings of a folder."""

from __future__ import annotations

from pathlib import Path

import pytest

from feesheet.reading import gate, kept_sheets
from feesheet.reading.gate import Refusal
from feesheet.reading.grids import Grid
from feesheet.reading.kept_sheets import KeptSheets


def test_only_sheets_that_are_read_again_are_kept_and_only_once() -> None:
    """What is taken is no longer there, so that its memory is free."""
    kept = KeptSheets()
    one, other = Grid("one", [["a", 1.0]]), Grid("other", [["b"]])
    kept.keep("file", [one, other], ["other"])

    assert kept.take("file") == [other]
    assert kept.take("file") is None


def test_no_more_is_kept_than_there_is_room_for(monkeypatch: pytest.MonkeyPatch) -> None:
    """What finds no room is read from its file again; taking makes room."""
    monkeypatch.setattr(kept_sheets, "MOST", 1000)
    kept = KeptSheets()
    large = Grid("sheet", [["x" * 600]])
    kept.keep("first", [large], ["sheet"])
    kept.keep("second", [large], ["sheet"])

    assert kept.take("second") is None
    assert kept.take("first") == [large]
    kept.keep("second", [large], ["sheet"])
    assert kept.take("second") == [large]


def test_a_large_file_is_read_with_nothing_else_in_memory(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """What was kept is forgotten before it is opened."""
    monkeypatch.setattr(kept_sheets, "LARGE", 2)
    path = tmp_path / "large.csv"
    path.write_bytes(b"abc")
    kept = KeptSheets()
    kept.keep("file", [Grid("sheet", [["a"]])], ["sheet"])
    kept.make_room(str(path))

    assert kept.take("file") is None


def test_a_long_sheet_of_few_columns_is_no_large_grid() -> None:
    """Half a million rows of three columns are read; where one cell stands far out they are not."""
    row = b'<row r="500000"><c r="A500000"/><c r="%s500000"/></row>'
    gate.check_reach("sheet", row % b"C")
    with pytest.raises(Refusal):
        gate.check_reach("sheet", row % b"Z")
