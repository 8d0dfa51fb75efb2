"""The steps between what was left then and what is left now: their order, titles and words."""

from __future__ import annotations

from dataclasses import dataclass

from feesheet.pricing.review import variances as made

_COST = "(then − now) × now's units"
_TAKES = "Dearer than then takes away from what is left. "
_UNDATED = " Typed without dates: nought, unless last year's workbook is given."


@dataclass(frozen=True)
class Step:
    """One step between left then and left now: its column in `item_changes`, what it is called, how it is worked out, and
    what it is in words."""

    name: str
    title: str
    convention: str
    words: str


STEPS = (
    Step("effect_price", "Price of the work", made.NEW_VOLUME, "What came in for a unit, now against then, on now's units: fees, the mix of payers, and what was collected."),
    Step("effect_volume", "Volume", made.NEW_VOLUME, "More or fewer units in all, had each item grown alike, at then's prices."),
    Step("effect_mix", "Mix", made.NEW_VOLUME, "Other items than then, at then's prices. An item that is new is all mix."),
    Step("effect_loose", "Money without units", "as it came in", "Money of items whose units add up to nought."),
    Step("effect_volume_cost", "Cost of volume and mix", "(then − now) units × then's unit cost",
         "What the units more or less than then cost, at then's costs."),
    Step("effect_lab", "Lab price", _COST, _TAKES + "The labs' fees for a unit, without alloy and remakes."),
    Step("effect_grams", "Alloy weight", "(then − now) grams × then's price", _TAKES + "Grams of alloy in now's units."),
    Step("effect_alloy_price", "Alloy price", "(then − now) price × now's grams", _TAKES + "Alloy a gram, metal and premium."),
    Step("effect_supplies", "Supplies", _COST, _TAKES + "Supplies at the chair." + _UNDATED),
    Step("effect_minutes", "Minutes", "(then − now) minutes × then's pay", _TAKES + "People's minutes for a unit." + _UNDATED),
    Step("effect_pay", "Pay", "(then − now) pay × now's minutes", _TAKES + "What people's minutes cost." + _UNDATED),
    Step("effect_chair", "Chair minutes", "(then − now) minutes × then's rate", _TAKES + "Minutes in which a chair is taken." + _UNDATED),
    Step("effect_overhead", "Overhead spent", "(then − now) overhead / then's minutes × now's chair minutes",
         _TAKES + "Overhead that is more or less money." + _UNDATED),
    Step("effect_capacity", "Chair minutes on offer", "now's overhead / (then's − now's) minutes × now's chair minutes",
         _TAKES + "The same overhead over more or fewer usable chair minutes." + _UNDATED),
    Step("effect_remakes", "Remakes", _COST, _TAKES + "What rejected units cost for each good one."),
    Step("effect_other", "Other costs", _COST, _TAKES + "The practice's own parts of the cost."),
)  # fmt: skip
"""The steps in order: revenue, the cost that goes with the units, then each cost of a unit."""
