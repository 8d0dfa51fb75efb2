"""Brackets: a calculation read back from its formula is the one that was written."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from outside_engine import recalculated

from feesheet.formula.model import Block, Model
from feesheet.formula.numbers import Numbers
from feesheet.formula.operations import larger, ratio, smaller, step_nearest, when
from feesheet.formula.tree import Call, Name, Node, call, walk

A, B, C, D = (Name(letter) for letter in "abcd")


def _model(tree: Node, figures: tuple[float, float, float, float]) -> Model:
    """One row of figures a to d, and the tree's `result`."""
    model = Model()
    block = model.add(Block("row", "row", "Row", 1))
    for letter, value in zip("abcd", figures, strict=True):
        block.given(letter, letter, [value], "number")
    block.tree("result", "Result", "number", tree, "")
    return model


def _both(tree: Node, figures: tuple[float, float, float, float]) -> tuple[float, float]:
    """The number, and what an outside engine makes of the formula."""
    model = _model(tree, figures)
    return float(Numbers(model).of("row", "result")[0]), float(recalculated(model, "row", "result")[0])


@pytest.mark.parametrize(
    ("tree", "expected"),
    [
        (A - (B - C), 7 - (5 - 3)),
        (A - B - C, 7 - 5 - 3),
        (A / (B * C), 7 / (5 * 3)),
        (A / B * C, 7 / 5 * 3),
        (A / (B / C), 7 / (5 / 3)),
        (A * (B + C), 7 * (5 + 3)),
        ((A > B) * C, 3),
        (1 + (A < B) + (A > B) * (B >= C), 2),
        (A - (B < C), 7),
        ((A - B) / (C - D), (7 - 5) / (3 - 2)),
        (ratio(A - B, C - D, 0) * (A + B), 24),
        (ratio(A, B - B, C - D), 1),
        (ratio(A, ratio(B, C, 0), 1), 7 / (5 / 3)),
        (1 - ratio(A, B - C, 0), 1 - 7 / 2),
        (larger(A - B, smaller(B, C) * D), 6),
        (when(A - B >= C, A, B - C) * D, 4),
        (step_nearest(A * B - C, B - C, D, 1), 32),
    ],
)
def test_written_out(tree: Node, expected: float) -> None:
    """The number, the formula and the sum on paper are one, with a = 7, b = 5, c = 3, d = 2."""
    assert _both(tree, (7.0, 5.0, 3.0, 2.0)) == pytest.approx((expected, expected))


def _arithmetic(figure: st.SearchStrategy[Node]) -> st.SearchStrategy[Node]:
    """Figures made of figures; a comparison stands where it is counted or decides."""
    truth = st.builds(call, st.sampled_from(["less", "at_most", "more", "at_least"]), figure, figure)
    part = figure | truth
    return st.one_of(
        st.builds(call, st.sampled_from(["add", "subtract", "multiply", "divide"]), part, part),
        st.builds(call, st.sampled_from(["larger", "smaller"]), figure, figure, figure),
        st.builds(when, truth, figure, figure),
        st.builds(ratio, figure, figure, figure),
    )


TREES = st.recursive(st.sampled_from([A, B, C, D]), _arithmetic, max_leaves=12)
FIGURES = st.tuples(*[st.integers(-9, 9).map(float)] * 4)


def _all_finite(tree: Node, model: Model) -> bool:
    """Whether no part divides by nought: a spreadsheet says so with an error, arithmetic with infinity."""
    numbers = Numbers(model)
    with np.errstate(all="ignore"):
        return all(
            np.isfinite(numbers.evaluate(part, model.blocks["row"])).all()
            for part in walk(tree)
            if isinstance(part, Call)
        )


@settings(max_examples=300, deadline=None)
@given(TREES, FIGURES)
def test_any_calculation(tree: Node, figures: tuple[float, float, float, float]) -> None:
    """Whatever is written with these operations, the formula says what the number says."""
    assume(_all_finite(tree, _model(tree, figures)))
    ours, theirs = _both(tree, figures)
    assert ours == pytest.approx(theirs, rel=1e-9, abs=1e-9)
