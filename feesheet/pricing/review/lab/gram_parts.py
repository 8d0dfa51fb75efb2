"""The tested alloy lines by size of tooth, and the usual grams of each part: by volume, by grams, or as typed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import Any

import numpy as np
import pandas as pd

from feesheet import reference
from feesheet.costing.regions import region_of_tooth
from feesheet.costing.roster import Roster, numbers_of
from feesheet.formula.model import Block, Model
from feesheet.pricing.review.lab import gram_figures as figures
from feesheet.pricing.review.lab.alloy_rows import TESTED
from feesheet.pricing.review.lab.middles import middle, middles
from feesheet.reference import fixed

SHEET, TESTS, PARTS = "Alloy weights", "gram_tests", "gram_parts"
BY_VOLUME, BY_GRAMS, STARTING, NOTHING = 1, 2, 3, 4
"""What the usual grams of a part are taken from."""


def split_rows(model: Model, who: Roster, parts: pd.DataFrame, rows: pd.DataFrame) -> pd.DataFrame:
    """The parts of the tested lines by size of tooth, each with the rows in the middle of the others' volumes and grams."""
    tested = rows[rows["outcome"] == TESTED]
    numbers = dict(zip(tested["line"], tested.index + 1, strict=True))
    split = parts[parts["line"].isin(numbers)].copy()
    split["line_no"] = split.index + 1
    split["test_no"] = split["line"].map(numbers).astype(int)
    split = _by_size(split)
    split["pool_no"] = numbers_of(zip(split["material"], split["region"], strict=True), who.pools)
    start = np.append(np.asarray(model.blocks["pools"].columns["starting_g"].values, dtype=float), 0.0)
    for name in ("volume", "unit_grams"):
        split[f"by_{name}"] = _middles(split, rows[name].to_numpy(dtype=float))
    ways = [split["by_volume"].map(any), split["by_unit_grams"].map(any), start[split["pool_no"] - 1] > 0]
    split["basis"] = np.select(
        [np.asarray(way, dtype=bool) for way in ways], [BY_VOLUME, BY_GRAMS, STARTING], NOTHING
    )
    return split


def _by_size(split: pd.DataFrame) -> pd.DataFrame:
    """Each part once for every size of tooth in it, `kin`: incisor, canine, premolar, molar; `of_part` is its share of the part.

    A fee may hold for all teeth; grams do not.
    """
    sizes = sorted(reference.tooth_regions(), key=lambda region: len(reference.tooth_regions()[region]))
    rows = []
    for place, (iso, region) in enumerate(
        zip(split["iso"].astype(str), split["region"].astype(str), strict=True)
    ):
        kin = Counter(region_of_tooth(int(tooth), sizes) for tooth in iso.split()) or Counter([region])
        rows += [(place, name, count / kin.total()) for name, count in kin.items()]
    table = pd.DataFrame(rows, columns=["place", "kin", "of_part"])
    found = split.iloc[table["place"].to_numpy()].reset_index(drop=True)
    return found.assign(kin=table["kin"], of_part=table["of_part"])


def _middles(split: pd.DataFrame, figures_of_tests: np.ndarray[Any, Any]) -> list[tuple[int, int]]:
    """Rows of the tests in the middle of the other lines of that material and size of tooth; lines over one size alone count."""
    own = figures_of_tests[split["test_no"].to_numpy() - 1]
    usable = ~np.isnan(own)
    counts = usable & ((split["share"] * split["of_part"]).to_numpy(dtype=float).round(9) == 1)
    groups = list(zip(split["material"].astype(str), split["kin"], strict=True))
    tests = [0, *split["test_no"]]
    found = middles(list(own), groups, list(counts), int(fixed("least_alloy_lines")))
    return [
        (tests[low], tests[high]) if fits else (0, 0) for (low, high), fits in zip(found, usable, strict=True)
    ]


def parts_block(split: pd.DataFrame) -> Block:
    """The tested lines by tooth region, with the usual grams of each part."""
    block = Block(
        PARTS,
        SHEET,
        "Usual grams by size of tooth",
        len(split),
        "Usual: the middle of the practice's other lines of that material and size of tooth, by volume where densities are known.",
        label=("part_material", "part_kin"),
    )
    block.counter("test_no", "Line tested no.", list(split["test_no"]), "Row in the grams of alloy a unit.")
    block.counter("line_no", "Line no.", list(split["line_no"]), "Row in the invoice lines.")
    block.counter("pool_no", "Grams no.", list(split["pool_no"]), "Row in the alloy grams; 0: none.")
    block.given("part_material", "Material", pd.Categorical(split["material"].astype(str)), width=24)
    block.given("part_kin", "Size of tooth", pd.Categorical(split["kin"].astype(str)))
    block.fetch("part_share", "Share of the line", "exact", "lines.share", "line_no")
    block.given(
        "of_part",
        "Share of the part",
        list(split["of_part"]),
        "exact",
        meaning="Its teeth among those of the part.",
    )
    block.fetch("part_units", "Units or teeth", "units", f"{TESTS}.counted_units", "test_no")
    block.fetch("density", "Density, g/cm³", "number", f"{TESTS}.density", "test_no")
    _usual(block, "volume", "Volume", "number", "unit_volume", list(split["by_volume"]))
    _usual(block, "own", "Grams", "grams", "unit_grams", list(split["by_unit_grams"]))
    block.fetch("starting_g", "Starting grams", "grams", "pools.starting_g", "pool_no", 0)
    meaning = "1 by volume and density, 2 by grams, 3 the starting grams, 4 nothing to go by."
    block.counter("part_basis", "Basis no.", list(split["basis"]), meaning)
    block.worked(figures.usual_unit)
    block.worked(figures.part_usual)
    return block


def _usual(
    block: Block, name: str, heading: str, unit: str, source: str, pairs: Sequence[tuple[int, int]]
) -> None:
    """The middle of the other lines' figures: from the rows in the middle, as issued."""
    for side, words, place in (("lower", "middle", 0), ("upper", "middle, from above", 1)):
        numbers = [pair[place] for pair in pairs]
        meaning = "Row, as issued, in the middle of the other lines of that material and size of tooth; 0: too few lines."
        block.counter(f"{side}_{name}_no", f"{heading}, {words} no.", numbers, meaning)
        block.fetch(
            f"{side}_{name}", f"{heading}, {words}", unit, f"{TESTS}.{source}", f"{side}_{name}_no", 0
        )
    block.worked(
        middle,
        name=f"usual_{name}",
        heading=f"Usual {heading.lower()}",
        lower=f"lower_{name}",
        upper=f"upper_{name}",
    )
