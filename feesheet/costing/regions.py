"""Which tooth region of the fee schedule a tooth belongs to, material by material."""

from __future__ import annotations

import pandas as pd

from feesheet import reference

EVERYWHERE = "all"
"""The region of a row that holds for every tooth."""


def regions_in_use(fees: pd.DataFrame) -> dict[str, list[str]]:
    """The regions that each material has a fee row for, smallest first."""
    sizes = {name: len(positions) for name, positions in reference.tooth_regions().items()}
    pairs = {
        (str(material), region_of_row(str(region)))
        for material, region in zip(fees["material"], fees["tooth_region"], strict=True)
        if str(material)
    }
    result: dict[str, list[str]] = {}
    for material, region in sorted(pairs, key=lambda pair: (pair[0], sizes[pair[1]], pair[1])):
        result.setdefault(material, []).append(region)
    return result


def region_of_row(region: str) -> str:
    """The region of a fee row; a blank one means every tooth."""
    return region or EVERYWHERE


def region_of_tooth(tooth: int, regions: list[str]) -> str:
    """The smallest of the regions that holds the tooth (ISO 3950); "" where none does.

    >>> region_of_tooth(16, ["molar", "all"]), region_of_tooth(11, ["molar", "all"])
    ('molar', 'all')
    """
    position = tooth % 10
    return next((region for region in regions if position in reference.tooth_regions()[region]), "")


def is_primary(tooth: int) -> bool:
    """Whether the tooth is a child's: quadrants 5 to 8."""
    return tooth >= 50
