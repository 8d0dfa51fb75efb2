"""What the labs' work costs: invoice lines to lab fees, quoted prices, in-house milling and remake rates."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pandas as pd

from feesheet.costing.lines import CONTROL, REMAKE, TAX, UNIT, UNMAPPED, USED
from feesheet.costing.metal import blend, credibility
from feesheet.costing.roster import Roster, numbers_of, words
from feesheet.costing.wording import without_names
from feesheet.formula.model import Block, Model, figure
from feesheet.formula.numbers import Numbers
from feesheet.formula.operations import ratio, when
from feesheet.formula.tree import Traced
from feesheet.practice import Practice
from feesheet.problems import Problem
from feesheet.schema import plain
from feesheet.tables import TABLES


@figure("Part of the amount", "money")
def part_amount(amount: Traced, share: Traced) -> Traced:
    """This part's share of the line's amount. Unit: money."""
    return amount * share


@figure("Used", "money")
def used_amount(part_amount: Traced, used: Traced, kept_share: Traced) -> Traced:
    """What of it goes into a cost: all of it but tax that comes back. Unit: money."""
    return part_amount * used * kept_share


@figure("Set aside", "money")
def aside_amount(part_amount: Traced, used_amount: Traced, control: Traced) -> Traced:
    """What of it goes into no cost; balances, payments and totals are no charge at all. Unit: money."""
    return (part_amount - used_amount) * (1 - control)


@figure("Units made", "units")
def units_made(units: Traced, share: Traced, makes: Traced) -> Traced:
    """Units that this part made, remakes and unknown products included."""
    return units * share * makes


@figure("Units counted", "units")
def units_counted(units_made: Traced, counted: Traced) -> Traced:
    """Units that count for the lab fee: made in the window, of a known material, no remake."""
    return units_made * counted


@figure("Units remade", "units")
def units_remade(units_made: Traced, remake: Traced) -> Traced:
    """Units made again in the window."""
    return units_made * remake


@figure("Charge on the invoice", "money")
def invoice_charge(used_amount: Traced, whole_invoice: Traced) -> Traced:
    """A charge that the invoice's units share evenly: freight, rush, a rebate on the whole. Unit: money."""
    return used_amount * whole_invoice


@figure("Charge a unit", "money")
def charge_per_unit(charges: Traced, invoice_units: Traced) -> Traced:
    """The invoice's own charges shared evenly over its units. Unit: money a unit."""
    return ratio(charges, invoice_units, 0)


@figure("Lab cost", "money")
def lab_cost(used_amount: Traced, direct: Traced, units_counted: Traced, charge_per_unit: Traced) -> Traced:
    """What this part adds to the lab fee: its own amount and its units' share of the invoice's charges. Unit: money."""
    return used_amount * direct + units_counted * charge_per_unit


@figure("Metal inside", "money")
def metal_inside(
    line_units: Traced, inside_g: Traced, day_value_per_g: Traced, alloy_premium: Traced
) -> Traced:
    """The alloy inside an all-in price, estimated from grams at the invoice date's prices. Unit: money."""
    return line_units * inside_g * day_value_per_g * (1 + alloy_premium)


@figure("Grams a unit", "grams")
def inside_g(pool_g: Traced, mean_g: Traced) -> Traced:
    """The alloy grams of the tooth region; of the material's mean where the tooth is not known. Unit: g."""
    return pool_g + mean_g


@figure("Lab money", "money")
def lab_money(billed: Traced, metal_out: Traced) -> Traced:
    """What the labs' work cost: billed amounts less the alloy estimated inside all-in prices. Unit: money."""
    return billed - metal_out


@figure("Mill's unit fee", "money")
def milling_fee(
    machine_cost_month: Traced,
    units_month: Traced,
    block: Traced,
    burs: Traced,
    staff_min: Traced,
    staff_cost_per_min: Traced,
) -> Traced:
    """A unit from the practice's own mill, the machine's fixed share included. Unit: money a unit."""
    return machine_cost_month / units_month + block + burs + staff_min * staff_cost_per_min


