"""Alloy billed by amount alone: its grams are estimated, marked so, and in no fee (hard case 60)."""

from __future__ import annotations

from pathlib import Path

import pytest
from golden_practice import write_tables

from feesheet.formula.numbers import Numbers
from feesheet.reading.folder import read_folder
from feesheet.uses.annual_update import price

PAPER = "B Crown and Bridge Works\nInvoice no:,B-991\nClinic:,North\nDate:,03/14/2026\n\nTooth,Description,Qty,Unit price,Amount\n14,PFM high noble,1,150.00,150.00\n14,High noble alloy,,,{amount}\n,,,Total,{total}\n"


def priced(folder: Path, amount: str, total: str) -> tuple[Numbers, str]:
    """The figures of a practice with one such paper, and everything that was told."""
    write_tables(folder)
    (folder / "paper.csv").write_text(PAPER.format(amount=amount, total=total), encoding="utf-8")
    practice, problems = read_folder(folder)
    found, more = price(practice)
    return found.numbers, " ".join(map(str, [*problems, *more]))


def test_grams_are_estimated_from_the_metal_of_the_day(tmp_path: Path) -> None:
    """Grams × metal value × (1 + premium) is the amount again, and the notice sends the manager to the lab."""
    figures, told = priced(tmp_path, "138.60", "288.60")
    grams, value, premium = (
        figures.of("unweighed", name)[0] for name in ("estimated_g", "day_value_per_g", "alloy_premium")
    )
    assert grams * value * (1 + premium) == pytest.approx(138.6)
    assert (
        "worth 138.60 USD in all, set aside: alloy without a weight" in told
        and "Ask the lab for the weight" in told
    )


def test_no_fee_rests_on_them(tmp_path: Path) -> None:
    """Twice the amount: the same grams and costs for every fee."""
    figures = [priced(_made(tmp_path / name), amount, total)[0] for name, amount, total in
               (("one", "138.60", "288.60"), ("two", "277.20", "427.20"))]  # fmt: skip
    assert (figures[0].of("pools", "alloy_g") == figures[1].of("pools", "alloy_g")).all()
    assert (figures[0].of("costs", "unit_cost") == figures[1].of("costs", "unit_cost")).all()
    assert figures[1].of("unweighed", "estimated_g")[0] == pytest.approx(
        2 * figures[0].of("unweighed", "estimated_g")[0]
    )


def _made(folder: Path) -> Path:
    folder.mkdir()
    return folder
