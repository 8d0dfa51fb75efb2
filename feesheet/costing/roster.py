"""Who is who: the practice's sites, materials, alloys and priced items, each with its number.

The numbers are row numbers in the workbook's tables, counted from 1; 0 stands for none.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from feesheet.costing.regions import region_of_row, regions_in_use
from feesheet.practice import Practice
from feesheet.schema import plain


@dataclass(frozen=True)
class Roster:
    """Lists in the practice's own order, and the items: one row per fee row and site.

    `items` has code, description, material, region, site, fee_row (number of the row in the Current fees table),
    current_fee (0 if missing), units_typed, own_target (NaN if none), hold.
    """

    sites: tuple[str, ...]
    regions: tuple[str, ...]
    materials: tuple[str, ...]
    alloy_of: dict[str, str]
    alloys: tuple[str, ...]
    pools: tuple[tuple[str, str], ...]
    items: pd.DataFrame


def roster(practice: Practice) -> Roster:
    """The lists that every other table refers to by number."""
    tables = practice.tables
    materials = words(tables["materials"]["material"])
    alloys = words(tables["alloys"]["alloy"])
    spelled = {plain(alloy): alloy for alloy in alloys}
    alloy_of = {
        m: spelled.get(plain(a), "")
        for m, a in zip(materials, words(tables["materials"]["alloy"]), strict=True)
    }
    fees = tables["fees"]
    known = {plain(material): material for material in materials}
    use = regions_in_use(fees)
    pools = tuple(
        (known[plain(m)], region)
        for m in sorted(use, key=lambda m: _place(materials, m))
        for region in use[m]
    )
    return Roster(
        words(tables["sites"]["site"]),
        words(tables["sites"]["region"]),
        materials,
        alloy_of,
        alloys,
        pools,
        _items(fees, words(tables["sites"]["site"]), words(tables["sites"]["region"]), known),
    )


def words(column: Iterable[object]) -> tuple[str, ...]:
    """A column of words as plain text."""
    return tuple(str(word) for word in column)


def numbered(names: Sequence[object]) -> dict[object, int]:
    """Each name's row number."""
    return {name: number for number, name in enumerate(names, start=1)}


def numbers_of(column: Iterable[object], names: Sequence[object]) -> np.ndarray:
    """The row number of each entry of a column; 0 where it is none of the names."""
    table = numbered(names)
    return np.array([table.get(entry, 0) for entry in column], dtype=np.int64)


def _place(materials: Sequence[str], material: str) -> int:
    order = [plain(name) for name in materials]
    return order.index(plain(material))


def _items(
    fees: pd.DataFrame, sites: Sequence[str], regions: Sequence[str], known: dict[str, str]
) -> pd.DataFrame:
    """Fee rows at each site that they hold for; of two rows for one code the more special one counts."""
    chosen: dict[tuple[str, str], tuple[int, int]] = {}
    for position, (code, where) in enumerate(zip(words(fees["code"]), words(fees["site"]), strict=True)):
        for site, region in zip(sites, regions, strict=True):
            rank = _rank(where, site, region)
            if rank and rank > chosen.get((code, site), (0, 0))[0]:
                chosen[(code, site)] = (rank, position)
    site_order = numbered(sites)
    rows = sorted(((position, site_order[site], site) for (_, site), (_, position) in chosen.items()))
    taken = fees.iloc[[position for position, _, _ in rows]]
    return pd.DataFrame(
        {
            "code": words(taken["code"]),
            "description": words(taken["description"]),
            "material": [known.get(plain(material), "") for material in words(taken["material"])],
            "region": [region_of_row(region) for region in words(taken["tooth_region"])],
            "site": [site for _, _, site in rows],
            "fee_row": [position + 1 for position, _, _ in rows],
            "current_fee": taken["current_fee"].fillna(0.0).to_numpy(),
            "units_typed": taken["units_last_year"].fillna(0.0).to_numpy(),
            "own_target": taken["target_margin"].to_numpy(),
            "hold": taken["hold"].to_numpy(dtype=bool),
        }
    )


def _rank(where: str, site: str, region: str) -> int:
    """How special a fee row is for a site: 3 for the site itself, 2 for its region, 1 for all, 0 for another's."""
    if plain(where) == plain(site):
        return 3
    if plain(where) == plain(region):
        return 2
    return 1 if plain(where) in ("", "all") else 0
