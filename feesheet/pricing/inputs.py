"""The figures that may be typed over, each with its unit, limits, source and what it was when the workbook was issued."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from feesheet import reference
from feesheet.formula.model import Block, Model, Setting, figure
from feesheet.formula.operations import all_of, any_of, same
from feesheet.formula.tree import Traced
from feesheet.practice import Practice
from feesheet.pricing.plans import WITH_PLANS
from feesheet.tables import PRACTICE

LIVE_SETTINGS = ("target_margin", "collected", "card_cost", "default_alloy_premium", "credibility_units")
"""Settings of the Practice table that the workbook recalculates from."""

FULL_FEE = "full fee"


@dataclass(frozen=True)
class InputRow:
    """One row of the Inputs sheet. `setting` names a setting; else it is a cell of a block's entry column."""

    heading: str
    unit: str
    value: float
    low: float
    high: float
    source: str
    setting: str = ""
    block: str = ""
    column: str = ""


@figure("In range?", "whole")
def in_range(value: Traced, low: Traced, high: Traced) -> Traced:
    """1 if the figure is between its lowest and its highest."""
    return all_of(value >= low, value <= high)


@figure("Changed?", "whole")
def changed(value: Traced, as_issued: Traced) -> Traced:
    """1 if the figure was typed over since the workbook was issued."""
    return 1 - same(value, as_issued)


@figure("In range?", "whole")
def known_basis(basis: Traced) -> Traced:
    """1 if it is one of the words that the formulas know."""
    return any_of(same(basis, WITH_PLANS), same(basis, FULL_FEE))


def add_settings(model: Model, practice: Practice, own: list[Setting]) -> None:
    """The practice's settings, the fixed numbers and a plug-in's own settings, each by its name."""
    for name in LIVE_SETTINGS:
        declared = PRACTICE.field(name)
        value = practice.settings[name]
        place = ", ".join(practice.setting_cells.get(name, ("blank: the default",)))
        model.settings[name] = Setting(
            name,
            declared.heading,
            "fraction" if declared.kind == "fraction" else "units",
            float(value),
            place,
            declared.low,
            declared.high,
        )
    basis = ", ".join(practice.setting_cells.get("margin_basis", ("blank: the default",)))
    model.settings["margin_basis"] = Setting(
        "margin_basis",
        "Margin basis",
        "text",
        practice.settings["margin_basis"],
        basis,
        choices=(WITH_PLANS, FULL_FEE),
    )
    for setting in own:
        model.settings[setting.name] = setting
    for setting in _fixed_settings(practice):
        model.settings[setting.name] = setting


def _fixed_settings(practice: Practice) -> list[Setting]:
    """The numbers that are not a practice's to set: published ones and the currency's smallest coin."""
    digits = reference.minor_digits()[practice.settings["currency"]]
    fixed = [
        Setting(f.name, f.heading, f.unit, f.value, f.source, fixed=True)
        for f in reference.fixed_numbers().values()
    ]
    fixed.append(
        Setting("money_digits", "Decimals of the currency", "digits", float(digits), "ISO 4217", fixed=True)
    )
    coin = 10.0**-digits
    fixed.append(Setting("smallest_coin", "Smallest coin", "money", coin, "ISO 4217", fixed=True))
    fixed.append(
        Setting(
            "money_tolerance",
            "Half of the smallest coin",
            "money",
            0.5 * coin,
            "ISO 4217",
            fixed=True,
        )
    )
    slack = "A coin of rounding, and half a coin that no comparison sees"
    fixed.append(Setting("rounding_slack", slack, "money", 1.5 * coin, "ISO 4217", fixed=True))
    return fixed


def input_rows(model: Model) -> list[InputRow]:
    """Every figure that may be typed over: a scenario's values and metal prices first, then settings, then the rest in the blocks' order."""
    settings = [
        InputRow(
            s.heading,
            s.unit,
            float(s.value),
            s.low or 0.0,
            s.high if s.high is not None else 1e6,
            s.source,
            setting=s.name,
        )
        for s in model.settings.values()
        if not s.fixed and not s.choices
    ]
    first = [row for name in _FIRST if name in model.blocks for row in _entries(model, name)]
    rest = [row for name in model.blocks if name not in _FIRST for row in _entries(model, name)]
    return [*first, *settings, *rest]


