"""What the new fees bring: margins, contribution and cash, item by item, and the fee schedule itself."""

from __future__ import annotations

from feesheet.costing.chair import dentist_is_paid
from feesheet.costing.components import item_facts
from feesheet.costing.roster import Roster
from feesheet.formula.model import Block, Model, figure
from feesheet.formula.operations import all_of, any_of, ratio, when
from feesheet.formula.tree import Name, Traced
from feesheet.practice import Practice
from feesheet.pricing.plans import net
from feesheet.reference import fixed


@figure("Margin", "fraction")
def margin(net: Traced, unit_cost: Traced) -> Traced:
    """Share of the money received that is left after all costs. Unit: fraction of net.

    >>> margin(100, 60)
    0.4
    """
    return ratio(net - unit_cost, net, 0)


@figure("Margin before dentist pay", "fraction")
def margin_before_dentist(
    net: Traced, unit_cost: Traced, dentist_cost: Traced, repeated_dentist: Traced, remake_odds: Traced
) -> Traced:
    """Share of the money received that is left before the dentist is paid, for the unit and its remakes. Unit: fraction of net.

    >>> margin_before_dentist(100, 90, 20, 10, 0.5)
    0.35
    """
    return ratio(net - unit_cost + dentist_cost + repeated_dentist * remake_odds, net, 0)


@figure("Markup", "fraction")
def markup(net: Traced, unit_cost: Traced) -> Traced:
    """What is left after all costs as a share of the cost. Unit: fraction of cost."""
    return ratio(net - unit_cost, unit_cost, 0)


@figure("Contribution", "money")
def contribution(net: Traced, variable_cost: Traced) -> Traced:
    """What is left of the money received after what is only spent if the item is made. Unit: money a unit."""
    return net - variable_cost


@figure("Contribution a chair hour", "money")
def contribution_per_chair_hour(
    contribution: Traced, chair_min: Traced, minutes_per_hour: Traced = fixed("minutes_per_hour")
) -> Traced:
    """The contribution of an hour of an occupied chair; nought where the item takes no chair. Unit: money per chair hour."""
    return ratio(contribution, chair_min, 0) * minutes_per_hour


@figure("Units", "units")
def item_units(units_typed: Traced, n: Traced, row_n: Traced, even_share: Traced) -> Traced:
    """Last year's units at this site: the fee row's, split by its sites' lab units in the window, else evenly."""
    return units_typed * ratio(n, row_n, even_share)


@figure("Even share", "exact")
def even_share(row_sites: Traced) -> Traced:
    """One over the number of the fee row's sites."""
    return 1 / row_sites


@figure("Has a fee", "whole")
def has_fee(current_fee: Traced) -> Traced:
    """1 if the item has a current fee; one without has no margin, and is in no mean and no year."""
    return current_fee > 0


@figure("Units of a year", "units")
def year_units(units: Traced, has_fee: Traced) -> Traced:
    """Last year's units of an item that has a current fee."""
    return units * has_fee


@figure("Even weight", "units")
def even_weight(material_fees: Traced, has_fee: Traced) -> Traced:
    """Weight of an item whose material had no units: 1 if it has a fee, or if none of the material has."""
    return when(material_fees > 0, has_fee, 1)


@figure("Weight", "units")
def summary_weight(material_units: Traced, year_units: Traced, even_weight: Traced) -> Traced:
    """Weight in the summary's means: last year's units at a current fee; the even weight for a material that had none."""
    return when(material_units > 0, year_units, even_weight)


@figure("Under cost", "whole")
def under_cost(current_fee: Traced, net_now: Traced, unit_cost: Traced) -> Traced:
    """1 if there is a current fee and what comes in from it, on the margin basis, does not even cover the unit cost."""
    return all_of(current_fee > 0, net_now < unit_cost)


@figure("Held back", "whole")
def held_back(kept: Traced, new_fee: Traced, needed_fee: Traced, highest: Traced) -> Traced:
    """1 if a hold, a cap or a contradiction keeps the fee under the needed one; mere rounding does not."""
    return all_of(new_fee < needed_fee, any_of(kept >= 1, needed_fee > highest))


@figure("Change", "change_fee")
def change(new_fee: Traced, current_fee: Traced) -> Traced:
    """New fee less current fee. Unit: money."""
    return new_fee - current_fee


@figure("Change, %", "change")
def change_share(new_fee: Traced, current_fee: Traced) -> Traced:
    """The change as a share of the current fee; words where there is none."""
    return ratio(new_fee - current_fee, current_fee, "no current fee")


@figure("Year's money", "money")
def yearly(cash: Traced, year_units: Traced) -> Traced:
    """What comes in in a year at last year's units; nought for an item without a current fee, whose change is not known.

    Unit: money a year.
    """
    return cash * year_units


