"""What a move brings with it: the grams of an alloy swap, and doubts about a price that may be a slip of the pen."""

from __future__ import annotations

from dataclasses import replace

from feesheet.costing.quotes import SLIP
from feesheet.formula.model import Model
from feesheet.practice import Practice
from feesheet.pricing.what_if.scenario import Move, Scenario
from feesheet.problems import Problem


def doubtful_prices(scenario: Scenario, model: Model) -> list[Problem]:
    """Metal prices that are so far off the present one that a digit may be one too many; they are used as typed."""
    metals = model.blocks["metals"]
    present = dict(zip(metals.labels("metal"), metals.columns["price"].values or (), strict=True))
    problems = []
    for move in scenario.moves:
        now = float(present.get(move.of, 0.0)) if move.driver == "metal" else 0.0
        then = now * (1 + move.value) if move.by_share else move.value
        if now and not now / SLIP <= then <= now * SLIP:
            what = f"{scenario.title}: {then:,.2f} is far from the present price of {move.of}, {now:,.2f}."
            problems.append(
                Problem("caution", what, "It is used as typed; check its digits and its unit.", *move.place)
            )
    return problems


def with_grams(scenario: Scenario, practice: Practice) -> tuple[Scenario, list[Problem]]:
    """The scenario with the change of grams in each of its swaps; same grams, and told, where a density is not known."""
    moves, problems = [], []
    for move in scenario.moves:
        if move.driver != "alloy":
            moves.append(move)
            continue
        share = _share(move, practice)
        if share is None:
            what = f"{move.words or move.alloy}: the density of one of the alloys is not known, so the grams are taken to stay as they are."
            do = 'Type both densities in "Alloys": grams of one casting change as densities do.'
            problems.append(Problem("assumed", what, do, *move.place))
        moves.append(replace(move, value=share or 0.0, by_share=True))
        problems += _cautions(move, practice)
    return replace(scenario, moves=tuple(moves)), problems


def _share(move: Move, practice: Practice) -> float | None:
    """How much heavier the same casting is in the new alloy, as a share; None where a density is not known."""
    alloys, materials = practice.tables["alloys"], practice.tables["materials"]
    density = dict(zip(alloys["alloy"].astype(str), alloys["density"].astype(float), strict=True))
    of = dict(zip(materials["material"].astype(str), materials["alloy"].astype(str), strict=True))
    old, new = density[of[move.of]], density[move.alloy]
    share = new / old - 1
    return share if share == share else None


def _cautions(move: Move, practice: Practice) -> list[Problem]:
    """What to mind about the new alloy: whose choice it is, and nickel or beryllium in it."""
    alloys = practice.tables["alloys"]
    row = list(alloys["alloy"]).index(move.alloy)
    held = [metal for metal in ("nickel", "beryllium") if float(alloys[metal].fillna(0.0).iloc[row]) > 0]
    what = f"{move.of} in {move.alloy}: the choice of an alloy is the dentist's, and the lab's fee may change with it."
    problems = [Problem("caution", what, "Ask both before a fee is set on it.", *move.place)]
    if held:
        what = f"{move.alloy} holds {' and '.join(held)}."
        problems.append(
            Problem("caution", what, "Follow the dentist's judgement and local safety law.", *move.place)
        )
    return problems
