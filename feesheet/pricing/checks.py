"""What must hold in every delivered workbook, as live formulas: sums that agree, figures in range, rules kept."""

from __future__ import annotations

import math
from collections.abc import Sequence

import pandas as pd

from feesheet.costing.invoices import invoice_files
from feesheet.costing.meaning import CONTROL
from feesheet.costing.reconciliation_block import DIFFERS, NO_TOTAL
from feesheet.formula.model import Block, Model, figure
from feesheet.formula.operations import (
    as_text,
    grand_product,
    height,
    joined,
    ratio,
    size,
    smaller,
    smallest,
    tally,
    when,
)
from feesheet.formula.tree import Name, Traced, Whole, added
from feesheet.practice import Practice, line_treatments
from feesheet.pricing.summary import sum_of


@figure("Difference", "money")
def difference(read: Traced, used: Traced, aside: Traced) -> Traced:
    """The invoices' total less the lines used and set aside: nought, to the cent. Unit: money."""
    return read - used - aside


@figure("Agrees", "whole")
def agrees(difference: Traced, money_tolerance: Traced) -> Traced:
    """1 if the difference is under half of the smallest coin."""
    return size(difference) <= money_tolerance


def files_block(practice: Practice, parts: pd.DataFrame) -> Block:
    """Each file of invoice lines: its total as read against what its lines add up to in this workbook."""
    names = invoice_files(practice)
    frame = practice.tables["invoice_lines"]
    file_of = frame["source"].map({n: source.file for n, source in enumerate(practice.sources)})
    amounts = frame["amount"].where(line_treatments(frame) != CONTROL, 0.0).groupby(file_of)
    totals = {str(name): math.fsum(values) for name, values in amounts}
    counts = file_of.value_counts()
    again = parts[parts["copy"] & (parts["treatment"] != CONTROL)].drop_duplicates("line")
    copied = {str(name): math.fsum(of) for name, of in again["amount"].groupby(again["line"].map(file_of))}
    block = Block(
        "files",
        "Checks",
        "Invoice files",
        len(names),
        label=("file",),
        note="Lines used + lines set aside = the invoices' total as read, file by file, to the cent.",
    )
    block.number()
    block.given("file", "File", names)
    block.given("lines_read", "Lines read", [float(counts.get(name, 0)) for name in names], "whole")
    block.given(
        "read",
        "Total as read",
        [totals.get(name, 0.0) for name in names],
        "money",
        meaning="Sum of the amounts, added up as the file was read; balances and totals left out.",
    )
    block.given(
        "copies",
        "Of it copies",
        [copied.get(name, 0.0) for name in names],
        "money",
        meaning="Lines that repeat an invoice of another sheet, line for line.",
    )
    block.total("used", "Used", "money", "lines.used_amount", "lines.file_no", "no")
    block.total("aside", "Set aside", "money", "lines.aside_amount", "lines.file_no", "no")
    block.worked(difference)
    block.worked(agrees)
    return block


def parts_block(model: Model, components: list[str]) -> Block:
    """What each cost component comes to over all items."""
    block = Block("parts", "Checks", "Parts of the unit costs", len(components), label=("part",))
    costs = model.blocks["costs"].columns
    block.given("part", "Part", [costs[component].heading for component in components])
    sums = [sum_of(f"costs.{component}") for component in components]
    block.listed("in_all", "In all", "money", sums, "The sum over every code at every site.")
    return block


Check = tuple[str, Traced, Traced]
"""What is checked, the figure, and what it should be."""


def checks_block(model: Model, more: Sequence[Check] = ()) -> Block:
    """The checks, one row each: a figure, what it should be, and whether it is."""
    rows = [*_sums_of_lines(model), *_sums_of_costs(model), *_limits(model), *more]
    block = Block(
        "checks",
        "Checks",
        "Checks",
        len(rows),
        label=("check",),
        note="Each row compares two figures. The first line of every sheet counts the rows that do not pass.",
    )
    block.given("check", "Check", [row[0] for row in rows], width=60)
    block.listed("found", "Figure", "number", [row[1] for row in rows], "What the workbook gives.", width=15)
    block.listed("should", "Should be", "number", [row[2] for row in rows], "What it should be.", width=15)
    block.worked(passes, name="result")
    return block


@figure("Result", "text")
def passes(found: Traced, should: Traced, money_tolerance: Traced) -> Traced:
    """Pass if the two figures are the same to half of the smallest coin."""
    return when(size(found - should) <= money_tolerance, "pass", "FAIL")


def _rows(model: Model, column: str) -> Traced:
    """How many rows a column has; a table without rows keeps one blank row, which must not count."""
    block, _, name = column.partition(".")
    return height(Whole(block, name)) if model.blocks[block].rows else 0


def _product(a: str, b: str) -> Traced:
    (block_a, _, name_a), (block_b, _, name_b) = a.partition("."), b.partition(".")
    return grand_product(Whole(block_a, name_a), Whole(block_b, name_b))


def _sums_of_lines(model: Model) -> list[tuple[str, Traced, Traced]]:
    """The invoice lines against the files, the invoices and the materials."""
    return [
        (
            "Invoice files whose lines add up to their total",
            sum_of("files.agrees"),
            _rows(model, "files.agrees"),
        ),
        (
            "Invoice lines used and set aside, against the files' totals",
            sum_of("lines.used_amount") + sum_of("lines.aside_amount"),
            sum_of("files.read"),
        ),
        ("Shares of split lines: whole lines again", sum_of("lines.share"), sum_of("files.lines_read")),
        (
            "Lines by invoice and copies, against the files' totals",
            sum_of("invoice_totals.lines_read") + sum_of("files.copies"),
            sum_of("files.read"),
        ),
        (
            "Units of the lab fees and of lines with unknown teeth, against the materials",
            _product("lines.units_counted", "lines.counted"),
            sum_of("materials.material_units"),
        ),
    ]


