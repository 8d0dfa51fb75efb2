"""Rule 36: printed, no figure is cut to ### and no cell says an error."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pytest
from recalculated.engines import converted
from written_books import EXAMPLE, random_schedule, schedule_of, written

FAULTS = re.compile(r"###|#(?:REF|NAME|VALUE|DIV/0|N/A|NUM|NULL)|Err:\d+")


def printed(book: Path) -> str:
    """The words on the pages that LibreOffice prints."""
    pdf = converted([book], book.parent / "print", "pdf")[0]
    return subprocess.run(
        ["pdftotext", "-layout", str(pdf), "-"], capture_output=True, text=True, check=True, timeout=60
    ).stdout


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="pdftotext is not installed")
@pytest.mark.parametrize("seed", [None, 10, 16])
def test_nothing_is_cut_off(seed: int | None, tmp_path: Path, libreoffice: None) -> None:
    """Every figure fits its column, in the example and in random practices of other currencies."""
    schedule = schedule_of(EXAMPLE) if seed is None else random_schedule(seed, tmp_path / "practice")
    words = printed(written(schedule, tmp_path / "book.xlsx"))
    assert "Fee schedule" in words
    assert [line.strip()[:200] for line in words.splitlines() if FAULTS.search(line)] == []
