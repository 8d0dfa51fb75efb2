"""Every operation's number and formula agree: no row of the table of operations says two things."""

from __future__ import annotations

import math
import random
from collections.abc import Callable
from typing import Any

import pytest
from outside_engine import recalculated

from feesheet.formula.model import Block, Model
from feesheet.formula.numbers import Numbers
from feesheet.formula.operations import ALL_OPERATIONS, grand_total, largest, smallest
from feesheet.formula.tree import Call, Name, Node, Whole, call, node

ROWS = 40
OTHER_ROWS = 17

FIGURES = (
    0.0,
    0.0,
    1.0,
    -1.0,
    0.5,
    -0.5,
    1.5,
    2.5,
    -2.5,
    2.675,
    -1.475,
    1.005,
    2.15,
    0.125,
    1466.5,
    -1466.5,
    980.0,
    1e-9,
)
"""Noughts, ties that binary fractions blur, negatives and money."""


def _figure(draw: random.Random) -> float:
    return draw.choice(
        [draw.choice(FIGURES), draw.choice(FIGURES), draw.uniform(-2000, 2000), round(draw.uniform(-9, 9), 2)]
    )


KINDS: dict[str, Callable[[random.Random], Any]] = {
    "figure": _figure,
    "not nought": lambda draw: _figure(draw) or 3.0,
    "truth": lambda draw: float(draw.random() < 0.5),
    "digits": lambda draw: float(draw.randint(-2, 4)),
    "decimals": lambda draw: float(draw.randint(0, 3)),
    "step": lambda draw: draw.choice((0.05, 0.1, 0.25, 1.0, 5.0, 10.0, 100.0)),
    "many digits": lambda draw: 8.0,
    "choice": lambda draw: float(draw.randint(1, 3)),
    "blank or figure": lambda draw: draw.choice((math.nan, _figure(draw))),
    "word": lambda draw: draw.choice(("", "Held. ", 'a "b"', "é × –")),
    "number of a row": lambda draw: float(draw.randint(1, OTHER_ROWS)),
    "number or none": lambda draw: float(draw.randint(0, OTHER_ROWS)),
    "key": lambda draw: float(draw.randint(0, 5)),
    "above nought": lambda draw: draw.uniform(0.001, 2000),
    "power": lambda draw: draw.uniform(-30, 30),
    "chance": lambda draw: draw.choice((0.025, 0.5, 0.95, 0.975, draw.uniform(0.001, 0.999))),
    "count": lambda draw: float(draw.randint(1, 400)),
    "number or words": lambda draw: draw.choice(("", "none", 0.5, _figure(draw), _figure(draw))),
    "place": lambda draw: float(draw.randint(1, 3)),
}

PARTS: dict[str, tuple[str, ...]] = {
    **dict.fromkeys(("add", "subtract", "multiply"), ("figure", "figure")),
    **dict.fromkeys(("less", "at_most", "more", "at_least", "same"), ("figure", "figure")),
    "divide": ("figure", "not nought"),
    "when": ("truth", "figure", "figure"),
    **dict.fromkeys(("larger", "smaller"), ("figure", "figure", "figure")),
    "size": ("figure",),
    "ratio": ("figure", "figure", "figure"),
    **dict.fromkeys(("all_of", "any_of"), ("truth", "truth", "truth")),
    "round_to": ("figure", "digits"),
    **dict.fromkeys(("step_nearest", "step_up", "step_down"), ("figure", "step", "many digits", "decimals")),
    "known": ("blank or figure",),
    "pick": ("choice", "figure", "figure", "figure"),
    "as_text": ("figure", "decimals"),
    "joined": ("word", "word", "word"),
    **dict.fromkeys(("sum_across", "largest_across"), ("each",)),
    **dict.fromkeys(("lesser_each", "where_at_most"), ("each", "figure")),
    "times_each": ("each", "each"),
    "lookup": ("whole", "number of a row"),
    "lookup_or": ("whole", "number or none", "figure"),
    "total": ("whole", "whole key", "key", "whole truth", "whole truth"),
    "count": ("whole key", "key", "whole truth"),
    "total_product": ("whole", "whole", "whole key", "key"),
    "grand_total": ("whole",),
    "grand_product": ("whole", "whole"),
    "tally": ("whole word", "the word"),
    "count_above": ("whole",),
    "count_below": ("whole",),
    **dict.fromkeys(("height", "smallest", "largest"), ("whole",)),
    **dict.fromkeys(("natural_log", "square_root"), ("above nought",)),
    "exponential": ("power",),
    "normal_quantile": ("chance",),
    "beta_quantile": ("chance", "count", "count"),
    "nth_smallest": ("whole number or words", "place"),
    **dict.fromkeys(("standard_deviation", "count_numbers"), ("whole number or words",)),
    "count_over": ("whole number or words", "figure"),
}
"""What each operation takes: kinds of figures of the row, `each` for one figure a plan, `whole` for
another block's column.
"""

