"""Plans under cost: full fees under an allowed amount, and what each plan's amount leaves of each item."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from feesheet.costing.roster import Roster, words
from feesheet.formula.model import Block, Model, figure
from feesheet.formula.numbers import Numbers
from feesheet.formula.operations import larger, pick, when
from feesheet.formula.tree import Traced
from feesheet.practice import Practice
from feesheet.pricing.plans import allowed_amounts
from feesheet.pricing.results import contribution, contribution_per_chair_hour, margin
from feesheet.pricing.review.seated import FULL_FEE_NO, paid_fee, promised_unit
from feesheet.problems import Problem, Sort

SHEET = "Plans under cost"

COVERS, CONTRIBUTES, LOSES = "covers cost", "under cost, contributes", "loses money on each"
REACHED, MISSED = "reached", "missed"

LONGEST = 60
"""Rows up to which every plan's amounts are listed; of more, those that reach the target margin are left out."""

RAISE = "Raise the full fee to the allowed amount or above, unless the plan's contract says otherwise."


@figure("Lost a claim", "money")
def lost(allowed: Traced, fee: Traced, kept_of_fee: Traced) -> Traced:
    """What each claim loses because the plan pays the full fee, being lower than its amount. Unit: money a unit.

    >>> lost(1100.0, 1000.0, 0.98)
    98.0
    """
    return larger(allowed - fee, 0) * kept_of_fee


@figure("Lost in the period", "money")
def lost_in_period(lost: Traced, units: Traced) -> Traced:
    """The same over the plan's units of the period. Unit: money."""
    return lost * units


@figure("Left a unit", "money")
def left_a_unit(net: Traced, unit_cost: Traced) -> Traced:
    """What the plan's money leaves after all costs of one unit. Unit: money a unit."""
    return net - unit_cost


@figure("Left in the period", "money")
def left_in_period(left_a_unit: Traced, units: Traced) -> Traced:
    """The same over the plan's units of the period. Unit: money."""
    return left_a_unit * units


@figure("Answer", "text")
def answer(left_a_unit: Traced, contribution: Traced) -> Traced:
    """Whether the plan covers the whole cost; if not, whether it is worth having while chairs are idle."""
    return pick(1 + (left_a_unit < 0) + (contribution < 0) * (left_a_unit < 0), COVERS, CONTRIBUTES, LOSES)


@figure("Target margin", "text")
def target_reached(net: Traced, target: Traced, unit_cost: Traced) -> Traced:
    """Whether the target margin is reached on the plan's money alone."""
    return when(net * (1 - target) >= unit_cost, REACHED, MISSED)


@dataclass(frozen=True)
class Pair:
    """An item (from 1) and a plan (from 1) with an allowed amount for it, and the item's current fee."""

    item: int
    plan: int
    allowed: float
    fee: float


def add_plan_fees(model: Model, practice: Practice, who: Roster, numbers: Numbers) -> list[Problem]:
    """Add full fees under an allowed amount, first of all, then every plan's amounts; a notice for each of the first."""
    pairs = _pairs(practice, who)
    under = [pair for pair in pairs if pair.fee < pair.allowed]
    under.sort(key=lambda pair: (pair.fee - pair.allowed, pair.item, pair.plan))
    model.add(_under_allowed_block(practice, who, under))
    ranked = _ranked(pairs, numbers)
    shown = [pair for pair, short in ranked if short or len(ranked) <= LONGEST]
    model.add(_plan_block(practice, who, shown, len(ranked) - len(shown)))
    return _under_allowed(practice, who, under)


def _ranked(pairs: Sequence[Pair], numbers: Numbers) -> list[tuple[Pair, bool]]:
    """The worst margin first, and whether each misses its target margin."""
    kept, target = (np.asarray(numbers.of("plan_items", name), float) for name in ("kept_of_fee", "target"))
    unit_cost = np.asarray(numbers.of("costs", "unit_cost"), float)
    margins, short = [], []
    for pair in pairs:
        at = pair.item - 1
        net = promised_unit(paid_fee(pair.fee, pair.allowed), kept[at])
        margins.append(margin(net, unit_cost[at]))
        short.append(target_reached(net, target[at], unit_cost[at]) == MISSED)
    order = sorted(range(len(pairs)), key=lambda row: (margins[row], row))
    return [(pairs[row], short[row]) for row in order]


