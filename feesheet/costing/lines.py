"""What the lines of lab invoices mean: material, teeth, place in the costs, or why a line is set aside.

One row per part of a line: a line over teeth of several regions has a part for each. Everything is done
over whole tables; nothing here is arithmetic of money.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from feesheet import reference
from feesheet.costing.regions import EVERYWHERE, is_primary, region_of_tooth, regions_in_use
from feesheet.practice import Practice
from feesheet.problems import Problem
from feesheet.schema import plain
from feesheet.tables import NOT_A_CROWN
from feesheet.teeth import parse_teeth

UNIT, COST, TAX, ALLOY, REMAKE, ASIDE, CONTROL = "unit", "cost", "tax", "alloy", "remake", "aside", "control"
"""Treatments of a line by its kind, as `shared/line_kinds.csv` names them."""

USED = ("lab fee", "charge on the invoice", "alloy")
"""The uses that bring a line's amount into a cost; every other use is a reason for setting it aside."""

UNMAPPED = "product name not on the map"
"""The use of a line whose wording means no known material."""


def understand(practice: Practice) -> tuple[pd.DataFrame, list[Problem]]:
    """Every invoice line with its meaning, and the notices about lines that are in no cost.

    The table has one row per line and tooth region, rows of one invoice together: the line's facts, and
    `material`, `region` ("" if not known), `share` of the line, `iso` teeth, `in_window`, `use`, `treatment`.
    """
    frame = practice.tables["invoice_lines"]
    regions = regions_in_use(practice.tables["fees"])
    lines = _facts(practice, frame)
    lines["material"] = _mapped(practice, frame)
    lines["iso"] = _teeth(practice, frame)
    lines["copy"] = _copies(lines)
    _take_material_of_case(lines)
    _take_teeth_of_case(lines)
    lines["primary"] = [any(is_primary(tooth) for tooth in teeth) for teeth in lines["iso"]]
    lines["units"] = _units(lines)
    lines["alloy_used"] = _alloys(practice, lines)
    parts = _in_parts(lines, regions)
    parts["use"] = _uses(parts)
    order = parts["invoice_no"].to_numpy().argsort(kind="stable")
    parts = parts.iloc[order].reset_index(drop=True)
    return parts, _notices(practice, parts)


def window_start(practice: Practice) -> pd.Timestamp:
    """The day before the window: the pricing date less the invoice months."""
    pricing = pd.Timestamp(practice.day("pricing_date"))
    return pricing - pd.DateOffset(months=int(practice.settings["invoice_months"]))


def _facts(practice: Practice, frame: pd.DataFrame) -> pd.DataFrame:
    kinds = reference.line_kinds()
    lines = frame.copy()
    lines["line"] = np.arange(len(lines))
    canonical = {word: kinds[plain(word)] for word in lines["kind"].cat.categories if plain(word) in kinds}
    for position, column in enumerate(("kind", "treatment", "reason")):
        lines[column] = (
            frame["kind"].astype(object).map({word: made[position] for word, made in canonical.items()})
        )
    lines["invoice_no"] = lines.groupby(["lab", "invoice"], observed=True, sort=False).ngroup() + 1
    pricing = pd.Timestamp(practice.day("pricing_date"))
    lines["in_window"] = (lines["date"] > window_start(practice)) & (lines["date"] <= pricing)
    return lines


def _mapped(practice: Practice, frame: pd.DataFrame) -> np.ndarray[Any, Any]:
    """The material that the product-name map gives each line; "" where it gives none."""
    names: dict[tuple[str, str], str] = {}
    for row in practice.tables["product_map"].itertuples():
        names[(plain(row.wording), plain(row.lab))] = str(row.material)
    spelled = {plain(material): str(material) for material in practice.tables["materials"]["material"]}
    pairs, where = _distinct(frame, "lab", "product")
    found = []
    for lab, wording in pairs:
        said = names.get((plain(wording), plain(lab)), names.get((plain(wording), "")))
        known = spelled.get(plain(wording), "") if said is None else said
        found.append("" if plain(known) == NOT_A_CROWN else spelled.get(plain(known), ""))
    mapped: np.ndarray[Any, Any] = np.array(found, dtype=object)[where]
    return mapped