MANY = frozenset({"lesser_each", "where_at_most", "times_each"})
"""Operations that give one figure a plan, to be summed before a cell can hold them."""


def _given(block: Block, name: str, kind: str, draw: random.Random, negative: bool = False) -> None:
    values = [KINDS[kind](draw) for _ in range(block.rows)]
    block.given(
        name,
        name,
        [-abs(value) for value in values] if negative else values,
        {"word": "text", "number or words": "mixed"}.get(kind, "number"),
    )


def _loose_part(model: Model, kind: str, name: str, draw: random.Random) -> Node:
    """A part that needs brackets inside an operator: a difference for a figure, a comparison for a truth."""
    if kind not in ("figure", "truth"):
        return _part(model, kind, name, draw, False)
    for side in ("left", "right"):
        _given(model.blocks["rows"], f"{name}_{side}", "figure", draw)
    return call("subtract" if kind == "figure" else "less", Name(f"{name}_left"), Name(f"{name}_right"))


def _part(model: Model, kind: str, name: str, draw: random.Random, negative: bool) -> Node:
    """A part of that kind, its figures given in the model."""
    if kind == "the word":
        return node("Held. ")
    if kind == "each":
        members = [f"{name}_{plan}" for plan in range(3)]
        for member in members:
            _given(model.blocks["rows"], member, "figure", draw, negative)
        model.blocks["rows"].group(name, members)
        return Name(name)
    block, inside = (
        ("other", kind.removeprefix("whole").strip() or "figure")
        if kind.startswith("whole")
        else ("rows", kind)
    )
    _given(model.blocks[block], name, inside, draw, negative and inside == "figure")
    return Whole(block, name) if block == "other" else Name(name)


def _model_of(operation: str, seed: int, negative: bool = False, loose: bool = False) -> Model:
    """A model whose column `result` is the operation on random parts."""
    draw = random.Random(f"{operation} {seed}")
    model = Model()
    model.add(Block("rows", "rows", "Rows", ROWS))
    model.add(Block("other", "other", "Other", OTHER_ROWS))
    parts = [
        _loose_part(model, kind, f"part_{n}", draw)
        if loose
        else _part(model, kind, f"part_{n}", draw, negative)
        for n, kind in enumerate(PARTS[operation])
    ]
    tree: Call = call(operation, *parts)
    unit = "text" if operation in ("as_text", "joined") else "number"
    model.blocks["rows"].tree(
        "result", "Result", unit, call("sum_across", tree) if operation in MANY else tree, ""
    )
    return model


def _assert_agree(model: Model) -> None:
    ours = list(Numbers(model).of("rows", "result"))
    theirs = recalculated(model, "rows", "result")
    if isinstance(ours[0], str):
        assert ours == [value or "" for value in theirs]
    else:
        assert [float(value) for value in ours] == pytest.approx(
            [float(value) for value in theirs], rel=1e-12, abs=1e-12
        )


@pytest.mark.parametrize("operation", sorted(ALL_OPERATIONS))
@pytest.mark.parametrize(("seed", "negative"), [(1, False), (2, False), (3, True)])
def test_number_and_formula_agree(operation: str, seed: int, negative: bool) -> None:
    """An outside engine works the formula out to the number, on ties, noughts, and figures all below nought."""
    _assert_agree(_model_of(operation, seed, negative))


@pytest.mark.parametrize("operation", sorted(ALL_OPERATIONS))
def test_parts_get_brackets(operation: str) -> None:
    """A difference or a comparison inside the operation holds together in the formula as it does in the
    number.
    """
    _assert_agree(_model_of(operation, 4, loose=True))


def test_no_rows_have_no_largest() -> None:
    """Over no rows at all the smallest and the largest are nought, as a spreadsheet says of empty cells."""
    assert smallest([]) == largest([]) == grand_total([]) == 0
