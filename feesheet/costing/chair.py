"""What people's time costs: pay a minute, expected minutes, and the steps of each item."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
import pandas as pd

from feesheet.costing.entries import entry
from feesheet.costing.regions import EVERYWHERE
from feesheet.costing.roster import Roster, numbers_of, words
from feesheet.formula.model import Block, Model, figure
from feesheet.formula.tree import Traced
from feesheet.practice import Practice
from feesheet.reference import fixed
from feesheet.schema import plain


@figure("Pay a minute", "money_per_min")
def staff_cost_per_min(
    yearly_cost: Traced, productive_hours: Traced, minutes_per_hour: Traced = fixed("minutes_per_hour")
) -> Traced:
    """What a minute of the role costs. Unit: money per min.

    Source: capacity cost rate, Kaplan & Anderson, Harvard Business Review, November 2004.
    """
    return yearly_cost / (productive_hours * minutes_per_hour)


@figure("Expected minutes", "minutes")
def expected_min(
    low_min: Traced,
    likely_min: Traced,
    high_min: Traced,
    likely_weight: Traced = fixed("likely_weight"),
    weights_in_all: Traced = fixed("weights_in_all"),
) -> Traced:
    """The three-point estimate of a step: low and high once, likely four times. Unit: min.

    Source: Malcolm, Roseboom, Clark & Fazar, Operations Research 7 (1959) 646-669.
    >>> expected_min(5, 8, 14)
    8.5
    """
    return (low_min + likely_weight * likely_min + high_min) / weights_in_all


@figure("Chair minutes", "minutes")
def chair_min(expected_min: Traced, chair: Traced) -> Traced:
    """Minutes in which the chair is occupied: not the dentist's minutes, not the appointment's length. Unit: min."""
    return expected_min * chair


@figure("Chair minutes again", "minutes")
def repeated_chair_min(chair_min: Traced, repeated: Traced) -> Traced:
    """Chair minutes that a remake takes again. Unit: min."""
    return chair_min * repeated


@figure("Pay", "money")
def step_pay(expected_min: Traced, staff_cost_per_min: Traced) -> Traced:
    """One role's pay for one step. Unit: money a unit."""
    return expected_min * staff_cost_per_min


@figure("Of it dentist", "money")
def dentist_pay(step_pay: Traced, dentist: Traced) -> Traced:
    """The part of it that is a dentist's pay. Unit: money a unit."""
    return step_pay * dentist


@figure("Of it dentist again", "money")
def repeated_dentist_pay(dentist_pay: Traced, repeated: Traced) -> Traced:
    """The part of a dentist's pay that a remake takes again. Unit: money a unit."""
    return dentist_pay * repeated


@figure("Pay again", "money")
def repeated_pay(step_pay: Traced, repeated: Traced) -> Traced:
    """Pay that a remake takes again. Unit: money a unit."""
    return step_pay * repeated


def staff_block(practice: Practice) -> Block:
    """The roles' pay a minute, one row as typed."""
    table = practice.tables["staff"]
    block = Block("staff", "Chair time", "Staff roles", len(table), label=("role", "site"))
    block.number()
    block.given("role", "Role", words(table["role"]))
    block.given("site", "Site", [site or "all" for site in words(table["site"])])
    block.counter("dentist", "Dentist", table["dentist"].to_numpy().astype(int), "1 for a dentist.")
    entry(block, practice, "staff", "yearly_cost", "Yearly cost", "money")
    entry(block, practice, "staff", "productive_hours", "Productive hours", "number")
    block.worked(staff_cost_per_min)
    return block


def staff_rows(practice: Practice) -> dict[tuple[str, str], int]:
    """The row of every role and site as typed, both made plain."""
    table = practice.tables["staff"]
    pairs = zip(table["role"], table["site"], strict=True)
    return {(plain(role), plain(site)): number for number, (role, site) in enumerate(pairs, start=1)}


def staff_number(rows: Mapping[tuple[str, str], int], role: str, site: str) -> int:
    """The row of the role at the site; the row for all sites where it has none of its own; 0 where it has neither."""
    everywhere = rows.get((plain(role), ""), rows.get((plain(role), EVERYWHERE), 0))
    return rows.get((plain(role), plain(site)), everywhere)


def dentist_is_paid(practice: Practice) -> bool:
    """Whether a role that takes part in some step is a dentist's and costs anything."""
    table = practice.tables["staff"]
    paid = {plain(role) for role in table.loc[table["dentist"] & (table["yearly_cost"] > 0), "role"]}
    taken = {
        plain(role) for roles in practice.tables["chair_time"]["roles"] for role in str(roles).split("+")
    }
    return bool(paid & taken)


def step_rows(practice: Practice) -> pd.DataFrame:
    """The steps with the set they belong to: the code's, the material's at a tooth region, or the material's."""
    table = practice.tables["chair_time"].copy()
    table["step_set"] = [
        ("code", plain(code), "") if str(code) else ("material", plain(material), _own_region(str(region)))
        for code, material, region in zip(
            table["code"], table["material"], table["tooth_region"], strict=True
        )
    ]
    figures = table[["low_min", "likely_min", "high_min"]]
    only = figures.bfill(axis=1).iloc[:, 0]
    for column in ("low_min", "likely_min", "high_min"):
        table[column] = table[column].fillna(only)
    return table


