"""The first page of a review: five figures, the materials worst first, why it changed, what to take up with the labs."""

from __future__ import annotations

from feesheet.formula.model import Block, Model, figure
from feesheet.formula.operations import as_text, count_above, joined, larger, ratio, smaller
from feesheet.formula.tree import Traced, Whole, added, figure_in
from feesheet.pricing.review.earned_basis import BY_LABS, BY_SEATED
from feesheet.pricing.review.findings import KINDS, TO_COME_BACK
from feesheet.pricing.review.period import Period
from feesheet.pricing.review.shares import ALLOY, BY_COLLECTIONS, BY_REVENUE
from feesheet.pricing.summary import sum_of

SHEET = "Review"

UNDATED = "Supplies, minutes, pay and overhead have no dates: today's stand for both, unless last year's workbook is given."

Tile = tuple[str, str, Traced, Traced]
"""A figure of the first page: its label, what it is shown as, its value and the remark under it."""


@figure("Apart", "money")
def apart(first: Traced, second: Traced, third: Traced) -> Traced:
    """How far the three are apart: nought. Unit: money."""
    return larger(first, second, third) - smaller(first, second, third)


def add_front(model: Model, now: Period, compared_with: str, promised: bool) -> None:
    """Add the first page's blocks; `compared_with` says in words what then is, "" for nothing, and `promised` whether its
    money is what fees and plans promised."""
    model.add(_figures_block(model, now, compared_with, promised))
    model.add(_materials_block(model))
    if compared_with:
        model.add(_changes_block(model, compared_with, promised))
    model.add(_findings_block(model))
    model.add(_ways_block(model))


def _figures_block(model: Model, now: Period, compared_with: str, promised: bool) -> Block:
    """The five figures that matter, one row each."""
    rows = [
        _lab_cost(compared_with, promised),
        _statements(model),
        _contribution(),
        _chair_hour(),
        _alloy(model),
    ]
    block = Block("review_figures", SHEET, f"Margin review, {now.title}", len(rows), label=("figure",))
    block.given("figure", "Figure", [row[0] for row in rows])
    block.given("shown_as", "Shown as", [row[1] for row in rows])
    block.listed("value", "Value", "figure", [row[2] for row in rows], "The figure.")
    block.listed("remark", "Remark", "text", [row[3] for row in rows], "What it is measured against.")
    return block


def _lab_cost(compared_with: str, promised: bool) -> Tile:
    """Lab cost as a share of what crowns brought and of collections."""
    said = "then, of promised money, " if promised else "then "
    then = joined(said, figure_in("shares", "share_then", BY_REVENUE)) if compared_with else ""
    of_all = joined("of collections ", figure_in("shares", "share_now", BY_COLLECTIONS))
    if compared_with and not promised:
        of_all = joined(of_all, ", then ", figure_in("shares", "share_then", BY_COLLECTIONS))
    value = figure_in("shares", "lab_share_now", BY_REVENUE)
    return (
        "Lab cost of crown revenue",
        "figure_share",
        value,
        joined(then, "; " if compared_with else "", of_all),
    )


def _statements(model: Model) -> Tile:
    """What labs' papers and statements ask for beyond the lines, none of it explained."""
    tests = model.blocks["total_tests"].rows
    differ = as_text(count_above(Whole("total_tests", "money")) if tests else 0, 0)
    remark = joined(figure_in("totals_held", "held_words", 1), "; ", differ, f" of {tests} differ")
    return "Unexplained to statements", "figure_price", sum_of("total_tests.money"), remark


def _contribution() -> Tile:
    """What a unit with lab work leaves after what is only spent if it is made."""
    value = figure_in("lab_work", "contribution_crown", 1)
    crowns, units = (
        as_text(count, 0) for count in (figure_in("lab_work", "crowns", 1), sum_of("earned.units"))
    )
    return (
        "Contribution a crown",
        "figure_count",
        value,
        joined(crowns, " with lab work of ", units, " units"),
    )


def _chair_hour() -> Tile:
    """What an hour of an occupied chair leaves."""
    value = ratio(sum_of("earned.contribution"), sum_of("earned.chair_hours"), 0)
    hours = as_text(sum_of("earned.chair_hours"), 0)
    return "Contribution a chair hour", "figure_count", value, joined(hours, " hours by typed minutes")


