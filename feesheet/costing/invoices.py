"""The invoice lines as a block, the charges on whole invoices, and the alloy inside all-in prices."""

from __future__ import annotations

import numpy as np
import pandas as pd

from feesheet.costing.lab_prices import all_in_labs, site_quote_places
from feesheet.costing.laboratory import (
    amount,
    aside_amount,
    charge_per_unit,
    charge_size,
    inside_g,
    invoice_charge,
    lab_cost,
    metal_inside,
    part_amount,
    units_counted,
    units_made,
    units_remade,
    used_amount,
)
from feesheet.costing.line_uses import NOT_UNDERSTOOD, USED
from feesheet.costing.meaning import CONTROL, REMAKE, TAX, UNIT
from feesheet.costing.places import day_places, lab_places
from feesheet.costing.reconciliation import numbers_of_lines
from feesheet.costing.roster import Roster, numbers_of, words
from feesheet.costing.wording import without_names
from feesheet.formula.model import Block
from feesheet.practice import Practice
from feesheet.schema import plain


def line_keys(
    practice: Practice, who: Roster, parts: pd.DataFrame, quotes: pd.DataFrame, totals: pd.DataFrame
) -> pd.DataFrame:
    """The numbers that tie each line part to the tables it feeds; 0 where it feeds none."""
    sites = {plain(site): site for site in who.sites}
    at = parts["site"].astype(str).map(lambda site: sites.get(plain(site), ""))
    file_names = [source.file for source in practice.sources]
    keys = pd.DataFrame(index=parts.index)
    keys["lab_no"] = numbers_of(zip(parts["material"], parts["region"], at, strict=True), lab_places(who))
    keys["material_no"] = numbers_of(parts["material"], who.materials)
    quoted = [(site, plain(lab), material) for site, lab, material in site_quote_places(who, quotes)]
    labs = parts["lab"].astype(str).map(plain)
    keys["site_quote_no"] = numbers_of(zip(at, labs, parts["material"], strict=True), quoted)
    keys["file_no"] = numbers_of([file_names[source] for source in parts["source"]], invoice_files(practice))
    charged = parts.loc[parts["use"] == USED[1], "invoice_no"].unique()
    keys["invoice_no"] = numbers_of(parts["invoice_no"], list(charged))
    keys["total_no"] = numbers_of_lines(parts, totals)
    if totals["net"].any():
        keys["tax"] = (parts["treatment"] == TAX).astype(int)
    return keys


def invoice_files(practice: Practice) -> list[str]:
    """The files that hold invoice lines, in order."""
    return [file.name for file in practice.files if file.rows.get("invoice_lines")]


def lines_block(practice: Practice, parts: pd.DataFrame, keys: pd.DataFrame) -> Block:
    """The invoice lines, one row per line and tooth region, those of one invoice together."""
    block = Block(
        "lines",
        "Invoice lines",
        "Invoice lines",
        len(parts),
        label=("invoice", "product"),
        note="One row per line and tooth region, with the file, sheet and row it was read from.",
    )
    _line_facts(block, practice, parts)
    _line_flags(block, practice, parts, keys)
    block.worked(part_amount)
    block.worked(used_amount)
    block.worked(aside_amount)
    block.worked(charge_size)
    block.worked(units_made)
    block.worked(units_counted)
    block.worked(units_remade)
    block.worked(invoice_charge)
    block.running_total(
        "units_so_far",
        "Invoice units so far",
        "units",
        "units_made",
        "invoice_no",
        "Units of the invoice down to this line.",
    )
    block.running_total(
        "charges_so_far",
        "Invoice charges so far",
        "money",
        "invoice_charge",
        "invoice_no",
        "Charges on the whole invoice down to this line.",
    )
    block.fetch("charge_per_unit", "Charge a unit", "money", "invoices.charge_per_unit", "invoice_no", 0)
    block.worked(lab_cost)
    return block


