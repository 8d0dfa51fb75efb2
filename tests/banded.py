"""A small priced model for surcharge bands: plain figures an item, and what one metal costs in each."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from feesheet import reference
from feesheet.formula.model import Block, Model, Setting
from feesheet.formula.numbers import Numbers
from feesheet.formula.tree import Name


@dataclass(frozen=True)
class Sold:
    """An item: its current fee, its cost without the metal, and the metal in it in quoted units, remakes included."""

    code: str
    fee: float
    other_cost: float
    quantity: float
    site: str = "North"
    kept: float = 0.97


def priced_model(items: Sequence[Sold], price: float, digits: int = 2, metal: str = "gold") -> Model:
    """The blocks and settings that the bands read, for items that hold the second of two metals."""
    model = Model()
    for fixed in reference.fixed_numbers().values():
        model.settings[fixed.name] = Setting(
            fixed.name, fixed.heading, fixed.unit, fixed.value, "", fixed=True
        )
    for name, value in (("money_digits", float(digits)), ("smallest_coin", 10.0**-digits)):
        model.settings[name] = Setting(name, name, "exact", value, "ISO 4217", fixed=True)
    metals = model.add(Block("metals", "Alloy", "Metal prices", 2, label=("metal",)))
    metals.number()
    metals.given("metal", "Metal", ["silver", metal])
    metals.given("quoted_unit", "Quoted unit", ["g", "troy ounce"])
    metals.given("price", "Price", [0.0, price], "money")
    _add_item_blocks(model, items)
    add_metal_items(model, [(n, 2, item.quantity) for n, item in enumerate(items, start=1)])
    return model


def _add_item_blocks(model: Model, items: Sequence[Sold]) -> None:
    """Costs, fees, kept shares and descriptions, one row an item."""
    for name in ("costs", "fee_rules", "plan_items", "schedule"):
        block = model.add(Block(name, name, name, len(items), aligned="items"))
        block.given("code", "Code", [item.code for item in items], "code")
        block.given("site", "Site", [item.site for item in items])
    blocks = model.blocks
    blocks["costs"].given("other_cost", "Other cost", [item.other_cost for item in items], "money")
    blocks["costs"].counter("own_no", "No.", [*range(1, len(items) + 1)], "The row.")
    blocks["costs"].total(
        "metal_in_all", "Metal", "money", "metal_items.metal_cost", "metal_items.item_no", "own_no"
    )
    blocks["costs"].tree(
        "unit_cost", "Unit cost", "money", Name("other_cost") + Name("metal_in_all"), "All of it."
    )
    blocks["costs"].given("material", "Material", ["full cast"] * len(items))
    blocks["fee_rules"].given("current_fee", "Current fee", [item.fee for item in items], "money")
    blocks["plan_items"].given("kept_of_fee", "Kept", [item.kept for item in items], "fraction")
    blocks["schedule"].given("description", "Description", [f"Crown {item.code}" for item in items])


def add_metal_items(model: Model, held: Sequence[tuple[int, int, float]]) -> None:
    """The block of items and their metals: row in the costs, row in the metals, quoted units in one unit of the item."""
    costs, metals = model.blocks["costs"], model.blocks["metals"]
    block = model.add(Block("metal_items", "Metal", "Items and their metals", len(held)))
    block.counter("item_no", "Item no.", [item for item, _, _ in held], "Row in the costs.")
    block.counter("metal_no", "Metal no.", [metal for _, metal, _ in held], "Row in the metals.")
    for name in ("code", "site", "material"):
        block.given(name, name, [costs.labels(name)[item - 1] for item, _, _ in held])
    block.given("metal", "Metal", [metals.labels("metal")[metal - 1] for _, metal, _ in held])
    block.given("quantity", "Quantity", [quantity for _, _, quantity in held], "number")
    block.fetch("price", "Price", "money", "metals.price", "metal_no")
    block.tree("metal_cost", "Metal cost", "money", Name("quantity") * Name("price"), "At that price.")


def typed_over(model: Model, typed: Mapping[str, float]) -> Numbers:
    """The figures of the model after settings were typed over."""
    settings = {name: replace(model.settings[name], value=value) for name, value in typed.items()}
    return Numbers(Model({**model.settings, **settings}, model.blocks))


def holding(numbers: Numbers, price: float) -> int:
    """The number of the band that holds at a price, by the rule printed on the sheet; 0: none."""
    lows, highs = numbers.of("bands", "price_from"), numbers.of("bands", "price_to")
    held = [no for no, (low, high) in enumerate(zip(lows, highs, strict=True), 1) if low <= price < high]
    assert len(held) < 2, f"{len(held)} bands hold at {price}"
    return held[0] if held else 0


def added_at(numbers: Numbers, price: float) -> Any:
    """What each item's fee is raised by at a price."""
    return numbers.of("band_workings", f"add_on_{holding(numbers, price)}")
