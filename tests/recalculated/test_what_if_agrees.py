"""Every figure of a what-if is what an update's workbook comes to, in outside engines, with the changed values typed into it."""

from __future__ import annotations

import copy
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import formualizer
import ironcalc
import pytest
from opened_book import OpenedBook
from practices import random_practice
from priced import Rows, read_rows, rows_of
from recalculated.engines import Figures, by_formualizer, by_ironcalc, by_libreoffice, poisoned
from recalculated.expected import agree, differing, expected, message
from what_ifs import HOMES, ITEM_COLUMNS, asked, typed_scenario, what_if_schedule
from written_books import EXAMPLE, written

from feesheet.formula.numbers import Numbers
from feesheet.practice import Practice
from feesheet.pricing.what_if.tornado import priced_metals
from feesheet.reading.folder import read_folder
from feesheet.uses.annual_update import price
from feesheet.writing.book import Schedule, layout_of
from feesheet.writing.layout import Place

CLOSE = 1e-9
COIN = 1e-9
"""Relative; and absolute, for a margin near nought."""


@dataclass(frozen=True)
class Book:
    """An update's workbook, its caches made wrong."""

    schedule: Schedule
    path: Path

    def cells(self, typed: Callable[[Inputs], None]) -> Figures:
        """The cells of the Inputs sheet that are typed over, each with its new value."""
        inputs = Inputs(self.schedule, {})
        typed(inputs)
        place = layout_of(self.schedule).places["inputs"]
        column = place.columns["value"] + 1
        return {("Inputs", place.first_row + row, column): value for row, value in inputs.typed.items()}

    def by_formualizer(self, cells: Figures) -> list[list[Any]]:
        """Unit cost, needed fee and margin of each item, as formualizer works the whole workbook out."""
        book = formualizer.load_workbook(str(self.path))
        for (sheet, row, column), value in cells.items():
            book.set_value(sheet, row, column, value)
        book.evaluate_all()
        return self._read(book.get_value)

    def by_ironcalc(self, cells: Figures) -> list[list[Any]]:
        """The same by ironcalc."""
        book = ironcalc.load_from_xlsx(str(self.path), "en", "UTC", "en")
        sheets = {one["name"]: number for number, one in enumerate(book.get_worksheets_properties())}
        for (sheet, row, column), value in cells.items():
            book.update_cell_with_number(sheets[sheet], row, column, value)
        book.evaluate()
        return self._read(lambda sheet, row, column: book.get_cell_value(sheets[sheet], row, column))

    def _read(self, value: Callable[[str, int, int], Any]) -> list[list[Any]]:
        places = layout_of(self.schedule).places
        return [self._column(places[block], column, value) for block, column in HOMES]

    def _column(self, place: Place, column: str, value: Callable[[str, int, int], Any]) -> list[Any]:
        rows = self.schedule.model.blocks["costs"].rows
        at = place.columns[column] + 1
        return [value(place.sheet, place.first_row + row, at) for row in range(rows)]


