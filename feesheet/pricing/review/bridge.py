"""Why the result changed: from what was left then to what is left now, step by step, in all and by material."""

from __future__ import annotations

from feesheet.costing.roster import Roster
from feesheet.formula.model import Block, Model
from feesheet.formula.operations import height
from feesheet.formula.tree import Name, Traced, Whole, added, figure_in
from feesheet.pricing.checks import Check
from feesheet.pricing.review.bridge_items import add_items
from feesheet.pricing.review.bridge_steps import STEPS, Step
from feesheet.pricing.review.variances import NEW_VOLUME, OLD_VOLUME
from feesheet.pricing.summary import materials_shown, sum_of

SHEET = "Why it changed"

NO_MATERIAL = "no lab work"
"""What the row of the items without a material is called."""

GONE = Step(
    "gone",
    "Items no longer on the schedule",
    "all of what they left then",
    "What they brought then less their cost.",
)
REST = Step("unexplained", "Not explained", "nought, to rounding", "Left now less left then and all steps.")

_OTHER_STEPS = (
    Step("price_alone", "Price", OLD_VOLUME, "The change of each price on then's units."),
    Step("volume_alone", "Volume", OLD_VOLUME, "The change of each item's units at then's prices."),
    Step(
        "price_and_volume",
        "Price and volume together",
        OLD_VOLUME,
        "The change of the prices on the change of the units: neither made it alone.",
    ),
)


def add_bridge(model: Model, who: Roster) -> None:
    """Add why the result changed: needs `costs`, `sites`, `earned`, `then_items` and `then_sites`; reads `gone_items` if there."""
    model.add(_told_block("gone_items" in model.blocks))
    model.add(_revenue_told_block("gone_items" in model.blocks))
    add_items(model, who)
    model.add(_materials_block(who))


def _gone_left() -> Traced:
    """What was left then of items that are no longer on the schedule."""
    return sum_of("gone_items.received") - sum_of("gone_items.cost")


def _told_block(gone: bool) -> Block:
    """From left then to left now, a row a step, with what is left so far beside it."""
    start = sum_of("item_changes.left_then")
    rows: list[tuple[Step, Traced]] = [
        (Step("left_then", "Left then", "", "Money received less all costs of the units, then."),
         start + _gone_left() if gone else start),
        *([(GONE, 0 - _gone_left())] if gone else []),
        *((step, sum_of(f"item_changes.{step.name}")) for step in STEPS),
        (REST, sum_of("item_changes.unexplained")),
        (Step("left_now", "Left now", "", "The same now: the rows of the Earned sheet added up."), sum_of("earned.left")),
    ]  # fmt: skip
    return _steps_block(
        "changes_told",
        "From left then to left now",
        f"Revenue by the convention: {NEW_VOLUME}. A cost that is dearer than then is negative. What idle chairs cost is "
        "in no step: it stands below.",
        rows,
    )


def _revenue_told_block(gone: bool) -> Block:
    """The money received, then to now, in the other convention."""
    start = sum_of("item_revenue.revenue_then")
    went = sum_of("gone_items.received") if gone else 0
    loose = next(step for step in STEPS if step.name == "effect_loose")
    rows: list[tuple[Step, Traced]] = [
        (Step("received_then", "Received then", "", "Money of the units then."), start + went if gone else start),
        *([(Step("gone", GONE.title, "all that they brought then", "What they brought then."), 0 - went)] if gone else []),
        *((step, sum_of(f"item_revenue.{step.name}")) for step in _OTHER_STEPS),
        (loose, sum_of("item_changes.effect_loose")),
        (Step("received_now", "Received now", "", "The same now: the rows of the Earned sheet added up."),
         sum_of("earned.received")),
    ]  # fmt: skip
    return _steps_block(
        "revenue_told",
        "Money received, in the other convention",
        f"Convention: {OLD_VOLUME}. The table above shares the same change out as: {NEW_VOLUME}. Both add up to it.",
        rows,
    )


