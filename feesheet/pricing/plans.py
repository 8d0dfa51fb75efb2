"""What comes in from a fee when some patients are on plans, and the fee that covers cost and margin."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import pandas as pd

from feesheet.costing.components import item_facts
from feesheet.costing.roster import Roster, words
from feesheet.formula.model import Block, Model, Setting, figure
from feesheet.formula.operations import (
    all_of,
    known,
    larger,
    largest_across,
    lesser_each,
    ratio,
    round_to,
    same,
    sum_across,
    times_each,
    when,
    where_at_most,
)
from feesheet.formula.tree import Traced
from feesheet.practice import Practice
from feesheet.reference import fixed
from feesheet.schema import plain

WITH_PLANS = "with plans"
CANNOT = "cannot be reached by the fee"


@figure("Allowed, else 0", "money")
def allowed_or_none(allowed: Traced) -> Traced:
    """The plan's allowed amount; nought where it has none for the item. Unit: money a unit."""
    return when(known(allowed), allowed, 0)


@figure("Cash share", "fraction")
def cash_share(allowed: Traced, plan_share: Traced) -> Traced:
    """Share of patients whose plan allows an amount for the item; a plan without one counts as full fee."""
    return known(allowed) * plan_share


@figure("Counted share", "fraction")
def counted_share(cash_share: Traced, margin_basis: Traced) -> Traced:
    """That share, left out when the margin basis is the full fee."""
    return when(same(margin_basis, WITH_PLANS), cash_share, 0)


@figure("Full-fee share", "fraction")
def full_share(counted_each: Traced, compare_digits: Traced = fixed("compare_digits")) -> Traced:
    """Share of patients who pay the full fee."""
    return round_to(1 - sum_across(counted_each), compare_digits)


@figure("Full-fee share, cash", "fraction")
def cash_full_share(cash_each: Traced, compare_digits: Traced = fixed("compare_digits")) -> Traced:
    """Share of patients who pay the full fee, whatever the margin basis."""
    return round_to(1 - sum_across(cash_each), compare_digits)


@figure("Target margin", "fraction")
def target(own_target: Traced, target_margin: Traced) -> Traced:
    """The item's own target margin, else the practice's."""
    return when(known(own_target), own_target, target_margin)


@figure("Kept of a fee", "fraction")
def kept_share(collected: Traced, card_cost: Traced) -> Traced:
    """What stays of the money billed: the share collected, less what card companies keep."""
    return collected * (1 - card_cost)


@figure("Net needed", "money")
def net_needed(unit_cost: Traced, target: Traced) -> Traced:
    """What must come in for the cost and the margin. Unit: money a unit.

    >>> round(net_needed(520, 0.4), 2)
    866.67
    """
    return unit_cost / (1 - target)


@figure("Billed needed", "money")
def billed_needed(net_needed: Traced, kept_of_fee: Traced) -> Traced:
    """What must be billed, on the mean over patients, for that to come in. Unit: money a unit."""
    return net_needed / kept_of_fee


@figure("Share capped", "fraction")
def capped_share(allowed_each: Traced, counted_each: Traced, allowed: Traced) -> Traced:
    """Share of patients on plans that allow no more than this plan does."""
    return sum_across(times_each(where_at_most(allowed_each, allowed), counted_each))


@figure("Money capped", "money")
def capped_money(allowed_each: Traced, counted_each: Traced, allowed: Traced) -> Traced:
    """What those plans bring at their allowed amounts. Unit: money a unit."""
    return sum_across(
        times_each(where_at_most(allowed_each, allowed), times_each(counted_each, allowed_each))
    )


@figure("Fee if capped", "money")
def fee_if_capped(
    billed_needed: Traced,
    capped_money: Traced,
    capped_share: Traced,
    compare_digits: Traced = fixed("compare_digits"),
) -> Traced:
    """The fee that the other patients would have to pay if those plans stay at their allowed amounts. Unit: money."""
    return ratio(billed_needed - capped_money, round_to(1 - capped_share, compare_digits), 0)


@figure("Most from plans", "money")
def most_from_plans(allowed_each: Traced, counted_each: Traced) -> Traced:
    """What the plans bring at the most. Unit: money a unit."""
    return sum_across(times_each(counted_each, allowed_each))


@figure("Out of reach", "whole")
def out_of_reach(
    full_share: Traced,
    billed_needed: Traced,
    most_from_plans: Traced,
    step_digits: Traced = fixed("step_digits"),
) -> Traced:
    """1 if nobody pays the full fee and the plans bring too little: no fee reaches the margin."""
    return all_of(full_share <= 0, round_to(billed_needed - most_from_plans, step_digits) > 0)


@figure("Needed fee", "money")
def needed_fee(billed_needed: Traced, capped_each: Traced) -> Traced:
    """The smallest fee with which the cost and the margin come in. Unit: money.

    The sum over patients is a concave function of the fee, the least of the straight lines that hold when
    the plans up to each allowed amount are capped; so the fee is the largest of those lines' answers, and
    none is under nought.
    """
    return larger(billed_needed, largest_across(capped_each), 0)


@figure("Needed fee, or why none", "money")
def needed_shown(out_of_reach: Traced, needed_fee: Traced) -> Traced:
    """The needed fee, or the words that none reaches the margin."""
    return when(out_of_reach >= 1, CANNOT, needed_fee)


