"""Cases of a model: each twin figure is what the model gives with the case's values typed in."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from outside_engine import recalculated
from practices import random_practice
from priced import price_rows
from typed_cases import compared, drawn_changes

from feesheet.formula.model import Block, Model, Setting
from feesheet.formula.numbers import Numbers
from feesheet.formula.operations import (
    grand_total,
    joined,
    known,
    lookup,
    lookup_or,
    sum_across,
    times_each,
    total,
    total_product,
)
from feesheet.formula.tiling import Cases, Key, following, tile
from feesheet.formula.tree import Call, Name, Value, Whole

PRICE: Key = ("prices", "price")
CASES = ["as it is", "dearer", "first alone"]
CHANGED = {PRICE: np.array([[0, 0, 0], [1, 1, 1], [2, 0, 0]])}
"""Three cases: no change, every price half as much again, the first at 7."""


def shop() -> Model:
    """Prices, parts that each take one, items made of parts, and what plans pay for items; changes 1: × 1.5, 2: 7."""
    model = Model()
    model.settings["rate"] = Setting("rate", "Rate", "number", 0.25, "typed")
    model.settings["share_2"] = Setting("share_2", "Share of plan two", "fraction", 0.3, "typed")
    prices = model.add(Block("prices", "Prices", "Prices", 3, label=("name",)))
    prices.number()
    prices.given("name", "Name", ["tin", "zinc", "lead"])
    prices.given("price", "Price", [3.1, 5.7, 11.9], "money", entry=True)
    prices.tree("taxed", "Taxed", "money", Name("price") * (1 + Name("rate")), "")
    parts = model.add(Block("parts", "Parts", "Parts", 7))
    parts.counter("item_no", "Item no.", [1, 1, 2, 3, 3, 0, 4], "0: in no item.")
    parts.counter("price_no", "Price no.", [1, 2, 3, 1, 2, 3, 0], "0: without a price.")
    parts.counter("first", "First", [1, 0, 1, 1, 0, 1, 1], "1 for the first part.")
    parts.given("grams", "Grams", [1.1, 2.3, 0.7, 1.9, 3.3, 5.1, 9.2], "number")
    parts.fetch("taxed_here", "Taxed", "money", "prices.taxed", "price_no", 0)
    parts.tree("cost", "Cost", "money", Name("grams") * Name("taxed_here"), "")
    items = model.add(Block("items", "Items", "Items", 4, aligned="items", label=("code",)))
    items.number()
    items.given("code", "Code", ["A", "B", "C", "D"])
    items.counter("main_no", "Main price", [3, 1, 1, 2], "Row in the prices.")
    return model


def grown() -> Model:
    """The shop with one column of each kind."""
    model = shop()
    items = model.blocks["items"]
    cost, keys, no = Whole("parts", "cost"), Whole("parts", "item_no"), Name("no")
    items.fetch("main_price", "Main price", "money", "prices.price", "main_no")
    items.total("cost", "Cost", "money", "parts.cost", "parts.item_no", "no")
    items.total("first_cost", "First", "money", "parts.cost", "parts.item_no", "no", "parts.first")
    items.tree("product", "Product", "money", total_product(Whole("parts", "grams"), cost, keys, no), "")
    items.total("grams", "Grams", "number", "parts.grams", "parts.item_no", "no")
    items.count("parts", "Parts", "parts.item_no", "no", "parts.first")
    items.tree("said", "Said", "text", joined(Name("code"), " costs"), "")
    plans = model.add(Block("plans", "Plans", "Plans", 4, aligned="items", label=("code",)))
    plans.given("code", "Code", ["A", "B", "C", "D"])
    plans.given("share_1", "Share one", [0.5, 0.4, 0.3, 0.2], "fraction")
    plans.tree("share_two", "Share two", "fraction", Name("share_2"), "")
    plans.group("share_each", ["share_1", "share_two"])
    plans.tree("pays_1", "Pays one", "money", Name("cost") * 1, "")
    plans.tree("pays_2", "Pays two", "money", Name("cost") + Name("main_price"), "")
    plans.group("pays_each", ["pays_1", "pays_2"])
    plans.tree("net", "Net", "money", sum_across(times_each(Name("share_each"), Name("pays_each"))), "")
    model.add(changes())
    return model


def changes() -> Block:
    """Two changes: half as much again, and a new value of 7."""
    block = Block("changes", "Changes", "Changes", 2)
    block.given("factor", "Factor", [1.5, 0.0], "number")
    block.given("added", "Added", [0.0, 7.0], "number")
    return block


def cases_of(changed: dict[Key, Any], titles: list[str] = CASES, **more: Any) -> Cases:
    """Cases on the sheet Cases."""
    return Cases("case", "Cases", titles, "changes", changed, **more)


@pytest.mark.parametrize(
    ("block", "column"),
    [
        ("items", "main_price"),
        ("parts", "taxed_here"),
        ("items", "cost"),
        ("items", "first_cost"),
        ("items", "product"),
        ("plans", "net"),
    ],
    ids=["lookup", "lookup_or with 0", "total", "total with flags", "total_product", "groups over plans"],
)
def test_each_kind_of_calculation(block: str, column: str) -> None:
    """A look-up, a total and a sum over plans come, case by case, to what the typed model gives, and they move."""
    model = grown()
    cases = cases_of(CHANGED)
    tile(model, cases, [(block, column)])
    moved = compared(model, cases)
    assert moved[block, column] > 0
    assert moved[PRICE] == 4


def test_two_cases_in_figures() -> None:
    """Item A: 1.1 of tin at 3.10 and 2.3 of zinc at 5.70, a quarter of tax on top; with tin at 7 it is 1.1 × 3.90 × 1.25 more."""
    model = grown()
    tile(model, cases_of(CHANGED), [("items", "cost")])
    costs = np.asarray(Numbers(model).of("case_items", "cost")).reshape(3, 4)
    before = (1.1 * 3.1 + 2.3 * 5.7) * 1.25
    assert costs[:, 0] == pytest.approx([before, before * 1.5, before + 1.1 * 3.9 * 1.25], rel=1e-12)
    assert costs[2, 1] == costs[0, 1], "item B takes lead alone"


def test_every_figure_in_an_outside_engine() -> None:
    """As formulas the twin figures come to the same in a spreadsheet engine."""
    model = grown()
    tile(model, cases_of(CHANGED), [("items", name) for name in ("cost", "first_cost", "product")])
    tile(model, Cases("plan", "Cases", CASES, "changes", CHANGED), [("plans", "net")])
    for twin, column in (
        ("case_items", "cost"),
        ("case_items", "first_cost"),
        ("case_items", "product"),
        ("plan_plans", "net"),
    ):
        ours = list(np.asarray(Numbers(model).of(twin, column)))
        assert recalculated(model, twin, column) == pytest.approx(ours, rel=1e-12), column


def test_settings_change_by_case() -> None:
    """A setting that a case changes is read by case, also inside a group over plans; the setting itself stays."""
    model = grown()
    marks = np.array([[0], [1], [2]])
    cases = cases_of({("", "rate"): marks, ("", "share_2"): marks})
    tile(model, cases, [("plans", "net"), ("items", "cost")])
    moved = compared(model, cases)
    assert (moved["plans", "net"], moved["items", "cost"]) == (2 * 4, 2 * 3), "item D has no priced part"
    assert list(Numbers(model).of("case_settings", "case_rate")) == [0.25, 0.375, 7.0]
    assert model.settings["rate"].value == 0.25


def test_changes_of_what_is_worked_out() -> None:
    """A column that is worked out is changed after it is; with its own sources changed in the same case, the two compound."""
    model = grown()
    both = {
        PRICE: np.array([[0, 0, 0], [1, 1, 1]]),
        ("items", "cost"): np.array([[1, 1, 0, 2], [1, 1, 0, 2]]),
    }
    cases = cases_of(both, ["cost", "cost and prices"])
    tile(model, cases, [("items", "cost"), ("plans", "net")])
    compared(model, cases)
    costs = np.asarray(Numbers(model).of("case_items", "cost")).reshape(2, 4)
    base = np.asarray(Numbers(model).of("items", "cost"))
    assert costs[1, 0] == pytest.approx(base[0] * 1.5 * 1.5, rel=1e-12)
    assert costs[:, 3] == pytest.approx([7.0, 7.0])


def test_replaced_counters() -> None:
    """A case may point rows elsewhere: look-ups and totals follow, even where no figure changes beside it."""
    model = grown()
    present = np.array([3, 1, 1, 2])
    parts = np.array([1, 2, 3, 1, 2, 3, 0])
    for changed in ({}, CHANGED):
        model = grown()
        counters = {
            ("items", "main_no"): np.array([present, [1, 1, 1, 1], [2, 2, 3, 3]]),
            ("parts", "price_no"): np.array([parts, parts * 0 + 3, [0, 0, 0, 1, 1, 1, 1]]),
        }
        cases = cases_of(changed, counters=counters)
        tile(model, cases, [("items", "main_price"), ("items", "cost"), ("plans", "net")])
        moved = compared(model, cases)
        assert moved["items", "main_price"] > 0 < moved["items", "cost"]


def test_kept_rows() -> None:
    """Only some rows of aligned blocks are tiled; their figures are those of the same rows."""
    model = grown()
    cases = cases_of(CHANGED, rows={"items": [2, 0]})
    tile(model, cases, [("plans", "net"), ("items", "product")])
    assert compared(model, cases)["plans", "net"] > 0
    assert model.blocks["case_plans"].rows == model.blocks["case_items"].rows == 3 * 2
    assert model.blocks["case_parts"].rows == 3 * 7
    assert model.blocks["case_items"].labels("code") == ["C", "A"] * 3


def test_what_no_case_moves_is_fetched() -> None:
    """A figure that follows from no change, words too, is the base's, read across from its row."""
    model = grown()
    cases = cases_of(CHANGED)
    tile(model, cases, [("items", "grams"), ("items", "parts"), ("items", "said"), ("items", "cost")])
    moved = compared(model, cases)
    for column in ("grams", "parts", "said"):
        tree = model.blocks["case_items"].columns[column].tree
        assert isinstance(tree, Call) and tree.operation == "lookup"
        assert moved["items", column] == 0
    assert "case_plans" not in model.blocks