def _alloy(model: Model) -> Tile:
    """The alloy that was billed, what the labs added to its metal value, and credits that are still open."""
    kinds = model.blocks["findings_by_kind"].labels("kind")
    due = [
        figure_in("findings_by_kind", "kind_money", row)
        for row, kind in enumerate(kinds, 1)
        if KINDS[kind][0] == TO_COME_BACK
    ]
    still = as_text(added(due), 0) if due else "0"
    remark = joined(figure_in("premium_paid", "premium_words", 1), " over metal; credits due ", still)
    return "Alloy spend", "figure_count", figure_in("lab_money", "cost_now", ALLOY), remark


def _materials_block(model: Model) -> Block:
    """The materials as the cut by material has them, worst margin first."""
    cut = model.blocks["cut_material"]
    block = Block(
        "review_materials",
        SHEET,
        "Materials, worst margin first",
        cut.rows,
        f"{BY_LABS if BY_LABS in model.blocks['earned'].note else BY_SEATED} n: lab units of the period. The order is no advice.",
        aligned="review_materials",
        label=("review_material",),
    )
    block.given("review_material", "Material", cut.labels("material"))
    rows = list(range(1, cut.rows + 1))
    for name, heading, unit, source in (
        ("review_units", "Units", "whole", "units"),
        ("review_n", "n", "whole", "n"),
        ("review_received", "Received", "rounded", "received"),
        ("review_left", "Left", "rounded", "left"),
        ("review_each", "Contrib. a unit", "rounded", "contribution_unit"),
        ("review_hour", "Contrib. an hour", "rounded", "contribution_hour"),
        ("review_margin_before", "Margin before dentist pay", "fraction", "margin_before_dentist"),
        ("review_margin", "Margin", "fraction", "margin"),
    ):
        trees = [figure_in("cut_material", source, row) for row in rows]
        block.listed(name, heading, unit, trees, "From the Margins by cut sheet.")
    return block


def _changes_block(model: Model, compared_with: str, promised: bool) -> Block:
    """The steps from what was left then to what is left now."""
    told = model.blocks["changes_told"]
    block = Block(
        "review_changes",
        SHEET,
        "Why it changed: what is left after all costs",
        told.rows,
        f"Then: {compared_with}." + ("" if promised else f" {UNDATED}"),
        label=("review_step",),
    )
    block.given("review_step", "Step", told.labels("step"))
    rows = list(range(1, told.rows + 1))
    for name, heading, source in (
        ("review_amount", "Amount", "amount"),
        ("review_so_far", "So far", "so_far"),
    ):
        trees = [figure_in("changes_told", source, row) for row in rows]
        block.listed(name, heading, "rounded", trees, "From the Why it changed sheet.")
    return block


def _findings_block(model: Model) -> Block:
    """What the lab audit found, by kind."""
    kinds = model.blocks["findings_by_kind"]
    block = Block(
        "review_findings",
        SHEET,
        "To take up with the labs",
        kinds.rows,
        "One by one, with words for the lab, on the Findings sheet.",
        label=("review_kind",),
    )
    block.given("review_kind", "Finding", kinds.labels("kind"))
    rows = list(range(1, kinds.rows + 1))
    for name, heading, unit, source in (
        ("review_count", "Findings", "whole", "kind_count"),
        ("review_money", "Money", "money", "kind_money"),
    ):
        trees = [figure_in("findings_by_kind", source, row) for row in rows]
        block.listed(name, heading, unit, trees, "From the Lab audit sheet.")
    block.given("review_means", "Its money", kinds.labels("kind_means"))
    return block


def _ways_block(model: Model) -> Block:
    """The totals that matter, each added up three ways."""
    cuts = {cut: row for row, cut in enumerate(model.blocks["cut_totals"].labels("cut"), start=1)}

    def cut(column: str, *names: str) -> list[Traced]:
        """A column's total by each of those cuts."""
        return [figure_in("cut_totals", column, cuts[f"by {name}"]) for name in names]

    invoices = [sum_of("lines.used_amount"), sum_of("money_by_use.use_used"), sum_of("files.used")]
    ways = ("material", "site", "lab")
    rows: list[tuple[str, list[Traced]]] = [
        ("Lab charges used", invoices),
        ("Received", cut("received", *ways)),
        ("Left after all costs", cut("left", *ways)),
    ]
    note = "Lab charges by line, by use and by file; the others by material, by site and by lab."
    block = Block("review_ways", SHEET, "The same money three ways", len(rows), note, label=("review_way",))
    block.given("review_way", "Money", [name for name, _ in rows])
    for at, heading in enumerate(("First", "Second", "Third")):
        block.listed(f"review_way_{at + 1}", heading, "rounded", [trees[at] for _, trees in rows], "A total.")
    block.worked(apart, first="review_way_1", second="review_way_2", third="review_way_3")
    return block
