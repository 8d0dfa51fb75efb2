"""Whatever the figures of then and now: the steps add up to the change, by item, by material and in all."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from reviewed import Figures, Item, Reviewed, Site, effects, told

from feesheet.formula.numbers import Numbers
from feesheet.pricing.review.bridge import bridge_checks

ROUNDS = settings(max_examples=40, deadline=None)

UNITS = st.one_of(st.just(0.0), st.floats(-3, 400).map(lambda x: round(x, 1)))
MONEY = st.one_of(st.just(0.0), st.floats(0.01, 2_000).map(lambda x: round(x, 2)))
SITE = st.builds(Site, st.floats(0, 900_000), st.floats(1_000, 400_000))
MOST_SITES = 2

FIGURES = st.builds(
    Figures,
    units=UNITS,
    price=MONEY,
    lab_fee=MONEY,
    alloy_g=st.floats(0, 6),
    alloy_price=st.floats(0, 200),
    supplies=MONEY,
    people=MONEY,
    chair_min=st.floats(0, 200),
    remake=MONEY,
    other=MONEY,
)

ITEMS = st.lists(
    st.builds(
        Item,
        FIGURES,
        st.one_of(st.none(), FIGURES),
        st.sampled_from(["gold", "zirconia", ""]),
        st.integers(0, MOST_SITES - 1),
        MONEY,
    ),
    min_size=1,
    max_size=5,
)

GONE = st.one_of(st.none(), st.lists(st.tuples(UNITS, MONEY, MONEY), min_size=1, max_size=3))

REVIEWS = st.builds(
    Reviewed,
    ITEMS,
    *(st.lists(SITE, min_size=MOST_SITES, max_size=MOST_SITES) for _ in ("now", "then")),
    GONE,
    st.sampled_from([(1.0,), (0.25, 0.75)]),
)


def coins(review: Reviewed) -> float:
    """A millionth of the money that moves: what rounding may make of sums of such figures."""
    moved = [
        abs(figures.units) * (figures.price + figures.unit_cost(sites[item.site].rate))
        for item in review.items
        for figures, sites in ((item.now, review.now_sites), (item.then, review.then_sites))
        if figures
    ]
    return 1e-6 * (1 + sum(moved))


@ROUNDS
@given(REVIEWS)
def test_steps_add_up_by_item(review: Reviewed) -> None:
    """For every item left then and its steps are left now, as worked out apart; new items and nought units included."""
    numbers = Numbers(review.model())
    steps = effects(numbers)
    for row, item in enumerate(review.items):
        left_then = item.then.left(review.then_sites[item.site].rate) if item.then else 0.0
        left_now = item.now.left(review.now_sites[item.site].rate)
        assert left_then + steps[row].sum() == pytest.approx(left_now, abs=coins(review))
    assert np.abs(numbers.of("item_changes", "unexplained")).max() <= coins(review)


@ROUNDS
@given(REVIEWS)
def test_steps_add_up_in_all(review: Reviewed) -> None:
    """The table of steps starts with what was left then, gone items too, and its running total ends at what is left now."""
    numbers = Numbers(review.model())
    steps, so_far = told(numbers), numbers.of("changes_told", "so_far")
    assert steps["Left then"] == pytest.approx(review.left_then(), abs=coins(review))
    assert steps["Left now"] == pytest.approx(review.left_now(), abs=coins(review))
    assert so_far[-2] == pytest.approx(so_far[-1], abs=coins(review))
    assert abs(steps["Not explained"]) <= coins(review)


@ROUNDS
@given(REVIEWS)
def test_steps_add_up_by_material(review: Reviewed) -> None:
    """Every step by material, the items without lab work too, adds up to the step in all."""
    numbers = Numbers(review.model())
    by_material, by_item = effects(numbers, "changes_material"), effects(numbers)
    assert by_material.sum(axis=0) == pytest.approx(by_item.sum(axis=0), abs=coins(review))
    for column in ("left_then", "left_now"):
        here, there = (numbers.of(name, column).sum() for name in ("changes_material", "item_changes"))
        assert here == pytest.approx(there, abs=coins(review))


@ROUNDS
@given(REVIEWS)
def test_both_conventions_add_up_to_the_revenue(review: Reviewed) -> None:
    """Price, volume and mix in either convention are the change of the money received."""
    numbers = Numbers(review.model())
    received = told(numbers, "revenue_told")
    so_far = numbers.of("revenue_told", "so_far")
    assert so_far[-2] == pytest.approx(received["Received now"], abs=coins(review))
    steps = told(numbers)
    both = steps["Price of the work"] + steps["Volume"] + steps["Mix"]
    apart = received["Price"] + received["Volume"] + received["Price and volume together"]
    assert both == pytest.approx(apart, abs=coins(review))


@ROUNDS
@given(REVIEWS)
def test_every_check_holds(review: Reviewed) -> None:
    """The checks of the workbook compare figures that are the same."""
    model = review.model()
    numbers = Numbers(model)
    block = model.blocks["item_changes"]
    for said, found, should in bridge_checks(model):
        if said.startswith("Items whose"):  # half a coin is a finer sieve than binary sums of millions
            continue
        figures = [float(numbers.evaluate(tree, block)) for tree in (found, should)]
        assert figures[0] == pytest.approx(figures[1], abs=coins(review)), said


@ROUNDS
@given(REVIEWS)
def test_the_way_back_is_the_other_way_round(review: Reviewed) -> None:
    """With then and now exchanged the change has the other sign; items that are on one side only aside."""
    both = [item for item in review.items if item.then]
    forth = Reviewed(both, review.now_sites, review.then_sites)
    back = Reviewed(
        [Item(item.then, item.now, item.material, item.site, item.at_then_pay) for item in both if item.then],
        review.then_sites,
        review.now_sites,
    )
    if both:
        there, again = (told(Numbers(one.model())) for one in (forth, back))
        change = there["Left now"] - there["Left then"]
        assert again["Left now"] - again["Left then"] == pytest.approx(-change, abs=coins(review))
        assert effects(Numbers(forth.model())).sum() == pytest.approx(change, abs=coins(review))


@ROUNDS
@given(REVIEWS)
def test_a_new_item_is_all_mix(review: Reviewed) -> None:
    """An item that was not there has no price, no volume and no cost step: its money is mix, its cost goes with it."""
    numbers = Numbers(review.model())
    for row, item in enumerate(review.items):
        if item.then is None:
            mix = item.now.units * item.now.price
            cost = item.now.units * item.now.unit_cost(review.now_sites[item.site].rate)
            assert effects(numbers)[row].sum() == pytest.approx(mix - cost, abs=coins(review))
            assert numbers.of("item_changes", "effect_mix")[row] == pytest.approx(mix, abs=coins(review))
            for name in ("effect_price", "effect_volume", "effect_lab", "effect_overhead", "effect_capacity"):
                assert numbers.of("item_changes", name)[row] == pytest.approx(0, abs=coins(review)), name


def test_units_that_cancel_out() -> None:
    """Units that add up to nought but for the sixteenth digit count as nought: nothing is divided by what is left of them."""
    before = [Figures(units, 100.0, lab_fee=60.0) for units in (0.1, 0.2, -0.3)]
    now = Figures(2.0, 110.0, lab_fee=65.0)
    items = [Item(now, figures) for figures in before]
    review = Reviewed(items, [Site()], [Site()], shares=(0.1, 0.2, -0.3, 1.0))
    numbers = Numbers(review.model())
    assert 0 < abs(numbers.of("all_units", "then_in_all")[0]) < 1e-15
    assert numbers.of("all_units", "growth")[0] == 0
    assert told(numbers)["Mix"] == pytest.approx(600)
    cancelled = Reviewed([Item(now, before[1])], [Site()], [Site()], shares=(0.1, 0.2, -0.3))
    numbers = Numbers(cancelled.model())
    assert 0 < abs(numbers.of("item_amounts", "now_units")[0]) < 1e-15
    assert numbers.of("item_amounts", "now_price")[0] == 100
    assert told(numbers)["Not explained"] == pytest.approx(0, abs=1e-9)


def test_money_without_units() -> None:
    """Money of an item whose units are nought is a step of its own, and takes no price with it."""
    review = Reviewed([Item(Figures(4.0, 50.0), Figures(3.0, 45.0))], [Site()], [Site()])
    model = review.model()
    earned = model.blocks["earned"]
    earned.columns["units"] = replace(earned.columns["units"], values=[0.0])
    numbers = Numbers(model)
    assert told(numbers)["Money without units"] == 200
    assert told(numbers)["Price of the work"] == 0
    assert told(numbers)["Not explained"] == 0
    assert told(numbers, "revenue_told")["Money without units"] == 200
    assert told(numbers, "revenue_told")["Price and volume together"] == 0


def test_money_without_units_then() -> None:
    """Where then's money is known apart from units, money that no unit brought then is in what was left then, and goes out."""
    review = Reviewed([Item(Figures(4.0, 50.0), None)], [Site()], [Site()])
    model = review.model(then_money=[30.0])
    numbers = Numbers(model)
    assert told(numbers)["Left then"] == told(numbers, "revenue_told")["Received then"] == 30
    assert told(numbers)["Money without units"] == -30
    assert told(numbers)["Mix"] == 200
    assert told(numbers)["Not explained"] == 0