@dataclass
class Inputs:
    """The Inputs sheet while values are typed over; `typed` is by row of the sheet's table, from 0."""

    schedule: Schedule
    typed: dict[int, float]

    def setting(self, name: str, new: Callable[[float], float]) -> None:
        """Type over a setting."""
        for row, one in enumerate(self.schedule.inputs):
            if one.setting == name:
                self.typed[row] = new(one.value)

    def column(
        self, block: str, column: str, new: Callable[[float], float], label: str = "", name: str = ""
    ) -> None:
        """Type over a block's entries: all of them, or those whose label is the name."""
        words = self.schedule.model.blocks[block].labels(label) if label else []
        rows = [
            row for row, one in enumerate(self.schedule.inputs) if (one.block, one.column) == (block, column)
        ]
        for position, row in enumerate(rows):
            if not label or words[position] == name:
                self.typed[row] = new(self.schedule.inputs[row].value)

    def minutes(self, factor: float, material: str = "") -> None:
        """All minutes of all steps, or of those of a material."""
        for column in ("low_min", "likely_min", "high_min"):
            self.column("steps", column, lambda m: m * factor, "of" if material else "", material)

    def supplies(self, factor: float, material: str = "") -> None:
        """Supplies, and those on a remake."""
        for column in ("supplies", "remake_supplies"):
            self.column(
                "materials", column, lambda money: money * factor, "material" if material else "", material
            )

    def remake_rate(self, new: Callable[[float], float], material: str = "") -> None:
        """The starting rate that blends with the practice's own count to the new rate: (new - Z x own) / (1 - Z)."""
        of = self.schedule.numbers.of
        rates, own, z = (of("materials", name) for name in ("remake_rate", "own_remake_rate", "credibility"))
        names = self.schedule.model.blocks["materials"].labels("material")
        for row, name in enumerate(names):
            if material in ("", name):
                start = (new(float(rates[row])) - z[row] * own[row]) / (1 - z[row])
                self.column("materials", "starting_remake_rate", lambda _, to=start: to, "material", name)

    def metal(self, name: str, new: Callable[[float], float]) -> None:
        """The price of a metal."""
        self.column("metals", "price", new, "metal", name)


def the(value: float) -> Callable[[float], float]:
    """A new value in place of the present one."""
    return lambda _: value


def times(factor: float) -> Callable[[float], float]:
    """So many times the present value."""
    return lambda now: now * factor


def book_of(practice: Practice, folder: Path) -> Book:
    """The practice's update, written, its caches made wrong."""
    priced, problems = price(practice)
    schedule = Schedule(practice, priced.model, priced.numbers, priced.inputs, problems)
    folder.mkdir(parents=True, exist_ok=True)
    path = written(schedule, folder / "book.xlsx")
    return Book(schedule, poisoned(path, folder / "poisoned.xlsx")[0])


@pytest.fixture(scope="module")
def example(tmp_path_factory: pytest.TempPathFactory) -> Book:
    """The example's update."""
    return book_of(read_folder(EXAMPLE)[0], tmp_path_factory.mktemp("example"))


def alike(ours: Any, theirs: Any) -> bool:
    """The same words, or numbers to nine digits."""
    if isinstance(ours, str) or isinstance(theirs, str):
        return bool(ours == theirs)
    return math.isclose(ours, theirs, rel_tol=CLOSE, abs_tol=COIN)


def hold(practice: Practice, words: tuple[str, ...], theirs: list[list[Any]]) -> int:
    """Compare the scenario's columns of every item with the engine's; gives how many unit costs or fees moved."""
    asking = asked(practice, [typed_scenario(practice, *words)])
    moved = 0
    for column, figures in zip(ITEM_COLUMNS, theirs, strict=True):
        ours = asking.items(0, column)
        wrong = [
            (row, one, other)
            for row, (one, other) in enumerate(zip(ours, figures, strict=True))
            if not alike(one, other)
        ]
        assert not wrong, f"{words} {column}: {len(wrong)} of {len(ours)} differ, {wrong[:3]}"
        before = asking.items(0, column.replace("after", "before"))
        moved += sum(not alike(one, other) for one, other in zip(ours, before, strict=True))
    return moved


Typing = Callable[[Inputs], None]

