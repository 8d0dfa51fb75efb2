"""The model of a what-if: the practice's own model with scenarios, metals, drivers, bands and quote safety added."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from feesheet.formula.numbers import Numbers
from feesheet.practice import Practice
from feesheet.pricing import checks, inputs
from feesheet.pricing.what_if import (
    bands,
    compared,
    exposure,
    exposure_totals,
    front,
    grid,
    overtakes,
    tornado,
    year,
)
from feesheet.pricing.what_if.history import histories
from feesheet.pricing.what_if.limits import clashes
from feesheet.pricing.what_if.moves import typed_move
from feesheet.pricing.what_if.price_paths import add_price_paths
from feesheet.pricing.what_if.quote_safety import add_quote_safety
from feesheet.pricing.what_if.scenario import Move, Scenario
from feesheet.problems import Problem
from feesheet.schema import plain
from feesheet.uses.annual_update import Priced
from feesheet.uses.what_if_asked import Asked, item_of
from feesheet.writing.book import Schedule

_ANY_STEP = "=+0.1%"
"""Makes a move of a driver named alone; the grid then takes its own steps."""


@dataclass
class Builder:
    """The model while it grows; `problems` grows by what is noticed on the way."""

    practice: Practice
    priced: Priced
    asked: Asked
    metals: list[str]
    problems: list[Problem]
    watched: str = ""

    def schedule(self, scenarios: list[Scenario], history: Practice) -> Schedule:
        """All that the workbook is written from."""
        model, who = self.priced.model, self.priced.who
        self._metals()
        if self.watched:
            self._watched(history)
        chosen = self._grid()
        if chosen:
            grid.add_grid(model, who, chosen)
        if scenarios:
            compared.add_scenarios(model, who, scenarios)
        front.add_front(model, who, self.watched, scenarios)
        model.blocks["checks"] = checks.checks_block(model, front.what_if_checks(model, chosen))
        typed = inputs.input_rows(model)
        inputs.add_inputs(model, typed)
        return Schedule(self.practice, model, Numbers(model), typed, self.problems)

    def _metals(self) -> None:
        """The year, the drivers, and each metal in each item."""
        model, who = self.priced.model, self.priced.who
        model.add(year.year_block(who))
        driven = tornado.drivers_moved(self.metals)
        tornado.add_drivers(model, driven)
        numbers = self.priced.numbers  # works out blocks as they are added, and everything once
        tornado.add_tornado(model, driven, numbers)
        model.add(exposure_totals.unmodelled_block(self.practice, self.priced.parts, who, numbers))
        if not self.metals:
            return
        model.add(exposure.metal_items_block(model, who, driven, self.metals, numbers))
        model.add(exposure_totals.metal_materials_block(model, who))
        model.add(exposure_totals.metal_years_block(model, self.metals))
        costs = np.asarray(numbers.of("metal_years", "metal_cost_year"))
        named = [metal for metal in self.metals if plain(metal) == plain(self.asked.watch)]
        self.watched = (named or [self.metals[int(costs.argmax())]])[0]

    def _watched(self, history: Practice) -> None:
        """What is worked out for one metal: overtakes and bands; and how long a quote is safe."""
        model, who, numbers = self.priced.model, self.priced.who, self.priced.numbers
        model.add(overtakes.hours_block(who, model, self.watched))
        model.add(overtakes.overtakes_block(model, self.watched, numbers))
        self.problems += bands.add_bands(model, self.watched, self.asked.tolerance, numbers)
        hold, level = self.asked.hold_days, self.asked.level
        said = add_quote_safety(model, history, self.metals, hold, level)
        usable = list(histories(history, self.metals, hold)[0].values())
        if usable:
            still = [metal for metal in self.metals if metal not in {one.metal for one in usable}]
            said += add_price_paths(model, who, usable, still, hold)
        self.problems += said if self.asked.history else _in_short(said)

    def _grid(self) -> grid.Grid | None:
        """The grid that was asked for; else the watched metal by a second driver, on the item that it costs most."""
        item = item_of(self.asked, self.priced) if self.asked.code else self._dearest_item()
        if item is None:
            return None
        if self.asked.grid:
            down, across = (self._driver(words) for words in self.asked.grid)
            both = [move for move in (down, across) if move]
            self.problems += [one.typed(both[at].words) for at, one in clashes(both, self.practice)]
        elif self.watched:
            down, across = Move("metal", self.watched), self._second(item)
        else:
            down, across = Move("lab fees"), Move("minutes")
        return grid.Grid(across, down, item) if down and across else None

    def _second(self, item: int) -> Move:
        """The item's other metal, if it costs a tenth of the watched one at least; else the lab's fees."""
        numbers, rows = self.priced.numbers, self.priced.model.blocks["metal_items"]
        here = np.asarray(numbers.of("metal_items", "item_no")) == item + 1
        costs = {
            metal: cost
            for metal, cost, mine in zip(
                rows.labels("metal"), numbers.of("metal_items", "metal_cost"), here, strict=True
            )
            if mine
        }
        watched = costs.pop(self.watched, 0.0)
        other = max(costs, key=lambda metal: costs[metal], default="")
        return Move("metal", other) if other and costs[other] * 10 >= watched else Move("lab fees")

    def _driver(self, words: str) -> Move | None:
        """A driver named without a value: the grid has its own steps."""
        move, problems = typed_move(f"{words}{_ANY_STEP}", self.practice)
        self.problems += [replace(one, what=one.what.replace(_ANY_STEP, "")) for one in problems]
        return replace(move, words=words) if move else None

    def _dearest_item(self) -> int | None:
        """The item in which the watched metal costs most in a year; the first item where no metal is watched."""
        numbers, model = self.priced.numbers, self.priced.model
        if not len(self.priced.who.items):
            return None
        if not self.watched:
            return 0
        mine = np.array([metal == self.watched for metal in model.blocks["metal_items"].labels("metal")])
        money = np.where(mine, np.asarray(numbers.of("metal_items", "metal_cost_year")), -1.0)
        return int(np.asarray(numbers.of("metal_items", "item_no"))[int(money.argmax())]) - 1


def _in_short(problems: list[Problem]) -> list[Problem]:
    """The metals whose own quotes are too few in one line: month-end quotes, as a practice keeps them, always are."""
    short = [problem for problem in problems if problem.kind == "short history"]
    if len(short) < 2:
        return problems
    what = f"The practice's own quotes are too few to say how long a quote is safe, for {len(short)} metals."
    do = "Name a file of daily prices with --history; the fees don't use it."
    return [problem for problem in problems if problem.kind != "short history"] + [
        Problem("short history", what, do, short[0].file, short[0].sheet)
    ]