def _pairs(practice: Practice, who: Roster) -> list[Pair]:
    """Every item with a current fee by every plan with an allowed amount for it."""
    allowed = allowed_amounts(practice, who).to_numpy(dtype=float)
    fees = who.items["current_fee"].to_numpy(dtype=float)
    return [
        Pair(int(item) + 1, int(plan) + 1, float(allowed[item, plan]), float(fees[item]))
        for item, plan in np.argwhere(~np.isnan(allowed))
        if fees[item] > 0
    ]


def _facts(block: Block, practice: Practice, who: Roster, pairs: Sequence[Pair]) -> None:
    """Which item and plan each row is, its fee, its amount and the plan's units in the period."""
    plans = words(practice.tables["plans"]["plan"])
    items = who.items.iloc[[pair.item - 1 for pair in pairs]]
    block.given("code", "Code", list(items["code"]), "code")
    block.given("site", "Site", list(items["site"]))
    block.given("plan", "Plan", [plans[pair.plan - 1] for pair in pairs])
    block.counter("item_no", "Item no.", [pair.item for pair in pairs], "Row in the cost build-up.")
    numbers = [(pair.item - 1) * (len(plans) + 1) + pair.plan + FULL_FEE_NO for pair in pairs]
    block.counter("pair_no", "Item and payer no.", numbers, "One number for an item and a payer.")
    block.fetch("fee", "Full fee", "fee", "fee_rules.current_fee", "item_no")
    meaning = "What the plan allows on the period's last day."
    block.given("allowed", "Allowed", [pair.allowed for pair in pairs], "money", meaning=meaning)
    block.fetch("kept_of_fee", "Kept of a fee", "fraction", "plan_items.kept_of_fee", "item_no")
    meaning = "The plan's units of the item in the period."
    block.total("units", "Units", "units", "earned.units", "earned.pair_no", "pair_no", meaning=meaning)


def _under_allowed_block(practice: Practice, who: Roster, pairs: Sequence[Pair]) -> Block:
    """Full fees under what a plan would pay, the largest loss a claim first."""
    block = Block(
        "under_allowed",
        SHEET,
        "Full fees under an allowed amount",
        len(pairs),
        "A plan pays the lower of the two, so every such claim loses money. Payer contracts override what stands here.",
        label=("code", "site", "plan"),
    )
    _facts(block, practice, who, pairs)
    block.worked(lost)
    block.worked(lost_in_period)
    return block


def _plan_block(practice: Practice, who: Roster, pairs: Sequence[Pair], left_out: int) -> Block:
    """What each plan's amount leaves, the worst margin first."""
    note = (
        "Worst margin first, as issued. Two answers: whether the whole cost is covered, and whether the plan is worth "
        "having while chairs are idle. Payer contracts override."
    )
    if left_out:
        note += f" {left_out} rows that reach the target margin are left out."
    block = Block(
        "plan_under_cost", SHEET, "What plans leave", len(pairs), note, label=("code", "site", "plan")
    )
    _facts(block, practice, who, pairs)
    block.worked(paid_fee, current_fee="fee")
    block.worked(promised_unit, name="net", heading="Net from the plan")
    for name, heading, unit, source in (
        ("unit_cost", "Unit cost", "money", "costs.unit_cost"),
        ("variable_cost", "Variable cost", "money", "costs.variable_cost"),
        ("chair_min", "Chair minutes", "minutes", "costs.chair_min"),
        ("target", "Target", "fraction", "plan_items.target"),
    ):
        block.fetch(name, heading, unit, source, "item_no")
    block.worked(left_a_unit)
    block.worked(margin)
    block.worked(contribution)
    block.worked(contribution_per_chair_hour)
    block.worked(answer)
    block.worked(target_reached)
    block.worked(left_in_period)
    return block


def _under_allowed(practice: Practice, who: Roster, pairs: Iterable[Pair]) -> list[Problem]:
    """One notice a fee and plan."""
    plans = words(practice.tables["plans"]["plan"])
    problems = []
    for pair in pairs:
        item = who.items.iloc[pair.item - 1]
        what = (
            f"{item['code']} at {item['site']}: the full fee, {pair.fee:,.2f}, is under the {pair.allowed:,.2f} that "
            f"{plans[pair.plan - 1]} allows; the plan pays the lower of the two."
        )
        place = practice.place("fees", int(item["fee_row"]) - 1, "current_fee")
        many = Sort("full fees under a plan's allowed amount", RAISE)
        problems.append(Problem("caution", what, RAISE, *place, sort=many))
    return problems
