"""The rows of the Rules sheet: which rule each names, its value, and the items that it acts on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import pandas as pd

from feesheet.costing.roster import Roster
from feesheet.practice import Practice
from feesheet.pricing.rules import (
    Rule,
    names,
)
from feesheet.problems import Problem
from feesheet.schema import plain

LARGE_RISE = 0.25
"""A largest rise above this is asked about (common practice, no source)."""


@dataclass(frozen=True)
class RuleRow:
    """One row of the Rules sheet: its rule, and the items that it acts on.

    `named` says that the row names them. `rungs` has the item numbers of each item's lower rungs, one row a rung (0: none).
    """

    number: int
    rule: Rule
    value: float
    way: str
    acts_on: np.ndarray
    named: bool
    rungs: np.ndarray
    place: str


def rule_rows(
    practice: Practice, who: Roster, known: Mapping[str, Rule]
) -> tuple[list[RuleRow], list[Problem]]:
    """The rules in order, and what is wrong with them."""
    table = practice.tables["rules"]
    rows: list[RuleRow] = []
    problems: list[Problem] = []
    for position in np.argsort(table["order"].to_numpy(), kind="stable"):
        row = table.iloc[int(position)]
        file, sheet, cell = practice.place("rules", int(position), "rule")
        rule = known.get(plain(row["rule"]))
        wrong = _wrong(row, rule, who, known)
        if wrong or rule is None:
            what, cure = wrong or ("", "")
            problems.append(Problem("rule refused", what, cure, file, sheet, cell))
            continue
        if rule.name == "largest rise" and row["value"] > LARGE_RISE:
            what = f"A largest rise of {row['value']:.0%} is unusual."
            problems.append(Problem("caution", what, "Make sure that it is meant.", file, sheet, cell))
        value = float(row["value"]) if not np.isnan(row["value"]) else float(rule.default or 0.0)
        applies = plain(row["applies_to"])
        rows.append(
            RuleRow(
                len(rows) + 1,
                rule,
                value,
                str(row["way"]),
                _matching(who, applies),
                bool(applies),
                _rungs(who, applies, plain(row["not_under"])),
                ", ".join(practice.place("rules", int(position), "value")),
            )
        )
    return rows, problems


def _wrong(
    row: pd.Series, rule: Rule | None, who: Roster, known: Mapping[str, Rule]
) -> tuple[str, str] | None:
    if rule is None:
        return (
            f'"{row["rule"]}" is not a rule that is known here.',
            f"Type one of: {names(list(known.values()))}.",
        )
    takes_value = "rule_value" in rule.bound.__code__.co_varnames
    if takes_value and rule.default is None and np.isnan(row["value"]):
        return (
            f"The rule {rule.name} has no value.",
            "Type it in the Value column, for example 0.08 for a rise of 8 % or 5 for steps of 5.",
        )
    if takes_value and rule.value_unit == "fraction" and row["value"] > 1:
        typed = float(row["value"])
        return (
            f"{typed:g} was typed as the value of {rule.name}, which is a fraction.",
            f"For {typed:g} % type {typed / 100:g}.",
        )
    if rule.acts == "round" and not row["value"] > 0:
        return "A rounding step of nought can't be.", "Type the step in money, for example 5."
    for column in ("applies_to", "not_under"):
        name = plain(row[column])
        if name and not _matching(who, name).any():
            return (
                f'"{row[column]}" is neither a material nor a code of the fee schedule.',
                "Type one that is, or leave it blank.",
            )
    if rule.acts == "ladder" and not plain(row["not_under"]):
        return "A ladder needs the lower rung.", 'Type a material or a code in the column "Not under".'
    return None


def _matching(who: Roster, name: str) -> np.ndarray:
    """The items that a material or code names; all for a blank."""
    items = who.items
    if not name:
        return np.ones(len(items), dtype=bool)
    return np.array(
        [name in (plain(m), plain(c)) for m, c in zip(items["material"], items["code"], strict=True)]
    )


def _rungs(who: Roster, applies: str, rung: str) -> np.ndarray:
    """The item numbers of each item's lower rungs, one row a rung: that code at the same site, that material at site and region."""
    items = who.items
    places: dict[tuple[str, ...], list[int]] = {}
    facts = zip(items["code"], items["material"], items["region"], items["site"], strict=True)
    for n, (code, material, region, site) in enumerate(facts, 1):
        if rung == plain(code):
            places.setdefault((site,), []).append(n)
        elif rung and rung == plain(material):
            places.setdefault((site, region), []).append(n)
    acts, found = _matching(who, applies), []
    for n, (region, site) in enumerate(zip(items["region"], items["site"], strict=True), 1):
        under = [*places.get((site,), ()), *places.get((site, region), ())]
        found.append([other for other in under if other != n and acts[n - 1] and rung])
    width = max((len(under) for under in found), default=0)
    return (
        np.array([[*under, *[0] * (width - len(under))] for under in found], dtype=np.int64)
        .reshape(len(items), width)
        .T
    )
