"""Quoted prices: the labs' lists, the own mill, and their mean by what each site bought."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pandas as pd

from feesheet.costing.entries import entry
from feesheet.costing.laboratory import (
    all_in_share,
    all_in_units,
    first_price,
    milling_fee,
    next_unit_cost,
    quoted_money,
    quoted_price,
    site_quote,
)
from feesheet.costing.roster import Roster, numbers_of, words
from feesheet.formula.model import Block
from feesheet.practice import Practice
from feesheet.schema import plain


def all_in_labs(practice: Practice) -> set[str]:
    """The labs whose price holds the alloy, their names made plain."""
    labs = practice.tables["labs"]
    return {plain(lab) for lab in labs.loc[labs["alloy_billing"].astype(str) == "all-in", "lab"]}


def quote_rows(practice: Practice, who: Roster) -> pd.DataFrame:
    """Every quoted price, the price list first, then the own mill: lab, material, typed price, row of the mill."""
    listed, mills = practice.tables["lab_prices"], practice.tables["milling"]
    typed = pd.DataFrame(
        {
            "lab": words(listed["lab"]),
            "material": words(listed["material"]),
            "typed": listed["quoted_price"].to_numpy(),
            "milling_no": 0,
            "table": "lab_prices",
            "position": np.arange(len(listed)),
        }
    )
    milled = pd.DataFrame(
        {
            "lab": words(mills["lab"]),
            "material": words(mills["material"]),
            "typed": 0.0,
            "milling_no": np.arange(1, len(mills) + 1),
            "table": "milling",
            "position": np.arange(len(mills)),
        }
    )
    rows = pd.concat([typed, milled], ignore_index=True)
    spelled = {plain(material): material for material in who.materials}
    rows["material"] = [spelled.get(plain(material), "") for material in rows["material"]]
    all_in = all_in_labs(practice)
    rows["all_in"] = [int(plain(lab) in all_in) for lab in rows["lab"]]
    return rows


def milling_block(practice: Practice, staff_numbers: Sequence[int]) -> Block:
    """The practice's own mill, one row per material it makes."""
    table = practice.tables["milling"]
    block = Block(
        "milling",
        "Lab fees",
        "In-house milling",
        len(table),
        "Fees use the mill's unit fee whole. The next unit leaves the machine's fixed share out.",
        label=("lab", "material"),
    )
    block.number()
    block.given("lab", "Mill", words(table["lab"]))
    block.given("material", "Material", words(table["material"]))
    block.counter("staff_no", "Staff no.", list(staff_numbers), "Row in the staff roles.")
    for field, heading, unit in (
        ("machine_cost_month", "Machine a month", "money"),
        ("units_month", "Units a month", "units"),
        ("block", "Block", "money"),
        ("burs", "Burs", "money"),
        ("staff_min", "Staff minutes", "minutes"),
    ):
        entry(block, practice, "milling", field, heading, unit)
    block.fetch("staff_cost_per_min", "Pay a minute", "money_per_min", "staff.staff_cost_per_min", "staff_no")
    block.worked(milling_fee)
    block.worked(next_unit_cost)
    return block


def lab_prices_block(practice: Practice, quotes: pd.DataFrame) -> Block:
    """Every quoted price, the own mill's among them."""
    block = Block("lab_prices", "Lab fees", "Quoted prices", len(quotes), label=("lab", "material"))
    block.number()
    block.given("lab", "Lab", list(quotes["lab"]))
    block.given("material", "Material", list(quotes["material"]))
    block.counter(
        "milling_no",
        "Mill no.",
        quotes["milling_no"].to_numpy(),
        "Row in the in-house milling; 0: a price list.",
    )
    block.counter("all_in", "All-in", quotes["all_in"].to_numpy(), "1 if the price holds the alloy.")
    places = [
        practice.place("lab_prices", position, "quoted_price")
        if table == "lab_prices"
        else ("own mill", "", "")
        for table, position in zip(quotes["table"], quotes["position"], strict=True)
    ]
    block.given(
        "typed_price",
        "Typed price",
        list(quotes["typed"]),
        "money",
        entry=True,
        low=0.0,
        high=1e6,
        places=places,
        meaning="Price of one unit on the lab's list.",
    )
    block.fetch("milling_fee", "Mill's unit fee", "money", "milling.milling_fee", "milling_no", 0)
    block.worked(quoted_price)
    return block


