"""Hard cases of materials and classes: one material under many names, no class that nobody said."""

from __future__ import annotations

from pathlib import Path

import pytest
from golden_practice import ALLOYS
from hard_case_papers import FILE, read_lines, said

from feesheet.costing.line_uses import UNMAPPED
from feesheet.costing.lines import understand
from feesheet.reading.folder import read_folder
from feesheet.uses.annual_update import price
from feesheet.uses.import_summary import summary_of


def _crowns(*products: str, price: str = "145.00") -> list[str]:
    """A crown of each product, on tooth 14."""
    return [f"{n} | 14 | {product} | 1 | {price} | {price}" for n, product in enumerate(products, start=1)]


def test_case_44_four_names_for_one_material(tmp_path: Path) -> None:
    """All four are one material, today and when the folder is read again."""
    read = read_lines(tmp_path, *_crowns("FCZ", "Full contour zirc", "mono ZrO2", "zir post"))
    again, _ = read_folder(tmp_path)

    for practice in (read.practice, again):
        parts, _ = understand(practice)
        assert set(parts["material"]) == {"zirconia, monolithic"}
        assert set(parts["use"]) == {"lab fee"}


def test_case_45_no_class_that_nobody_said(tmp_path: Path) -> None:
    """PFM alone has no class and no material, least of all a base one."""
    read = read_lines(tmp_path, *_crowns("PFM"))

    assert read.column(FILE, "alloy_class") == [""]
    parts, _ = understand(read.practice)
    assert list(parts["material"]) == [""]


@pytest.mark.parametrize(
    ("word", "named"),
    [("non-precious", "predominantly base"), ("semi-precious", "noble"), ("precious", "high noble")],
)
def test_case_46_precious_words(tmp_path: Path, word: str, named: str) -> None:
    """Non-, semi- and precious mean base, noble and high noble."""
    read = read_lines(tmp_path, *_crowns(f"PFM {word}"))
    assert read.column(FILE, "alloy_class") == [named]


def _class_of(folder: Path, **metals: float) -> str:
    """The class that the practice's pale alloy has with that composition."""
    changed = [{**ALLOYS[1], **dict.fromkeys(("gold", "palladium", "silver", "copper"), 0.0), **metals}]
    rows = [ALLOYS[0], *changed, *ALLOYS[2:]]
    read = read_lines(folder, *_crowns("FCZ"), changed={"alloys": rows})
    priced, _ = price(read.practice)
    return str(priced.numbers.of("alloys", "alloy_class")[1])


def test_case_47_silver_is_not_noble(tmp_path: Path) -> None:
    """46 gold, 6 palladium, 39 silver is 52 noble: a noble alloy, not a high noble one, despite 40 gold."""
    assert _class_of(tmp_path, gold=0.46, palladium=0.06, silver=0.39, copper=0.09) == "noble"


def test_case_49_titanium_is_a_class_of_its_own(tmp_path: Path) -> None:
    """90 titanium is titanium."""
    assert _class_of(tmp_path, titanium=0.9, other=0.1) == "titanium"


def test_case_50_a_billed_class_that_the_alloy_is_not(tmp_path: Path) -> None:
    """High noble billed, noble by the alloy that is named: told at the line."""
    read = read_lines(
        tmp_path,
        "1 | 14 | Full cast crown high noble | 1 | 120.00 | 120.00",
        "1 | 14 | High noble alloy: pale casting alloy 2 dwt @ 60.00/dwt | | | 120.00",
    )

    said_so = [one for one in said(read) if "high noble" in one.what]
    assert [one for one in said_so if "noble" in one.what.replace("high noble", "")], said(read)


def test_case_54_a_name_never_seen(tmp_path: Path) -> None:
    """Its money stands apart as not known, and the share that is understood falls."""
    read = read_lines(tmp_path, *_crowns("FCZ", "Wondercrown"), "| | | | TOTAL | 290.00")
    parts, notices = understand(read.practice)

    assert list(parts["use"]) == ["lab fee", UNMAPPED]
    assert any("145.00" in notice.what and UNMAPPED in notice.what for notice in notices)
    assert summary_of(read.practice, read.found).rows[-1].share == pytest.approx(0.5)


def test_case_55_two_names_in_one_fee(tmp_path: Path) -> None:
    """The fee's lab cost is weighted by units, and both names stay to be seen."""
    read = read_lines(
        tmp_path,
        "1 | 14 | FCZ | 1 | 150.00 | 150.00",
        "2 | 3-5 | Zirconia crowns | 3 | 130.00 | 390.00",
        lab="B Crown and Bridge Works",
    )
    priced, _ = price(read.practice)
    materials = list(priced.who.materials) if hasattr(priced.who, "materials") else []

    assert read.column(FILE, "product") == ["fcz", "zirconia crowns"]
    means = [float(mean) for mean in priced.numbers.of("lab_fees", "own_mean") if mean]
    assert means == pytest.approx([135.0] * len(means)) and means, materials