@figure("Shortfall", "money")
def shortfall(
    out_of_reach: Traced, billed_needed: Traced, most_from_plans: Traced, kept_of_fee: Traced
) -> Traced:
    """What is missing a unit where no fee reaches the margin. Unit: money a unit."""
    return out_of_reach * (billed_needed - most_from_plans) * kept_of_fee


@figure("Net", "money")
def net(
    fee: Traced, kept_of_fee: Traced, full_share: Traced, counted_each: Traced, allowed_each: Traced
) -> Traced:
    """What comes in from a fee, on the mean over patients; a plan pays the fee or its allowed amount, whichever is less.

    Unit: money a unit.
    """
    return kept_of_fee * (
        full_share * fee + sum_across(times_each(counted_each, lesser_each(allowed_each, fee)))
    )


def plan_settings(practice: Practice) -> list[Setting]:
    """Each plan's share of patients, as settings that may be typed over."""
    table = practice.tables["plans"]
    return [
        Setting(
            f"plan_share_{n}",
            f"Share of patients, {name}",
            "fraction",
            float(share),
            ", ".join(practice.place("plans", n - 1, "plan_share")),
            0.0,
            1.0,
        )
        for n, (name, share) in enumerate(
            zip(words(table["plan"]), table["plan_share"], strict=True), start=1
        )
    ] or [Setting("plan_share_1", "Share of patients on plans", "fraction", 0.0, "no plans given", 0.0, 1.0)]


def allowed_amounts(practice: Practice, who: Roster) -> pd.DataFrame:
    """Each plan's allowed amount for each item on the effective date: one row an item, one column a plan; NaN if none."""
    table = practice.tables["plan_fees"]
    effective = pd.Timestamp(practice.day("effective_date"))
    began = table["allowed_from"].fillna(pd.Timestamp("1900-01-01"))
    held = table[began <= effective].assign(began=began).sort_values("began", kind="stable")
    plans = words(practice.tables["plans"]["plan"]) or ("no plan",)
    result = {}
    for plan in plans:
        mine = held[held["plan"].astype(str).map(plain) == plain(plan)]
        amounts = dict(zip(words(mine["code"]), mine["allowed"], strict=True))
        result[plan] = [float(amounts.get(code, float("nan"))) for code in who.items["code"]]
    return pd.DataFrame(result)


def plans_block(practice: Practice, who: Roster) -> Block:
    """Plans by item: allowed amounts, shares and the fee that is needed."""
    allowed = allowed_amounts(practice, who)
    names = [str(plan) for plan in allowed.columns]
    block = Block(
        "plan_items",
        "Plans",
        "Plans and the needed fee",
        len(who.items),
        aligned="items",
        label=("code", "site"),
    )
    item_facts(block, who)
    _share_columns(block, allowed, names)
    block.given(
        "own_target",
        "Own target",
        list(who.items["own_target"]),
        "fraction",
        meaning="If it differs from the practice's.",
    )
    block.worked(target)
    block.worked(kept_share, name="kept_of_fee")
    block.worked(net_needed)
    block.worked(billed_needed)
    _capped_columns(block, names)
    for function in (most_from_plans, out_of_reach, needed_fee, needed_shown, shortfall):
        block.worked(function)
    return block


def _share_columns(block: Block, allowed: pd.DataFrame, names: Sequence[str]) -> None:
    """Each plan's allowed amount and share of patients, and the share that pays the full fee."""
    for n, plan in enumerate(names, start=1):
        block.given(
            f"allowed_{n}",
            f"Allowed, {plan}",
            list(allowed[plan]),
            "money",
            meaning="The most that the plan lets the practice keep.",
        )
    _per_plan(
        block, names, allowed_or_none, "allowed_counted", "allowed_each", "allowed", allowed="allowed_#"
    )
    _per_plan(
        block,
        names,
        cash_share,
        "cash_share",
        "cash_each",
        "cash share",
        allowed="allowed_#",
        plan_share="plan_share_#",
    )
    _per_plan(
        block,
        names,
        counted_share,
        "counted_share",
        "counted_each",
        "counted share",
        cash_share="cash_share_#",
    )
    block.worked(full_share)
    block.worked(cash_full_share)


def _capped_columns(block: Block, names: Sequence[str]) -> None:
    """The fee that is needed if the plans up to each allowed amount are capped."""
    _per_plan(block, names, capped_share, "capped_share", "", "share capped", allowed="allowed_counted_#")
    _per_plan(block, names, capped_money, "capped_money", "", "money capped", allowed="allowed_counted_#")
    _per_plan(
        block,
        names,
        fee_if_capped,
        "fee_if_capped",
        "capped_each",
        "fee if capped",
        capped_money="capped_money_#",
        capped_share="capped_share_#",
    )


def _per_plan(
    block: Block,
    plans: Sequence[str],
    function: Callable[..., Traced],
    name: str,
    group: str,
    said: str,
    /,
    **renamed: str,
) -> None:
    """One column a plan, and the group of them; a # in a renamed column stands for the plan's number."""
    for n, plan in enumerate(plans, start=1):
        block.worked(
            function,
            name=f"{name}_{n}",
            heading=f"{plan}, {said}",
            **{argument: column.replace("#", str(n)) for argument, column in renamed.items()},
        )
    if group:
        block.group(group, [f"{name}_{n}" for n in range(1, len(plans) + 1)])


def add_plans(model: Model, practice: Practice, who: Roster) -> None:
    """Add the plans' settings and block."""
    for setting in plan_settings(practice):
        model.settings[setting.name] = setting
    model.add(plans_block(practice, who))