def test_gone_items_go_out_as_a_step() -> None:
    """What items that are no longer on the schedule left then goes out at once, in both tables."""
    gone = [(3.0, 900.0, 650.0), (1.0, 100.0, 120.0)]
    items = [Item(Figures(2.0, 50.0), Figures(2.0, 50.0))]
    numbers = Numbers(Reviewed(items, [Site()], [Site()], gone).model())
    assert told(numbers)["Left then"] == 100 + 230
    assert told(numbers)["Items no longer on the schedule"] == -230
    assert told(numbers)["Left now"] == 100
    assert told(numbers, "revenue_told")["Received then"] == 100 + 1000
    assert told(numbers, "revenue_told")["Items no longer on the schedule"] == -1000


def test_a_site_whose_minutes_are_not_known_has_no_capacity_step() -> None:
    """Where nothing is known of the minutes on offer then, the whole change of the rate is overhead spent."""
    item = Item(Figures(1.0, 300.0, chair_min=50.0), Figures(1.0, 300.0, chair_min=50.0))
    review = Reviewed([item], [Site(90_000, 60_000)], [Site(80_000, 80_000)])
    assert told(Numbers(review.model()))["Overhead spent"] == pytest.approx(50 * (1.0 - 90_000 / 80_000))
    assert told(Numbers(review.model()))["Chair minutes on offer"] == pytest.approx(
        50 * (90_000 / 80_000 - 1.5)
    )
    model = review.model()
    sites = model.blocks["then_sites"]
    sites.columns["then_usable_min"] = replace(sites.columns["then_usable_min"], values=[0.0])
    numbers = Numbers(model)
    assert told(numbers)["Overhead spent"] == pytest.approx(50 * (1.0 - 1.5))
    assert told(numbers)["Chair minutes on offer"] == 0


