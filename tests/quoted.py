"""Models with quote safety: a small one of plain figures, and a practice's own, ready to be written as a workbook."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from written_books import schedule_of

from feesheet import reference
from feesheet.formula.model import Block, Model, Setting
from feesheet.formula.numbers import Numbers
from feesheet.formula.tree import Name
from feesheet.practice import Practice
from feesheet.pricing import inputs
from feesheet.pricing.what_if import exposure, tornado, year
from feesheet.pricing.what_if.quote_safety import add_quote_safety
from feesheet.problems import Problem
from feesheet.uses.annual_update import price
from feesheet.writing.book import Schedule


@dataclass(frozen=True)
class Casting:
    """An item: its fee, its unit cost, what each metal costs in it, and how the lab bills its alloy."""

    code: str
    metals: tuple[tuple[str, float], ...]
    fee: float = 1200.0
    unit_cost: float = 700.0
    billed: str = exposure.BY_WEIGHT
    site: str = "North"


@dataclass(frozen=True)
class Weighed:
    """An alloy line: grams, units and pool (1 or 2); `counts` where it is in the window."""

    grams: float
    units: float = 1.0
    pool: int = 1
    counts: int = 1


METALS = {"gold": 4000.0, "palladium": 1200.0, "silver": 50.0, "platinum": 0.0}
"""The small model's metals and their prices a troy ounce; platinum has none."""

MEANS = (2.0, 3.0)
"""The own means of its two pools in grams."""


def small_model(castings: Sequence[Casting], weighed: Sequence[Weighed] = ()) -> Model:
    """The blocks and settings that quote safety reads."""
    model = Model()
    for fixed in reference.fixed_numbers().values():
        model.settings[fixed.name] = Setting(
            fixed.name, fixed.heading, fixed.unit, fixed.value, "", fixed=True
        )
    metals = model.add(Block("metals", "Alloy", "Metal prices", len(METALS), label=("metal",)))
    metals.given("metal", "Metal", list(METALS))
    metals.given("quoted_unit", "Quoted unit", ["troy ounce"] * len(METALS))
    metals.given("price", "Price", list(METALS.values()), "money")
    for name, column, values in (
        ("costs", "unit_cost", [one.unit_cost for one in castings]),
        ("fee_rules", "current_fee", [one.fee for one in castings]),
        ("pools", "own_mean_g", list(MEANS)),
    ):
        model.add(Block(name, name, name, len(values))).given(column, column, values, "money")
    _add_metal_items(model, castings)
    lines = model.add(Block("alloy_lines", "Alloy lines", "Alloy lines", len(weighed)))
    lines.given("alloy", "Alloy", ["alloy A"] * len(weighed))
    lines.counter("pool_no", "Pool", [line.pool for line in weighed], "Row in the pools.")
    lines.counter("weighed", "Counts", [line.counts for line in weighed], "1 if it counts.")
    lines.given("weight_g", "Grams", [line.grams for line in weighed], "grams")
    lines.given("alloy_units", "Units", [line.units for line in weighed], "units")
    return model


def _add_metal_items(model: Model, castings: Sequence[Casting]) -> None:
    """A stand-in for each metal in each item: its cost is so many quoted units at the metal's price."""
    held = [(n, one, metal, cost) for n, one in enumerate(castings, 1) for metal, cost in one.metals]
    block = model.add(Block("metal_items", "Metal", "Metals in items", len(held)))
    block.counter("item_no", "Item no.", [n for n, *_ in held], "Row in the costs.")
    block.counter(
        "metal_no",
        "Metal no.",
        [list(METALS).index(metal) + 1 for *_, metal, _ in held],
        "Row in the metals.",
    )
    for name in ("code", "site", "billed"):
        block.given(name, name, [getattr(one, name) for _, one, _, _ in held])
    block.given("metal", "Metal", [metal for *_, metal, _ in held])
    block.given(
        "quantity", "Quantity", [cost / METALS[metal] if METALS[metal] else 0.0 for *_, metal, cost in held],
        "number",
    )  # fmt: skip
    block.fetch("price", "Price", "money", "metals.price", "metal_no")
    block.tree("metal_cost", "Metal cost", "money", Name("quantity") * Name("price"), "At that price.")


def at_level(model: Model, level: float) -> Model:
    """The model after another level was typed over."""
    setting = replace(model.settings["safety_level"], value=level)
    return Model({**model.settings, "safety_level": setting}, model.blocks)


def quoted(folder: Path, history: Practice, hold_days: int) -> tuple[Schedule, list[Problem]]:
    """The practice in that folder with each metal in each item and quote safety, and what is said of the history."""
    practice = schedule_of(folder).practice
    priced, _ = price(practice)
    model = priced.model
    metals = tornado.priced_metals(model, priced.numbers)
    model.add(year.year_block(priced.who))
    driven = tornado.drivers_moved(metals)
    tornado.add_drivers(model, driven)
    model.add(exposure.metal_items_block(model, priced.who, driven, metals, Numbers(model)))
    problems = add_quote_safety(model, history, metals, hold_days)
    typed = inputs.input_rows(model)
    inputs.add_inputs(model, typed)
    return Schedule(practice, model, Numbers(model), typed, problems), problems
