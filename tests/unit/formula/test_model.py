"""Blocks: columns of one name, running totals, look-ups, circles, and rows in formulas."""

from __future__ import annotations

import pytest
from outside_engine import recalculated

from feesheet.formula.excel import at_rows, row_mark
from feesheet.formula.model import Block, Model, Setting
from feesheet.formula.numbers import Numbers
from feesheet.formula.tree import Name
from feesheet.formula.words import words


def _model(rows: int) -> tuple[Model, Block]:
    model = Model()
    return model, model.add(Block("one", "one", "One", rows))


def test_names_are_used_once() -> None:
    """Two columns of one name are refused."""
    _, block = _model(1)
    block.given("a", "A", [1.0], "number")
    with pytest.raises(ValueError, match="two columns a"):
        block.tree("a", "A again", "number", Name("a"), "")


def test_a_value_for_each_row() -> None:
    """Facts come one a row."""
    _, block = _model(2)
    with pytest.raises(ValueError, match="1 values for 2 rows"):
        block.given("a", "A", [1.0], "number")


def test_circles() -> None:
    """Columns that depend on each other in a circle are refused, so is one that depends on itself."""
    model, block = _model(1)
    block.tree("a", "A", "number", Name("b"), "")
    block.tree("b", "B", "number", Name("a"), "")
    block.tree("c", "C", "number", Name("c"), "")
    for name in "abc":
        with pytest.raises(RecursionError, match="depends on itself"):
            Numbers(model).of("one", name)


def test_unknown_names() -> None:
    """A name that is no column and no setting is refused."""
    model, block = _model(1)
    block.tree("a", "A", "number", Name("nowhere"), "")
    with pytest.raises(KeyError, match="nothing is called nowhere"):
        Numbers(model).of("one", "a")


def test_settings_and_neighbours() -> None:
    """A name is a column here, else a column of an aligned block, else a setting."""
    model, block = _model(2)
    block.aligned = "items"
    other = model.add(Block("two", "two", "Two", 2, aligned="items"))
    other.given("cost", "Cost", [10.0, 20.0], "number")
    model.settings["markup"] = Setting("markup", "Markup", "number", 3.0, "typed")
    block.tree("fee", "Fee", "number", Name("cost") * Name("markup"), "")
    assert list(Numbers(model).of("one", "fee")) == recalculated(model, "one", "fee") == [30.0, 60.0]


def test_running_totals() -> None:
    """A running total starts anew with each key and carries on within it, in number and in formula."""
    model, block = _model(6)
    block.given("key", "Key", [1, 1, 1, 2, 3, 3], "whole")
    block.given("amount", "Amount", [10.0, -4.0, 0.5, 7.0, 0.0, 2.0], "money")
    block.running_total("so_far", "So far", "money", "amount", "key", "")
    expected = [10.0, 6.0, 6.5, 7.0, 0.0, 2.0]
    assert list(Numbers(model).of("one", "so_far")) == recalculated(model, "one", "so_far") == expected


@pytest.mark.parametrize(
    ("carried", "expected"),
    [("least", [10.0, -4.0, -4.0, 7.0, 0.0, 0.0]), ("most", [10.0, 10.0, 10.5, 7.0, 0.0, 2.0])],
)
def test_running_limits(carried: str, expected: list[float]) -> None:
    """The least and the most so far start anew with each key, in number and in formula, and are said in words."""
    model, block = _model(6)
    block.given("key", "Key", [1, 1, 1, 2, 3, 3], "whole")
    block.given("amount", "Amount", [10.0, -4.0, 10.5, 7.0, 0.0, 2.0], "money")
    block.running_limit("so_far", "So far", "money", "amount", "key", "", carried)
    assert list(Numbers(model).of("one", "so_far")) == recalculated(model, "one", "so_far") == expected
    tree = block.columns["so_far"].tree
    assert tree is not None
    size = {"least": "smaller", "most": "larger"}[carried]
    assert words(tree, block, model) == (
        f"(the {size} of So far of the row above and Amount) if Key is Key of the row above, else Amount"
    )


def test_truths_are_counted() -> None:
    """A column that only compares holds 1 and 0, so that it can be summed."""
    model, block = _model(3)
    block.given("a", "A", [1.0, 2.0, 3.0], "number")
    block.given("b", "B", [2.0, 2.0, 2.0], "number")
    block.tree("reached", "Reached", "whole", Name("a") >= Name("b"), "")
    assert list(Numbers(model).of("one", "reached")) == recalculated(model, "one", "reached") == [0, 1, 1]


def test_total_count_and_fetch() -> None:
    """Rows of another block are summed, counted and looked up by their numbers."""
    model, block = _model(2)
    lines = model.add(Block("lines", "lines", "Lines", 4))
    lines.counter("one_no", "One no.", [1, 2, 1, 0], "")
    lines.given("amount", "Amount", [5.0, 7.0, 11.0, 100.0], "money")
    lines.counter("kept", "Kept", [1, 1, 0, 1], "")
    lines.fetch("fetched", "Fetched", "money", "one.amount", "one_no", 0)
    block.number()
    block.total("amount", "Amount", "money", "lines.amount", "lines.one_no", "no")
    block.total("kept_amount", "Kept amount", "money", "lines.amount", "lines.one_no", "no", "lines.kept")
    block.count("kept_lines", "Kept lines", "lines.one_no", "no", "lines.kept")
    for name, expected in (("amount", [16, 7]), ("kept_amount", [5, 7]), ("kept_lines", [1, 1])):
        assert list(Numbers(model).of("one", name)) == recalculated(model, "one", name) == expected
    assert (
        list(Numbers(model).of("lines", "fetched"))
        == recalculated(model, "lines", "fetched")
        == [16, 7, 16, 0]
    )


@pytest.mark.parametrize(
    ("formula", "at_nine"),
    [
        ("=1+Rate", "=1+Rate"),
        (f"=A{row_mark(0)}", "=A9"),
        (f"=A{row_mark(0)}*B{row_mark(0)}+$C$1", "=A9*B9+$C$1"),
        (f"=IF(A{row_mark(0)}=A{row_mark(-1)},B{row_mark(-1)},0)+C{row_mark(0)}", "=IF(A9=A8,B8,0)+C9"),
        (f"=SUM(A{row_mark(0)}:D{row_mark(2)})", "=SUM(A9:D11)"),
    ],
)
def test_rows_of_a_formula(formula: str, at_nine: str) -> None:
    """A formula's row marks become the row it stands in, above or below it."""
    assert at_rows(formula)(9) == at_nine
