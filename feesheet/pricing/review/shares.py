"""Lab cost as a share of what crowns brought and of all collections, in the period and in the one that it is compared with."""

from __future__ import annotations

from feesheet.costing.line_uses import USED
from feesheet.formula.model import Block, Model, figure
from feesheet.formula.operations import as_text, joined, ratio, when
from feesheet.formula.tree import Traced, figure_in
from feesheet.practice import Practice
from feesheet.pricing.review.period import Period
from feesheet.pricing.review.then_items import collections_block, of_crowns
from feesheet.pricing.summary import sum_of
from feesheet.problems import Problem
from feesheet.reference import fixed

SHEET = "Lab cost"

LAB, ALLOY = 1, 2
"""Rows of what the labs cost."""

BY_REVENUE, BY_COLLECTIONS = 1, 2
"""Rows of the money that lab cost is held against."""

UNKNOWN = "not known"

_COSTS = ("Lab charges used: fees, charges on invoices, alloy", "of it alloy, billed by weight")
_MONEY = ("Crown revenue: items with lab work", "Collections of all dentistry, 0 if not typed")


@figure("Lab cost of it", "fraction")
def lab_share(lab_money: Traced, money: Traced) -> Traced:
    """Lab cost as a share of that money; nought where it is not known. Unit: fraction."""
    return ratio(lab_money, money, 0)


@figure("In words", "text")
def share_in_words(
    lab_share: Traced, money: Traced, complete: Traced, hundred: Traced = fixed("hundred")
) -> Traced:
    """The share in percent, with one decimal; not known where the money is not, or is typed in part."""
    return when(money * complete > 0, joined(as_text(lab_share * hundred, 1), "%"), UNKNOWN)


@figure("Premium", "fraction")
def premium_paid(alloy_billed: Traced, alloy_worth: Traced) -> Traced:
    """What was billed above the metal's value, as a share of it. Unit: fraction."""
    return ratio(alloy_billed, alloy_worth, 1) - 1


@figure("In words", "text")
def premium_words(premium_paid: Traced, alloy_worth: Traced, hundred: Traced = fixed("hundred")) -> Traced:
    """The premium in percent; not known where no alloy line could be tested."""
    return when(alloy_worth > 0, joined(as_text(premium_paid * hundred, 0), "%"), UNKNOWN)


def add_shares(model: Model, practice: Practice, now: Period) -> list[Problem]:
    """Add what the labs cost in the period and, where there is a comparison, then, and its shares of what came in."""
    model.add(collections_block(practice, now, "now"))
    moments = ("now", "then") if "then_totals" in model.blocks else ("now",)
    costs = Block(
        "lab_money",
        SHEET,
        "What the labs cost",
        len(_COSTS),
        "As billed in the period. Remakes stand apart. The share of remakes and unknown products in charges on whole invoices "
        "is among it, though in no fee. What hides in unit fees is on the All-in prices sheet.",
        label=("lab_money_of",),
    )
    costs.given("lab_money_of", "Money", list(_COSTS), width=44)
    block = Block(
        "shares", SHEET, "Lab cost as a share of the money that came in", len(_MONEY), label=("money_of",)
    )
    block.given("money_of", "Money", list(_MONEY), width=44)
    problems: list[Problem] = []
    for moment in moments:
        found = _now(model) if moment == "now" else _then(model)
        costs.listed(f"cost_{moment}", f"Cost {moment}", "money", found[:2], "Of the period.")
        months, whole = _typed(model, practice, now, moment)
        problems += _in_part(practice, months, whole, moment)
        block.counter(
            f"complete_{moment}", f"Known {moment}", [1, int(months >= whole)], "0 where it is typed in part."
        )
        _columns(block, moment, found[2:])
    model.add(costs)
    model.add(block)
    model.add(_premium_block())
    return problems


def _typed(model: Model, practice: Practice, now: Period, moment: str) -> tuple[int, int]:
    """How many months and sites of the period have collections, and how many there are."""
    name = f"{moment}_collections"
    rows = model.blocks[name].rows if name in model.blocks else 0
    return rows, now.months * len(practice.tables["sites"])


def _in_part(practice: Practice, months: int, whole: int, moment: str) -> list[Problem]:
    """Collections that are typed for some months and sites only."""
    if not 0 < months < whole:
        return []
    what = f"Collections of the period {moment} are typed for {months} of its {whole} months and sites: no share of them is told."
    place = practice.place("collections", 0, "collected_money")
    return [Problem("assumed", what, "Type a row for each month and site.", *place)]


def _premium_block() -> Block:
    """What all labs together added to the metal's value of the alloy lines that were tested."""
    block = Block("premium_paid", SHEET, "Alloy over its metal value, all labs", 1, label=("premium_of",))
    block.given("premium_of", "Of", ["weighed alloy lines whose metals had quotes"], width=44)
    for name, heading, source in (
        ("alloy_billed", "Billed", "time_billed"),
        ("alloy_worth", "Metal value", "time_worth"),
    ):
        block.listed(
            name, heading, "money", [sum_of(f"premium_history.{source}")], "Over all labs and times."
        )
    block.worked(premium_paid)
    block.worked(premium_words)
    return block


def _columns(block: Block, moment: str, money: list[Traced]) -> None:
    """Money, lab cost beside it and the share, of one of the two periods."""
    block.listed(f"money_{moment}", f"Money {moment}", "money", money, "Of the period.")
    lab = [figure_in("lab_money", f"cost_{moment}", LAB)] * len(money)
    block.listed(f"lab_{moment}", f"Lab cost {moment}", "money", lab, "From the table above.")
    block.worked(
        lab_share,
        name=f"lab_share_{moment}",
        heading=f"Lab cost of it {moment}",
        lab_money=f"lab_{moment}",
        money=f"money_{moment}",
    )
    block.worked(
        share_in_words,
        name=f"share_{moment}",
        heading=f"In words, {moment}",
        lab_share=f"lab_share_{moment}",
        money=f"money_{moment}",
        complete=f"complete_{moment}",
    )


def _now(model: Model) -> list[Traced]:
    """Lab cost, alloy, crown revenue and collections of the period."""
    alloy = model.blocks["money_by_use"].labels("use").index(USED[2]) + 1
    return [
        sum_of("lines.used_amount"),
        figure_in("money_by_use", "use_used", alloy),
        of_crowns("received"),
        sum_of("now_collections.collected_now"),
    ]


def _then(model: Model) -> list[Traced]:
    """The same of the comparison."""
    collected = sum_of("then_collections.collected_then") if "then_collections" in model.blocks else 0
    fees, alloy, revenue = (
        figure_in("then_totals", name, 1)
        for name in ("lab_spend_then", "alloy_spend_then", "crown_revenue_then")
    )
    return [fees + alloy, alloy, revenue, collected]
