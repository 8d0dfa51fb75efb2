"""What each crown earned in a period: item by payer by dentist, with units, money and the costs of the fee schedule."""

from __future__ import annotations

import numpy as np
import pandas as pd

from feesheet.costing.places import lab_places
from feesheet.costing.roster import Roster, numbers_of
from feesheet.formula.model import Block, Model
from feesheet.formula.numbers import Numbers
from feesheet.formula.operations import grand_product
from feesheet.formula.tree import Traced, Whole, figure_in, node
from feesheet.practice import Practice
from feesheet.pricing.checks import Check
from feesheet.pricing.inputs import FULL_FEE
from feesheet.pricing.plans import allowed_amounts
from feesheet.pricing.results import margin
from feesheet.pricing.review import earned_figures as figures
from feesheet.pricing.review.earned_basis import Basis, note_of
from feesheet.pricing.review.left_out import lab_units_left_out, other_days_only, seated_left_out
from feesheet.pricing.review.period import Period
from feesheet.pricing.review.period_units import SHEET, add_period_units, tooth_regions
from feesheet.pricing.review.seated import (
    FULL_FEE_NO,
    paid_fee,
    payers,
    promised_unit,
    seated_block,
    seated_rows,
)
from feesheet.pricing.summary import sum_of
from feesheet.problems import Problem

NO_LAB_WORK = "no lab work"

Row = tuple[int, int, str]
"""Item and payer, both from 1, and the dentist."""


def add_earned(
    model: Model, practice: Practice, who: Roster, parts: pd.DataFrame, now: Period, then: Period | None
) -> list[Problem]:
    """Add what each crown earned; tell what is in none of it, and what is counted as promised.

    `parts` are the invoice lines with their meaning: they say where units stand that no code takes.
    """
    rows = seated_rows(practice, who, now, then)
    then_seated = bool(rows["in_then"].any())
    then_labs = then is not None and not then_seated and "then_lab_fees" in model.blocks
    basis = Basis(bool(rows["in_now"].any()), then_seated, then_labs)
    add_period_units(model, who, now, then, basis.then_labs)
    grain = _grain(practice, who, rows, basis)
    if len(rows):
        keys = zip(rows["item"], rows["payer"], rows["person"], strict=True)
        earned_no = numbers_of([(int(item), int(payer), str(person)) for item, payer, person in keys], grain)
        model.add(seated_block(practice, rows, list(np.where(rows["why"] == "", earned_no, 0))))
    model.add(_earned_block(practice, who, grain, basis, then))
    worked_out = Numbers(model)
    if basis.now_seated:
        return seated_left_out(practice, rows, worked_out)
    return [*other_days_only(practice), *lab_units_left_out(practice, parts, worked_out)]


def _grain(practice: Practice, who: Roster, rows: pd.DataFrame, basis: Basis) -> list[Row]:
    """The rows of what was earned: every item by every payer where money is promised, and what was seated.

    An item that nothing was seated of has one row, of the full fee.
    """
    count = len(payers(practice, FULL_FEE))
    items = range(1, len(who.items) + 1)
    kept = rows[rows["why"] == ""]
    found = set(
        zip(kept["item"].astype(int), kept["payer"].astype(int), kept["person"].astype(str), strict=True)
    )
    if basis.promised:
        found |= {(item, payer, "") for item in items for payer in range(1, count + 1)}
    found |= {(item, FULL_FEE_NO, "") for item in {*items} - {item for item, _, _ in found}}
    return sorted(found)


def _earned_block(
    practice: Practice, who: Roster, grain: list[Row], basis: Basis, then: Period | None
) -> Block:
    """One row an item, payer and dentist."""
    block = Block(
        "earned",
        SHEET,
        "What each crown earned",
        len(grain),
        note_of(practice, basis, then),
        label=("code", "site", "payer", "dentist"),
    )
    block.number()
    _who_is_who(block, practice, who, grain)
    if basis.promised:
        _promised_columns(block, practice, who, grain, basis)
    _money_columns(block, basis)
    for name, heading, unit, source in (
        ("unit_cost", "Unit cost", "money", "costs.unit_cost"),
        ("variable_cost", "Variable cost", "money", "costs.variable_cost"),
        ("dentist_pay", "Dentist's pay", "money", "period_items.dentist_pay"),
        ("chair_min", "Chair minutes", "minutes", "costs.chair_min"),
    ):
        block.fetch(name, heading, unit, source, "item_no")
    block.worked(figures.cost)
    block.worked(figures.earned_contribution, name="contribution")
    for function in (figures.left, figures.left_before_dentist, figures.chair_hours):
        block.worked(function)
    block.worked(margin, net="received", unit_cost="cost")
    for function in (figures.has_margin, figures.margin_if_low, figures.margin_if_high):
        block.worked(function)
    return block