ON_INPUTS: Mapping[str, tuple[tuple[str, ...], Typing]] = {
    "metal to a value": (("gold=4500",), lambda i: i.metal("gold", the(4500))),
    "metal by a share": (("palladium=-30%",), lambda i: i.metal("palladium", times(0.7))),
    "minutes": (("minutes=-10%",), lambda i: i.minutes(0.9)),
    "minutes of a material": (
        ("minutes of cast, noble=+20%",),
        lambda i: i.minutes(1.2, "cast, noble"),
    ),
    "pay": (("pay=+3%",), lambda i: i.column("staff", "yearly_cost", times(1.03))),
    "pay of a role": (
        ("pay of assistant=+8%",),
        lambda i: i.column("staff", "yearly_cost", times(1.08), "role", "assistant"),
    ),
    "overhead": (("overhead=+4%",), lambda i: i.column("ledger", "amount", times(1.04))),
    "overhead of a site": (
        ("overhead of Harbour=+15%",),
        lambda i: i.column("ledger", "amount", times(1.15), "site", "Harbour"),
    ),
    "supplies by a share": (("supplies=+10%",), lambda i: i.supplies(1.1)),
    "supplies to a value": (
        ("supplies of resin hybrid=31",),
        lambda i: i.column("materials", "supplies", the(31), "material", "resin hybrid"),
    ),
    "remake rate to a value": (("remake rate=6%",), lambda i: i.remake_rate(the(0.06))),
    "remake rate by a share": (
        ("remake rate of cast, noble=+50%",),
        lambda i: i.remake_rate(times(1.5), "cast, noble"),
    ),
    "plan share": (("plan share of plan one=35%",), lambda i: i.setting("plan_share_1", the(0.35))),
    "target margin": (("target margin=30%",), lambda i: i.setting("target_margin", the(0.3))),
    "collected share": (("collected share=95%",), lambda i: i.setting("collected", the(0.95))),
    "card cost": (("card cost=+50%",), lambda i: i.setting("card_cost", times(1.5))),
}
"""For each driver: the words of the what-if, and what is typed into the update's Inputs sheet instead."""


def all_at_once(inputs: Inputs) -> None:
    """Every change of `TOGETHER` typed in."""
    inputs.metal("gold", times(1.4))
    inputs.metal("silver", the(60))
    inputs.minutes(0.9)
    inputs.column("staff", "yearly_cost", times(1.03))
    inputs.column("ledger", "amount", times(1.04))
    inputs.supplies(1.1)
    inputs.remake_rate(the(0.06))
    inputs.setting("plan_share_2", the(0.1))
    inputs.setting("target_margin", the(0.25))
    inputs.setting("collected", the(0.97))
    inputs.setting("card_cost", the(0.02))


TOGETHER = (
    "gold=+40%",
    "silver=60",
    "minutes=-10%",
    "pay=+3%",
    "overhead=+4%",
    "supplies=+10%",
    "remake rate=6%",
    "plan share of plan two=10%",
    "target margin=25%",
    "collected share=97%",
    "card cost=2%",
)


@pytest.mark.parametrize("driver", ON_INPUTS)
def test_each_driver_on_the_example(example: Book, driver: str) -> None:
    """Each driver's scenario is what formualizer and ironcalc find with the value typed into the update's Inputs."""
    words, typing = ON_INPUTS[driver]
    cells = example.cells(typing)
    assert cells
    assert hold(example.schedule.practice, words, example.by_formualizer(cells)) > 0
    hold(example.schedule.practice, words, example.by_ironcalc(cells))


def test_several_at_once_on_the_example(example: Book) -> None:
    """So is a scenario of eleven changes, joint effects and all."""
    cells = example.cells(all_at_once)
    assert hold(example.schedule.practice, TOGETHER, example.by_formualizer(cells)) > 0
    hold(example.schedule.practice, TOGETHER, example.by_ironcalc(cells))


def on_metal(metal: str) -> tuple[tuple[str, ...], Typing]:
    """A metal's price, minutes and supplies."""

    def typing(inputs: Inputs) -> None:
        inputs.metal(metal, times(1.4))
        inputs.minutes(0.9)
        inputs.supplies(1.1)

    return (f"{metal}=+40%", "minutes=-10%", "supplies=+10%"), typing


def on_time(inputs: Inputs) -> None:
    """Pay, overhead, target margin and card cost."""
    inputs.column("staff", "yearly_cost", times(1.03))
    inputs.column("ledger", "amount", times(1.04))
    inputs.setting("target_margin", the(0.31))
    inputs.setting("card_cost", the(0.02))


