"""The facts of last year's workbook as tables: items, sites and money, each as it was read and with its row there."""

from __future__ import annotations

from feesheet.formula.model import Block, figure
from feesheet.formula.operations import ratio
from feesheet.formula.tree import Name, Traced, Whole, call, figure_in
from feesheet.pricing.review.last_year import ALLOY, LAB, LastYear, ThenRow
from feesheet.reference import fixed

SHEET = "Changes by item"
WORKINGS = "Then workings"
UNIT_FIGURES = (
    ("cash_now", "received", "Received a unit", "money", ""),
    ("lab_fee", "lab_fee", "Lab fee", "money", "lab_fee"),
    ("alloy_g", "alloy_g", "Alloy grams", "grams", "alloy_g"),
    ("alloy_price_per_g", "alloy_price_per_g", "Alloy price per g", "money_per_g", "alloy_price_per_g"),
    ("supplies", "supplies", "Supplies", "money", "supplies"),
    ("people_cost", "people_cost", "People", "money", "people_cost"),
    ("chair_min", "chair_min", "Chair minutes", "minutes", "chair_min"),
    (
        "overhead_per_chair_min",
        "overhead_rate",
        "Overhead a chair minute",
        "money_per_min",
        "overhead_per_chair_min",
    ),
    ("remake_cost", "remake_cost", "Remakes", "money", "remake_cost"),
    ("unit_cost", "unit_cost", "Unit cost", "money", "unit_cost"),
)
"""Figures of one unit: name in the workbook, name here, heading, unit, and the present figure where there was no such item."""

SITE_FIGURES = (
    ("yearly_overhead", "then_yearly_overhead", "Yearly overhead", "money"),
    ("usable_chair_min", "then_usable_min", "Usable chair minutes", "number"),
)


@figure("Review as a share of a year", "exact")
def year_share(review_months: Traced, months_per_year: Traced = fixed("months_per_year")) -> Traced:
    """How much of a year the review's period is: units and overhead then are told for a year."""
    return review_months / months_per_year


@figure("Review as a share of the window", "exact")
def window_share(review_months: Traced, window_months: Traced) -> Traced:
    """How long the review's period is against the invoice window of last year's workbook."""
    return ratio(review_months, window_months, 0)


@figure("As long as the review", "money")
def as_long(read: Traced, window_share: Traced) -> Traced:
    """The window's money for as many months as the review has. Unit: money."""
    return read * window_share


@figure("In all", "money")
def in_all(units: Traced, a_unit: Traced) -> Traced:
    """Units times money a unit. Unit: money of as many months as the review has."""
    return units * a_unit


def _labelled(block: Block, rows: list[ThenRow], names: tuple[tuple[str, str], ...]) -> None:
    for position, (name, heading) in enumerate(names):
        unit = "code" if name == "code" else "text"
        block.given(name, heading, [row.label[position] for row in rows], unit)


def _read_from(block: Block, rows: list[ThenRow], file: str) -> None:
    block.given("read_from", "Read from", [row.place(file) for row in rows], width=44)


def _year_and_unit(block: Block, rows: list[ThenRow]) -> None:
    """The year's units as read, and as many as the review's months have."""
    units = [row.of("year_units") for row in rows]
    block.given("year_units", "Units of a year", units, "units", meaning="Margins sheet then.")
    tree = Name("year_units") * figure_in("then_totals", "year_share", 1)
    block.tree("units", "Units", "units", tree, "Units of as many months as the review has.")


def facts_block(last_year: LastYear, rows: list[ThenRow]) -> Block:
    """The items of last year that are still there, as they were read."""
    block = Block(
        "then_book",
        WORKINGS,
        "Items as last year's workbook has them",
        len(rows),
        f"Read from {last_year.file}, SHA-256 {last_year.sha256}.",
        label=("code", "site"),
    )
    block.number()
    _labelled(block, rows, (("code", "Code"), ("site", "Site")))
    _year_and_unit(block, rows)
    for source, name, heading, unit, _ in UNIT_FIGURES:
        block.given(
            name, heading, [row.of(source) for row in rows], unit, meaning="One unit, as it was then."
        )
    _read_from(block, rows, last_year.file)
    return block


def site_facts_block(last_year: LastYear) -> Block:
    """The sites of last year, as they were read."""
    rows = list(last_year.sites)
    title = "Sites as last year's workbook has them"
    block = Block("then_book_sites", WORKINGS, title, len(rows), label=("site",))
    block.number()
    _labelled(block, rows, (("site", "Site"),))
    for source, _, heading, unit in SITE_FIGURES:
        block.given(source, heading, [row.of(source) for row in rows], unit)
    _read_from(block, rows, last_year.file)
    return block


def gone_block(last_year: LastYear, rows: list[ThenRow]) -> Block:
    """Items that were on the schedule then and are no more."""
    title = "Items of last year that are no longer on the schedule"
    block = Block("gone_items", SHEET, title, len(rows), label=("code", "site"))
    _labelled(block, rows, (("code", "Code"), ("site", "Site")))
    _year_and_unit(block, rows)
    for source, name, heading in (
        ("cash_now", "received_each", "Received a unit"),
        ("unit_cost", "cost_each", "Unit cost"),
    ):
        block.given(
            name, heading, [row.of(source) for row in rows], "money", meaning="One unit, as it was then."
        )
    block.worked(in_all, name="received", heading="Received", a_unit="received_each")
    block.worked(in_all, name="cost", heading="Cost", a_unit="cost_each")
    _read_from(block, rows, last_year.file)
    return block


def totals_block(last_year: LastYear, review_months: int, gone: bool) -> Block:
    """Money of last year in all, for as many months as the review has."""
    note = f"Of the {last_year.months} months to {last_year.pricing_date}, as last year's workbook has them."
    block = Block("then_totals", WORKINGS, "Last year in all", 1, note, label=("then_file",))
    block.given("then_file", "Workbook", [last_year.file], width=30)
    for name, heading, months in (
        ("review_months", "Months of the review", review_months),
        ("window_months", "Months of the window then", last_year.months),
    ):
        block.given(name, heading, [months], "whole")
    block.worked(year_share)
    block.worked(window_share)
    for which, heading in ((LAB, "Lab"), (ALLOY, "Alloy")):
        found, read = last_year.spend[which], f"{which}_read"
        meaning = f"{found.sheet}, {found.cell}: used there as {heading.lower()} money."
        block.given(read, f"{heading} money as read", [found.value], "money", meaning=meaning)
        block.worked(as_long, name=f"{which}_spend_then", heading=f"{heading} money then", read=read)
    revenue = _revenue("then_book.units", "then_book.received")
    if gone:
        revenue = revenue + _revenue("gone_items.units", "gone_items.received_each")
    words = "Units times money a unit, items that are gone included."
    block.tree("crown_revenue_then", "Crown revenue then", "money", revenue, words)
    blank = "Not in a fee-schedule workbook."
    block.given("collections_then", "Collections then", [float("nan")], "money", meaning=blank)
    block.given("read_from", "Read from", [f"{last_year.file}: {last_year.spend[LAB].sheet}"], width=44)
    return block


def _revenue(units: str, received: str) -> Traced:
    parts = [Whole(*dotted.split(".")) for dotted in (units, received)]
    return call("grand_product", *parts)
