"""What a minute of a chair costs: the site's overhead over the minutes its chairs can really be used."""

from __future__ import annotations

from feesheet.costing.entries import entry
from feesheet.costing.roster import Roster, numbers_of, words
from feesheet.formula.model import Block, Model, figure
from feesheet.formula.operations import ratio
from feesheet.formula.tree import Traced
from feesheet.practice import Practice
from feesheet.reference import fixed
from feesheet.schema import plain


@figure("Overhead kept", "money")
def overhead_kept(amount: Traced, costed_per_item: Traced) -> Traced:
    """The account's yearly amount, nought if it is costed per crown already. Unit: money a year."""
    return amount * (1 - costed_per_item)


@figure("Yearly overhead", "money")
def yearly_overhead(
    has_ledger: Traced, own_overhead: Traced, base_overhead: Traced, price_index: Traced, base_index: Traced
) -> Traced:
    """The site's own ledger; where it has none, the base site's at the region's price level. Unit: money a year."""
    at_this_level = base_overhead * ratio(price_index, base_index, 1)
    return has_ledger * own_overhead + (1 - has_ledger) * at_this_level


@figure("Usable chair minutes", "number")
def usable_chair_min(
    operatories: Traced,
    weeks: Traced,
    hours_per_week: Traced,
    practical_capacity: Traced,
    minutes_per_hour: Traced = fixed("minutes_per_hour"),
) -> Traced:
    """Minutes in a year in which the site's chairs can really be used: the denominator of the overhead rate. Unit: min."""
    return operatories * weeks * hours_per_week * practical_capacity * minutes_per_hour


@figure("Overhead a chair minute", "money_per_min")
def overhead_per_chair_min(yearly_overhead: Traced, usable_chair_min: Traced) -> Traced:
    """What a minute of an occupied chair costs. Unit: money per chair minute."""
    return yearly_overhead / usable_chair_min


def sites_block(practice: Practice, who: Roster) -> Block:
    """The sites with their overhead a chair minute and the denominator behind it."""
    ledgers = {plain(site) for site in words(practice.tables["overhead"]["site"])}
    base = [plain(site) for site in who.sites].index(
        plain(practice.settings["base_site"] or who.sites[0])
    ) + 1
    block = Block("sites", "Overhead", "Overhead a chair minute", len(who.sites), label=("site",))
    block.number()
    block.given("site", "Site", list(who.sites))
    block.given("region", "Region", list(who.regions))
    block.counter(
        "has_ledger",
        "Own ledger",
        [int(plain(site) in ledgers) for site in who.sites],
        "1 if it has its own ledger.",
    )
    block.counter("base_no", "Base site no.", [base] * len(who.sites), "Row of the site that stands in.")
    for field, heading, unit in (
        ("operatories", "Operatories", "number"),
        ("weeks", "Weeks a year", "number"),
        ("hours_per_week", "Hours a week", "number"),
        ("practical_capacity", "Practical capacity", "fraction"),
    ):
        entry(block, practice, "sites", field, heading, unit)
    _price_index_column(block, practice, who)
    block.total(
        "own_overhead",
        "Own overhead",
        "money",
        "ledger.overhead_kept",
        "ledger.site_no",
        "no",
        meaning="The ledger's accounts, less those costed per crown.",
    )
    block.fetch("base_overhead", "Base site's overhead", "money", "sites.own_overhead", "base_no")
    block.fetch("base_index", "Base site's index", "number", "sites.price_index", "base_no")
    block.worked(yearly_overhead)
    block.worked(usable_chair_min)
    block.worked(overhead_per_chair_min)
    return block


def _price_index_column(block: Block, practice: Practice, who: Roster) -> None:
    """The published price level of each site's region; 1 where none is given."""
    index = practice.tables["region_index"]
    level = {
        plain(region): (float(value), position)
        for position, (region, value) in enumerate(zip(index["region"], index["index"], strict=True))
    }
    found = [level.get(plain(region)) for region in who.regions]
    block.given(
        "price_index",
        "Price index",
        [value[0] if value else 1.0 for value in found],
        "number",
        entry=True,
        low=0.0,
        high=1000.0,
        meaning="The region's published price level.",
        places=[
            practice.place("region_index", value[1], "index") if value else ("no index given: 1", "", "")
            for value in found
        ],
    )


def ledger_block(practice: Practice, who: Roster) -> Block:
    """The overhead accounts as typed."""
    table = practice.tables["overhead"]
    places = [practice.place("overhead", position, "amount") for position in range(len(table))]
    block = Block("ledger", "Overhead", "Overhead ledger", len(table), label=("site", "account"))
    block.counter(
        "site_no",
        "Site no.",
        numbers_of(map(plain, words(table["site"])), [plain(s) for s in who.sites]),
        "Row in the sites.",
    )
    block.given("site", "Site", words(table["site"]))
    block.given("account", "Account", words(table["account"]), width=26)
    block.given("source", "Read from", [", ".join(place) for place in places], width=30)
    entry(block, practice, "overhead", "amount", "Yearly amount", "money")
    block.counter(
        "costed_per_item",
        "Costed per item",
        table["costed_per_item"].to_numpy().astype(int),
        "1 for lab, supplies and pay that are costed per crown.",
    )
    block.worked(overhead_kept)
    return block


def add_overhead(model: Model, practice: Practice, who: Roster) -> None:
    """Add the blocks about overhead."""
    model.add(sites_block(practice, who))
    model.add(ledger_block(practice, who))