def _line_facts(block: Block, practice: Practice, parts: pd.DataFrame) -> None:
    """What the invoice says, as read."""
    source = parts["source"].to_numpy()
    block.given("file", "File", pd.Categorical([practice.sources[s].file for s in source]), width=24)
    block.given("sheet", "Sheet", pd.Categorical([practice.sources[s].sheet for s in source]))
    block.given("row", "Row", parts["row"].to_numpy(), "whole", counter=True)
    block.given("date", "Date", parts["date"].to_numpy(), "date")
    for name, heading in (("lab", "Lab"), ("invoice", "Invoice"), ("site", "Site")):
        block.given(name, heading, pd.Categorical(parts[name].astype(str)))
    block.given("teeth", "Teeth (ISO 3950)", pd.Categorical(parts["iso"].astype(str)))
    if parts["role"].any():
        block.given("role", "Tooth role", pd.Categorical(parts["role"].astype(str)))
    block.given("region", "Tooth region", pd.Categorical(parts["region"].astype(str)))
    block.given("product", "Product", without_names(practice, parts["product"]), width=28)
    block.given("kind", "Line kind", pd.Categorical(parts["kind"].astype(str)))
    block.given("material", "Material", pd.Categorical(parts["material"].astype(str)), width=24)
    block.given("use", "Used for, or why set aside", pd.Categorical(parts["use"].astype(str)), width=30)
    block.given("units", "Units", parts["units"].to_numpy(), "units")
    if "billed_amount" in parts:
        block.given("billed_amount", "Amount billed", parts["billed_amount"].to_numpy(), "number")
        block.given("billed_currency", "Billed in", pd.Categorical(parts["billed_currency"].astype(str)))
        block.given("exchange_rate", "Exchange rate", parts["exchange_rate"].to_numpy(), "exact")
        block.worked(amount)
    else:
        block.given("amount", "Amount", parts["amount"].to_numpy(), "money")
    block.given("share", "Share of the line", parts["share"].to_numpy(), "exact")
    _facts_of_some(block, parts)


def _facts_of_some(block: Block, parts: pd.DataFrame) -> None:
    """What only some labs' invoices say, each a column only where a line has it."""
    if parts["unit_price"].notna().any():
        block.given("unit_price", "Unit price", parts["unit_price"].to_numpy(), "money")
    for name, heading in (("alloy_class", "Class billed"), ("weight_basis", "Weight basis")):
        if (parts[name] != "").any():
            block.given(name, heading, pd.Categorical(parts[name].astype(str)))
    if parts["case_no"].any():
        block.counter(
            "case_no", "Case no.", parts["case_no"].to_numpy(), "One number for each case of a lab; 0: none."
        )


def _line_flags(block: Block, practice: Practice, parts: pd.DataFrame, keys: pd.DataFrame) -> None:
    """Numbers of the rows that the line feeds, and what it counts for, as 1 or 0."""
    labs = practice.tables["labs"]
    recovered = {
        plain(lab): float(share) for lab, share in zip(labs["lab"], labs["tax_recoverable"], strict=True)
    }
    of_lab = parts["lab"].astype(str).map(lambda lab: recovered.get(plain(lab), 0.0)).to_numpy()
    tax = (parts["treatment"] == TAX).to_numpy()
    block.given(
        "kept_share",
        "Share that stays a cost",
        np.where(tax, 1 - of_lab, 1.0),
        "exact",
        meaning="1, but for tax: the share that can't be recovered.",
    )
    made = parts["treatment"].isin((UNIT, REMAKE)) & ~parts["copy"] & parts["in_window"] & ~parts["primary"]
    fee = parts["use"] == USED[0]
    flags = {
        "used": ("Used", parts["use"].isin(USED)),
        "control": ("Control line", parts["treatment"] == CONTROL),
        "makes": ("Makes units", made),
        "counted": ("Counts for the lab fee", fee & (parts["treatment"] == UNIT)),
        "remake": ("Counts as a remake", made & (parts["treatment"] == REMAKE)),
        "direct": ("Own amount in the lab fee", fee),
        "whole_invoice": ("On the whole invoice", parts["use"] == USED[1]),
        "charge": (
            "Charge in the window",
            parts["in_window"] & ~parts["copy"] & (parts["treatment"] != CONTROL),
        ),
        "not_understood": ("Not understood", parts["use"].isin(NOT_UNDERSTOOD)),
    }
    for name, (heading, truth) in flags.items():
        block.counter(name, heading, truth.to_numpy().astype(int), "1 for yes, 0 for no.")
    if "tax" in keys:
        block.counter("tax", "Tax", keys["tax"].to_numpy(), "1 for yes, 0 for no.")
    for name, heading, meaning in (
        ("lab_no", "Lab fee no.", "Row in the lab fees; 0: none."),
        ("material_no", "Material no.", "Row in the materials; 0: none."),
        ("site_quote_no", "Quote no.", "Row in the quotes by site; 0: no quote."),
        ("file_no", "File no.", "Row in the files."),
        ("invoice_no", "Invoice no.", "Row in the invoices with charges of their own; 0: none."),
        ("total_no", "Total no.", "Row in the invoice totals; 0: a copy, or no charge."),
    ):
        block.counter(name, heading, keys[name].to_numpy(), meaning)


