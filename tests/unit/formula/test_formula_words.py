"""The method page's sentences: what a calculation says in the headings that people see."""

from __future__ import annotations

import pytest

from feesheet.formula.model import Block, Model, Setting
from feesheet.formula.operations import (
    all_of,
    known,
    larger,
    pick,
    ratio,
    round_to,
    size,
    smaller,
    step_nearest,
    sum_across,
    times_each,
    when,
)
from feesheet.formula.tree import Above, Name, Node, Whole, call
from feesheet.formula.words import words

FEE, COST, NET, RATE, EACH = Name("fee"), Name("cost"), Name("net"), Name("rate"), Name("each")


def _model() -> tuple[Model, Block]:
    model = Model()
    block = model.add(Block("items", "Items", "Items", 1))
    for name, heading in (("fee", "Fee"), ("cost", "Unit cost"), ("net", "Net"), ("share_1", "Share")):
        block.given(name, heading, [1.0], "number")
    block.group("each", ["share_1"])
    model.settings["rate"] = Setting("rate", "Largest rise", "fraction", 0.08, "typed")
    return model, block


@pytest.mark.parametrize(
    ("tree", "said"),
    [
        (FEE * (1 + RATE), "Fee × (1 + Largest rise)"),
        (FEE - (COST - NET), "Fee - (Unit cost - Net)"),
        (FEE - COST - NET, "Fee - Unit cost - Net"),
        (FEE / (COST * NET), "Fee / (Unit cost × Net)"),
        ((FEE > COST) * NET, "(Fee is more than Unit cost) × Net"),
        (ratio(NET - COST, NET, 0), "(Net - Unit cost) / Net (0 if that is nought)"),
        (ratio(FEE, larger(COST, NET), 1), "Fee / (the larger of Unit cost and Net) (1 if that is nought)"),
        (ratio(FEE, COST, 1) - 1, "(Fee / Unit cost (1 if that is nought)) - 1"),
        (smaller(larger(FEE, COST), NET), "the smaller of (the larger of Fee and Unit cost) and Net"),
        (when(FEE > 0, FEE - COST, "none"), "(Fee - Unit cost) if Fee is more than 0, else “none”"),
        (when(known(FEE), FEE, COST), "Fee if (Fee is known), else Unit cost"),
        (size(FEE - COST), "(Fee - Unit cost) without its sign"),
        (
            round_to(1 - sum_across(EACH), RATE),
            "(1 - (the sum of Share over the plans)) rounded to Largest rise digits",
        ),
        (all_of(FEE >= COST, NET > 0), "Fee is at least Unit cost and Net is more than 0 at once"),
        (step_nearest(FEE * RATE, COST, 1, 1), "(Fee × Largest rise) to the nearest Unit cost"),
        (pick(FEE, "base", "noble"), "the one numbered Fee of “base”, “noble”"),
        (sum_across(times_each(EACH, EACH)), "the sum of Share × Share over the plans"),
        (FEE + Above("fee"), "Fee + Fee of the row above"),
        (
            call("total", Whole("items", "fee"), Whole("items", "cost"), NET),
            "the sum of Items: Fee where Items: Unit cost is Net",
        ),
        (
            call("count", Whole("items", "fee"), NET, Whole("items", "cost")),
            "the number of rows where Items: Fee is Net and Items: Unit cost is 1",
        ),
    ],
)
def test_sentences(tree: Node, said: str) -> None:
    """The words hold together as the calculation does: brackets wherever they could be read another way."""
    model, block = _model()
    assert words(tree, block, model) == said
