"""What may and may not be written in a calculation."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from feesheet.formula.model import Block, Model
from feesheet.formula.numbers import Numbers
from feesheet.formula.operations import larger, when
from feesheet.formula.tree import Call, Name, Value, figure_in, trace, walk


def _with_if(a: Any, b: Any) -> Any:
    if a > b:
        return a
    return b


@pytest.mark.parametrize(
    "function",
    [
        _with_if,
        lambda a, b: a if a else b,
        lambda a, b: a > 0 and b > 0,
        lambda a, b: a > 0 or b,
        lambda a, b: not a,
        lambda a, b: 0 < a < b,
        lambda a, b: max(a, b),
        lambda a, b: min(a, b),
    ],
)
def test_no_python_decisions(function: Callable[[Any, Any], Any]) -> None:
    """Python's if, and, or, not, max and min decide, so they are refused and told what to use."""
    with pytest.raises(TypeError, match="write when"):
        trace(function)


@pytest.mark.parametrize(
    "function",
    [
        lambda a: a * 60,
        lambda a: 0.5 + a,
        lambda a: a / 100,
        lambda a: when(a > 0, a, -1),
        lambda a: larger(a, 1e9),
        lambda a: np.float64(2.0) * a,
        lambda a: a + None,
    ],
)
def test_numbers_need_names(function: Callable[[Any], Any]) -> None:
    """Only nought and one stand in a formula without a name of their own."""
    with pytest.raises(TypeError, match="give it a name"):
        trace(function)


def test_nought_one_and_words() -> None:
    """Nought, one and words are values of the tree."""
    tree = trace(lambda a: when(a > 0, 1 - a, "none"))
    assert [part.value for part in walk(tree) if isinstance(part, Value)] == [0.0, 1.0, "none"]


def test_arguments_are_names() -> None:
    """An argument stands for the column of its name, or for the one it is renamed to."""
    tree = trace(lambda fee, share: fee * share, {"fee": "new_fee"})
    assert isinstance(tree, Call) and tree.operation == "multiply"
    assert [part.name for part in walk(tree) if isinstance(part, Name)] == ["new_fee", "share"]


def test_sides_are_kept() -> None:
    """A number on the left stays on the left."""
    for function, operation in ((lambda a: 1 - a, "subtract"), (lambda a: 1 / a, "divide")):
        tree = trace(function)
        assert isinstance(tree, Call) and tree.operation == operation
        assert isinstance(tree.parts[0], Value) and isinstance(tree.parts[1], Name)


def test_numpy_on_the_left() -> None:
    """A numpy number on the left does not swallow the tree."""
    tree = trace(lambda a: np.float64(1.0) - a)
    assert isinstance(tree, Call) and tree.operation == "subtract"


def test_a_figure_in_a_row() -> None:
    """The row of another block's column is counted from 1, and may stand in a formula, where no other number may."""
    model = Model()
    model.add(Block("prices", "Prices", "Prices", 3)).given("price", "Price", [3.0, 5.0, 11.0], "money")
    one = model.add(Block("one", "One", "One", 1))
    for row in (1, 2, 3):
        one.tree(f"row_{row}", f"Row {row}", "money", figure_in("prices", "price", row), "")
    assert [float(Numbers(model).of("one", f"row_{row}")[0]) for row in (1, 2, 3)] == [3.0, 5.0, 11.0]
    with pytest.raises(TypeError):
        trace(lambda price: price * 3)
