"""What metal does, on the screen: to each material and item, to a quote, to a year, and what the front desk adds."""

from __future__ import annotations

from typing import Any

from feesheet.pricing.what_if.bands import band_lines
from feesheet.pricing.what_if.price_paths import PATHS, PLACES, SHARES
from feesheet.uses.told_tables import Tables

NEAR = 2.0
"""Prices this many times over or under today's are told on the screen; the workbook has all of them."""


_YEARS = ("metal", "price", "metal_cost_year", "per_tenth_year", "per_hundred_year", "hidden_year")
_QUOTES = (
    *("metal", "hold_days", "historical_rise", "parametric_rise", "reprice_at", "passed", "held_back"),
    "outcome",
)


class MetalsTold(Tables):
    """The tables about metals, one method each."""

    def metals(self) -> list[str]:
        """Each metal over the year and in each material."""
        years = [
            (str(metal), self.money(price), *(f"{figure:,.0f}" for figure in figures))
            for metal, price, *figures in self.rows("metal_years", *_YEARS)
        ]
        materials = [
            (str(material), str(metal), *map(self.money, figures))
            for material, metal, *figures in self.rows(
                "metal_materials", "material", "metal", "metal_cost", "per_tenth", "per_hundred"
            )
        ]
        unmodelled = [
            f"{self.money(money)} {self.currency} a year of {why}: not modelled, and in no unit cost."
            for why, money in self.rows("unmodelled", "why", "unmodelled_year")
        ]
        hidden = sum(row[0] for row in self.rows("metal_years", "hidden_year"))
        if hidden:
            said = f"{hidden:,.0f} {self.currency} of metal a year are hidden in unit fees and estimated from grams."
            unmodelled = [said, *unmodelled]
        headings = ("Metal", "Price", "A year", "+10 %", "+100 a troy ounce", "hidden")
        return [
            *self.table(f"Metal in a year ({self.currency})", headings, years, 1),
            *([*unmodelled, ""] if unmodelled else []),
            *self.table(
                f"Metal in one unit, on the mean ({self.currency})",
                ("Material", "Metal", "In it", "+10 %", "+100 a troy ounce"),
                materials,
                2,
            ),
        ]

    def break_evens(self) -> list[str]:
        """The price of each item's main metal at which its margin falls to the target, the floor and nought."""
        columns = (
            "code",
            "site",
            "metal",
            "price_at_target",
            "price_at_floor",
            "price_at_zero",
            "metal_cost",
        )
        rows = self.rows("metal_items", *columns)
        most: dict[tuple[Any, ...], float] = {}
        for row in rows:
            most[row[:2]] = max(most.get(row[:2], 0.0), row[6])
        told = [
            (*map(str, row[:3]), *map(self.money, row[3:6])) for row in rows if row[6] == most[row[:2]] > 0
        ]
        lines = self.table(
            f"Price of its main metal at which an item's margin at today's fee is gone ({self.currency})",
            ("Code", "Site", "Metal", "under target", "fee under cost", "nothing left"),
            told,
            3,
        )
        if not lines:
            return []
        without = len(self.numbers.of("costs", "unit_cost")) - len(most)
        return [
            *lines[:-1],
            "  A price under today's: the margin is there only once the metal is so cheap.",
            "  Fee under cost: of a patient who pays the full fee. Nothing left: of the money that comes in on the mean.",
            f"  {without} item(s) hold no priced metal: no break-even.",
            "",
        ]

    def overtakes(self) -> list[str]:
        """The prices near today's at which two materials leave the same of a chair hour."""
        rows = self.rows("overtakes", "first", "second", "price", "level_price")
        near = [
            (str(first), str(second), self.money(level))
            for first, second, price, level in rows
            if not isinstance(level, str) and price / NEAR <= level <= price * NEAR
        ]
        if not near:
            return []
        title = f"{self.model.blocks['overtakes'].title} ({self.currency}; half to double today's price)"
        lines = self.table(title, ("Material", "Other material", "Level at"), near, 2)
        return [*lines[:-1], "  Facts, no advice: the choice of material is the dentist's.", ""]

    def quotes(self) -> list[str]:
        """How much a quote should withstand, when to set prices again, and how the past would have gone."""
        rows = self.rows("quote_safety", *_QUOTES)
        if not rows:
            return []
        days = int(rows[0][1])
        told = [
            (
                str(metal),
                f"{past:+.1%}",
                f"{formula:+.1%}",
                self.money(reprice),
                f"{passed:.0f} of {held:.0f}",
                str(outcome),
            )
            for metal, _, past, formula, reprice, passed, held, outcome in rows
        ]
        headings = ("Metal", "past", "normal", "Re-price over", "Passed", "Backtest")
        title = (
            f"A quote held for {days} days should withstand, at a level of {self.setting('safety_level'):.1%}"
        )
        buffers: dict[str, list[float]] = {}
        for code, buffer in self.rows("quote_buffers", "code", "buffer"):
            buffers.setdefault(str(code), []).append(buffer)
        spans = [(code, self.money(min(found)), self.money(max(found))) for code, found in buffers.items()]
        return [
            *self.table(title, headings, told, 1),
            *self.table(
                f"Buffer in a quote, price and weight of the alloy together ({self.currency})",
                ("Code", "from", "to, by site"),
                spans,
                1,
            ),
        ]

    def paths(self) -> list[str]:
        """What a year might leave if metals move as they did before."""
        rows = [
            (str(what), *(f"{figure:,.0f}" for figure in figures))
            for what, *figures in self.rows("path_year", "what", *PLACES)
        ]
        headings = ("", *(f"{share:.0%} under" for share in SHARES))
        title = (
            f"A year on {PATHS:,} price paths drawn from the history, its trend taken out ({self.currency})"
        )
        return self.table(title, headings, rows, 1)

    def bands(self) -> list[str]:
        """The surcharge bands."""
        lines = band_lines(self.numbers, self.model)
        return [*lines, ""] if lines else []