@figure("Next unit", "money")
def next_unit_cost(block: Traced, burs: Traced, staff_min: Traced, staff_cost_per_min: Traced) -> Traced:
    """What one more unit costs: the machine's fixed share is left out, so this is no base for a fee. Unit: money a unit."""
    return block + burs + staff_min * staff_cost_per_min


@figure("Quoted price", "money")
def quoted_price(typed_price: Traced, milling_fee: Traced) -> Traced:
    """The lab's quoted price, or the own mill's unit fee. Unit: money a unit."""
    return typed_price + milling_fee


@figure("Units × price", "money")
def quoted_money(units: Traced, quoted_price: Traced) -> Traced:
    """Weight of this quote: the site's units from that lab at its price."""
    return units * quoted_price


@figure("All-in units", "units")
def all_in_units(units: Traced, all_in: Traced) -> Traced:
    """Those of the units whose price holds the alloy."""
    return units * all_in


@figure("First price", "money")
def first_price(first: Traced, quoted_price: Traced) -> Traced:
    """The price of the first lab listed, nought on the others."""
    return first * quoted_price


@figure("Quoted price", "money")
def site_quote(quoted_money: Traced, quoted_units: Traced, first_quote: Traced) -> Traced:
    """The labs' quoted prices weighted by the site's units; the first listed where it has none. Unit: money a unit."""
    return ratio(quoted_money, quoted_units, first_quote)


@figure("All-in share", "number")
def all_in_share(all_in_units: Traced, quoted_units: Traced, first_all_in: Traced) -> Traced:
    """How much of that price is quoted with the alloy inside."""
    return ratio(all_in_units, quoted_units, first_all_in)


@figure("Mean of the material", "money")
def material_mean(material_money: Traced, material_units: Traced) -> Traced:
    """Lab fee a unit over all sites and tooth regions. Unit: money a unit."""
    return ratio(material_money, material_units, 0)


@figure("Quote less alloy", "money")
def quote_less_alloy(
    site_quote: Traced, all_in_share: Traced, alloy_g: Traced, day_value_per_g: Traced, alloy_premium: Traced
) -> Traced:
    """The quoted price without the alloy inside it, estimated from grams at the pricing date. Unit: money a unit."""
    return site_quote - all_in_share * alloy_g * day_value_per_g * (1 + alloy_premium)


@figure("Starting value", "money")
def starting_lab_fee(has_quote: Traced, quote_less_alloy: Traced, material_mean: Traced) -> Traced:
    """The quoted price where one is typed, else the material's mean. Unit: money a unit."""
    return when(has_quote >= 1, quote_less_alloy, material_mean)


@figure("Own mean", "money")
def own_mean(money: Traced, n: Traced) -> Traced:
    """Lab fee a unit on the site's own invoices. Unit: money a unit."""
    return ratio(money, n, 0)


@figure("Lab fee", "money")
def blended_lab_fee(credibility: Traced, own_mean: Traced, starting_lab_fee: Traced) -> Traced:
    """The own mean and the starting value, weighted by Z and 1 - Z. Unit: money a unit."""
    return blend(credibility, own_mean, starting_lab_fee)


@figure("Makes", "units")
def makes(material_units: Traced, remakes: Traced) -> Traced:
    """Everything the labs made of the material in the window: units and units made again."""
    return material_units + remakes


@figure("Own remake rate", "fraction")
def own_remake_rate(remakes: Traced, makes: Traced) -> Traced:
    """Share of makes rejected, by the practice's own count. Unit: fraction of makes."""
    return ratio(remakes, makes, 0)


@figure("Remake rate", "fraction")
def remake_rate(credibility: Traced, own_remake_rate: Traced, starting_remake_rate: Traced) -> Traced:
    """The own count and the typed rate, weighted by Z and 1 - Z. Unit: fraction of makes."""
    return blend(credibility, own_remake_rate, starting_remake_rate)


