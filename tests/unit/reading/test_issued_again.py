"""An invoice under a number with a suffix: the same lines count once, other lines are asked about."""

from __future__ import annotations

from pathlib import Path

from golden_practice import write_tables

from feesheet.reading.folder import read_folder

PAPER = "lab A\nInvoice no:,{number}\nCustomer:,North\nDate:,2026-03-04\nTooth,Description,Qty,Unit price,Amount\n16,FCZ crown,1,{price},{price}\n"


def test_other_lines_are_told(tmp_path: Path) -> None:
    """Both are counted, and the second is named with its money."""
    read = _read(tmp_path, "175.00")
    assert read[0] == [175.0, 185.0]
    assert "issued again with other lines, worth 175.00: both are counted" in read[1]


def test_the_same_lines_take_the_first_number(tmp_path: Path) -> None:
    """Costing then counts them once, as it does a copy."""
    read = _read(tmp_path, "185.00")
    assert read[0] == [185.0, 185.0] and "issued again" not in read[1]
    assert read[2] == {"B-7"}


def _read(tmp_path: Path, price: str) -> tuple[list[float], str, set[str]]:
    write_tables(tmp_path)
    (tmp_path / "one.csv").write_text(PAPER.format(number="B-7", price="185.00"), encoding="utf-8")
    (tmp_path / "two.csv").write_text(PAPER.format(number="B-7-R", price=price), encoding="utf-8")
    practice, problems = read_folder(tmp_path)
    lines = practice.tables["invoice_lines"]
    lines = lines[lines["invoice"].astype(str).str.startswith("B-7")]
    return sorted(lines["amount"]), " ".join(map(str, problems)), set(lines["invoice"].astype(str))
