"""A new gold price typed on the Inputs sheet moves what the program would move, to the same figures."""

from __future__ import annotations

import copy
import re
from dataclasses import replace
from pathlib import Path

import pytest
from opened_book import OpenedBook, letters, parts, write_parts
from recalculated.engines import Figures, by_formualizer, by_libreoffice, poisoned
from recalculated.expected import differing, expected, message
from written_books import EXAMPLE, random_schedule, schedule_of, written

from feesheet.formula.model import Model
from feesheet.formula.numbers import Numbers
from feesheet.writing.book import Schedule, layout_of

RISE = 1.37


def with_price(model: Model, metal_row: int, input_row: int, price: float) -> Model:
    """The model as if that metal had been quoted at the price; the Inputs sheet says so too."""
    changed = copy.deepcopy(model)
    for block, column, row in (("metals", "price", metal_row), ("inputs", "value", input_row)):
        before = changed.blocks[block].columns[column]
        values = list(before.values or ())
        values[row] = price
        changed.blocks[block].columns[column] = replace(before, values=values)
    return changed


def gold_price(schedule: Schedule) -> tuple[int, int, float]:
    """Gold's row among the metals, the row of its price on the Inputs sheet, and a higher price."""
    metals = list(schedule.model.blocks["metals"].columns["metal"].values or ())
    row = metals.index("gold")
    typed = [
        number
        for number, one in enumerate(schedule.inputs)
        if one.block == "metals" and one.column == "price"
    ]
    return row, typed[row], float(schedule.inputs[typed[row]].value) * RISE


def alloyed_with_gold(schedule: Schedule) -> set[int]:
    """The rows of the cost build-up whose crown holds gold."""
    of = schedule.numbers.of
    golden = {
        int(alloy)
        for alloy, metal, share in zip(
            of("composition", "alloy_no"),
            of("composition", "metal"),
            of("composition", "fraction"),
            strict=True,
        )
        if metal == "gold" and share > 0
    }
    pools = [int(alloy) in golden for alloy in of("pools", "alloy_no")]
    return {
        row
        for row, (pool, grams) in enumerate(zip(of("costs", "pool_no"), of("costs", "alloy_g"), strict=True))
        if pool and pools[int(pool) - 1] and grams > 0
    }


def spliced(book: Path, sheet: str, cell: str, value: float) -> Path:
    """The workbook with another number in one cell, its caches as they were."""
    contents, part = parts(book), OpenedBook(book).sheets[sheet].part
    pattern = rf'(<c r="{cell}"[^>]*>)<v>[^<]*</v>'.encode()
    contents[part], count = re.subn(pattern, rb"\g<1><v>%s</v>" % repr(value).encode(), contents[part])
    assert count == 1, f"{sheet}!{cell} is no typed number"
    return write_parts(book.parent / "typed.xlsx", contents)


@pytest.mark.parametrize("seed", [None, 0, 3, 9])
def test_a_typed_gold_price_moves_every_alloyed_fee(
    seed: int | None, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    """Every formula then gives what the program gives for that price; each crown with gold costs more, no other does."""
    schedule = schedule_of(EXAMPLE) if seed is None else random_schedule(seed, tmp_path / "practice")
    metal_row, input_row, price = gold_price(schedule)
    fresh = Numbers(with_price(schedule.model, metal_row, input_row, price))
    book = poisoned(written(schedule, tmp_path / "book.xlsx"), tmp_path / "poisoned.xlsx")[0]
    opened, inputs = OpenedBook(book), layout_of(schedule).places["inputs"]
    ours, row, column = (
        expected(schedule, opened, fresh),
        inputs.first_row + input_row,
        inputs.columns["value"] + 1,
    )
    agrees(ours, by_formualizer(book, opened, {("Inputs", row, column): price}), opened)
    dearer = fresh.of("costs", "unit_cost") > schedule.numbers.of("costs", "unit_cost")
    assert {int(row) for row in dearer.nonzero()[0]} == alloyed_with_gold(schedule) != set()
    assert fresh.of("state", "number")[1] == 1, "one figure typed over"
    if seed is None:
        request.getfixturevalue("libreoffice")
        typed = spliced(book, "Inputs", f"{letters(column)}{row}", price)
        agrees(ours, by_libreoffice([typed], tmp_path)[0], opened)


def agrees(ours: Figures, theirs: Figures, opened: OpenedBook) -> None:
    """Every formula comes to the program's figure."""
    cells = differing(ours, theirs)
    assert not cells, message(cells, ours, theirs, opened)