def test_a_running_total_beside_a_change_stays() -> None:
    """A running total that follows from no change is fetched like any other figure."""
    model = grown()
    model.blocks["parts"].running_total("so_far", "So far", "number", "grams", "item_no", "")
    cases = cases_of(CHANGED)
    tile(model, cases, [("parts", "so_far"), ("parts", "cost")])
    assert compared(model, cases)["parts", "so_far"] == 0


def in_order(model: Model) -> None:
    """A running cost of the parts, whose items stand together but for the end, where item 1 comes again."""
    parts = model.blocks["parts"]
    parts.counter("run_no", "Run no.", [1, 1, 2, 2, 2, 0, 1], "Runs of parts; the last is run 1 again.")
    parts.running_total("so_far", "So far", "money", "cost", "run_no", "")


def test_a_running_total_runs_within_its_case() -> None:
    """A running total whose amounts or runs a case moves begins anew with the case, though its last run goes on with the first's number."""
    runs = np.array([[1, 1, 2, 2, 2, 0, 1], [1, 2, 2, 0, 0, 0, 1], [3, 3, 3, 1, 1, 1, 1]])
    for counters in ({}, {("parts", "run_no"): runs}):
        model = grown()
        in_order(model)
        cases = cases_of(CHANGED, counters=counters)
        tile(model, cases, [("parts", "so_far")])
        assert compared(model, cases)["parts", "so_far"] > 0
        ours = list(np.asarray(Numbers(model).of("case_parts", "so_far")))
        assert recalculated(model, "case_parts", "so_far") == pytest.approx(ours, rel=1e-12)


