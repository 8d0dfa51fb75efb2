"""Hard cases of surcharges: patients on a plan, and a metal that falls."""

from __future__ import annotations

from banded import Sold, added_at, holding, priced_model

from feesheet.formula.model import Model
from feesheet.formula.numbers import Numbers
from feesheet.formula.tree import Name, walk
from feesheet.pricing.what_if import bands_words
from feesheet.pricing.what_if.bands import add_bands, band_lines

GOLD = 2400.0
ITEMS = (
    Sold("A1", fee=1500.0, other_cost=450.0, quantity=1 / 16),
    Sold("A2", fee=1185.0, other_cost=395.0, quantity=0.031),
)


def banded() -> tuple[Model, Numbers]:
    """Two items that hold gold, and the bands of its price."""
    model = priced_model(ITEMS, GOLD)
    assert add_bands(model, "gold", 0.01, Numbers(model)) == []
    return model, Numbers(model)


def test_case_104_add_on_for_a_patient_on_a_plan() -> None:
    """The sheet and the screen say that a plan's amount takes no add-on without a contract that allows it; no band reads a plan's amount."""
    model, numbers = banded()

    assert bands_words.PLANS in bands_words.FOOT
    assert "can't take an add-on unless the plan's contract allows a line for alloy" in bands_words.PLANS
    assert bands_words.WHO_PAYS.startswith("Only patients who pay the full fee")
    assert bands_words.PLANS in band_lines(numbers, model)
    assert bands_words.WHO_PAYS in model.blocks["add_ons"].note
    read = {
        part.name
        for block in ("bands", "band_moves", "band_workings")
        for column in model.blocks[block].columns.values()
        if column.tree is not None
        for part in walk(column.tree)
        if isinstance(part, Name)
    }
    assert not [name for name in read if "allowed" in name or "plan" in name or "share" in name]


def test_case_115_gold_falls_by_30_percent() -> None:
    """At 1,680 as much is taken off as is added at 3,120: 375 x 750 / 2,400 = 117, and 59; margins stay within a point."""
    _, numbers = banded()
    taken, added = added_at(numbers, GOLD * 0.7), added_at(numbers, GOLD * 1.3)

    assert list(added) == [117.0, 59.0]
    assert list(taken) == [-117.0, -59.0]
    for item, off in zip(ITEMS, taken, strict=True):
        before = (item.fee * item.kept - item.other_cost - item.quantity * GOLD) / (item.fee * item.kept)
        net = (item.fee + float(off)) * item.kept
        after = (net - item.other_cost - item.quantity * GOLD * 0.7) / net
        assert abs(after - before) <= 0.01


def test_case_115_when_to_drop_the_surcharge() -> None:
    """Gold that comes back from over 2,525 to under it drops the surcharge; under 2,275 an amount is taken off."""
    _, numbers = banded()
    actions = list(numbers.of("bands", "action"))
    at = [actions[holding(numbers, price) - 1] for price in (2525.0, 2524.99, 2275.0, 2274.99)]

    assert at == ["add", "no add-on", "no add-on", "take off"]
    assert list(added_at(numbers, 2524.99)) == [0.0, 0.0]
    assert bands_words.DROP_RULE in bands_words.HEAD
    assert "add-on falls with it" in bands_words.DROP_RULE


def test_case_115_every_band_has_its_mirror() -> None:
    """Band by band what is taken off under the reference is what is added over it."""
    _, numbers = banded()
    for no in range(1, 5):
        under = numbers.of("band_workings", f"add_on_{no}")
        over = numbers.of("band_workings", f"add_on_{10 - no}")
        assert list(under) == [-figure for figure in over]
