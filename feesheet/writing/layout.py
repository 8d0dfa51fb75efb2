"""Where every block stands in the workbook, and what a name is called in a formula."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from feesheet.formula.excel import row_mark
from feesheet.formula.model import Block, Model
from feesheet.pricing.inputs import InputRow

SHEETS: dict[str, tuple[str, ...]] = {
    "Summary": ("figures", "front", "front_moves"),
    "Fee schedule": ("schedule",),
    "Cost build-up": ("costs",),
    "Fee rules": ("fee_rules",),
    "Path": ("path",),
    "Margins": ("margins",),
    "Plans": ("plan_items",),
    "Materials": ("by_material", "alloyed", "materials"),
    "Lab fees": ("lab_fees", "lab_prices", "milling", "material_sites", "site_quotes"),
    "Alloy": ("alloys", "pools", "metals", "composition", "moves"),
    "Alloy lines": ("alloy_lines", "unweighed"),
    "All-in prices": ("all_in",),
    "Metal history": ("quotes", "days", "day_metals"),
    "Chair time": ("steps", "staff", "step_pay"),
    "Overhead": ("sites", "ledger"),
    "Invoice charges": ("invoices",),
    "Remakes and credits": ("claims", "credits"),
    "Invoice lines": ("lines",),
    "Inputs": ("inputs", "choices", "fixed"),
    "Checks": ("state", "understanding", "said", "checks", "parts", "files", "invoice_totals"),
    "What changed": ("changes",),
}
"""The sheets with figures, in order, and the blocks on each from the top down."""

TILES = ("figures", "what_if_figures", "review_figures")
"""The blocks that stand as tiles side by side on a first page, not as tables."""

WHAT_IF_SHEETS: dict[str, tuple[str, ...]] = {
    "What if": ("what_if_figures", "what_if_materials", "what_if_metals"),
    "Scenarios": ("scenario_moves", "scenario_years", "scenario_steps", "scenario_materials"),
    "Items compared": ("scenario_items",),
    "Metal exposure": ("metal_years", "unmodelled", "metal_materials", "metal_means", "metal_left"),
    "Metal in each item": ("metal_items",),
    "Overtakes": ("overtakes", "hours"),
    "Drivers": ("tornado",),
    "Grid": ("grid_margin_now_table", "grid_needed_shown_table", "grid_unit_cost_table"),
    "Metal bands": ("add_ons", "bands", "band_check"),
    "Quote safety": ("quote_answers", "safety_notes"),
    "Quote buffers": ("quote_buffers",),
    "Price paths": ("path_year",),
    "Paths by item": ("path_items",),
}
"""The sheets that stand before them in a what-if, in order."""

REVIEW_SHEETS: dict[str, tuple[str, ...]] = {
    "Review": ("review_figures", "review_materials", "review_changes", "review_findings", "review_ways"),
    "Plans under cost": ("shown_under_allowed", "shown_plan_under_cost"),
    "Margins by cut": (
        *("shown_cut_material", "shown_cut_region", "shown_cut_site", "shown_cut_lab", "shown_cut_dentist"),
        *("shown_cut_payer", "cut_totals", "lab_work"),
    ),
    "Why it changed": ("changes_told", "left_after_idle", "revenue_told", "all_units", "gone_items"),
    "Changes by material": ("shown_changes_material",),
    "Changes by item": ("shown_item_changes",),
    "Then by item": ("then_items",),
    "Capacity": ("shown_capacity", "shown_capacity_then", "left_after_idle"),
    "Lab audit": ("findings_by_kind", "findings_by_lab"),
    "Findings": ("findings",),
    "Remakes by lab": ("remakes_by_lab",),
    "Alloy premiums": ("premium_history",),
    "Lab cost": ("lab_money", "shares", "premium_paid", "money_by_use"),
    "Bills and costs": ("bills_to_cost", "left_by_bills"),
    "Cash and accrual": (
        *("shown_lab_cash", "lab_cash_total", "totals_held", "money_in", "money_in_total", "money_steps"),
        *("seating_total", "by_seating", "lag_kinds", "seated_lag"),
    ),
}
"""The sheets that stand before them in a margin review, in order; blocks that it does not name come last."""

WORKING_SHEETS: dict[str, tuple[str, ...]] = {
    "Quote workings": ("quote_safety", "weight_safety", "quote_parts", "gram_spread"),
}
"""Sheets of a what-if that come last, before those of the blocks that no list names."""


def sheets_of(model: Model) -> dict[str, tuple[str, ...]]:
    """The sheets of a model's workbook, in order, and the blocks on each; blocks that no list names come last, on their own sheet.

    A block that two sheets name stands on the one that it asks for.
    """
    lists = {**REVIEW_SHEETS, **WHAT_IF_SHEETS, **SHEETS, **WORKING_SHEETS}
    named = Counter(name for names in lists.values() for name in names)
    found = {
        sheet: [
            name
            for name in names
            if name in model.blocks and (named[name] == 1 or model.blocks[name].sheet == sheet)
        ]
        for sheet, names in lists.items()
    }
    for block in model.blocks.values():
        if block.name not in named:
            found.setdefault(block.sheet, []).append(block.name)
    return {sheet: tuple(names) for sheet, names in found.items() if names}


FIRST_ROW = 6
"""Row of the first block's title: above it stand the sheet's title, the checks, the state and a note."""


@dataclass(frozen=True)
class Place:
    """Where a block stands. Rows count from 1, columns from 0. An empty block keeps one blank row."""

    sheet: str
    title_row: int
    header_row: int
    first_row: int
    rows: int
    columns: dict[str, int]

    @property
    def last_row(self) -> int:
        """The last row of its range."""
        return self.first_row + max(self.rows, 1) - 1


def letters(column: int) -> str:
    """A column's letters; 0 is A.

    >>> letters(0), letters(27)
    ('A', 'AB')
    """
    name = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        name = chr(65 + rest) + name
    return name


def quoted(sheet: str) -> str:
    """A sheet's name as a formula writes it."""
    return f"'{sheet}'" if not sheet.isalnum() else sheet


