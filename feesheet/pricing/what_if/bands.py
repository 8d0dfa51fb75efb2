"""Surcharge bands for the front desk: between which metal prices how much is added to a full fee, or taken off it.

`add_bands` needs the block `metal_items`: what each metal costs in a unit of each item.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from feesheet.formula.model import Model, Setting
from feesheet.formula.numbers import Numbers
from feesheet.pricing.what_if import bands_figures as figures
from feesheet.pricing.what_if.bands_blocks import add_band_blocks
from feesheet.pricing.what_if.bands_width import BandItems, items_at, widest, worst_cases
from feesheet.pricing.what_if.bands_words import EDGE_RULE, FULL_FEE, PLANS, WHO_PAYS
from feesheet.pricing.what_if.defaults import TOLERANCE
from feesheet.problems import FEW, Problem
from feesheet.schema import plain

DEFAULT_STEP = 1.0
"""The add-on's step where nobody says: one of the currency (a choice of this program)."""

CHOSEN = "Chosen: the widest bands within the tolerance"


def add_bands(model: Model, metal: str, tolerance: float, numbers: Numbers) -> list[Problem]:
    """Add the settings and blocks of the bands of one metal's price, and say what stands in the way.

    `tolerance` is how far a band may move an item's margin (fraction of net); `numbers` are the model's own figures.
    Nothing is added where an error is returned.
    """
    wrong = _refused(model, metal, tolerance, numbers)
    if wrong:
        return [wrong]
    known = model.blocks["metals"].labels("metal")
    metal_no = _places(known)[plain(metal)] + 1
    metal = known[metal_no - 1]
    rows = np.flatnonzero(numbers.of("metal_items", "metal_no") == metal_no) + 1
    every = items_at(numbers, rows, metal_no)
    items = items_at(numbers, every.rows[every.fee > 0], metal_no)
    problems = _without_fee(model, metal, every)
    if not len(items.rows):
        what = f"No item with a current fee has {metal} in it, so there are no bands."
        return [*problems, Problem("unknown name", what, "Name a metal of an alloy that has a fee.")]
    _add_settings(model, tolerance, items)
    width, fits = widest(items, model.settings)
    model.settings["band_width"] = _width(model, width, items)
    add_band_blocks(model, items)
    return problems if fits else [*problems, _in_the_way(model, metal, items, width)]


def _places(metals: Sequence[str]) -> dict[str, int]:
    """Where each metal stands, by its name made plain."""
    return {plain(name): place for place, name in enumerate(metals)}


def _refused(model: Model, metal: str, tolerance: float, numbers: Numbers) -> Problem | None:
    """Why there can be no bands for that metal and tolerance; None if there can."""
    known = model.blocks["metals"].labels("metal")
    if not 0 < tolerance < 1:
        what = f"A margin can't be kept within {tolerance:g}."
        return Problem("out of range", what, f"Give a fraction such as {TOLERANCE:g}, a margin point.")
    if plain(metal) not in _places(known):
        what = f'"{metal}" is none of the metals with a price: {", ".join(known)}.'
        return Problem("unknown name", what, "Name one of them.")
    price = float(numbers.of("metals", "price")[_places(known)[plain(metal)]])
    if not price >= model.settings["smallest_coin"].value:
        what = f"{metal.capitalize()} has no price, so there are no bands to it."
        return Problem("out of range", what, 'Type a quote for it in "Metal prices".')
    return None


def _add_settings(model: Model, tolerance: float, items: BandItems) -> None:
    """The figures that the bands follow, but for their width."""
    coin = model.settings["smallest_coin"].value
    dearest = max(DEFAULT_STEP, float(items.fee.max()))
    for setting in (
        Setting(
            "band_tolerance",
            "Surcharge bands: a margin may move by",
            "fraction",
            float(tolerance),
            "As asked for",
            0.0,
            1.0,
        ),
        Setting(
            "band_step",
            "Surcharge bands: add-ons in steps of",
            "money",
            DEFAULT_STEP,
            "Default: one of the currency",
            coin,
            dearest,
        ),
        Setting(
            "band_half",
            "Half of a band",
            "fraction",
            0.5,
            "The middle of a band is half a width from its edges",
            fixed=True,
        ),
    ):
        model.settings[setting.name] = setting


def _width(model: Model, width: float, items: BandItems) -> Setting:
    """The width of a band, which may be typed over."""
    coin = model.settings["smallest_coin"].value
    return Setting(
        "band_width", "Surcharge bands: width of a band", "money", width, CHOSEN, coin, items.reference
    )


def _named(model: Model, item_no: Sequence[int] | np.ndarray[Any, Any]) -> str:
    """A few items by code and site, and how many more."""
    codes, sites = (model.blocks["costs"].labels(name) for name in ("code", "site"))
    said = ", ".join(f"{codes[n - 1]} at {sites[n - 1]}" for n in item_no[:FEW])
    rest = len(item_no) - FEW
    return f"{said} and {rest} more" if rest > 0 else said


def _without_fee(model: Model, metal: str, every: BandItems) -> list[Problem]:
    """The items with the metal that are not in the table for want of a fee."""
    missing = every.item_no[~(every.fee > 0)]
    if not len(missing):
        return []
    what = f"No add-on for {metal} without a current fee: {_named(model, missing)}."
    return [Problem("no current fee", what, "Type the fee; until then the table leaves the item out.")]


def _in_the_way(model: Model, metal: str, items: BandItems, width: float) -> Problem:
    """Which items keep even the narrowest bands from holding."""
    worst = worst_cases(items, width, model.settings).max(axis=0)
    allowed = float(model.settings["band_tolerance"].value)
    order = np.argsort(-worst, kind="stable")
    over = items.item_no[order][figures.within(worst[order], allowed) < 1]
    what = (
        f"Even {metal} bands of {width:g} move margins by more than {100 * allowed:.2f} points, "
        f"by {100 * worst.max():.2f} at most: {_named(model, over)}."
    )
    do = "Allow more, or type a smaller step for the add-ons: rounding alone moves the margin of a small fee."
    return Problem("caution", what, do)


def band_lines(numbers: Numbers, model: Model) -> list[str]:
    """The bands as a short table for the screen: prices, what to add from the least to the most, and the worst case."""
    if "bands" not in model.blocks:
        return []
    digits = int(model.settings["money_digits"].value)
    shown = [numbers.of("bands", name) for name in ("price_from", "price_to", "worst", "within")]
    lines = []
    for no, (low, high, worst, within) in enumerate(zip(*shown, strict=True), start=1):
        added = numbers.of("band_workings", f"add_on_{no}")
        least, most = (f"{figure:+,.{digits}f}" for figure in (added.min(), added.max()))
        said = "no add-on" if not added.any() else least if least == most else f"{least} to {most}"
        lines.append(
            f"{no}  from {low:,.{digits}f} to under {high:,.{digits}f}: {said}; "
            f"margins move by {100 * worst:.2f} points at most{'' if within else ', over the tolerance'}"
        )
    verdict = str(numbers.of("band_check", "said")[0])
    return [model.blocks["bands"].title, *lines, verdict, EDGE_RULE, WHO_PAYS, FULL_FEE, PLANS]