@figure("Cash change", "money")
def cash_change(cash_new_year: Traced, cash_now_year: Traced) -> Traced:
    """Change of the money that really comes in, at last year's units and plans. Unit: money a year."""
    return cash_new_year - cash_now_year


def margins_block(practice: Practice, who: Roster) -> Block:
    """Margins, contribution and cash of each item at each site, at the current and the new fee."""
    caveat = (
        "" if dentist_is_paid(practice) else " Margins are before dentist pay: no dentist's pay is typed."
    )
    block = Block(
        "margins",
        "Margins",
        "Margins, contribution and cash",
        len(who.items),
        aligned="items",
        label=("code", "site"),
        note="Margins follow the margin basis of the Inputs sheet; cash always counts the plans." + caveat,
    )
    item_facts(block, who)
    block.tree("fee_now", "Current fee", "fee", Name("current_fee"), "The fee in force.")
    block.tree("fee_new", "New fee", "fee", Name("new_fee"), "The fee after the rules.")
    for moment in ("now", "new"):
        said = "at the current fee" if moment == "now" else "at the new fee"
        block.worked(net, name=f"net_{moment}", heading=f"Net {said}", fee=f"fee_{moment}")
        block.worked(margin, name=f"margin_{moment}", heading=f"Margin {said}", net=f"net_{moment}")
    block.worked(margin_before_dentist, net="net_new")
    block.worked(markup, net="net_new")
    block.worked(contribution, net="net_new")
    block.worked(contribution_per_chair_hour)
    _unit_columns(block, who)
    _cash_columns(block)
    block.worked(under_cost)
    block.worked(held_back)
    return block


def _unit_columns(block: Block, who: Roster) -> None:
    """Last year's units of the item at the site, and its weight in the summary's means."""
    block.given(
        "units_typed",
        "Units of the fee row",
        list(who.items["units_typed"]),
        "units",
        meaning="Last year's, all its sites.",
    )
    block.fetch("n", "Lab units here", "units", "lab_fees.n", "lab_no", 0)
    block.total("row_n", "Lab units of the fee row", "units", "margins.n", "costs.fee_row_no", "fee_row_no")
    block.count("row_sites", "Sites of the fee row", "costs.fee_row_no", "fee_row_no")
    block.worked(even_share)
    block.worked(item_units, name="units")
    block.worked(has_fee)
    block.worked(year_units)
    block.total(
        "material_units",
        "Units of the material",
        "units",
        "margins.year_units",
        "costs.material_no",
        "material_no",
    )
    block.total(
        "material_fees",
        "Fees of the material",
        "whole",
        "margins.has_fee",
        "costs.material_no",
        "material_no",
    )
    block.worked(even_weight)
    block.worked(summary_weight)


def _cash_columns(block: Block) -> None:
    """Cash of a unit and of a year, at the current and the new fee, and its change."""
    for moment in ("now", "new"):
        block.worked(
            net,
            name=f"cash_{moment}",
            heading=f"Cash a unit, {moment}",
            fee=f"fee_{moment}",
            full_share="cash_full_share",
            counted_each="cash_each",
        )
        block.worked(
            yearly, name=f"cash_{moment}_year", heading=f"Cash a year, {moment}", cash=f"cash_{moment}"
        )
        block.worked(
            yearly,
            name=f"billed_{moment}_year",
            heading=f"At full fee a year, {moment}",
            cash=f"fee_{moment}",
        )
    block.worked(cash_change)


def schedule_block(who: Roster) -> Block:
    """The fee schedule: old, cost, needed, new, changes and the reason."""
    block = Block(
        "schedule",
        "Fee schedule",
        "Fee schedule",
        len(who.items),
        aligned="items",
        label=("code", "site"),
        note="Every figure opens to the sheets behind it. Rows stand in the practice's own order.",
    )
    item_facts(block, who)
    block.given("description", "Description", list(who.items["description"]), width=36)
    block.tree("schedule_now", "Current fee", "fee", Name("current_fee"), "The fee in force.")
    block.tree("schedule_cost", "Unit cost", "money", Name("unit_cost"), "What one unit costs.")
    block.tree(
        "schedule_needed",
        "Needed fee",
        "needed",
        Name("needed_shown"),
        "The fee that covers cost and margin.",
    )
    block.tree("schedule_new", "New fee", "new_fee", Name("new_fee"), "The fee after the rules.")
    block.worked(change)
    block.worked(change_share)
    block.tree(
        "schedule_cash",
        "Cash a year",
        "change_money",
        Name("cash_change"),
        "Change of the money that comes in, at last year's units.",
    )
    block.tree("schedule_reason", "Reason", "text", Name("reason"), "What the rules did.")
    return block


def add_results(model: Model, practice: Practice, who: Roster) -> None:
    """Add the schedule and the margins."""
    model.add(schedule_block(who))
    model.add(margins_block(practice, who))
