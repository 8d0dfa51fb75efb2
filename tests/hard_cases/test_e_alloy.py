"""Hard cases of alloy: weights in any unit, amounts without a weight, alloys that nobody described."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from golden_practice import QUOTES
from hard_case_papers import FILE, read_lines

from feesheet.costing.lines import understand
from feesheet.uses.annual_update import price

GOLD = "1 | 30 | Full cast crown high noble | 1 | 120.00 | 120.00"


def test_case_57_pennyweight(tmp_path: Path) -> None:
    """2.1 dwt at 150.00 a dwt are 3.266 g at 96.45 a gram."""
    read = read_lines(tmp_path, GOLD, "1 | 30 | yellow casting alloy 2.1 dwt @ 150.00/dwt | | | 315.00")
    line = read.lines(FILE)[1]

    assert (line["kind"], line["amount"], line["unit_price"]) == ("alloy", "315", "150")
    assert float(line["weight_g"]) == pytest.approx(3.266, abs=5e-4)
    assert float(line["amount"]) / float(line["weight_g"]) == pytest.approx(96.45, abs=5e-3)


def test_case_60_alloy_without_a_weight(tmp_path: Path) -> None:
    """The money is kept and told; no weight is made up as if it had been billed."""
    read = read_lines(tmp_path, GOLD, "1 | 30 | yellow casting alloy | | | 138.60", "| | | | TOTAL | 258.60")
    line, frame = read.lines(FILE)[1], read.rows(FILE)

    assert line["amount"] == "138.6"
    assert line["kind"] in ("alloy", "alloy surcharge")
    assert line["weight_g"] == "" or list(frame["weight_basis"])[1] == "estimated"
    _, notices = understand(read.practice)
    assert any("weight" in one.what and "7" in one.cell for one in [*read.problems(FILE), *notices])


def test_case_62_alloy_of_a_bridge_on_one_line(tmp_path: Path) -> None:
    """4.2 g for three units spread over them, and add up to 4.2 g."""
    read = read_lines(
        tmp_path,
        "1 | 3-5 | PFM high noble bridge | 3 | 155.00 | 465.00",
        "1 | 3-5 | ceramic gold alloy 4.2 g @ 90.00/g | | | 378.00",
        changed={
            "product_map": [{"wording": "PFM high noble bridge", "material": "metal-ceramic, high noble"}]
        },
    )
    parts, _ = understand(read.practice)
    alloy = parts[parts["treatment"] == "alloy"]

    assert " ".join(alloy["iso"]).split() == ["16", "15", "14"]
    assert (alloy["weight"] * alloy["share"]).sum() == pytest.approx(4.2)
    assert (alloy["amount"] * alloy["share"]).sum() == pytest.approx(378.0)


def test_case_63_the_invoice_price_is_the_cost(tmp_path: Path) -> None:
    """What was billed stays; the market is compared on the invoice's day, not on a later one."""
    lines = (GOLD, "1 | 30 | yellow casting alloy 2 dwt @ 150.00/dwt | | | 300.00")
    later = [*QUOTES, *({**quote, "date": date(2026, 6, 1), "price": 1.0} for quote in QUOTES)]
    values = []
    for name, quotes in (("then", QUOTES), ("later", later)):
        read = read_lines(tmp_path / name, *lines, changed={"metal_prices": quotes})
        priced, _ = price(read.practice)
        assert read.column(FILE, "amount") == ["120", "300"]
        values.append([float(value) for value in priced.numbers.of("alloy_lines", "value_on_day")])

    assert values[0] == values[1] != []


def test_case_65_an_alloy_that_nobody_described(tmp_path: Path) -> None:
    """Its money is read and told as not known; it is no alloy of the practice's list."""
    read = read_lines(tmp_path, GOLD, "1 | 30 | Casting alloy 33: 2 dwt @ 60.00/dwt | | | 120.00")
    frame = read.rows(FILE)

    assert read.column(FILE, "amount") == ["120", "120"]
    assert read.column(FILE, "kind") == ["unit fee", "alloy"]
    assert list(frame["alloy"]) == ["", ""]