ON_TIME = ("pay=+3%", "overhead=+4%", "target margin=31%", "card cost=2%")


@pytest.mark.parametrize("seed", [0, 3, 5, 6, 8, 10])
def test_random_practices(seed: int, tmp_path: Path) -> None:
    """So are scenarios of random practices, those of sites without a ledger of their own among them."""
    practice = read_rows(random_practice(seed, plans=seed % 3))
    book = book_of(practice, tmp_path)
    metal = priced_metals(book.schedule.model, book.schedule.numbers)[0]
    for words, typing in (on_metal(metal), (ON_TIME, on_time)):
        assert hold(practice, words, book.by_formualizer(book.cells(typing))) > 0


def without_alloy_inside(practice: Practice) -> Rows:
    """The practice with every lab billing alloy apart: the labs' work is then all that their prices hold."""
    rows = copy.deepcopy(rows_of(practice))
    for lab in rows["labs"]:
        lab["alloy_billing"] = "apart"
    rows["invoice_lines"] = [line for line in rows["invoice_lines"] if line["site"]]
    return rows


def test_lab_fees_are_invoices_and_quotes_scaled(example: Book, tmp_path: Path) -> None:
    """Lab fees are no cell of Inputs: what the what-if says of 5 % more is an update whose invoice amounts, quoted prices and mill costs are 5 % more, alloy lines as they are."""
    rows = without_alloy_inside(example.schedule.practice)
    before = read_rows(rows)
    dearer = copy.deepcopy(rows)
    for line in dearer["invoice_lines"]:
        if line["kind"] != "alloy" and line["amount"] is not None:
            line["amount"] *= 1.05
    for quote in dearer["lab_prices"]:
        quote["quoted_price"] *= 1.05
    for mill in dearer["milling"]:
        for cost in ("machine_cost_month", "block", "burs", "staff_min"):
            mill[cost] *= 1.05
    book = book_of(read_rows(dearer), tmp_path)
    assert hold(before, ("lab fees=+5%",), book.by_formualizer({})) > 0
    hold(before, ("lab fees=+5%",), book.by_ironcalc({}))


def without_lines(practice: Practice) -> Rows:
    """The practice before its first invoice: quoted prices, starting grams and typed rates are all that there is."""
    rows = without_alloy_inside(practice)
    rows["invoice_lines"] = []
    lab = next(one["lab"] for one in rows["labs"] if one["lab"] != "own mill")
    rows["milling"], rows["lab_prices"] = (
        [],
        [
            {"lab": lab, "material": one["material"], "quoted_price": 150.0 + 10 * number, "site": None}
            for number, one in enumerate(rows["materials"])
        ],
    )
    return rows


def test_lab_fees_to_a_value(example: Book, tmp_path: Path) -> None:
    """Where no invoice weighs in, the new lab fee of a material is its quoted price typed into the update's Inputs."""
    practice = read_rows(without_lines(example.schedule.practice))
    book = book_of(practice, tmp_path)
    cells = book.cells(
        lambda i: i.column("lab_prices", "typed_price", the(201), "material", "zirconia, layered")
    )
    words = ("lab fees of zirconia, layered=201",)
    assert hold(practice, words, book.by_formualizer(cells)) > 0
    hold(practice, words, book.by_ironcalc(cells))


def test_an_alloy_swap_is_the_other_alloy_in_the_table(example: Book, tmp_path: Path) -> None:
    """A swap is what the update gives with the other alloy in the Materials table and grams as the densities are."""
    rows = without_lines(example.schedule.practice)
    practice = read_rows(rows)
    material, alloy = "metal-ceramic, noble", "white bonding alloy"
    swapped = copy.deepcopy(rows)
    density = {one["alloy"]: one["density"] for one in rows["alloys"]}
    for one in swapped["materials"]:
        if one["material"] == material:
            heavier = density[alloy] / density[one["alloy"]]
            one["alloy"] = alloy
    for one in swapped["starting_grams"]:
        if one["material"] == material:
            one["starting_g"] *= heavier
    assert heavier > 1
    book = book_of(read_rows(swapped), tmp_path)
    words = (f"alloy of {material}={alloy}",)
    assert hold(practice, words, book.by_formualizer({})) > 0
    hold(practice, words, book.by_ironcalc({}))


