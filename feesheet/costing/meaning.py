"""What each invoice line says, in the program's own words: kind, teeth, alloy, units, and whether it repeats another sheet."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from feesheet import reference
from feesheet.costing.product_names import distinct
from feesheet.practice import Practice, as_compared
from feesheet.schema import plain
from feesheet.teeth import teeth_with_roles

UNIT, COST, TAX, ALLOY, REMAKE, ASIDE, CONTROL = "unit", "cost", "tax", "alloy", "remake", "aside", "control"
"""Treatments of a line by its kind, as `shared/line_kinds.csv` names them."""


def window_start(practice: Practice) -> pd.Timestamp:
    """The day before the window: the pricing date less the invoice months, unless a review sets it."""
    if practice.settings.get("day_before_window"):
        return pd.Timestamp(practice.settings["day_before_window"])
    pricing = pd.Timestamp(practice.day("pricing_date"))
    return pricing - pd.DateOffset(months=int(practice.settings["invoice_months"]))


def facts(practice: Practice, frame: pd.DataFrame) -> pd.DataFrame:
    """The lines as read, with their number, invoice and case number, and their kind in the program's own words."""
    kinds = reference.line_kinds()
    lines = frame.copy()
    lines["line"] = np.arange(len(lines))
    canonical = {word: kinds[plain(word)] for word in lines["kind"].cat.categories if plain(word) in kinds}
    for position, column in enumerate(("kind", "treatment", "reason")):
        lines[column] = (
            frame["kind"].astype(object).map({word: made[position] for word, made in canonical.items()})
        )
    lines["invoice_no"] = lines.groupby(["lab", "invoice"], observed=True, sort=False).ngroup() + 1
    cases = lines.groupby(["lab", "case"], observed=True, sort=False).ngroup() + 1
    lines["case_no"] = cases.where(lines["case"] != "").rank(method="dense").fillna(0).astype(np.int64)
    pricing = pd.Timestamp(practice.day("pricing_date"))
    lines["in_window"] = (lines["date"] > window_start(practice)) & (lines["date"] <= pricing)
    return lines


def teeth(practice: Practice, frame: pd.DataFrame) -> tuple[np.ndarray[Any, Any], np.ndarray[Any, Any]]:
    """The ISO teeth of each line, in the notation of its lab, and how each of them is used."""
    labs = practice.tables["labs"]
    notation = {plain(lab): str(way) for lab, way in zip(labs["lab"], labs["tooth_notation"], strict=True)}
    said, where = distinct(frame, "lab", "teeth", "role", "product")
    found, used = np.empty(len(said), dtype=object), np.empty(len(said), dtype=object)
    for position, (lab, text, role, product) in enumerate(said):
        pairs = teeth_with_roles(text, notation.get(plain(lab)) or "ISO", role, product) or ()
        found[position] = tuple(tooth for tooth, _ in pairs)
        used[position] = tuple(how for _, how in pairs)
    return found[where], used[where]


def alloys(practice: Practice, lines: pd.DataFrame) -> np.ndarray[Any, Any]:
    """The alloy of each line: as an alloy line names it, else its material's; "" where neither is known."""
    alloys = {plain(alloy): str(alloy) for alloy in practice.tables["alloys"]["alloy"]}
    materials = practice.tables["materials"]
    of_material = {str(m): str(a) for m, a in zip(materials["material"], materials["alloy"], strict=True)}
    named = lines["alloy"].astype(object).map(lambda word: alloys.get(plain(word), ""))
    own = lines["material"].map(lambda material: alloys.get(plain(of_material.get(material, "")), ""))
    return np.asarray(np.where((lines["treatment"] == ALLOY) & (named != ""), named, own))


def units(lines: pd.DataFrame) -> np.ndarray[Any, Any]:
    """Units as typed; a blank on a line that makes something counts its teeth, or one."""
    teeth = np.maximum(lines["iso"].map(len).to_numpy(), 1)
    typed = lines["units"].to_numpy()
    makes = lines["treatment"].isin((UNIT, REMAKE, ALLOY)).to_numpy()
    return np.where(np.isnan(typed), np.where(makes, teeth, 0), typed)


def copies(lines: pd.DataFrame) -> np.ndarray[Any, Any]:
    """Whether the line stands on a second sheet that repeats an invoice line for line."""
    copy = np.zeros(len(lines), dtype=bool)
    compared = as_compared(lines, lines["treatment"])
    sheets = lines.groupby("invoice_no")["source"].nunique()
    for invoice in sheets.index[sheets > 1]:
        of_invoice = lines[lines["invoice_no"] == invoice]
        seen: list[list[tuple[object, ...]]] = []
        for _, group in of_invoice.groupby("source"):
            facts = compared.loc[group.index].astype(str)
            said = sorted(facts.itertuples(index=False, name=None))
            copy[group["line"].to_numpy()] = said in seen
            seen.append(said)
    return copy