_FIRST = ("scenario_moves", "metals")
"""The blocks whose entries stand before everything else: what people come to type over."""


def _entries(model: Model, name: str) -> list[InputRow]:
    block = model.blocks[name]
    rows: list[InputRow] = []
    for column in block.columns.values():
        if not column.entry or column.values is None:
            continue
        labels = [block.labels(label) for label in block.label]
        for position, value in enumerate(column.values):
            which = ", ".join(word for word in (label[position] for label in labels) if word)
            place = ", ".join(part for part in column.places[position] if part)
            rows.append(
                InputRow(
                    f"{column.heading}: {which}",
                    column.units[position] if column.units else column.unit,
                    float(value),
                    _at(column.low, position, 0.0),
                    _at(column.high, position, 1e6),
                    place,
                    block=name,
                    column=column.name,
                )
            )
    return rows


def _at(limit: float | Sequence[float] | None, position: int, otherwise: float) -> float:
    """A limit that is one for all rows, or one a row."""
    if limit is None:
        return otherwise
    return float(limit) if isinstance(limit, (int, float)) else float(limit[position])


def add_inputs(model: Model, rows: list[InputRow]) -> None:
    """Add the Inputs sheet's blocks. Every entry column and every setting reads its cell there."""
    model.add(_figures_block(rows))
    model.add(_choices_block(model))
    model.add(_fixed_block(model))


def _figures_block(rows: list[InputRow]) -> Block:
    """The figures that may be typed over, one a row."""
    block = Block(
        "inputs",
        "Inputs",
        "Figures that may be typed over",
        len(rows),
        label=("what",),
        note="Type over a blue figure and every fee follows. Lowest and highest are limits of sense, not advice.",
    )
    block.given("what", "What", [row.heading for row in rows], width=68)
    block.given(
        "value", "Value", [row.value for row in rows], "entry", meaning="The figure that every sheet reads."
    )
    block.given("unit", "Unit", [row.unit for row in rows], "unit")
    block.given("low", "Lowest", [row.low for row in rows], "number", meaning="Lowest that makes sense.")
    block.given(
        "high", "Highest", [row.high for row in rows], "number", meaning="Highest that makes sense.", width=17
    )
    block.worked(in_range)
    block.given(
        "as_issued",
        "As issued",
        [row.value for row in rows],
        "number",
        meaning="The figure when the workbook was issued.",
    )
    block.worked(changed)
    block.given("source", "Read from", [row.source for row in rows], width=46)
    return block


def _choices_block(model: Model) -> Block:
    """The words that may be typed over: what the target margin is a margin of."""
    basis = model.settings["margin_basis"]
    words = Block("choices", "Inputs", "Words that may be typed over", 1, label=("what",))
    words.given("what", "What", [basis.heading])
    words.given("basis", "Value", [basis.value], "choice", meaning=" or ".join(basis.choices))
    words.worked(known_basis)
    words.given("basis_issued", "As issued", [basis.value], meaning="The word when the workbook was issued.")
    words.worked(changed, name="basis_changed", value="basis", as_issued="basis_issued")
    words.given("source", "Read from", [basis.source])
    return words


def _fixed_block(model: Model) -> Block:
    """The numbers that are not a practice's to set."""
    fixed = [setting for setting in model.settings.values() if setting.fixed]
    numbers = Block(
        "fixed", "Inputs", "Fixed numbers", len(fixed), "Not a practice's to set.", label=("what",)
    )
    numbers.given("what", "What", [setting.heading for setting in fixed])
    numbers.given("number", "Value", [float(setting.value) for setting in fixed], "exact")
    numbers.given("unit", "Unit", [setting.unit for setting in fixed], "unit")
    numbers.given("source", "Source", [setting.source for setting in fixed])
    return numbers