def site_quote_places(who: Roster, quotes: pd.DataFrame) -> list[tuple[str, str, str]]:
    """Site, lab and material of every row of the quotes by site, those of one site and material together."""
    return [
        (site, lab, material)
        for wanted in who.materials
        for site in who.sites
        for lab, material in zip(quotes["lab"], quotes["material"], strict=True)
        if material == wanted
    ]


def site_quotes_blocks(who: Roster, quotes: pd.DataFrame) -> tuple[Block, Block]:
    """The quotes weighted by what each site bought: one row per site and quote, and one per material and site."""
    places = site_quote_places(who, quotes)
    price_no = numbers_of([(lab, material) for _, lab, material in places], _quoted(quotes))
    groups = list(dict.fromkeys((material, site) for site, _, material in places))
    group_no = numbers_of([(material, site) for site, _, material in places], groups)
    return _material_sites_block(groups), _site_quotes_block(places, price_no, group_no)


def _site_quotes_block(
    places: Sequence[tuple[str, str, str]], price_no: np.ndarray, group_no: np.ndarray
) -> Block:
    """The quotes weighted by what each site bought, one row per site and quote."""
    detail = Block(
        "site_quotes", "Lab fees", "Quotes by site", len(places), label=("site", "lab", "material")
    )
    detail.number()
    detail.counter("group_no", "Group no.", group_no, "Row in the quotes by material and site.")
    detail.counter("price_no", "Price no.", price_no, "Row in the quoted prices.")
    detail.counter(
        "first",
        "First listed",
        (~pd.Series(group_no).duplicated()).to_numpy().astype(int),
        "1 for the first.",
    )
    for position, (name, heading) in enumerate((("site", "Site"), ("lab", "Lab"), ("material", "Material"))):
        detail.given(name, heading, [place[position] for place in places])
    detail.total(
        "units",
        "Units",
        "units",
        "lines.units_counted",
        "lines.site_quote_no",
        "no",
        meaning="The site's units of the material from that lab.",
    )
    detail.fetch("quoted_price", "Quoted price", "money", "lab_prices.quoted_price", "price_no")
    detail.fetch("all_in", "All-in", "whole", "lab_prices.all_in", "price_no")
    for function in (quoted_money, all_in_units, first_price):
        detail.worked(function)
    detail.worked(all_in_units, name="first_all_in_part", heading="First all-in", units="first")
    return detail


def _material_sites_block(groups: Sequence[tuple[str, str]]) -> Block:
    """The quotes added up, one row per material and site."""
    merged = Block(
        "material_sites", "Lab fees", "Quotes by material and site", len(groups), label=("material", "site")
    )
    merged.number()
    merged.given("material", "Material", [material for material, _ in groups])
    merged.given("site", "Site", [site for _, site in groups])
    for name, heading, unit, source in (
        ("quoted_units", "Units", "units", "units"),
        ("quoted_money", "Units × price", "money", "quoted_money"),
        ("first_quote", "First price", "money", "first_price"),
        ("all_in_units", "All-in units", "units", "all_in_units"),
        ("first_all_in", "First all-in", "whole", "first_all_in_part"),
    ):
        merged.total(name, heading, unit, f"site_quotes.{source}", "site_quotes.group_no", "no")
    merged.worked(site_quote)
    merged.worked(all_in_share)
    return merged


def _quoted(quotes: pd.DataFrame) -> list[tuple[str, str]]:
    return list(zip(quotes["lab"], quotes["material"], strict=True))