def _who_is_who(block: Block, practice: Practice, who: Roster, grain: list[Row]) -> None:
    """Labels and the numbers of what each row is part of."""
    named, regions = payers(practice, FULL_FEE), tooth_regions(who)
    items = who.items.iloc[[item - 1 for item, _, _ in grain]]
    people = sorted({person for _, _, person in grain})
    block.given("code", "Code", list(items["code"]), "code")
    block.given("site", "Site", list(items["site"]))
    block.given("material", "Material", [name or NO_LAB_WORK for name in items["material"]], width=24)
    block.given("region", "Tooth region", list(items["region"]))
    block.given("payer", "Payer", [named[payer - 1] for _, payer, _ in grain])
    block.given("dentist", "Dentist", [person for _, _, person in grain])
    pairs = [(item - 1) * len(named) + payer for item, payer, _ in grain]
    places = list(zip(items["material"], items["region"], items["site"], strict=True))
    for name, heading, values, meaning in (
        ("item_no", "Item no.", [item for item, _, _ in grain], "Row in the cost build-up."),
        ("payer_no", "Payer no.", [payer for _, payer, _ in grain], "1: the full fee; then the plans."),
        ("dentist_no", "Dentist no.", numbers_of([p for _, _, p in grain], people), "Number of the dentist."),
        ("site_no", "Site no.", numbers_of(items["site"], who.sites), "Row in the sites."),
        ("material_no", "Material no.", numbers_of(items["material"], who.materials), "Row in the materials; 0: none."),
        ("region_no", "Region no.", numbers_of(items["region"], regions), "Number of the tooth region."),
        ("place_no", "Lab fee no.", numbers_of(places, lab_places(who)), "Row in the lab fees; 0: no lab work."),
        ("pair_no", "Item and payer no.", pairs, "One number for an item and a payer."),
    ):  # fmt: skip
        block.counter(name, heading, values, meaning)


def _promised_columns(block: Block, practice: Practice, who: Roster, grain: list[Row], basis: Basis) -> None:
    """The item's units by the labs' invoices, the payer's share of them and what a unit should bring."""
    if not basis.now_seated:
        block.fetch("period_units", "Units of the item", "units", "period_items.period_units", "item_no")
    if basis.then_labs:
        source = "period_items.period_units_then"
        block.fetch("period_units_then", "Units of the item then", "units", source, "item_no")
    shares = [_share(item, payer) if not person else node(0) for item, payer, person in grain]
    meaning = "Share of the item's patients; a plan without an allowed amount counts as full fee."
    block.listed("payer_share", "Share of patients", "fraction", shares, meaning)
    allowed = allowed_amounts(practice, who).to_numpy(dtype=float)
    amounts = [
        allowed[item - 1, payer - 2] if payer > FULL_FEE_NO else float("nan") for item, payer, _ in grain
    ]
    meaning = "What the plan allows on the period's last day; blank: the full fee."
    block.given("allowed", "Allowed", amounts, "money", meaning=meaning)
    block.fetch("current_fee", "Current fee", "fee", "fee_rules.current_fee", "item_no")
    block.fetch("kept_of_fee", "Kept of a fee", "fraction", "plan_items.kept_of_fee", "item_no")
    block.worked(paid_fee)
    block.worked(promised_unit)


def _share(item: int, payer: int) -> Traced:
    """Where the payer's share of the item's patients stands."""
    column = "cash_full_share" if payer == FULL_FEE_NO else f"cash_share_{payer - FULL_FEE_NO}"
    return figure_in("plan_items", column, item)


def _money_columns(block: Block, basis: Basis) -> None:
    """Units and money, of the period and of the one that it is compared with."""
    for then, heading, seated, labs in (
        ("", "", basis.now_seated, not basis.now_seated),
        ("_then", " then", basis.then_seated, basis.then_labs),
    ):
        units, received = f"units{then}", f"received{then}"
        if seated:
            flag = f"seated.in{then or '_now'}"
            for name, said, unit, source in (
                (units, "Units", "units", "seated.units"),
                (received, "Received", "money", "seated.money"),
            ):
                block.total(name, said + heading, unit, source, "seated.earned_no", "no", flag)
        elif labs:
            of_period = f"period_units{then}"
            block.worked(figures.promised_units, units, f"Units{heading}", period_units=of_period)
            block.worked(figures.promised_money, received, f"Received{heading}", units=units)
        else:
            block.tree(units, f"Units{heading}", "units", node(0), "Not known.")
            block.tree(received, f"Received{heading}", "money", node(0), "Not known.")


def earned_checks(model: Model) -> list[Check]:
    """Money and units of what was earned, against where they come from."""
    if "period_units" in model.blocks["earned"].columns:
        of_codes = grand_product(Whole("margins", "n"), Whole("period_items", "place_part"))
        return [
            (
                "Units earned, against the items' units of the period",
                sum_of("earned.units"),
                sum_of("period_items.period_units"),
            ),
            (
                "Lab units of the period: those of codes with a fee and those in no code",
                of_codes + sum_of("period_places.units_in_no_code"),
                sum_of("lines.units_counted"),
            ),
        ]
    in_now = Whole("seated", "in_now")
    return [
        (
            "Money of the work seated: earned and left out",
            sum_of("earned.received") + sum_of("seated.money_left_out"),
            grand_product(Whole("seated", "money"), in_now),
        ),
        (
            "Units of the work seated: earned and left out",
            sum_of("earned.units") + sum_of("seated.units_left_out"),
            grand_product(Whole("seated", "units"), in_now),
        ),
    ]
