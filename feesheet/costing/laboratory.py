"""What the labs' work costs: invoice lines to lab fees, quoted prices, milling and remakes, one small function each."""

from __future__ import annotations

from feesheet.costing.metal import blend
from feesheet.formula.model import figure
from feesheet.formula.operations import ratio, size, when
from feesheet.formula.tree import Traced


@figure("Amount", "money")
def amount(billed_amount: Traced, exchange_rate: Traced) -> Traced:
    """The line's amount in the practice's currency, at the practice's own exchange rate. Unit: money.

    >>> amount(185, 0.75)
    138.75
    """
    return billed_amount * exchange_rate


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


@figure("Size of the charge", "money")
def charge_size(part_amount: Traced, charge: Traced) -> Traced:
    """This part's amount without its sign, if it is a charge in the window: a share of money is counted by it. Unit: money."""
    return size(part_amount) * charge


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


@figure("Mean alloy grams", "grams")
def mean_alloy_g(pool_grams: Traced, pools: Traced) -> Traced:
    """Plain mean of the alloy grams over the material's tooth regions. Unit: g."""
    return ratio(pool_grams, pools, 0)
