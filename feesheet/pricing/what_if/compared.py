"""Scenarios beside the baseline: the changed values, each item before and after, the year, and the steps between."""

from __future__ import annotations

from collections.abc import Sequence

from feesheet.costing.quotes import SLIP
from feesheet.costing.roster import Roster
from feesheet.formula.cases import CASE, Cases
from feesheet.formula.model import Block, Model, figure
from feesheet.formula.tiling import tile
from feesheet.formula.tree import Name, Traced, Whole, call
from feesheet.pricing.what_if.compared_items import items_block, materials_block
from feesheet.pricing.what_if.drivers import STEPS, change_numbers
from feesheet.pricing.what_if.scenario import Move, Scenario, Step
from feesheet.pricing.what_if.subjects import SUBJECTS
from feesheet.pricing.what_if.year import COST_YEAR, LEFT_YEAR, OVER_YEAR, UNDER_TARGET, difference
from feesheet.tables import SCENARIOS

SHEET = "Scenarios"
WORKINGS = "Scenario cases"

_YEAR = (
    (COST_YEAR, "Cost", "Cost a year"),
    (LEFT_YEAR, "Left", "Left in a year"),
    (OVER_YEAR, "Over the target", "Over the target a year"),
)
"""The year's figures that are compared, and what they are called in short and in full."""

_CHANGE = SCENARIOS.field("change_share")


@figure("Factor", "number")
def factor(value: Traced, by_share: Traced) -> Traced:
    """What the present value is multiplied by: 1 and the share; nought where a new value takes its place."""
    return by_share * (1 + value)


@figure("Added", "number")
def added(value: Traced, by_share: Traced) -> Traced:
    """What is then added: the new value, where it takes the place of the present one."""
    return (1 - by_share) * value


def steps_of(scenarios: Sequence[Scenario]) -> list[Step]:
    """The cases of each scenario: one for each step that it has moves in, each with the moves of the steps before."""
    result, first = [], 0
    for number, scenario in enumerate(scenarios):
        taken: list[int] = []
        named = [
            (step, [at for at, move in enumerate(scenario.moves) if move.driver in drivers])
            for step, drivers in STEPS.items()
        ]
        present = [(step, moves) for step, moves in named if moves]
        for position, (step, moves) in enumerate(present):
            taken = [*taken, *moves]
            result.append(
                Step(number, step, tuple(first + at for at in taken), last=position == len(present) - 1)
            )
        first += len(scenario.moves)
    return result


def moves_block(scenarios: Sequence[Scenario], moves: Sequence[Move]) -> Block:
    """The changed values, one row each: they may be typed over on the Inputs sheet."""
    titles = [scenario.title for scenario in scenarios for _ in scenario.moves]
    block = Block(
        "scenario_moves",
        SHEET,
        "Changed values",
        len(moves),
        "As issued, under the titles of then. Type over a value on the Inputs sheet, where these stand first, and every figure of its scenario follows.",
        label=("scenario", "what", "how"),
    )
    block.given("scenario", "Scenario", titles, width=30)
    block.given("what", "What", [said(move) for move in moves], width=30)
    block.given("how", "How", ["by this share" if move.by_share else "to this value" for move in moves])
    units = [_unit(move) for move in moves]
    block.given(
        "value",
        "Value",
        [move.value for move in moves],
        units[0] if units else "number",
        entry=True,
        low=[_limits(move)[0] for move in moves],
        high=[_limits(move)[1] for move in moves],
        places=[move.place if any(move.place) else ("as typed", "", "") for move in moves],
        units=units,
        meaning="The new value, or the share by which the present one changes.",
    )
    block.counter("by_share", "By a share", [int(move.by_share) for move in moves], "1 if it is a share.")
    block.worked(factor)
    block.worked(added)
    for name, heading, words in (
        ("reason", "Reason", [s.reason for s in scenarios for _ in s.moves]),
        ("source", "Source", [s.source for s in scenarios for _ in s.moves]),
        ("day", "Date", [s.day for s in scenarios for _ in s.moves]),
    ):
        block.given(name, heading, words, width=14)
    block.number()
    return block


def said(move: Move) -> str:
    """What a move changes, in words."""
    if move.driver == "alloy":
        return f"Alloy of {move.of}: {move.alloy}; grams by density"
    if move.driver == "metal":
        return f"Price of {move.of}"
    return f"{move.driver[0].upper()}{move.driver[1:]}" + (f" of {move.of}" if move.of else "")


def _unit(move: Move) -> str:
    if move.by_share:
        return "change"
    return "fraction" if SUBJECTS[move.driver].sort == "share" else "money"