@figure("Remakes a good unit", "number")
def remake_odds(remake_rate: Traced) -> Traced:
    """Rejected units for each good one: r / (1 - r).

    >>> round(remake_odds(0.038), 6)
    0.039501
    """
    return remake_rate / (1 - remake_rate)


def lab_names(practice: Practice) -> tuple[str, ...]:
    """Every lab that quotes a price: those of the price list, then the own mill."""
    return words(practice.tables["lab_prices"]["lab"]) + words(practice.tables["milling"]["lab"])


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
    labs = practice.tables["labs"]
    all_in = {
        plain(lab)
        for lab, way in zip(labs["lab"], labs["alloy_billing"], strict=True)
        if str(way) == "all-in"
    }
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


def entry(
    block: Block,
    practice: Practice,
    table: str,
    field: str,
    heading: str,
    unit: str,
    name: str = "",
    rows: Sequence[int] = (),
) -> None:
    """A typed column of an input table as cells that may be typed over."""
    declared = TABLES[table].field(field)
    values = practice.tables[table][field].fillna(declared.default or 0.0).to_numpy()
    positions = list(rows) or list(range(len(values)))
    block.given(
        name or field,
        heading,
        [float(values[p]) for p in positions],
        unit,
        entry=True,
        low=declared.low,
        high=declared.high,
        places=[practice.place(table, p, field) for p in positions],
        meaning=declared.help,
    )


def line_keys(practice: Practice, who: Roster, parts: pd.DataFrame, quotes: pd.DataFrame) -> pd.DataFrame:
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
    return keys


def lab_places(who: Roster) -> list[tuple[str, str, str]]:
    """Material, tooth region and site of every row of the lab fees."""
    return [(material, region, site) for material, region in who.pools for site in who.sites]