def _steps_block(name: str, title: str, note: str, rows: list[tuple[Step, Traced]]) -> Block:
    """Steps with a running total; the last row stands by itself, to be held against it."""
    block = Block(name, SHEET, title, len(rows), note, label=("step",))
    block.given("step", "Step", [step.title for step, _ in rows], width=30)
    last = len(rows) - 1
    keys = [1 if at < last else 0 for at in range(len(rows))]
    block.counter("runs", "Runs", keys, "1 where the running total goes on; 0: the last row, by itself.")
    meaning = "The step's effect; in the first and the last row the sum itself. Unit: money of the period."
    block.listed("amount", "Amount", "money", [tree for _, tree in rows], meaning)
    block.running_total("so_far", "So far", "money", "amount", "runs", "The amounts down to this row.")
    block.given("convention", "How", [step.convention for step, _ in rows], width=44)
    block.given("in_words", "What it is", [step.words for step, _ in rows], width=70)
    return block


def _materials_block(who: Roster) -> Block:
    """The same steps by material, in the practice's own order."""
    shown = materials_shown(who)
    rest = "" in set(who.items["material"])
    block = Block(
        "changes_material",
        SHEET,
        "Why it changed, by material",
        len(shown) + rest,
        "The items of each material added up, in the practice's own order. "
        "Items no longer on the schedule are in none.",
        label=("material",),
    )
    block.given("material", "Material", [*shown, *([NO_MATERIAL] if rest else [])], width=22)
    numbers = [who.materials.index(material) + 1 for material in shown] + ([0] if rest else [])
    block.counter("material_no", "Material no.", numbers, "Row in the materials; 0: no lab work.")
    columns = [
        ("left_then", "Left then"),
        *((step.name, step.title) for step in (*STEPS, REST)),
        ("left_now", "Left now"),
    ]
    for name, heading in columns:
        block.total(name, heading, "money", f"item_changes.{name}", "costs.material_no", "material_no")
    steps = added(Name(step.name) for step in STEPS)
    block.tree("effects", "All steps", "money", steps, "The steps added up. Unit: money of the period.")
    return block


def _height(model: Model, block: str, column: str) -> Traced:
    return height(Whole(block, column)) if model.blocks[block].rows else 0


def bridge_checks(model: Model) -> list[Check]:
    """What must hold of the changes and of the capacity, as far as the model has them."""
    changes = _change_checks(model) if "item_changes" in model.blocks else []
    return [*changes, *(_capacity_checks() if "capacity" in model.blocks else [])]


def _change_checks(model: Model) -> list[Check]:
    now, items = sum_of("earned.left"), sum_of("item_changes.left_now")
    before = sum_of("item_changes.left_then")
    revenue = sum_of("earned.received") - sum_of("item_revenue.revenue_then")
    loose = sum_of("item_changes.effect_loose")
    other = added(sum_of(f"item_revenue.{step.name}") for step in _OTHER_STEPS)
    return [
        ("Left then and all steps, against left now", before + sum_of("item_changes.effects"), now),
        ("Left now by item, against the rows of the Earned sheet", items, now),
        (
            "Items whose steps add up to their change",
            sum_of("item_changes.explained"),
            _height(model, "item_changes", "explained"),
        ),
        ("Left now by material, against the items", sum_of("changes_material.left_now"), items),
        ("Left then by material, against the items", sum_of("changes_material.left_then"), before),
        (
            "Steps by material, against the items",
            sum_of("changes_material.effects"),
            sum_of("item_changes.effects"),
        ),
        (f"Price, volume and mix, {NEW_VOLUME}, against the revenue", sum_of("item_changes.of_money"), revenue),
        (f"Price and volume, {OLD_VOLUME}, against the revenue", other + loose, revenue),
        *(_told_check(model, name) for name in ("changes_told", "revenue_told")),
    ]  # fmt: skip


def _told_check(model: Model, name: str) -> Check:
    """The last running total against the sum that stands by itself under it."""
    told = model.blocks[name]
    before = figure_in(name, "so_far", told.rows - 1)
    return f"{told.title}: all steps, against the last row", before, figure_in(name, "amount", told.rows)


def _capacity_checks() -> list[Check]:
    """Overhead by site: what is assigned, of other work and unused is all of it; and the items carry what is assigned."""
    parts = sum_of("capacity.assigned") + sum_of("capacity.other_cost") + sum_of("capacity.unused_cost")
    return [
        (
            "Overhead assigned, of other work and unused, against that supplied",
            parts,
            sum_of("capacity.overhead_supplied"),
        ),
        (
            "Overhead assigned by site, against that in the items' costs",
            sum_of("capacity.assigned"),
            sum_of("capacity_items.item_overhead"),
        ),
    ]