def _limits(move: Move) -> tuple[float, float]:
    """Limits of sense of a typed value: those of its column, and for money the same slip of the pen as for prices."""
    field = _CHANGE if move.by_share else SUBJECTS[move.driver].field
    assert field.low is not None and field.high is not None
    if _unit(move) != "money":
        return field.low, field.high
    low = max(field.low, 0.0)
    return (
        (max(low, move.value / SLIP), min(field.high, move.value * SLIP)) if move.value else (low, field.high)
    )


def add_scenarios(model: Model, who: Roster, scenarios: Sequence[Scenario]) -> None:
    """Add the changed values, the cases, the items before and after, the year and the steps."""
    moves = [move for scenario in scenarios for move in scenario.moves]
    steps = steps_of(scenarios)
    model.add(moves_block(scenarios, moves))
    changed, counters = change_numbers(model, [[(at + 1, moves[at]) for at in step.moves] for step in steps])
    titles = [_title(scenarios[step.scenario], step) for step in steps]
    cases = Cases("case", WORKINGS, titles, "scenario_moves", changed, counters)
    tile(model, cases, [*_WANTED, COST_YEAR, LEFT_YEAR, OVER_YEAR, UNDER_TARGET])
    model.add(_years_block(scenarios, steps))
    for block in (items_block(who, scenarios, steps), materials_block(who, scenarios)):
        model.add(block)
    model.add(_steps_block(scenarios, steps))


_WANTED = (
    ("costs", "unit_cost"),
    ("plan_items", "needed_shown"),
    ("margins", "margin_now"),
    ("margins", "net_now"),
)


def _title(scenario: Scenario, step: Step) -> str:
    return scenario.title if step.last else f"{scenario.title}, up to {step.name}"


def case_totals(block: Block, cases: str, by: str, when: str = "") -> None:
    """The year's money of a case: cost, left after it, over the target. `by` is the column with the case's number,
    `when` ends the headings."""
    for (home, column), _, heading in _YEAR:
        twin = f"{cases}_{home}"
        block.total(column, f"{heading}{when}", "money", f"{twin}.{column}", f"{twin}.{CASE}", by)


def _years_block(scenarios: Sequence[Scenario], steps: Sequence[Step]) -> Block:
    """The year, as it is and in each scenario."""
    last = [number for number, step in enumerate(steps, start=1) if step.last]
    block = Block(
        "scenario_years",
        SHEET,
        "The year",
        len(scenarios),
        "At last year's units and today's fees.",
        label=("scenario",),
    )
    block.given("scenario", "Scenario", [scenario.title for scenario in scenarios], width=30)
    block.counter("scenario_case", "Case no.", last, "Number of the case.")
    for (home, column), _, heading in _YEAR:
        now = call("grand_total", Whole(home, column))
        block.tree(f"{column}_before", f"{heading}, now", "money", now, "As it is.")
    case_totals(block, "case", "scenario_case", ", then")
    for (_, column), heading, _ in _YEAR:
        block.worked(
            difference,
            name=f"{column}_change",
            heading=f"{heading}, change",
            after=column,
            before=f"{column}_before",
        )
    home, column = UNDER_TARGET
    now, twin = call("grand_total", Whole(home, column)), f"case_{home}"
    block.tree(f"{column}_before", "Fees under target, now", "whole", now, "Fees that miss their target.")
    block.total(
        column,
        "Fees under target, then",
        "whole",
        f"{twin}.{column}",
        f"{twin}.{CASE}",
        "scenario_case",
        meaning="The same in the scenario.",
    )
    return block


def _steps_block(scenarios: Sequence[Scenario], steps: Sequence[Step]) -> Block:
    """How the year's money gets from the baseline to each scenario, step by step."""
    block = Block(
        "scenario_steps",
        SHEET,
        "The difference, step by step",
        len(steps),
        "Steps are taken in this order: metal, lab, time, overhead, rules. Another order would share out joint effects otherwise.",
        label=("scenario", "step"),
    )
    block.given("scenario", "Scenario", [scenarios[step.scenario].title for step in steps], width=30)
    block.given("step", "Step", [step.name for step in steps])
    numbers = range(1, len(steps) + 1)
    block.counter("step_case", "Case no.", list(numbers), "Number of the case.")
    starts = [at == 0 or steps[at - 1].scenario != step.scenario for at, step in enumerate(steps)]
    before = [0 if start else at for at, start in enumerate(starts)]
    block.counter("before_no", "Step before", before, "Row of the step before; 0: the baseline.")
    case_totals(block, "case", "step_case")
    for (home, column), heading, _ in _YEAR:
        baseline = call("grand_total", Whole(home, column))
        earlier = call("lookup_or", Whole("scenario_steps", column), Name("before_no"), baseline)
        block.tree(f"{column}_before", f"{heading}, before", "money", earlier, "After the step before.")
        block.worked(
            difference,
            name=f"{column}_change",
            heading=f"{heading}, change",
            after=column,
            before=f"{column}_before",
        )
    return block