def site_quote_places(who: Roster, quotes: pd.DataFrame) -> list[tuple[str, str, str]]:
    """Site, lab and material of every row of the quotes by site, those of one site and material together."""
    return [
        (site, lab, material)
        for wanted in who.materials
        for site in who.sites
        for lab, material in zip(quotes["lab"], quotes["material"], strict=True)
        if material == wanted
    ]


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
    block.given("region", "Tooth region", pd.Categorical(parts["region"].astype(str)))
    block.given("product", "Product", without_names(practice, parts["product"]), width=28)
    block.given("kind", "Line kind", pd.Categorical(parts["kind"].astype(str)))
    block.given("material", "Material", pd.Categorical(parts["material"].astype(str)), width=24)
    block.given("use", "Used for, or why set aside", pd.Categorical(parts["use"].astype(str)), width=30)
    block.given("units", "Units", parts["units"].to_numpy(), "units")
    block.given("amount", "Amount", parts["amount"].to_numpy(), "money")
    block.given("share", "Share of the line", parts["share"].to_numpy(), "exact")


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
        "unmapped": ("Not understood", parts["use"] == UNMAPPED),
    }
    for name, (heading, truth) in flags.items():
        block.counter(name, heading, truth.to_numpy().astype(int), "1 for yes, 0 for no.")
    for name, heading, meaning in (
        ("lab_no", "Lab fee no.", "Row in the lab fees; 0: none."),
        ("material_no", "Material no.", "Row in the materials; 0: none."),
        ("site_quote_no", "Quote no.", "Row in the quotes by site; 0: no quote."),
        ("file_no", "File no.", "Row in the files."),
        ("invoice_no", "Invoice no.", "Row in the invoices with charges of their own; 0: none."),
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
    labs = practice.tables["labs"]
    names = {
        plain(lab)
        for lab, way in zip(labs["lab"], labs["alloy_billing"], strict=True)
        if str(way) == "all-in"
    }
    chosen = (parts["use"] == USED[0]) & (parts["treatment"] == UNIT) & (parts["alloy_used"] != "")
    chosen &= parts["lab"].astype(str).map(plain).isin(names)
    rows = parts[chosen].astype({"date": "datetime64[s]"})
    pools = numbers_of(zip(rows["material"], rows["region"], strict=True), who.pools)
    day_numbers = numbers_of(zip(rows["alloy_used"], rows["date"], strict=True), _pairs(days))
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


def _pairs(days: pd.DataFrame) -> list[tuple[str, pd.Timestamp]]:
    return list(zip(days["alloy_used"], days["date"], strict=True))


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


def site_quotes_blocks(who: Roster, quotes: pd.DataFrame) -> tuple[Block, Block]:
    """The quotes weighted by what each site bought: one row per site and quote, and one per material and site."""
    places = site_quote_places(who, quotes)
    price_no = numbers_of([(lab, material) for _, lab, material in places], _quoted(quotes))
    groups = list(dict.fromkeys((material, site) for site, _, material in places))
    group_no = numbers_of([(material, site) for site, _, material in places], groups)
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
    return merged, detail


def _quoted(quotes: pd.DataFrame) -> list[tuple[str, str]]:
    return list(zip(quotes["lab"], quotes["material"], strict=True))


@figure("Mean alloy grams", "grams")
def mean_alloy_g(pool_grams: Traced, pools: Traced) -> Traced:
    """Plain mean of the alloy grams over the material's tooth regions. Unit: g."""
    return ratio(pool_grams, pools, 0)


def materials_block(practice: Practice, who: Roster, model: Model) -> Block:
    """The materials: supplies, remake rate and the lab's mean over everything, one row a material."""
    block = Block("materials", "Lab fees", "Materials", len(who.materials), label=("material",))
    block.number()
    block.given("material", "Material", list(who.materials))
    entry(block, practice, "materials", "supplies", "Supplies", "money")
    entry(
        block,
        practice,
        "materials",
        "remake_rate",
        "Starting remake rate",
        "fraction",
        name="starting_remake_rate",
    )
    for field, heading, unit in (
        ("lab_share_on_remake", "Lab share on a remake", "fraction"),
        ("alloy_share_on_remake", "Alloy not credited", "fraction"),
        ("remake_supplies", "Supplies on a remake", "money"),
    ):
        entry(block, practice, "materials", field, heading, unit)
    block.total(
        "material_units",
        "Units",
        "units",
        "lines.units_counted",
        "lines.material_no",
        "no",
        meaning="Units in the window, all sites and tooth regions.",
    )
    block.total(
        "billed",
        "Billed",
        "money",
        "lines.lab_cost",
        "lines.material_no",
        "no",
        meaning="What the labs billed for them.",
    )
    block.total(
        "metal_out",
        "Alloy inside",
        "money",
        "all_in.metal_inside",
        "all_in.material_no",
        "no",
        meaning="Alloy estimated inside all-in prices.",
    )
    block.worked(lab_money, name="material_money", heading="Lab money")
    block.worked(material_mean)
    block.total(
        "remakes",
        "Remakes",
        "units",
        "lines.units_remade",
        "lines.material_no",
        "no",
        meaning="Units made again.",
    )
    block.worked(makes)
    block.worked(credibility, n="makes")
    block.worked(own_remake_rate)
    block.worked(remake_rate)
    block.worked(remake_odds)
    pool_material = numbers_of([material for material, _ in who.pools], who.materials)
    model.blocks["pools"].counter("material_no", "Material no.", pool_material, "Row in the materials.")
    block.total("pool_grams", "Grams of its regions", "grams", "pools.alloy_g", "pools.material_no", "no")
    block.count("pools", "Regions", "pools.material_no", "no")
    block.worked(mean_alloy_g)
    return block


def all_rejected(practice: Practice, who: Roster, figures: Numbers) -> list[Problem]:
    """Materials of which no make would be a good one: their remakes have no end."""
    what = "Every make of {} in the window is a remake, so a good one would cost without end."
    do = "Correct the line kinds of its invoices, or give the credibility constant more than 0."
    return [
        Problem(
            "out of range", what.format(material), do, *practice.place("materials", position, "remake_rate")
        )
        for position, (material, rate) in enumerate(
            zip(who.materials, figures.of("materials", "remake_rate"), strict=True)
        )
        if rate >= 1
    ]


def lab_fees_block(practice: Practice, who: Roster, model: Model, days: pd.DataFrame) -> Block:
    """The lab fee by material, tooth region and site: own mean, n, Z and starting value."""
    places = lab_places(who)
    groups = list(
        zip(
            *(model.blocks["material_sites"].labels(column) for column in ("material", "site")),
            strict=True,
        )
    )
    alloys = [who.alloy_of[material] for material, _, _ in places]
    today = pd.Timestamp(practice.settings["pricing_date"])
    block = Block("lab_fees", "Lab fees", "Lab fees", len(places), label=("material", "region", "site"))
    block.number()
    for position, (name, heading) in enumerate(
        (("material", "Material"), ("region", "Tooth region"), ("site", "Site"))
    ):
        block.given(name, heading, [place[position] for place in places])
    group_no = numbers_of([(material, site) for material, _, site in places], groups)
    block.counter(
        "group_no", "Quote no.", group_no, "Row in the quotes by material and site; 0: no price is quoted."
    )
    block.counter(
        "material_no",
        "Material no.",
        numbers_of([p[0] for p in places], who.materials),
        "Row in the materials.",
    )
    block.counter(
        "pool_no", "Grams no.", numbers_of([p[:2] for p in places], who.pools), "Row in the alloy grams."
    )
    block.counter(
        "alloy_no", "Alloy no.", numbers_of(alloys, who.alloys), "Row in the Alloys table; 0: no alloy."
    )
    block.counter(
        "day_no",
        "Value no.",
        numbers_of([(alloy, today) for alloy in alloys], _pairs(days)),
        "Row in the alloy values of the pricing date; 0: no alloy.",
    )
    block.total(
        "n", "n", "units", "lines.units_counted", "lines.lab_no", "no", meaning="Units in the window."
    )
    block.total(
        "billed",
        "Billed",
        "money",
        "lines.lab_cost",
        "lines.lab_no",
        "no",
        meaning="What the labs billed for them.",
    )
    block.total(
        "metal_out",
        "Alloy inside",
        "money",
        "all_in.metal_inside",
        "all_in.lab_no",
        "no",
        meaning="Alloy estimated inside all-in prices.",
    )
    block.worked(lab_money, name="money")
    block.worked(own_mean)
    block.worked(credibility)
    for name, heading, unit, source, by in (
        ("site_quote", "Quoted price", "money", "material_sites.site_quote", "group_no"),
        ("all_in_share", "All-in share", "number", "material_sites.all_in_share", "group_no"),
        ("alloy_g", "Alloy grams", "grams", "pools.alloy_g", "pool_no"),
        ("day_value_per_g", "Metal value per g", "money_per_g", "days.day_value_per_g", "day_no"),
        ("alloy_premium", "Alloy premium", "fraction", "alloys.alloy_premium", "alloy_no"),
    ):
        block.fetch(name, heading, unit, source, by, 0)
    block.worked(quote_less_alloy)
    block.fetch("material_mean", "Mean of the material", "money", "materials.material_mean", "material_no")
    block.worked(starting_lab_fee, has_quote="group_no")
    block.worked(blended_lab_fee)
    return block


def add_laboratory(
    model: Model,
    practice: Practice,
    who: Roster,
    parts: pd.DataFrame,
    days: pd.DataFrame,
    staff_numbers: Sequence[int],
) -> None:
    """Add every block about the labs' work."""
    quotes = quote_rows(practice, who)
    keys = line_keys(practice, who, parts, quotes)
    merged, detail = site_quotes_blocks(who, quotes)
    model.add(merged)
    model.add(lab_fees_block(practice, who, model, days))
    model.add(materials_block(practice, who, model))
    model.add(lab_prices_block(practice, quotes))
    model.add(detail)
    model.add(milling_block(practice, staff_numbers))
    model.add(all_in_block(practice, who, parts, keys, days))
    model.add(invoices_block(parts, keys))
    model.add(lines_block(practice, parts, keys))
