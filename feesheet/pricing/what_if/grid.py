"""Two drivers at once, on one item: its unit cost, needed fee and margin at today's fee over a grid of both."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from feesheet.costing.roster import Roster
from feesheet.formula.cases import Cases
from feesheet.formula.model import Block, Model, Setting, figure
from feesheet.formula.tiling import tile
from feesheet.formula.tree import Name, Traced, figure_in
from feesheet.pricing.what_if.compared import said
from feesheet.pricing.what_if.drivers import change_numbers
from feesheet.pricing.what_if.scenario import Move
from feesheet.pricing.what_if.shares import nothing_added, share_factor, steps_room

SHEET = "Grid"
WORKINGS = "Grid cases"

OFFSETS = (-3, -2, -1, 0, 1, 2, 3)
"""Steps from the present value, down and up."""

SIDE = len(OFFSETS)

STEP, LEAST_STEP, MOST_STEP = 0.1, 0.001, 0.3
"""A step as issued, and its limits as a share of the present value (choices of this program): three steps of 0.3 leave a tenth."""


@dataclass(frozen=True)
class Grid:
    """Two drivers and the item (its row in the cost build-up, counted from 0) that they are tried on."""

    across: Move
    down: Move
    item: int


@figure("Share", "change")
def grid_share(steps: Traced, grid_step: Traced) -> Traced:
    """So many steps up or down, as a share of the present value."""
    return steps * grid_step


def add_grid(model: Model, who: Roster, grid: Grid) -> None:
    """Add the moves, the cases and the three grids."""
    moves = [replace(move, value=0.0, by_share=True) for move in (grid.down, grid.across)]
    for number, move in enumerate(moves, start=1):
        model.settings[f"grid_step_{number}"] = _step(f"grid_step_{number}", move, moves, model)
    model.add(_moves_block(moves))
    pairs = [(row, column) for row in range(SIDE) for column in range(SIDE)]
    changed, counters = change_numbers(
        model, [[(row + 1, moves[0]), (SIDE + column + 1, moves[1])] for row, column in pairs]
    )
    titles = [f"{OFFSETS[row]:+d} and {OFFSETS[column]:+d} steps" for row, column in pairs]
    cases = Cases("grid", WORKINGS, titles, "grid_moves", changed, counters, rows=_kept(model, grid.item))
    tile(model, cases, [(home, column) for _, _, home, column in _SHOWN])
    item = who.items.iloc[grid.item]
    for heading, unit, home, column in _SHOWN:
        title = f"{heading} of {item['code']} at {item['site']}: {said(moves[0]).lower()} down, {said(moves[1]).lower()} across"
        model.add(_grid_block(column, title, unit, home, moves))


def _step(name: str, move: Move, moves: Sequence[Move], model: Model) -> Setting:
    """The step of one driver, as issued and the most that it may be: all steps leave a share inside its limits."""
    room = steps_room(move, moves, model, max(OFFSETS))
    most = MOST_STEP if room is None else min(MOST_STEP, room)
    source = "a round share" if most >= STEP else "as far as its share may go"
    heading = f"Step of the grid: {said(move)}"
    return Setting(name, heading, "fraction", min(STEP, most), source, min(LEAST_STEP, most), most)


_SHOWN = (
    ("Margin at today's fee", "fraction", "margins", "margin_now"),
    ("Needed fee", "needed", "plan_items", "needed_shown"),
    ("Unit cost", "money", "costs", "unit_cost"),
)


def _kept(model: Model, item: int) -> dict[str, list[int]]:
    """The rows of other tables that the item is made of; its cases need no others."""
    rows = {"items": [item]}
    for counter, block in (("lab_no", "lab_fees"), ("pool_no", "pools"), ("material_no", "materials")):
        rows[block] = _row(model.blocks["costs"], counter, [item])
    rows["alloys"] = _row(model.blocks["pools"], "alloy_no", rows["pools"])
    return rows


def _row(block: Block, counter: str, rows: Sequence[int]) -> list[int]:
    """The row (from 0) that a counter of those rows points to; none where it is 0."""
    values = block.columns[counter].values
    assert values is not None
    return [int(values[row]) - 1 for row in rows if values[row]]


def _moves_block(moves: Sequence[Move]) -> Block:
    block = Block("grid_moves", WORKINGS, "Moves of the grid", 2 * SIDE, label=("what",))
    block.number()
    block.given("what", "What", [said(move) for move in moves for _ in OFFSETS], width=26)
    block.counter("steps", "Steps", [*OFFSETS, *OFFSETS], "Steps from the present value.")
    block.listed(
        "grid_step",
        "Size of a step",
        "change",
        [Name(f"grid_step_{number}") for number in (1, 2) for _ in OFFSETS],
        "As on the Inputs sheet.",
    )
    block.worked(grid_share)
    block.worked(share_factor, name="factor", share="grid_share")
    block.worked(nothing_added, name="added", share="grid_share")
    return block


def _grid_block(column: str, title: str, unit: str, home: str, moves: Sequence[Move]) -> Block:
    """One figure over both drivers: the first row has the values across, the first column those down."""
    block = Block(f"grid_{column}_table", SHEET, title, SIDE + 1, label=("shares",))
    block.listed(
        "shares",
        said(moves[0]),
        "change",
        ["", *(figure_in("grid_moves", "grid_share", row + 1) for row in range(SIDE))],
        "Change of the present value, down; the first row has the changes across.",
        width=24,
    )
    for position in range(SIDE):
        trees = [figure_in("grid_moves", "grid_share", SIDE + position + 1)]
        trees += [figure_in(f"grid_{home}", column, row * SIDE + position + 1) for row in range(SIDE)]
        block.listed(
            f"across_{position + 1}",
            _heading(OFFSETS[position]),
            unit,
            trees,
            "At the changes of its row and column.",
            units=["change", *[unit] * SIDE],
        )
    return block


def _heading(steps: int) -> str:
    """What a column's steps are called.

    >>> _heading(-2), _heading(0), _heading(1)
    ('2 steps down', 'As now', '1 step up')
    """
    if not steps:
        return "As now"
    return f"{abs(steps)} step{'s' if abs(steps) > 1 else ''} {'up' if steps > 0 else 'down'}"