@pytest.mark.parametrize(
    ("changed", "step"),
    [
        ("lab_fee", "Lab price"),
        ("alloy_g", "Alloy weight"),
        ("alloy_price", "Alloy price"),
        ("supplies", "Supplies"),
        ("people", "Minutes"),
        ("chair_min", "Chair minutes"),
        ("remake", "Remakes"),
        ("other", "Other costs"),
    ],
)
def test_a_cost_that_changes_alone_moves_its_own_step(changed: str, step: str) -> None:
    """One figure dearer than then, all else as it was: its step alone is not nought, and takes away."""
    then = Figures(4.0, 500.0, 90.0, 2.0, 40.0, 12.0, 80.0, 60.0, 9.0, 5.0)
    now = replace(then, **{changed: 1.5 * getattr(then, changed)})
    numbers = Numbers(
        Reviewed([Item(now, then, at_then_pay=now.people)], [Site(60, 60)], [Site(60, 60)]).model()
    )
    amounts = told(numbers)
    lost = 4.0 * (now.unit_cost(1.0) - then.unit_cost(1.0))
    moved = {name for name, amount in amounts.items() if abs(amount) > 1e-9} - {"Left then", "Left now"}
    assert moved == {step}
    assert amounts[step] == pytest.approx(-lost)


def test_every_item_takes_its_own_sites_overhead() -> None:
    """At one site overhead rose, at the other the chair minutes on offer fell: each shows at its own items alone."""
    same = Figures(2.0, 300.0, chair_min=50.0)
    sites = [Site(90_000, 60_000), Site(80_000, 40_000)], [Site(60_000, 60_000), Site(80_000, 80_000)]
    review = Reviewed([Item(same, same, site=site) for site in (0, 1, 0)], *sites)
    numbers = Numbers(review.model())
    assert numbers.of("item_changes", "effect_overhead") == pytest.approx([-50, 0, -50])
    assert numbers.of("item_changes", "effect_capacity") == pytest.approx([0, -100, 0])
