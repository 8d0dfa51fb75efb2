"""The answers of a what-if on the screen: what moves, what each metal does, when a margin is gone, how long a quote is safe."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from feesheet.formula.model import Model
from feesheet.formula.numbers import Numbers
from feesheet.pricing.what_if.bands import band_lines
from feesheet.uses.text_table import aligned

MOST_ROWS = 16
"""Rows of a table on the screen; the workbook has them all."""


def lines_told(model: Model, numbers: Numbers, currency: str, digits: int) -> list[str]:
    """The answers as a person reads them; every figure stands in the workbook too."""
    told = _Told(model, numbers, currency, digits)
    return [
        *told.scenarios(),
        *told.materials(),
        *told.items(),
        *told.metals(),
        *told.break_evens(),
        *told.overtakes(),
        *told.drivers(),
        *told.quotes(),
        *told.paths(),
        *told.bands(),
    ]


def figures_told(model: Model, numbers: Numbers, currency: str, digits: int) -> dict[str, Any]:
    """The answers as machines read them: one list of records a table, unrounded."""
    del currency, digits
    return {
        name: [dict(zip(columns, row, strict=True)) for row in zip(*values, strict=True)]
        for name, columns in _RECORDS.items()
        if name in model.blocks
        for values in [[_plain(numbers.of(name, column)) for column in columns]]
    }


_RECORDS = {
    "scenario_years": ("scenario", "cost_year_change", "left_year_before", "left_year", "over_year"),
    "scenario_steps": ("scenario", "step", "cost_year_change", "left_year_change"),
    "scenario_items": (
        *("scenario", "code", "site", "fee_today", "cost_before", "cost_after"),
        *("needed_before", "needed_after", "margin_before", "margin_after"),
    ),
    "metal_years": ("metal", "price", "metal_cost_year", "per_tenth_year", "per_hundred_year", "hidden_year"),
    "unmodelled": ("why", "unmodelled_year"),
    "metal_materials": ("material", "metal", "metal_cost", "per_tenth", "per_hundred", "per_tenth_year"),
    "metal_items": (
        *("code", "site", "material", "metal", "billed", "metal_cost", "per_tenth", "per_hundred"),
        *("price_at_target", "price_at_floor", "price_at_zero"),
    ),
    "overtakes": ("first", "second", "price", "level_price"),
    "tornado": ("driver", "left_change_up", "left_change_down", "over_change_up", "over_change_down"),
    "quote_safety": (
        *("metal", "hold_days", "historical_rise", "parametric_rise", "reprice_at", "passed", "held_back"),
        *("passed_share", "interval_low", "interval_high", "outcome"),
    ),
    "quote_buffers": ("code", "site", "price_part", "weight_part", "buffer", "buffer_share"),
    "path_year": ("what", "at_5", "at_25", "at_50", "at_75", "at_95"),
    "path_items": ("code", "site", "paths_under_target", "paths_under_nought"),
    "bands": ("price_from", "price_to", "worst"),
}
"""The tables and columns that `--json` prints."""


def _plain(values: Any) -> list[Any]:
    """Python's own numbers and words."""
    return [value.item() if isinstance(value, np.generic) else value for value in np.asarray(values).tolist()]