def test_a_running_total_over_rows_that_are_not_kept_is_refused() -> None:
    """It would leave amounts out unseen."""
    model = grown()
    in_order(model)
    with pytest.raises(NotImplementedError):
        tile(model, cases_of(CHANGED, rows={"parts": [0, 1, 2]}), [("parts", "so_far")])


def test_one_case_moves_no_numbers() -> None:
    """With one case the rows are where they were: look-ups and totals go by the numbers that are there."""
    model = grown()
    cases = cases_of({PRICE: np.array([[1, 1, 1]])}, ["dearer"])
    tile(model, cases, [("items", "cost"), ("items", "main_price")])
    assert compared(model, cases)["items", "cost"] > 0
    names = {name for twin in ("case_items", "case_parts") for name in model.blocks[twin].columns}
    assert {"main_no", "price_no", "item_no"} <= names
    assert not [name for name in names if "_in_" in name or "_by_" in name]


def test_a_number_that_is_a_label_is_not_read() -> None:
    """A number by which rows are told apart stands in the twin in words; look-ups there go by a number of their own."""
    model = grown()
    model.blocks["parts"].label = ("price_no",)
    tile(model, cases_of({PRICE: np.array([[1, 1, 1]])}, ["dearer"]), [("items", "cost")])
    twin = model.blocks["case_parts"].columns
    assert twin["price_no"].unit == "text" and twin["price_no_in_prices"].counter


