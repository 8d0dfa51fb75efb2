"""The blocks of the surcharge bands: the bands, each item's workings, the table to print and its check."""

from __future__ import annotations

from feesheet.formula.model import Block, Model
from feesheet.formula.operations import largest, smallest
from feesheet.formula.tree import Name, Whole, figure_in
from feesheet.pricing.results import margin
from feesheet.pricing.what_if import bands_figures as figures
from feesheet.pricing.what_if.bands_width import BandItems, steps_at
from feesheet.pricing.what_if.bands_words import EDGE_RULE, HOW_TO, WHO_PAYS

PRINTED, WORKINGS = "Metal bands", "Band workings"
"""The sheet for the front desk, and the one behind it."""


def add_band_blocks(model: Model, items: BandItems) -> None:
    """Add the blocks; the settings of the bands stand in the model."""
    steps = steps_at(items.reference, float(model.settings["band_width"].value), model.settings)
    model.add(_bands(model, items, steps))
    model.add(_check())
    model.add(_add_ons(model, items, steps))
    model.add(_moves(items, steps))
    model.add(_workings(model, items, steps))


def _bands(model: Model, items: BandItems, steps: list[int]) -> Block:
    """The bands, lowest first: their prices, what to do in them and how far a margin moves at the worst."""
    metals = model.blocks["metals"]
    metal, unit = (metals.labels(name)[items.metal_no - 1] for name in ("metal", "quoted_unit"))
    title = f"Bands of the {metal} price, per {unit}"
    block = Block("bands", PRINTED, title, len(steps), EDGE_RULE, aligned="bands", label=("no",))
    block.number()
    block.given("steps", "Steps", steps, "whole", meaning="Widths from the reference.")
    block.given("action", "What to do", [_action(step) for step in steps])
    block.worked(figures.middle)
    block.worked(figures.price_from)
    block.fetch(
        "price_to",
        "Price to, under",
        "money",
        "bands.price_from",
        "next_no",
        if_none=Name("own_end"),
        meaning="Where the next band begins: at that price the next band holds.",
    )
    block.listed(
        "worst",
        "Worst case",
        "fraction",
        [largest(Whole("band_workings", f"worst_{k}")) for k in range(1, len(steps) + 1)],
        "The furthest that any item's margin moves inside the band.",
    )
    block.worked(figures.within)
    return block


def _action(step: int) -> str:
    """What the front desk does in a band so many steps from the reference."""
    return "add" if step > 0 else "take off" if step < 0 else "no add-on"


def _check() -> Block:
    """Whether the bands still hold, whatever was typed over."""
    block = Block("band_check", PRINTED, "Do the bands hold?", 1, label=("what",))
    block.given("what", "Check", ["All bands"])
    furthest, lowest = largest(Whole("bands", "worst")), smallest(Whole("bands", "price_from"))
    known = [Name(name) for name in ("band_width", "band_tolerance", "compare_digits")]
    said = "1 if every band is within the tolerance and lies above nought."
    block.tree("holds", "Holds", "whole", figures.holds(furthest, lowest, *known), said)
    block.worked(figures.holds_said, name="said")
    block.tree("worst_of_all", "Worst case of all", "fraction", furthest, "Over all items and bands.")
    block.tree("lowest_price", "Lowest price", "money", lowest, "Of the lowest band.")
    block.tree("tolerance", "Tolerance", "fraction", Name("band_tolerance"), "As on the Inputs sheet.")
    return block


def _add_ons(model: Model, items: BandItems, steps: list[int]) -> Block:
    """The table to print: the bands' prices on top, then what each item's full fee is raised by."""
    costs, metal = model.blocks["costs"], model.blocks["metals"].labels("metal")[items.metal_no - 1]
    block = Block(
        "add_ons",
        PRINTED,
        f"Added to the full fee for {metal}, or taken off",
        2 + len(items.rows),
        f"{HOW_TO} {WHO_PAYS}",
        label=("code", "site", "description"),
    )
    codes, sites = (_words(costs, name, items) for name in ("code", "site"))
    block.given("code", "Code", ["", "", *codes], "code")
    block.given("site", "Site", ["", "", *sites])
    described = ["Price from", "Price to, under", *_words(model.blocks["schedule"], "description", items)]
    block.given("description", "Description", described, width=36)
    for k, step in enumerate(steps, start=1):
        edges = [figure_in("bands", edge, k) for edge in ("price_from", "price_to")]
        added = [figure_in("band_workings", f"add_on_{k}", row) for row in range(1, len(items.rows) + 1)]
        heading = f"Band {k}" if step else f"Band {k}, no add-on"
        block.listed(f"band_{k}", heading, "money", [*edges, *added], "The band's prices, then its add-ons.")
    return block