class _Told:
    """The tables, one method each; a table that the model does not have tells nothing."""

    def __init__(self, model: Model, numbers: Numbers, currency: str, digits: int) -> None:
        self.model, self.numbers, self.currency, self.digits = model, numbers, currency, digits

    def rows(self, block: str, *columns: str) -> list[tuple[Any, ...]]:
        """The rows of a block's columns, as plain values; none where the block is not there."""
        if block not in self.model.blocks:
            return []
        return list(zip(*(_plain(self.numbers.of(block, column)) for column in columns), strict=True))

    def money(self, figure: Any, signed: bool = False) -> str:
        """Money with the currency's decimals; words as they are."""
        if isinstance(figure, str):
            return figure
        return f"{figure:{'+' if signed else ''},.{self.digits}f}"

    def table(
        self, title: str, headings: Sequence[str], rows: Sequence[Sequence[str]], words: int
    ) -> list[str]:
        """A table under its title, with a line that says how many rows are left out; nothing without rows."""
        if not rows:
            return []
        shown = [f"  {line}" for line in aligned([headings, *rows[:MOST_ROWS]], words)]
        left = len(rows) - MOST_ROWS
        return [title, *shown, *([f"  … and {left} more in the workbook"] if left > 0 else []), ""]

    def scenarios(self) -> list[str]:
        """The year of each scenario, and the steps to it."""
        years = [
            (scenario, f"{change:+,.0f}", f"{before:,.0f}", f"{after:,.0f}")
            for scenario, change, before, after in self.rows(
                "scenario_years", "scenario", "cost_year_change", "left_year_before", "left_year"
            )
        ]
        steps = [
            (scenario, step, f"{cost:+,.0f}", f"{left:+,.0f}")
            for scenario, step, cost, left in self.rows(
                "scenario_steps", "scenario", "step", "cost_year_change", "left_year_change"
            )
        ]
        title = f"The year at last year's units and today's fees ({self.currency})"
        return [
            *self.table(title, ("Scenario", "Cost", "Left now", "Left then"), years, 1),
            *(
                self.table("Step by step", ("Scenario", "Step", "Cost", "Left"), steps, 2)
                if len(steps) > len(years)
                else []
            ),
        ]

    def materials(self) -> list[str]:
        """Each material that a scenario moves, on the mean."""
        columns = ("scenario", "material", "cost_before", "cost_after", "margin_before", "margin_after")
        told = [
            (*map(str, row[:2]), *map(self.money, row[2:4]), *(f"{margin:.1%}" for margin in row[4:]))
            for row in self.rows("scenario_materials", *columns)
            if row[2] != row[3] or row[4] != row[5]
        ]
        headings = ("Scenario", "Material", "Cost", "then", "Margin", "then")
        return self.table(f"Materials on the mean, at today's fees ({self.currency})", headings, told, 2)

    def items(self) -> list[str]:
        """Each item that a scenario moves."""
        columns = ("scenario", "code", "site", "fee_today", "cost_before", "cost_after")
        more = ("needed_before", "needed_after", "margin_before", "margin_after")
        rows = self.rows("scenario_items", *columns, *more)
        result = []
        for scenario in dict.fromkeys(row[0] for row in rows):
            moved = [
                row
                for row in rows
                if row[0] == scenario and (row[4] != row[5] or row[6] != row[7] or row[8] != row[9])
            ]
            told = [
                (
                    *(str(code), str(site), self.money(fee), self.money(cost), self.money(cost_then)),
                    *(self.money(needed), self.money(needed_then), f"{now:.1%}", f"{then:.1%}"),
                )
                for _, code, site, fee, cost, cost_then, needed, needed_then, now, then in moved
            ]
            headings = ("Code", "Site", "Fee today", "Cost", "then", "Needed fee", "then", "Margin", "then")
            title = f"{scenario}: items that it moves ({self.currency})"
            result += self.table(title, headings, told, 2) or [f"{scenario}: no item moves.", ""]
        return result

    def metals(self) -> list[str]:
        """Each metal over the year and in each material."""
        years = [
            (str(metal), self.money(price), *(f"{figure:,.0f}" for figure in figures))
            for metal, price, *figures in self.rows("metal_years", *_RECORDS["metal_years"])
        ]
        materials = [
            (str(material), str(metal), *map(self.money, figures))
            for material, metal, *figures in self.rows(
                "metal_materials", "material", "metal", "metal_cost", "per_tenth", "per_hundred"
            )
        ]
        unmodelled = [
            f"{self.money(money)} {self.currency} a year of {why}: not modelled."
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
            ("Code", "Site", "Metal", "under target", "under floor", "nothing left"),
            told,
            3,
        )
        if not lines:
            return []
        without = len(self.numbers.of("costs", "unit_cost")) - len(most)
        return [
            *lines[:-1],
            "  A price under today's: the margin is there only once the metal is so cheap.",
            f"  {without} item(s) hold no priced metal: no break-even.",
            "",
        ]

    def overtakes(self) -> list[str]:
        """The prices, within half and double of today's, at which two materials leave the same of a chair hour."""
        rows = self.rows("overtakes", "first", "second", "price", "level_price")
        near = [row for row in rows if not isinstance(row[3], str) and row[2] / 2 <= row[3] <= row[2] * 2]
        told = [(str(first), str(second), self.money(price)) for first, second, _, price in near]
        title = (
            f"{self.model.blocks['overtakes'].title} ({self.currency}; half to double today's price)"
            if near
            else ""
        )
        lines = self.table(title, ("Material", "Other material", "Level at"), told, 2)
        return (
            [*lines[:-1], "  Facts, no advice: the choice of material is the dentist's.", ""] if lines else []
        )

    def drivers(self) -> list[str]:
        """What a step of each driver does to the money left in a year."""
        step = self.setting("driver_step")
        rows = [
            (str(driver), f"{up:+,.0f}", f"{down:+,.0f}")
            for driver, up, down in self.rows("tornado", "driver", "left_change_up", "left_change_down")
        ]
        title = f"What {step:.0%} of each driver does to the money left in a year ({self.currency})"
        return self.table(title, ("Driver", "up", "down"), rows, 1)

    def quotes(self) -> list[str]:
        """How much a quote should withstand, when to set prices again, and how the past would have gone."""
        rows = self.rows("quote_safety", *_RECORDS["quote_safety"])
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
            for metal, _, past, formula, reprice, passed, held, *_, outcome in rows
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
        columns = _RECORDS["path_year"]
        rows = [
            (str(what), *(f"{figure:,.0f}" for figure in figures))
            for what, *figures in self.rows("path_year", *columns)
        ]
        headings = ("", *(f"{int(name.removeprefix('at_'))} % under" for name in columns[1:]))
        title = f"A year on 10,000 price paths drawn from the history ({self.currency})"
        return self.table(title, headings, rows, 1)

    def setting(self, name: str) -> float:
        """A setting's value."""
        return float(self.model.settings[name].value)

    def bands(self) -> list[str]:
        """The surcharge bands."""
        lines = band_lines(self.numbers, self.model)
        return [*lines, ""] if lines else []