def invoices_block(parts: pd.DataFrame, keys: pd.DataFrame) -> Block:
    """The invoices with charges on the whole of them: freight, rush, rebates, tax."""
    last = pd.Series(np.arange(1, len(parts) + 1), index=keys["invoice_no"].to_numpy())
    last = last[last.index > 0].groupby(level=0).max()
    facts = parts.iloc[last.to_numpy() - 1]
    block = Block(
        "invoices",
        "Invoice charges",
        "Charges on whole invoices",
        len(last),
        "Freight, rush, tax and rebates on a whole invoice, shared evenly over its units.",
        label=("lab", "invoice"),
    )
    block.number()
    block.given("lab", "Lab", words(facts["lab"]))
    block.given("invoice", "Invoice", words(facts["invoice"]), "code")
    block.given("date", "Date", list(facts["date"]), "date")
    block.counter(
        "last_line", "Last line", last.to_numpy(), "Row in the invoice lines where the invoice ends."
    )
    block.fetch(
        "invoice_units", "Units", "units", "lines.units_so_far", "last_line", meaning="Units on the invoice."
    )
    block.fetch(
        "charges",
        "Charges",
        "money",
        "lines.charges_so_far",
        "last_line",
        meaning="Charges on the whole invoice.",
    )
    block.worked(charge_per_unit)
    return block


def all_in_block(
    practice: Practice, who: Roster, parts: pd.DataFrame, keys: pd.DataFrame, days: pd.DataFrame
) -> Block:
    """The alloy inside all-in prices, one row per line part of such a lab."""
    chosen = (parts["use"] == USED[0]) & (parts["treatment"] == UNIT) & (parts["alloy_used"] != "")
    chosen &= parts["lab"].astype(str).map(plain).isin(all_in_labs(practice))
    rows = parts[chosen].astype({"date": "datetime64[s]"})
    pools = numbers_of(zip(rows["material"], rows["region"], strict=True), who.pools)
    day_numbers = numbers_of(zip(rows["alloy_used"], rows["date"], strict=True), day_places(days))
    block = Block(
        "all_in",
        "All-in prices",
        "Alloy inside all-in prices",
        len(rows),
        "An all-in price holds its alloy; it is estimated from grams and taken out of the lab fee.",
        label=("line_no",),
    )
    block.counter("line_no", "Line no.", (np.flatnonzero(chosen.to_numpy()) + 1), "Row in the invoice lines.")
    block.counter("lab_no", "Lab fee no.", keys.loc[chosen, "lab_no"].to_numpy(), "Row in the lab fees.")
    material_no = keys.loc[chosen, "material_no"].to_numpy()
    block.counter("material_no", "Material no.", material_no, "Row in the materials.")
    block.counter("pool_no", "Grams no.", pools, "Row in the alloy grams; 0: tooth region not known.")
    block.counter(
        "mean_no",
        "Mean no.",
        np.where(pools == 0, material_no, 0),
        "Row in the materials where the tooth is not known.",
    )
    block.counter(
        "alloy_no", "Alloy no.", numbers_of(rows["alloy_used"], who.alloys), "Row in the Alloys table."
    )
    block.counter("day_no", "Value no.", day_numbers, "Row in the alloy values by day.")
    block.given("material", "Material", list(rows["material"]))
    block.given("date", "Date", list(rows["date"]), "date")
    block.fetch("line_units", "Units", "units", "lines.units_counted", "line_no")
    block.fetch("pool_g", "Grams of the region", "grams", "pools.alloy_g", "pool_no", 0)
    block.fetch("mean_g", "Grams of the material", "grams", "materials.mean_alloy_g", "mean_no", 0)
    block.worked(inside_g)
    block.fetch("day_value_per_g", "Metal value per g", "money_per_g", "days.day_value_per_g", "day_no")
    block.fetch("alloy_premium", "Alloy premium", "fraction", "alloys.alloy_premium", "alloy_no")
    block.worked(metal_inside)
    return block