def _words(block: Block, column: str, items: BandItems) -> list[str]:
    """The items' words in a block with one row an item."""
    words = block.labels(column)
    return [words[n - 1] for n in items.item_no]


def _moves(items: BandItems, steps: list[int]) -> Block:
    """How far each band's middle and edges lie from the reference."""
    block = Block(
        "band_moves", WORKINGS, "Bands and the reference", len(steps), aligned="bands", label=("band",)
    )
    block.given("band", "Band", [f"Band {k}" for k in range(1, len(steps) + 1)])
    nexts = [*range(2, len(steps) + 1), 0]
    block.counter("next_no", "Next no.", nexts, "Row of the next band; 0: the highest.")
    block.counter("metal_no", "Metal no.", [items.metal_no] * len(steps), "Row in the metal prices.")
    block.fetch(
        "reference",
        "Reference",
        "money",
        "metals.price",
        "metal_no",
        meaning="The metal's price on the Inputs sheet, at which nothing is added.",
    )
    block.worked(figures.next_middle)
    block.worked(figures.price_from, name="own_end", heading="Ends, by its width", middle="next_middle")
    for name, heading, price in (
        ("move", "Middle's move", "middle"),
        ("move_low", "Lower edge's move", "price_from"),
        ("move_high", "Upper edge's move", "price_to"),
    ):
        block.worked(figures.price_move, name=name, heading=heading, price=price)
    return block


def _workings(model: Model, items: BandItems, steps: list[int]) -> Block:
    """Each item's add-on in each band, and how far its margin moves at the band's edges."""
    costs = model.blocks["costs"]
    block = Block("band_workings", WORKINGS, "Add-ons and margins", len(items.rows), label=("code", "site"))
    block.given("code", "Code", _words(costs, "code", items), "code")
    block.given("site", "Site", _words(costs, "site", items))
    block.counter("item_no", "Item no.", items.item_no.tolist(), "Row in the cost build-up.")
    block.counter(
        "metal_item_no", "Metal item no.", items.rows.tolist(), "Row in the items and their metals."
    )
    for name, heading, unit, source, by in (
        ("fee", "Current fee", "fee", "fee_rules.current_fee", "item_no"),
        ("unit_cost", "Unit cost", "money", "costs.unit_cost", "item_no"),
        ("metal_cost", "Metal cost", "money", "metal_items.metal_cost", "metal_item_no"),
        ("kept_of_fee", "Kept of a fee", "fraction", "plan_items.kept_of_fee", "item_no"),
    ):
        block.fetch(name, heading, unit, source, by, meaning="At the reference.")
    block.worked(figures.net_full)
    block.worked(margin, name="margin_now", heading="Margin on the full fee", net="net_full")
    block.worked(figures.metal_fee)
    for k in range(1, len(steps) + 1):
        _band_columns(block, k)
    return block


def _band_columns(block: Block, k: int) -> None:
    """One band's columns: the add-on, the margin's change at each edge, and the larger of the two."""
    rounding = [Name(name) for name in ("band_step", "step_digits", "money_digits")]
    block.tree(
        f"add_on_{k}",
        f"Band {k}, add-on",
        "money",
        figures.add_on(Name("metal_fee"), figure_in("band_moves", "move", k), *rounding),
        "What the band adds to the full fee, to the nearest step.",
    )
    block.worked(figures.net_with, name=f"net_{k}", heading=f"Band {k}, net with it", add_on=f"add_on_{k}")
    for edge, said in (("low", "lower"), ("high", "upper")):
        known = [Name(name) for name in (f"net_{k}", "unit_cost", "metal_cost")]
        block.tree(
            f"change_{edge}_{k}",
            f"Band {k}, margin change at the {said} edge",
            "change",
            figures.margin_change(*known, figure_in("band_moves", f"move_{edge}", k), Name("margin_now")),
            "The margin on the full fee at that price, less the one at the reference.",
        )
    block.worked(
        figures.worst,
        name=f"worst_{k}",
        heading=f"Band {k}, worst case",
        change_low=f"change_low_{k}",
        change_high=f"change_high_{k}",
    )