def _sums_of_costs(model: Model) -> list[tuple[str, Traced, Traced]]:
    """Costs, alloys and the year's units and cash against what they are made of."""
    return [
        (
            "Parts of the unit costs, against the unit costs",
            sum_of("parts.in_all"),
            sum_of("costs.unit_cost"),
        ),
        (
            "Lab cost of the lines, against the materials",
            sum_of("materials.billed"),
            sum_of("lines.lab_cost"),
        ),
        (
            "Alloys whose fractions add up to 1 within 0.005",
            sum_of("alloys.whole"),
            _rows(model, "alloys.whole"),
        ),
        (
            "Last year's units by site, against the fee rows",
            sum_of("margins.units"),
            _product("margins.units_typed", "margins.even_share"),
        ),
        (
            "Yearly cash change, against new less now",
            sum_of("margins.cash_change"),
            sum_of("margins.cash_new_year") - sum_of("margins.cash_now_year"),
        ),
    ]


def _limits(model: Model) -> list[tuple[str, Traced, Traced]]:
    shares = [Name(name) for name in model.settings if name.startswith("plan_share_")]
    patients = added(shares)
    return [
        ("Inputs inside their limits", sum_of("inputs.in_range"), _rows(model, "inputs.in_range")),
        (
            "Words on the Inputs sheet that the formulas know",
            sum_of("choices.known_basis"),
            _rows(model, "choices.known_basis"),
        ),
        ("Patients on plans, at most 1 in all", smaller(patients, 1), patients),
        ("Smallest unit cost, at least 0", smaller(smallest(Whole("costs", "unit_cost")), 0), 0),
        (
            "Smallest overhead a chair minute, at least 0",
            smaller(smallest(Whole("sites", "overhead_per_chair_min")), 0),
            0,
        ),
        ("New fees that are numbers", sum_of("fee_rules.is_number"), _rows(model, "fee_rules.new_fee")),
        ("New fees under a floor or over a cap, held ones aside", sum_of("fee_rules.outside"), 0),
    ]


def state_block() -> Block:
    """What the top of every sheet says: how many checks fail, how many figures were typed over."""
    block = Block("state", "Checks", "State of this workbook", 2, label=("state",))
    block.given("state", "State", ["Checks that do not pass", "Figures typed over since issue"], width=60)
    block.listed(
        "number",
        "Number",
        "whole",
        [
            height(Whole("checks", "result")) - tally(Whole("checks", "result"), "pass"),
            sum_of("inputs.changed") + sum_of("choices.basis_changed"),
        ],
        "Read by the first lines of every sheet.",
    )
    return block


def understanding_block() -> Block:
    """How much of the invoices' money is understood, and how many invoices don't agree with a total: counts, not checks."""
    block = Block(
        "understanding",
        "Checks",
        "What is understood of the invoices",
        1,
        "Charges in the window without their signs. Invoices that differ are told in What changed; they fail no check.",
        aligned="understanding",
        label=("scope",),
    )
    block.given("scope", "Scope", ["All labs"])
    block.listed(
        "charges_in_all", "In all", "money", [sum_of("lines.charge_size")], "All charges in the window."
    )
    unknown = grand_product(Whole("lines", "charge_size"), Whole("lines", "not_understood"))
    block.listed(
        "unknown", "Not understood", "money", [unknown], "Those in no cost that nobody has explained."
    )
    block.worked(share_understood)
    against = {side: Whole("invoice_totals", f"against_{side}") for side in ("paper", "statement")}
    not_read = sum_of("invoice_totals.not_read")
    for name, heading, counted, meaning in (
        ("off_paper", "Differ from their paper", tally(against["paper"], DIFFERS), "Invoices that differ."),
        (
            "off_statement",
            "Differ from a statement",
            tally(against["statement"], DIFFERS) - not_read,
            "Those read.",
        ),
        (
            "without_total",
            "Without a total on paper",
            tally(against["paper"], NO_TOTAL),
            "Held against nothing.",
        ),
        ("without_lines", "On a statement, not read", not_read, "Invoices that no file holds."),
    ):
        block.listed(name, heading, "whole", [counted], meaning)
    return block


def said_block() -> Block:
    """What the first lines of every sheet say of it, in a block of its own so that long words have the page's width."""
    block = Block("said", "Checks", "The same in words", 1, aligned="understanding")
    meaning = "What the first lines of every sheet say until all is understood."
    block.listed("money_understood", "First line", "text", [_said()], meaning, width=60)
    return block


@figure("Share understood", "fraction")
def share_understood(charges_in_all: Traced, unknown: Traced) -> Traced:
    """The share of the charges that are in a cost, or set aside for a reason that is known."""
    return 1 - ratio(unknown, charges_in_all, 0)


def _said() -> Traced:
    """What the first lines of every sheet say while something is not understood."""
    share = as_text(Name("share_understood") * Name("hundred"), 1)
    money = as_text(Name("unknown"), Name("money_digits"))
    words = joined(
        "; ", share, " % of the invoices' money understood, ", money, " not: see the Invoice lines sheet"
    )
    return when(Name("share_understood") < 1, words, "")


def add_checks(model: Model, practice: Practice, parts: pd.DataFrame, components: list[str]) -> None:
    """Add the files and the checks."""
    model.add(state_block())
    model.add(understanding_block())
    model.add(said_block())
    model.add(files_block(practice, parts))
    model.add(parts_block(model, components))
    model.add(checks_block(model))
