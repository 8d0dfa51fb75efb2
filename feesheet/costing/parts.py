"""Invoice lines split over the tooth regions of the fee schedule, each part with its share of the line."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import pandas as pd

from feesheet.costing.belonging import only, touched
from feesheet.costing.meaning import COST, REMAKE, TAX, UNIT
from feesheet.costing.regions import EVERYWHERE, region_of_tooth


def in_parts(lines: pd.DataFrame, regions: dict[str, list[str]]) -> pd.DataFrame:
    """The lines split over the tooth regions of their material, each part with its share."""
    shares = _shares_by_teeth(lines, regions)
    loose = lines[
        lines["treatment"].isin((COST, TAX)) & (lines["material"] != "") & (lines["iso"].map(len) == 0)
    ]
    borrowed = _shares_of_case(loose, shares, lines)
    shares = pd.concat([shares[~shares["line"].isin(borrowed["line"])], borrowed], ignore_index=True)
    shares = shares.sort_values(["line", "order"], kind="stable")
    parts = lines.drop(columns=["iso", "roles", "role"]).merge(
        shares.drop(columns=["order"]), on="line", how="right"
    )
    made_at = parts.pop("made_at")
    if len(borrowed):
        parts["site"] = made_at.fillna(parts["site"].astype(object)).astype("category")
    parts["placed"] = (parts["material"] != "") & (
        (parts["iso"] != "") | parts["line"].isin(borrowed["line"])
    )
    pairs = touched(lines)
    parts["remade"] = parts["line"].isin(only(pairs, pairs["treatment"] == REMAKE))
    parts["foreign"] = parts["line"].isin(only(pairs, pairs["made_of"] == ""))
    parts["of_no_crown"] = parts["line"].isin(only(pairs, pairs["no_crown"]))
    return parts


def _shares_by_teeth(lines: pd.DataFrame, regions: dict[str, list[str]]) -> pd.DataFrame:
    """Region, share, teeth and their roles of each part, from the line's own teeth."""
    keys = list(zip(lines["material"], lines["iso"], lines["roles"], strict=True))
    made = {key: _regions_of(key[1], key[2], regions.get(key[0], [])) for key in dict.fromkeys(keys)}
    counts = np.array([len(made[key]) for key in keys], dtype=int)
    rows = [row for key in keys for row in made[key]]
    table = pd.DataFrame(rows, columns=["region", "share", "iso", "role"])
    table["line"] = np.repeat(lines["line"].to_numpy(), counts)
    table["order"] = np.arange(len(table))
    return table


def _regions_of(
    teeth: tuple[int, ...], roles: tuple[str, ...], regions: list[str]
) -> list[tuple[str, float, str, str]]:
    """Region, share, teeth and roles of each part of a line over those teeth."""
    if not teeth:
        return [(EVERYWHERE if regions == [EVERYWHERE] else "", 1.0, "", "")]
    named: dict[str, list[int]] = {}
    for tooth in teeth:
        named.setdefault(region_of_tooth(tooth, regions), []).append(tooth)
    used = dict(zip(teeth, roles, strict=False))
    return [
        (region, len(of) / len(teeth), " ".join(map(str, of)), _roles(used.get(tooth, "") for tooth in of))
        for region, of in named.items()
    ]


def _roles(roles: Iterable[str]) -> str:
    """The roles of several teeth, each named once.

    >>> _roles(["retainer", "pontic", "retainer"])
    'retainer, pontic'
    """
    return ", ".join(role for role in dict.fromkeys(roles) if role)


def _shares_of_case(loose: pd.DataFrame, shares: pd.DataFrame, lines: pd.DataFrame) -> pd.DataFrame:
    """A charge on a material without teeth is spread over that material's units on the invoice, whatever their site."""
    made = lines[(lines["treatment"] == UNIT) & ~lines["copy"]]
    made = made[["line", "invoice_no", "material", "units"]].assign(made_at=made["site"].astype(object))
    made = made.merge(shares[["line", "region", "share"]], on="line")
    made["units"] = made["units"] * made["share"]
    place = ["invoice_no", "material", "made_at", "region"]
    units = made.groupby(place, sort=False)["units"].sum().reset_index()
    found = loose[["line", "invoice_no", "material"]].merge(units, on=["invoice_no", "material"])
    whole = found.groupby("line")["units"].transform("sum").astype(float)
    found["share"] = found["units"] / whole
    found = found[whole.round(9) > 0]
    return found[["line", "region", "share", "made_at"]].assign(iso="", role="", order=0)
