"""The answers of a what-if on the screen and for machines."""

from __future__ import annotations

from typing import Any

from feesheet.formula.model import Model
from feesheet.formula.numbers import Numbers
from feesheet.pricing.what_if.price_paths import PLACES
from feesheet.uses.told_tables import Tables, change_of, plain_figures
from feesheet.uses.what_if_metals_told import MetalsTold


def lines_told(model: Model, numbers: Numbers, currency: str, digits: int) -> list[str]:
    """The answers as a person reads them; every figure stands in the workbook too."""
    told = _ScenariosTold(model, numbers, currency, digits)
    metals = MetalsTold(model, numbers, currency, digits)
    return [
        *told.without_fee(),
        *told.scenarios(),
        *told.materials(),
        *told.items(),
        *metals.metals(),
        *metals.break_evens(),
        *metals.overtakes(),
        *told.drivers(),
        *metals.quotes(),
        *metals.paths(),
        *metals.bands(),
    ]


def figures_told(model: Model, numbers: Numbers) -> dict[str, Any]:
    """The answers as machines read them: one list of records a table, unrounded."""
    return {
        name: [dict(zip(columns, row, strict=True)) for row in zip(*values, strict=True)]
        for name, columns in _RECORDS.items()
        if name in model.blocks
        for values in [[plain_figures(numbers.of(name, column)) for column in columns]]
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
    "path_year": ("what", *PLACES),
    "path_items": ("code", "site", "paths_under_target", "paths_under_nought"),
    "bands": ("price_from", "price_to", "worst"),
}
"""The tables and columns that `--json` prints."""


class _ScenariosTold(Tables):
    """The tables about scenarios and drivers, one method each."""

    def without_fee(self) -> list[str]:
        """How many items are left out for want of a fee."""
        count = sum(fee <= 0 for (fee,) in self.rows("fee_rules", "current_fee"))
        return (
            [f"{count} item(s) have no fee in force: they are in no margin, mean or year.", ""]
            if count
            else []
        )

    def scenarios(self) -> list[str]:
        """The year of each scenario, and the steps to it."""
        years = [
            (scenario, change_of(change), f"{before:,.0f}", f"{after:,.0f}")
            for scenario, change, before, after in self.rows(
                "scenario_years", "scenario", "cost_year_change", "left_year_before", "left_year"
            )
        ]
        steps = [
            (scenario, step, change_of(cost), change_of(left))
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
                    *(
                        str(code),
                        str(site),
                        self.money(fee) if fee else "none",
                        self.money(cost),
                        self.money(cost_then),
                    ),
                    *(self.money(needed), self.money(needed_then)),
                    *((f"{now:.1%}", f"{then:.1%}") if fee else ("", "")),
                )
                for _, code, site, fee, cost, cost_then, needed, needed_then, now, then in moved
            ]
            headings = ("Code", "Site", "Fee today", "Cost", "then", "Needed fee", "then", "Margin", "then")
            title = f"{scenario}: items that it moves ({self.currency})"
            result += self.table(title, headings, told, 2) or [f"{scenario}: no item moves.", ""]
        return result

    def drivers(self) -> list[str]:
        """What a step of each driver does to the money left in a year."""
        step = self.setting("driver_step")
        rows = [
            (str(driver), change_of(up), change_of(down))
            for driver, up, down in self.rows("tornado", "driver", "left_change_up", "left_change_down")
        ]
        title = f"What {step:.0%} of each driver does to the money left in a year ({self.currency})"
        return self.table(title, ("Driver", "up", "down"), rows, 1)