def _distinct(
    frame: pd.DataFrame, first: str, second: str
) -> tuple[list[tuple[str, str]], np.ndarray[Any, Any]]:
    """The distinct pairs of two columns of words, and which pair each row has."""
    a, b = frame[first].cat, frame[second].cat
    width = max(len(b.categories), 1)
    joint = a.codes.to_numpy().astype(np.int64) * width + b.codes.to_numpy()
    values, where = np.unique(joint, return_inverse=True)
    return [(str(a.categories[v // width]), str(b.categories[v % width])) for v in values], where


def _teeth(practice: Practice, frame: pd.DataFrame) -> np.ndarray[Any, Any]:
    """The ISO teeth of each line, in the notation of its lab."""
    labs = practice.tables["labs"]
    notation = {plain(lab): str(way) for lab, way in zip(labs["lab"], labs["tooth_notation"], strict=True)}
    pairs, where = _distinct(frame, "lab", "teeth")
    found = np.empty(len(pairs), dtype=object)
    for position, (lab, text) in enumerate(pairs):
        found[position] = parse_teeth(text, notation.get(plain(lab), "ISO")) or ()
    teeth: np.ndarray[Any, Any] = found[where]
    return teeth


def _alloys(practice: Practice, lines: pd.DataFrame) -> np.ndarray[Any, Any]:
    """The alloy of each line: as an alloy line names it, else its material's; "" where neither is known."""
    alloys = {plain(alloy): str(alloy) for alloy in practice.tables["alloys"]["alloy"]}
    materials = practice.tables["materials"]
    of_material = {str(m): str(a) for m, a in zip(materials["material"], materials["alloy"], strict=True)}
    named = lines["alloy"].astype(object).map(lambda word: alloys.get(plain(word), ""))
    own = lines["material"].map(lambda material: alloys.get(plain(of_material.get(material, "")), ""))
    return np.asarray(np.where((lines["treatment"] == ALLOY) & (named != ""), named, own))


def _units(lines: pd.DataFrame) -> np.ndarray[Any, Any]:
    """Units as typed; a blank on a line that makes something counts its teeth, or one."""
    teeth = np.maximum(lines["iso"].map(len).to_numpy(), 1)
    typed = lines["units"].to_numpy()
    makes = lines["treatment"].isin((UNIT, REMAKE, ALLOY)).to_numpy()
    return np.where(np.isnan(typed), np.where(makes, teeth, 0), typed)


def _copies(lines: pd.DataFrame) -> np.ndarray[Any, Any]:
    """Whether the line stands on a second sheet that repeats an invoice line for line."""
    copy = np.zeros(len(lines), dtype=bool)
    sheets = lines.groupby("invoice_no")["source"].nunique()
    for invoice in sheets.index[sheets > 1]:
        of_invoice = lines[lines["invoice_no"] == invoice]
        seen: list[list[tuple[object, ...]]] = []
        for _, group in of_invoice.groupby("source"):
            facts = group[["date", "product", "kind", "units", "amount", "weight"]].astype(str)
            said = sorted(facts.itertuples(index=False, name=None))
            copy[group["line"].to_numpy()] = said in seen
            seen.append(said)
    return copy


def _take_material_of_case(lines: pd.DataFrame) -> None:
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


def _take_teeth_of_case(lines: pd.DataFrame) -> None:
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
    few = lines[["line", "invoice_no", "material", "treatment", "iso"]].explode("iso").dropna(subset="iso")
    few = few.rename(columns={"iso": "tooth", "material": "made_of"})
    few["tooth"] = few["tooth"].astype(np.int64)
    return few


def _in_parts(lines: pd.DataFrame, regions: dict[str, list[str]]) -> pd.DataFrame:
    """The lines split over the tooth regions of their material, each part with its share."""
    shares = _shares_by_teeth(lines, regions)
    loose = lines[
        lines["treatment"].isin((COST, TAX)) & (lines["material"] != "") & (lines["iso"].map(len) == 0)
    ]
    borrowed = _shares_of_case(loose, shares, lines)
    shares = pd.concat([shares[~shares["line"].isin(borrowed["line"])], borrowed], ignore_index=True)
    shares = shares.sort_values(["line", "order"], kind="stable")
    parts = lines.drop(columns=["iso"]).merge(shares.drop(columns=["order"]), on="line", how="right")
    made_at = parts.pop("made_at")
    if len(borrowed):
        parts["site"] = made_at.fillna(parts["site"].astype(object)).astype("category")
    parts["placed"] = (parts["material"] != "") & (
        (parts["iso"] != "") | parts["line"].isin(borrowed["line"])
    )
    touched = _touched(lines)
    parts["remade"] = parts["line"].isin(_only(touched, touched["treatment"] == REMAKE))
    parts["foreign"] = parts["line"].isin(_only(touched, touched["made_of"] == ""))
    return parts


def _shares_by_teeth(lines: pd.DataFrame, regions: dict[str, list[str]]) -> pd.DataFrame:
    """Region and share of each part, from the line's own teeth."""
    keys = list(zip(lines["material"], lines["iso"], strict=True))
    made = {key: _regions_of(key[1], regions.get(key[0], [])) for key in dict.fromkeys(keys)}
    counts = np.array([len(made[key]) for key in keys], dtype=int)
    rows = [row for key in keys for row in made[key]]
    table = pd.DataFrame(rows, columns=["region", "share", "iso"])
    table["line"] = np.repeat(lines["line"].to_numpy(), counts)
    table["order"] = np.arange(len(table))
    return table


def _regions_of(teeth: tuple[int, ...], regions: list[str]) -> list[tuple[str, float, str]]:
    """Region, share and teeth of each part of a line over those teeth."""
    if not teeth:
        return [(EVERYWHERE if regions == [EVERYWHERE] else "", 1.0, "")]
    named: dict[str, list[int]] = {}
    for tooth in teeth:
        named.setdefault(region_of_tooth(tooth, regions), []).append(tooth)
    return [(region, len(of) / len(teeth), " ".join(map(str, of))) for region, of in named.items()]


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
    return found[["line", "region", "share", "made_at"]].assign(iso="", order=0)


def _touched(lines: pd.DataFrame) -> pd.DataFrame:
    """The units that each charge shares a tooth with, those of its own material if it has one: one row a pair."""
    made = lines[lines["treatment"].isin((UNIT, REMAKE)) & ~lines["copy"]]
    charges = _exploded(lines[lines["treatment"].isin((COST, TAX))]).rename(columns={"made_of": "material"})
    pairs = charges[["line", "invoice_no", "tooth", "material"]].merge(
        _exploded(made)[["invoice_no", "tooth", "made_of", "treatment"]], on=["invoice_no", "tooth"]
    )
    return pairs[(pairs["material"] == "") | (pairs["made_of"] == pairs["material"])]


def _only(touched: pd.DataFrame, truth: pd.Series) -> pd.Index:
    """The lines for which the truth holds of every unit that they touch."""
    every = truth.groupby(touched["line"]).all()
    return every.index[every.to_numpy(dtype=bool)]


def _uses(parts: pd.DataFrame) -> np.ndarray[Any, Any]:
    """What each part's amount is used for, or why it is set aside. The first reason that holds is given."""
    treatment = parts["treatment"]
    charge = treatment.isin((COST, TAX))
    whole = charge & ~parts["placed"]
    makes = (
        parts["units"].where(treatment.isin((UNIT, REMAKE)) & ~parts["copy"] & parts["in_window"], 0)
        * parts["share"]
    )
    units = makes.groupby(parts["invoice_no"]).transform("sum")
    weightless = (treatment == ALLOY) & (parts["weight"].isna() | (parts["amount"].isna()))
    answers: list[tuple[pd.Series, object]] = [
        (treatment == CONTROL, "control: a balance, payment or total"),
        (parts["copy"], "copy of an invoice already counted"),
        (treatment == ASIDE, parts["reason"]),
        (weightless, "alloy without a weight: the alloy is costed from grams"),
        (parts["primary"], "primary tooth: not among the crowns"),
        (~parts["in_window"], "outside the invoice window"),
        ((treatment == ALLOY) & (parts["alloy_used"] == ""), "alloy not named"),
        (treatment == ALLOY, "alloy"),
        ((treatment == REMAKE), "remake: counted, costed through the remake rate"),
        (charge & parts["remade"], "charge on a remake"),
        (charge & parts["foreign"], "charge on a product that is no known crown"),
        ((treatment == UNIT) & (parts["material"] == ""), UNMAPPED),
        (whole & (units.round(9) <= 0), "charge on an invoice without units"),
        (whole, "charge on the invoice"),
        (treatment.isin((UNIT, COST, TAX)), "lab fee"),
    ]
    result = pd.Series("not understood", index=parts.index, dtype=object)
    for mask, answer in reversed(answers):
        result = result.mask(mask, answer)
    return np.asarray(result)


def _notices(practice: Practice, parts: pd.DataFrame) -> list[Problem]:
    """One notice a reason, with its count, its money and where it begins."""
    quiet = parts["use"].isin(USED) | (parts["treatment"] == CONTROL) | (parts["amount"] == 0)
    aside = parts[~quiet].assign(money=parts["amount"] * parts["share"])
    problems = []
    for use, group in aside.groupby("use"):
        files = group["source"].map(lambda source: practice.sources[source].file).nunique()
        where = f" in {files} files, the first" if files > 1 else ""
        what = f"{group['line'].nunique()} line(s){where} here, worth {group['money'].sum():,.2f} in all, set aside: {use}."
        first = practice.sources[int(group["source"].iloc[0])]
        problems.append(
            Problem(
                "copy" if str(use).startswith("copy") else "set aside",
                what,
                _CURE.get(str(use), ""),
                first.file,
                first.sheet,
                f"row {int(group['row'].iloc[0])}",
            )
        )
    return problems


_CURE = {
    UNMAPPED: 'Add the lab\'s wording to "Product names"; until then it is in no fee.',
    "charge on an invoice without units": "Check whether its crowns stand under another invoice number.",
    "alloy without a weight: the alloy is costed from grams": "Type the weight if the lab can give it.",
}
