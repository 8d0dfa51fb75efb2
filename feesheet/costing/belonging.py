"""Which units a charge or an alloy line belongs to: those of its invoice that share a tooth, or the only ones there are."""

from __future__ import annotations

import numpy as np
import pandas as pd

from feesheet.costing.meaning import ALLOY, COST, REMAKE, TAX, UNIT


def take_material_of_case(lines: pd.DataFrame) -> None:
    """Give charges and alloy without a product of their own the material of the units that they belong to."""
    makes = lines[lines["treatment"].isin((UNIT, REMAKE)) & (lines["material"] != "") & ~lines["copy"]]
    open_lines = lines[lines["treatment"].isin((COST, TAX, ALLOY)) & (lines["material"] == "")]
    with_teeth = open_lines[open_lines["iso"].map(len) > 0]
    by_tooth = _exploded(with_teeth)[["line", "invoice_no", "tooth"]].merge(
        _exploded(makes)[["invoice_no", "tooth", "made_of"]], on=["invoice_no", "tooth"]
    )
    whole = open_lines[(open_lines["iso"].map(len) == 0) & (open_lines["treatment"] == ALLOY)]
    by_invoice = whole[["line", "invoice_no"]].merge(
        makes[["invoice_no", "material"]].rename(columns={"material": "made_of"}), on="invoice_no"
    )
    for found in (by_tooth, by_invoice):
        single = found.groupby("line")["made_of"].agg(["nunique", "first"])
        single = single[single["nunique"] == 1]
        lines.loc[single.index, "material"] = single["first"]


def take_teeth_of_case(lines: pd.DataFrame) -> None:
    """Give alloy without teeth those of its material's units on the invoice."""
    makes = lines[lines["treatment"].isin((UNIT, REMAKE)) & (lines["material"] != "") & ~lines["copy"]]
    bare = lines[(lines["treatment"] == ALLOY) & (lines["material"] != "") & (lines["iso"].map(len) == 0)]
    found = bare[["line", "invoice_no", "material"]].merge(
        _exploded(makes)[["invoice_no", "made_of", "tooth"]].drop_duplicates(),
        left_on=["invoice_no", "material"],
        right_on=["invoice_no", "made_of"],
    )
    teeth = found.groupby("line")["tooth"].agg(tuple)
    lines["iso"] = lines["line"].map(teeth).where(lines["line"].isin(teeth.index), lines["iso"])


def _exploded(lines: pd.DataFrame) -> pd.DataFrame:
    """One row per line and tooth."""
    few = (
        lines[["line", "invoice_no", "material", "treatment", "no_crown", "iso"]]
        .explode("iso")
        .dropna(subset="iso")
    )
    few = few.rename(columns={"iso": "tooth", "material": "made_of"})
    few["tooth"] = few["tooth"].astype(np.int64)
    return few


def touched(lines: pd.DataFrame) -> pd.DataFrame:
    """The units that each charge shares a tooth with, those of its own material if it has one: one row a pair."""
    made = lines[lines["treatment"].isin((UNIT, REMAKE)) & ~lines["copy"]]
    charges = _exploded(lines[lines["treatment"].isin((COST, TAX))]).rename(columns={"made_of": "material"})
    pairs = charges[["line", "invoice_no", "tooth", "material"]].merge(
        _exploded(made)[["invoice_no", "tooth", "made_of", "treatment", "no_crown"]],
        on=["invoice_no", "tooth"],
    )
    return pairs[(pairs["material"] == "") | (pairs["made_of"] == pairs["material"])]


def only(touched: pd.DataFrame, truth: pd.Series) -> pd.Index:
    """The lines for which the truth holds of every unit that they touch."""
    every = truth.groupby(touched["line"]).all()
    return every.index[every.to_numpy(dtype=bool)]
