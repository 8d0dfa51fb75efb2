"""A move changes what it names and nothing else, whatever other names look like it."""

from __future__ import annotations

import numpy as np
import pytest
from priced import read_rows
from seven_crowns import BONDED, CAST, crowns

from feesheet.formula.model import Block, Model, Setting
from feesheet.pricing.what_if.drivers import change_numbers, changed_by
from feesheet.pricing.what_if.scenario import Driver, Move, Scenario
from feesheet.pricing.what_if.swaps import with_grams

MATERIALS = ["zirconia (layered)", "zirconia (monolithic)", "cast (yellow)", "cast (white)"]
ALLOYS = ["casting (yellow)", "casting (white)"]


def twins() -> Model:
    """Tables of materials, alloys and plans whose names differ in brackets, or end alike."""
    model = Model()
    for number, plan in enumerate(["dental plus", "plus", "plus (basic)"], start=1):
        name = f"plan_share_{number}"
        model.settings[name] = Setting(name, f"Share of patients, {plan}", "fraction", 0.2, "typed")
    for block in ("materials", "lab_fees", "costs", "pools"):
        model.add(Block(block, "Any", block, len(MATERIALS))).given("material", "Material", MATERIALS)
    model.add(Block("alloys", "Any", "Alloys", len(ALLOYS))).given("alloy", "Alloy", ALLOYS)
    model.blocks["pools"].counter("alloy_no", "Alloy no.", [0, 0, 1, 2], "Row in the alloys.")
    return model


@pytest.mark.parametrize("driver", ["lab fees", "minutes", "supplies", "remake rate"])
@pytest.mark.parametrize("row", range(len(MATERIALS)))
def test_names_that_differ_in_brackets_are_two(driver: Driver, row: int) -> None:
    """A change for "zirconia (layered)" leaves "zirconia (monolithic)" as it is."""
    changed = changed_by(Move(driver, MATERIALS[row], 0.2, by_share=True), twins())
    assert [list(np.flatnonzero(marks)) for marks in changed.values()] == [[row]] * len(changed)


def test_without_a_name_all_rows_change() -> None:
    """A change for nobody in particular is for every material, and for every plan."""
    model = twins()
    (marks,) = changed_by(Move("remake rate", "", 0.2, by_share=True), model).values()
    assert marks.all()
    assert len(changed_by(Move("plan share", "", 0.2, by_share=True), model)) == 3


def test_a_swap_is_for_the_material_and_the_alloy_that_it_names() -> None:
    """A swap gives its own material the number of its own alloy; the material whose name is alike keeps its one."""
    for alloy, number in (("casting (yellow)", 1), ("casting (white)", 2)):
        move = Move("alloy", "cast (white)", alloy=alloy, by_share=True)
        counters = change_numbers(twins(), [[(1, move)]])[1]
        assert counters[("pools", "alloy_no")].tolist() == [[0, 0, 1, number]]


@pytest.mark.parametrize(("plan", "number"), [("dental plus", 1), ("plus", 2), ("plus (basic)", 3)])
def test_a_plan_is_found_by_its_whole_name(plan: str, number: int) -> None:
    """A change for the plan "plus" leaves "dental plus" as it is, whose name ends alike."""
    changed = changed_by(Move("plan share", plan, 0.1), twins())
    assert list(changed) == [("", f"plan_share_{number}")]


def test_a_swap_takes_the_densities_of_its_own_alloys() -> None:
    """Grams change as the densities of the two alloys do, however like other names are to theirs."""
    rows = crowns(0)
    names = {f"alloy of {CAST}": "alloy (one)", f"alloy of {BONDED}": "alloy (two)"}
    for alloy, density in zip(rows["alloys"], (15.0, 12.0, 11.0, 8.5, 4.5), strict=True):
        alloy.update(alloy=names.get(alloy["alloy"], alloy["alloy"]), density=density)
    for material in rows["materials"]:
        material["alloy"] = names.get(material["alloy"], material["alloy"])
    swap = Scenario("swap", (Move("alloy", CAST, alloy="alloy (two)"),))
    move = with_grams(swap, read_rows(rows))[0].moves[0]
    assert move.value == pytest.approx(12.0 / 15.0 - 1)