def test_worked_out_in_another_way() -> None:
    """A case may work a column out by another calculation, which reads the case's own figures; what follows goes on from it."""
    model = grown()
    model.blocks["parts"].counter("then_no", "Then no.", [3, 0, 1, 1, 2, 3, 0], "0: none.")
    then = lookup_or(Whole("prices", "taxed"), Name("then_no"), 0)
    cases = cases_of(CHANGED, worked={("parts", "taxed_here"): then})
    tile(model, cases, [("items", "cost")])
    figures = Numbers(model)
    taxed = np.asarray(figures.of("case_prices", "taxed")).reshape(3, 3)
    found = np.asarray(figures.of("case_parts", "taxed_here")).reshape(3, 7)
    assert (found[:, 0] == taxed[:, 2]).all() and (found[:, 2] == taxed[:, 0]).all()
    assert (found[:, [1, 6]] == 0).all()
    cost = np.asarray(figures.of("case_items", "cost")).reshape(3, 4)
    assert cost[:, 0] == pytest.approx(1.1 * taxed[:, 2], rel=1e-12), "its second part has no price then"


def test_other_rows_stand_in() -> None:
    """A block may have other rows in every case: its facts are its own, its figures and those that follow are of its rows."""
    model = grown()
    others = Block("parts", "Parts", "Parts", 3)
    others.counter("item_no", "Item no.", [2, 2, 4], "")
    others.counter("price_no", "Price no.", [1, 0, 3], "")
    others.counter("first", "First", [1, 0, 1], "")
    others.given("grams", "Grams", [2.0, 3.0, 4.0], "number")
    others.fetch("taxed_here", "Taxed", "money", "prices.taxed", "price_no", 0)
    others.tree("cost", "Cost", "money", Name("grams") * Name("taxed_here"), "")
    own = model.blocks["parts"]
    for changed in (CHANGED, {}):
        model = grown()
        cases = cases_of(changed, blocks={"parts": others})
        tile(model, cases, [("items", "cost"), ("items", "grams"), ("items", "first_cost"), ("plans", "net")])
        assert model.blocks["parts"].rows == own.rows
        assert model.blocks["case_parts"].rows == 3 * 3
        figures = Numbers(model)
        prices = figures.of("case_prices" if changed else "prices", "taxed")
        taxed = np.broadcast_to(np.asarray(prices).reshape(-1, 3), (3, 3))
        nought = np.zeros(3)
        costs = np.array([nought, 2 * taxed[:, 0], nought, 4 * taxed[:, 2]]).T
        assert np.asarray(figures.of("case_items", "cost")).reshape(3, 4) == pytest.approx(costs, rel=1e-12)
        assert list(figures.of("case_items", "grams")) == [0, 5, 0, 4] * 3
        ours = list(np.asarray(figures.of("case_items", "first_cost")))
        assert recalculated(model, "case_items", "first_cost") == pytest.approx(ours, rel=1e-12)