SCENARIOS = (("gold=4500",), ("lab fees=+5%", "gold=+40%", "minutes=-10%", "pay=+3%", "target margin=25%"))


def test_the_what_ifs_own_workbook(example: Book, tmp_path: Path, request: pytest.FixtureRequest) -> None:
    """Every formula of the example's what-if, caches made wrong, comes to the program's figure in three engines."""
    practice = example.schedule.practice
    schedule = what_if_schedule(practice, [typed_scenario(practice, *words) for words in SCENARIOS])
    path = written(schedule, tmp_path / "what if.xlsx")
    opened, bad = OpenedBook(path), poisoned(path, tmp_path / "poisoned.xlsx")[0]
    agree(schedule, opened, by_formualizer(bad, opened))
    agree(schedule, opened, by_ironcalc(bad, opened))
    request.getfixturevalue("libreoffice")
    agree(schedule, opened, by_libreoffice([bad], tmp_path)[0])


@pytest.mark.parametrize("seed", [0, 1, 3, 6])
def test_what_ifs_of_random_practices(seed: int, tmp_path: Path) -> None:
    """So does every formula of random practices' what-ifs, one without any metal among them."""
    practice = read_rows(random_practice(seed, lines=30))
    words = (("lab fees=+5%", "minutes=-10%"), ("pay=+3%", "remake rate=+20%"))
    schedule = what_if_schedule(practice, [typed_scenario(practice, *one) for one in words])
    path = written(schedule, tmp_path / "what if.xlsx")
    opened, bad = OpenedBook(path), poisoned(path, tmp_path / "poisoned.xlsx")[0]
    agree(schedule, opened, by_formualizer(bad, opened))
    agree(schedule, opened, by_ironcalc(bad, opened))


def test_a_scenarios_own_input_moves_that_scenario_alone(example: Book, tmp_path: Path) -> None:
    """Another gold price in the first scenario's cell: the workbook follows as the program does, the second scenario and the baseline stay to the last digit."""
    practice = example.schedule.practice
    schedule = what_if_schedule(practice, [typed_scenario(practice, *words) for words in SCENARIOS])
    path = written(schedule, tmp_path / "what if.xlsx")
    opened, bad = OpenedBook(path), poisoned(path, tmp_path / "poisoned.xlsx")[0]
    place = layout_of(schedule).places["inputs"]
    row = next(at for at, one in enumerate(schedule.inputs) if one.block == "scenario_moves")
    cell = ("Inputs", place.first_row + row, place.columns["value"] + 1)
    before, after = by_formualizer(bad, opened), by_formualizer(bad, opened, {cell: 4321.0})
    model = copy.deepcopy(schedule.model)
    for block, at in (("scenario_moves", 0), ("inputs", row)):
        column = model.blocks[block].columns["value"]
        values = list(column.values if column.values is not None else ())
        values[at] = 4321.0
        model.blocks[block].columns["value"] = replace(column, values=values)
    ours = expected(schedule, opened, Numbers(model))
    wrong = differing(ours, after)
    assert not wrong, message(wrong, ours, after, opened)
    changed = {cell for cell, value in after.items() if value != before[cell]}
    baseline = {place.sheet for place in layout_of(example.schedule).places.values()}
    told = {"Checks", "Inputs", "What changed"}
    assert not [cell for cell in changed if cell[0] in baseline - told and cell[1] > 3]
    items = layout_of(schedule).places["scenario_items"]
    second = items.first_row + example.schedule.model.blocks["costs"].rows
    rows = {cell[1] for cell in changed if cell[0] == items.sheet and cell[1] >= items.first_row}
    assert rows
    assert max(rows) < second