def _own_region(region: str) -> str:
    """The region of a step row; "" where it holds for every tooth, be it blank or "all"."""
    return "" if region == EVERYWHERE else region


def set_of_item(
    sets: set[tuple[str, str, str]], code: str, material: str, region: str
) -> tuple[str, str, str] | None:
    """The one set of steps that an item takes; sets are never added together."""
    for wanted in (
        ("code", plain(code), ""),
        ("material", plain(material), region),
        ("material", plain(material), ""),
    ):
        if wanted in sets:
            return wanted
    return None


def steps_block(practice: Practice, steps: pd.DataFrame, sets: list[tuple[str, str, str]]) -> Block:
    """The steps as typed, with their expected minutes."""
    block = Block(
        "steps",
        "Chair time",
        "Steps",
        len(steps),
        label=("of", "region", "visit", "step", "roles"),
        note="A step with one figure uses it as low, likely and high.",
    )
    block.number()
    block.counter(
        "set_no", "Set no.", numbers_of(steps["step_set"], sets), "Steps with one number belong together."
    )
    block.given(
        "of",
        "Code or material",
        [str(c) or str(m) for c, m in zip(steps["code"], steps["material"], strict=True)],
        width=26,
    )
    block.given("region", "Tooth region", [str(r) for r in steps["tooth_region"]])
    block.given("visit", "Visit", words(steps["visit"]))
    block.given("step", "Step", words(steps["step"]), width=26)
    block.given("roles", "Roles", words(steps["roles"]), width=20)
    _typed_minutes(block, practice, steps)
    block.counter(
        "chair", "Chair occupied", steps["chair"].to_numpy().astype(int), "1 if the chair is taken."
    )
    block.counter(
        "repeated",
        "Repeated on a remake",
        steps["repeated"].to_numpy().astype(int),
        "1 if a remake needs it again.",
    )
    block.worked(expected_min)
    block.worked(chair_min)
    block.worked(repeated_chair_min)
    return block


def _typed_minutes(block: Block, practice: Practice, steps: pd.DataFrame) -> None:
    """The low, likely and high minutes of each step, as typed."""
    for field, heading in (("low_min", "Low"), ("likely_min", "Likely"), ("high_min", "High")):
        block.given(
            field,
            heading,
            list(steps[field]),
            "minutes",
            entry=True,
            low=0.0,
            high=1440.0,
            places=[practice.place("chair_time", p, field) for p in range(len(steps))],
            meaning="Typed minutes.",
        )


def step_pay_rows(
    practice: Practice, who: Roster, steps: pd.DataFrame, set_sites: Sequence[object]
) -> pd.DataFrame:
    """One row per step, role and site."""
    rows, staff = [], staff_rows(practice)
    for number, (step_set, roles) in enumerate(
        zip(steps["step_set"], words(steps["roles"]), strict=True), start=1
    ):
        for site in who.sites:
            for role in (part.strip() for part in roles.split("+")):
                rows.append((number, staff_number(staff, role, site), (step_set, site), site, role))
    table = pd.DataFrame(rows, columns=["step_no", "staff_no", "set_site", "site", "role"])
    table["set_site_no"] = numbers_of(table["set_site"], set_sites)
    return table[table["set_site_no"] > 0].reset_index(drop=True)


def step_pay_block(rows: pd.DataFrame) -> Block:
    """What each step costs in pay, one row per step, role and site."""
    block = Block("step_pay", "Chair time", "Pay by step and site", len(rows), label=("site", "role"))
    block.counter("step_no", "Step no.", list(rows["step_no"]), "Row in the steps.")
    block.counter("staff_no", "Staff no.", list(rows["staff_no"]), "Row in the staff roles.")
    block.counter(
        "set_site_no",
        "Set and site no.",
        list(rows["set_site_no"]),
        "Rows with one number belong to one sum.",
    )
    block.given("site", "Site", list(rows["site"]))
    block.given("role", "Role", list(rows["role"]))
    block.fetch("expected_min", "Expected minutes", "minutes", "steps.expected_min", "step_no")
    block.fetch("repeated", "Repeated on a remake", "whole", "steps.repeated", "step_no")
    block.fetch("staff_cost_per_min", "Pay a minute", "money_per_min", "staff.staff_cost_per_min", "staff_no")
    block.fetch("dentist", "Dentist", "whole", "staff.dentist", "staff_no")
    block.worked(step_pay)
    block.worked(dentist_pay)
    block.worked(repeated_pay)
    block.worked(repeated_dentist_pay)
    return block


def add_chair_time(model: Model, practice: Practice, who: Roster) -> tuple[np.ndarray, np.ndarray]:
    """Add the blocks about time; returns each item's set number and set-and-site number (0: no steps)."""
    steps = step_rows(practice)
    sets = list(dict.fromkeys(steps["step_set"]))
    items = who.items
    taken = [
        set_of_item(set(sets), code, material, region)
        for code, material, region in zip(items["code"], items["material"], items["region"], strict=True)
    ]
    set_sites = list(dict.fromkeys((s, site) for s, site in zip(taken, items["site"], strict=True) if s))
    model.add(steps_block(practice, steps, sets))
    model.add(staff_block(practice))
    model.add(step_pay_block(step_pay_rows(practice, who, steps, set_sites)))
    return numbers_of(taken, sets), numbers_of(list(zip(taken, items["site"], strict=True)), set_sites)