def test_one_counter_in_two_totals() -> None:
    """Two totals by one key over rows of different counters, one of which counts higher, don't mix up their cases."""
    model = grown()
    parts, items = model.blocks["parts"], model.blocks["items"]
    parts.counter("box_no", "Box no.", [1, 9, 2, 9, 3, 4, 4], "Box 9 is no item.")
    items.total("boxed", "Boxed", "money", "parts.cost", "parts.box_no", "no")
    prices = model.blocks["prices"]
    prices.total("boxed", "Boxed", "money", "parts.cost", "parts.item_no", "no")
    prices.counter("far_no", "Far no.", [1, 12, 2], "Item 12 is not there.")
    prices.total("far", "Far", "money", "parts.cost", "parts.item_no", "far_no")
    cases = cases_of(CHANGED)
    wanted = [("items", "cost"), ("items", "boxed"), ("prices", "boxed"), ("prices", "far")]
    tile(model, cases, wanted)
    moved = compared(model, cases)
    assert all(moved[key] > 0 for key in wanted)
    assert headings_that_meet(model) == []


def headings_that_meet(model: Model) -> list[str]:
    """Headings that stand twice in one twin block."""
    twins = [block for block in model.blocks.values() if block.sheet == "Cases"]
    counts = [Counter(column.heading for column in block.columns.values()) for block in twins]
    return [heading for count in counts for heading, times in count.items() if times > 1]


def test_a_moved_number_has_a_heading_of_its_own() -> None:
    """A number beside its moved one, fetched for a figure that does not move, is told from it by its heading."""
    model = grown()
    model.blocks["items"].fetch("taxed", "Taxed", "money", "prices.taxed", "main_no")
    wanted = [("items", "main_no"), ("items", "taxed"), ("items", "cost")]
    tile(model, cases_of(CHANGED), wanted)
    assert {"main_no", "main_no_in_prices"} <= model.blocks["case_items"].columns.keys()
    assert headings_that_meet(model) == []


def _whole_column(model: Model) -> Key:
    model.blocks["items"].tree("all", "All", "money", grand_total(Whole("parts", "cost")), "")
    return "items", "all"


def _one_cell(model: Model) -> Key:
    model.blocks["items"].tree("tin", "Tin", "money", lookup(Whole("prices", "taxed"), Value(1.0)), "")
    return "items", "tin"


def _worked_counter(model: Model) -> Key:
    model.blocks["items"].tree("next", "Next", "whole", Name("no") * 1, "")
    by = lookup(Whole("prices", "taxed"), Name("next"))
    model.blocks["items"].tree("by_next", "By next", "money", by, "")
    return "items", "by_next"


def _row_by_row(model: Model) -> Key:
    trees = [lookup(Whole("prices", "taxed"), Value(1.0)), Value(0.0), Value(0.0), Name("main_price")]
    model.blocks["items"].listed("listed", "Listed", "money", trees, "")
    return "items", "listed"


@pytest.mark.parametrize("make", [_whole_column, _one_cell, _worked_counter, _row_by_row])
def test_what_can_not_be_tiled_is_refused(make: Callable[[Model], Key]) -> None:
    """A figure of a whole column, a column worked out row by row, or a counter that is worked out, is refused where it would move."""
    model = grown()
    with pytest.raises(NotImplementedError):
        tile(model, cases_of(CHANGED), [make(model)])


def test_a_look_up_into_rows_that_are_not_kept_is_refused() -> None:
    """A case can't read a row that it does not have; nor can a total leave a row out unseen."""
    model = grown()
    with pytest.raises(ValueError, match="not kept"):
        tile(model, cases_of(CHANGED, rows={"prices": [0, 1]}), [("items", "main_price")])
    model = grown()
    with pytest.raises(ValueError, match="not kept"):
        tile(model, cases_of(CHANGED, rows={"parts": [0, 1, 2]}), [("items", "cost")])
    model = grown()
    cases = cases_of(CHANGED, rows={"parts": [0, 1, 2, 3, 4, 6]})
    tile(model, cases, [("items", "cost")])
    assert compared(model, cases)["items", "cost"] > 0, "the part of no item may be left out"


def test_what_follows() -> None:
    """All that is worked out of a price, through look-ups, totals and groups, follows from it, and nothing else does."""
    model = grown()
    columns = {
        *(("prices", name) for name in ("price", "taxed")),
        *(("parts", name) for name in ("taxed_here", "cost")),
        *(("items", name) for name in ("main_price", "cost", "first_cost", "product")),
        *(("plans", name) for name in ("pays_1", "pays_2", "net")),
    }
    assert following(model, {PRICE}) == columns
    assert following(model, {("", "share_2")}) == {("", "share_2"), ("plans", "share_two"), ("plans", "net")}