class BookLayout:
    """The places of all blocks of a model, and the references between them (see `formula.excel.Layout`)."""

    def __init__(self, model: Model, inputs: Sequence[InputRow], fixed_rows: dict[str, int]) -> None:
        """Stack the blocks of each sheet; `fixed_rows` fixes title rows where charts or words stand between blocks."""
        self.model = model
        self.places: dict[str, Place] = {}
        for sheet, names in sheets_of(model).items():
            row = FIRST_ROW
            for name in names:
                self._put(model.blocks[name], sheet, fixed_rows.get(name, row))
                row = self.places[name].last_row + 2
        self._entries = {
            (i.block, i.column): position for position, i in reversed(list(enumerate(inputs))) if i.block
        }
        self._settings = {i.setting: position for position, i in enumerate(inputs) if i.setting}
        self.used_names: set[str] = set()

    def _put(self, block: Block, sheet: str, row: int) -> None:
        header = row + (2 if block.note else 1)
        columns = {name: position for position, name in enumerate(block.columns)}
        self.places[block.name] = Place(sheet, row, header, header + 1, block.rows, columns)

    def reference(self, name: str, block: Block) -> str:
        """The cell of a column in the same row, the range of a group, or the name of a setting."""
        home = self.model.home(name, block)
        if home is None:
            if block.rows:  # a table without rows has no formulas
                self.used_names.add(name)
            return name
        place, here = self.places[home.name], self.places[block.name]
        sheet = "" if place.sheet == here.sheet else f"{quoted(place.sheet)}!"
        row = row_mark(place.first_row - here.first_row)
        if name in home.groups:
            first, last = home.groups[name][0], home.groups[name][-1]
            return f"{sheet}${letters(place.columns[first])}{row}:${letters(place.columns[last])}{row}"
        return f"{sheet}{letters(place.columns[name])}{row}"

    def above(self, name: str, block: Block) -> str:
        """The cell of a column one row up."""
        return f"{letters(self.places[block.name].columns[name])}{row_mark(-1)}"

    def whole(self, block: str, column: str) -> str:
        """A column's range, fixed."""
        place = self.places[block]
        letter = letters(place.columns[column])
        return f"{quoted(place.sheet)}!${letter}${place.first_row}:${letter}${place.last_row}"

    def entry(self, block: Block, column: str) -> str:
        """The formula of an entry column: its cell on the Inputs sheet, with row marks; none in a table without rows."""
        if not block.rows:
            return ""
        inputs = self.places["inputs"]
        offset = inputs.first_row + self._entries[(block.name, column)] - self.places[block.name].first_row
        return f"=Inputs!{letters(inputs.columns['value'])}{row_mark(offset)}"

    def setting_cell(self, name: str) -> str:
        """The fixed cell that a setting's name stands for."""
        setting = self.model.settings[name]
        if setting.choices:
            return self._fixed_cell("choices", "basis", 0)
        if setting.fixed:
            fixed = [other.name for other in self.model.settings.values() if other.fixed]
            return self._fixed_cell("fixed", "number", fixed.index(name))
        return self._fixed_cell("inputs", "value", self._settings[name])

    def _fixed_cell(self, block: str, column: str, position: int) -> str:
        place = self.places[block]
        return f"{quoted(place.sheet)}!${letters(place.columns[column])}${place.first_row + position}"
