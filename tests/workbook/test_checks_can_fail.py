"""Rules 17 and 37: a figure typed over makes a check fail, and every figure on the Inputs sheet moves something."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import formualizer
import pytest
from opened_book import OpenedBook
from written_books import EXAMPLE, random_schedule, schedule_of, written

from feesheet.writing.book import Schedule, layout_of

OVERTYPED = [
    ("lines", "used_amount"),
    ("lines", "aside_amount"),
    ("lines", "share"),
    ("lines", "lab_cost"),
    ("invoice_totals", "lines_read"),
    ("files", "read"),
    ("files", "used"),
    ("files", "aside"),
    ("materials", "billed"),
    ("materials", "material_units"),
    ("costs", "lab_fee"),
    ("costs", "alloy_cost"),
    ("costs", "people_cost"),
    ("costs", "overhead_cost"),
    ("costs", "remake_cost"),
    ("costs", "unit_cost"),
    ("composition", "fraction"),
    ("sites", "overhead_per_chair_min"),
    ("margins", "units"),
    ("margins", "cash_change"),
    ("fee_rules", "new_fee"),
    ("inputs", "value"),
    ("choices", "basis"),
    ("parts", "in_all"),
]
"""Columns that a check stands over."""

ODD = -12_345.67
"""A figure that none of them can have."""

BY_DEFAULT = 3
"""The premium choice of an alloy without lines enough of its own."""

STEPS = (0.9, 0.8, 0.7)
"""Neighbouring rows move by different steps: what is only compared with its like would not move otherwise."""


class Engine:
    """The workbook in an outside engine, its figures typed over and put back."""

    def __init__(self, schedule: Schedule, path: Path) -> None:
        """The schedule's workbook, worked out."""
        self.places = layout_of(schedule).places
        self.opened = OpenedBook(written(schedule, path))
        self.book: Any = formualizer.load_workbook(str(path))
        self.book.evaluate_all()

    def at(self, block: str, column: str, row: int = 0) -> tuple[str, int, int]:
        """Sheet, row and column of a figure."""
        place = self.places[block]
        return place.sheet, place.first_row + row, place.columns[column] + 1

    def counting(self, block: str, column: str) -> tuple[str, int, int]:
        """The first figure of the column that is not nought."""
        places = [self.at(block, column, row) for row in range(self.places[block].rows)]
        return next(place for place in places if self.book.get_value(*place))

    def failing(self) -> float:
        """How many checks fail; an error counts as one too."""
        found = self.book.get_value(*self.at("state", "number"))
        return float(found) if isinstance(found, (int, float)) else float("nan")

    def type_over(self, place: tuple[str, int, int], value: Any) -> None:
        """Put a figure over whatever stands there, and work everything out."""
        self.book.set_value(*place, value)
        self.book.evaluate_all()

    def put_back(self, place: tuple[str, int, int]) -> None:
        """What stood there as it was written."""
        cell = self.opened.sheets[place[0]].cells[place[1:]]
        if cell.formula:
            self.book.set_formula(*place, f"={cell.formula}")
        else:
            self.book.set_value(*place, cell.value)
        self.book.evaluate_all()

    def outcome(self) -> list[Any]:
        """All that the practice is told: every figure of the cost build-up, the margins and the fee rules' results."""
        blocks = {
            "costs": "unit_cost",
            "fee_rules": "new_fee",
            "margins": "margin_new",
            "plan_items": "needed_fee",
        }
        columns = [
            *blocks.items(),
            ("margins", "cash_change"),
            ("alloys", "alloy_price_per_g"),
        ]
        return [
            self.book.get_value(*self.at(block, column, row))
            for block, column in columns
            for row in range(self.places[block].rows)
        ]


@pytest.fixture(scope="module")
def example(tmp_path_factory: pytest.TempPathFactory) -> Engine:
    """The example's workbook."""
    return Engine(schedule_of(EXAMPLE), tmp_path_factory.mktemp("example") / "book.xlsx")


@pytest.mark.parametrize(("block", "column"), OVERTYPED)
def test_a_figure_typed_over_fails_a_check(block: str, column: str, example: Engine) -> None:
    """One odd figure in a column that a check covers, and the count of failing checks rises from nought."""
    place = example.counting(block, column)
    assert example.failing() == 0
    example.type_over(place, ODD)
    assert example.failing() != 0, f"{block}.{column} can be typed over unnoticed"
    example.put_back(place)
    assert example.failing() == 0


def may_be_idle(schedule: Schedule) -> set[str]:
    """Limits that may bind nowhere; price levels where all sites have ledgers; a default premium or a mill that serves none."""
    limits = {name for name in schedule.model.settings if name.startswith("rule_value_")}
    own = all(schedule.numbers.of("sites", "has_ledger") == 1)
    of = schedule.numbers.of
    served = any((of("alloys", "premium_choice") == BY_DEFAULT) & (of("alloys", "metal_value_per_g") > 0))
    prices = of("site_quotes", "price_no").astype(int) - 1
    of_mills = of("lab_prices", "milling_no")[prices] > 0
    asked = any(of_mills & ((of("site_quotes", "units") > 0) | (of("site_quotes", "first") > 0)))
    mills = {f"milling.{name}" for name in schedule.model.blocks["milling"].columns}
    return (
        limits
        | ({"sites.price_index"} if own else set())
        | (set() if served else {"default_alloy_premium"})
        | (set() if asked else mills)
    )


@pytest.mark.parametrize("seed", [None, 9, 10])
def test_inputs_move_something(seed: int | None, tmp_path: Path) -> None:
    """Each kind of figure on the Inputs sheet, less in every row of its kind, moves some cost, fee or margin."""
    schedule = schedule_of(EXAMPLE) if seed is None else random_schedule(seed, tmp_path / "practice")
    engine = Engine(schedule, tmp_path / "book.xlsx")
    before, idle = engine.outcome(), []
    kinds: dict[str, list[int]] = {}
    for row, typed in enumerate(schedule.inputs):
        if typed.value:
            kinds.setdefault(typed.setting or f"{typed.block}.{typed.column}", []).append(row)
    for kind, rows in kinds.items():
        places = [engine.at("inputs", "value", row) for row in rows]
        for place, row in zip(places, rows, strict=True):
            engine.book.set_value(*place, schedule.inputs[row].value * STEPS[row % len(STEPS)])
        engine.book.evaluate_all()
        if engine.outcome() == before:
            idle.append(kind)
        for place in places:
            engine.put_back(place)
    assert set(idle) <= may_be_idle(schedule)