SOURCES: dict[Key, int] = {
    ("metals", "price"): 5,
    ("lab_fees", "blended_lab_fee"): 5,
    ("staff", "yearly_cost"): 5,
    ("sites", "yearly_overhead"): 5,
    ("materials", "supplies"): 5,
    ("materials", "remake_rate"): 2,
    ("costs", "alloy_g"): 5,
    ("", "target_margin"): 2,
    ("", "collected"): 2,
    ("", "plan_share_1"): 2,
}
"""Columns and settings that a what-if moves; shares only by the first two changes, which leave them shares."""

WANTED: list[Key] = [
    ("costs", "unit_cost"),
    ("costs", "variable_cost"),
    ("plan_items", "needed_shown"),
    ("margins", "margin_now"),
    ("margins", "net_now"),
]


@pytest.mark.parametrize("seed", range(12))
def test_random_practices(seed: int) -> None:
    """Drawn changes of anything in drawn practices, rows drawn too: every twin figure, bit for bit, is the typed model's."""
    rng = random.Random(f"cases {seed}")
    model = price_rows(random_practice(seed, materials=rng.randint(2, 5), plans=rng.randint(0, 3))).model
    drawn = Block("changes", "Changes", "Changes", 5)
    drawn.given("factor", "Factor", [0.9, 0.7, 1.3, 2.0, 0.0], "number")
    drawn.given("added", "Added", [0.0, 0.05, 0.0, 3.0, 55.0], "number")
    model.add(drawn)
    changed = drawn_changes(rng, model, dict(rng.sample(list(SOURCES.items()), 6)), cases=3)
    alloys = model.blocks["alloys"].rows
    pools = model.blocks["pools"].rows
    counters = {}
    if alloys and rng.random() < 0.7:
        counters["pools", "alloy_no"] = np.array(
            [[rng.randint(0, alloys) for _ in range(pools)] for _ in range(3)]
        )
    items = model.blocks["costs"].rows
    kept = {"items": sorted(rng.sample(range(items), rng.randint(1, items)))} if rng.random() < 0.5 else {}
    cases = cases_of(changed, ["one", "two", "three"], counters=counters, rows=kept)
    tile(model, cases, WANTED)
    moved = compared(model, cases)
    assert set(WANTED) <= set(moved)
    assert moved["costs", "unit_cost"] > 0


def test_an_unused_total_is_no_twin() -> None:
    """A total whose rows no case moves keeps reading the base's rows."""
    model = grown()
    grams = total(Whole("parts", "grams"), Whole("parts", "item_no"), Name("no"))
    model.blocks["items"].tree("a_gram", "A gram", "money", Name("main_price") * grams, "")
    cases = cases_of(CHANGED)
    tile(model, cases, [("items", "a_gram")])
    assert compared(model, cases)["items", "a_gram"] > 0
    assert "case_parts" not in model.blocks


def test_a_blank_fact_stays_blank() -> None:
    """A spreadsheet fetches a blank cell as nought; so a column with blanks is repeated as facts, not fetched."""
    model = shop()
    model.add(Block("changes", "Changes", "Changes", 1))
    model.blocks["changes"].given("factor", "Factor", [1.5], "number")
    model.blocks["changes"].given("added", "Added", [0.0], "number")
    items = model.blocks["items"]
    items.given("allowed", "Allowed", [float("nan"), 12.0, float("nan"), 9.0], "money")
    items.fetch("taxed_main", "Taxed", "money", "prices.taxed", "main_no")
    items.tree("counted", "Counted", "money", known(Name("allowed")) * Name("taxed_main"), "")
    tile(
        model,
        Cases("case", "Cases", ["dearer"], "changes", {PRICE: np.array([[1, 1, 1]])}),
        [("items", "counted")],
    )
    twin = model.blocks["case_items"].columns["allowed"]

    assert twin.tree is None and twin.values is not None
    assert [value == value for value in twin.values] == [False, True, False, True]
    assert Numbers(model).of("case_items", "counted") == pytest.approx(
        1.5 * Numbers(model).of("items", "counted")
    )
