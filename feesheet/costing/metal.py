"""What alloy costs: metal prices, compositions, classes, premiums and grams."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import pandas as pd

from feesheet import reference
from feesheet.costing.lines import ALLOY, UNIT
from feesheet.costing.roster import Roster, numbers_of, words
from feesheet.formula.model import Block, Model, figure
from feesheet.formula.numbers import Numbers
from feesheet.formula.operations import all_of, any_of, larger, pick, ratio, round_to, size
from feesheet.formula.tree import Traced
from feesheet.practice import Practice
from feesheet.problems import Problem
from feesheet.reference import fixed

ALLOY_CLASSES = ("predominantly base", "noble", "titanium", "high noble")
"""Classes of the ADA Council on Scientific Affairs (2003), lowest rank first."""


@figure("Price per g", "money_per_g")
def metal_price_per_g(price: Traced, grams_in_unit: Traced) -> Traced:
    """What one gram of the metal costs.

    Unit: money per g. Source: the quote; grams in a unit from NIST Handbook 44, Appendix C.
    >>> round(metal_price_per_g(1000, 31.1034768), 9)
    32.150746569
    """
    return price / grams_in_unit


@figure("Metal value", "money_per_g")
def metal_value(fraction: Traced, metal_price_per_g: Traced) -> Traced:
    """What the metal in one gram of the alloy is worth. Unit: money per g of alloy."""
    return fraction * metal_price_per_g


@figure("Of it noble", "fraction")
def noble_part(fraction: Traced, noble: Traced) -> Traced:
    """The fraction, if the metal is noble: gold and the platinum group; silver is not. Unit: mass fraction."""
    return fraction * noble


@figure("High noble", "whole")
def is_high_noble(
    noble_share: Traced,
    gold_share: Traced,
    high_noble_least: Traced = fixed("high_noble_least"),
    gold_least: Traced = fixed("gold_least"),
    compare_digits: Traced = fixed("compare_digits"),
) -> Traced:
    """1 if noble metals and gold both reach their limits; the limits themselves qualify (ADA 2003).

    >>> is_high_noble(0.6, 0.4), is_high_noble(0.6, 0.399)
    (1.0, 0.0)
    """
    return all_of(
        round_to(noble_share, compare_digits) >= high_noble_least,
        round_to(gold_share, compare_digits) >= gold_least,
    )


@figure("Titanium class", "whole")
def is_titanium(
    titanium_share: Traced,
    titanium_least: Traced = fixed("titanium_least"),
    compare_digits: Traced = fixed("compare_digits"),
) -> Traced:
    """1 if titanium reaches its limit, the limit included (ADA 2003)."""
    return round_to(titanium_share, compare_digits) >= titanium_least


@figure("Noble class", "whole")
def is_noble(
    noble_share: Traced,
    noble_least: Traced = fixed("noble_least"),
    compare_digits: Traced = fixed("compare_digits"),
) -> Traced:
    """1 if noble metals reach a quarter, the limit included (ADA 2003)."""
    return round_to(noble_share, compare_digits) >= noble_least


@figure("Class rank", "whole")
def class_rank(is_noble: Traced, is_titanium: Traced, is_high_noble: Traced) -> Traced:
    """1 predominantly base, 2 noble, 3 titanium, 4 high noble: a high noble alloy is noble too, titanium is not.

    >>> class_rank(0, 0, 0), class_rank(1, 0, 0), class_rank(0, 1, 0), class_rank(1, 0, 1)
    (1, 2, 3, 4)
    """
    return 1 + is_noble + is_titanium + is_titanium + is_high_noble + is_high_noble


@figure("Class", "text")
def alloy_class(class_rank: Traced) -> Traced:
    """The alloy's class by its composition, whatever it is called."""
    return pick(class_rank, *ALLOY_CLASSES)


@figure("Premium in the window", "fraction")
def premium_in_window(paid_in_window: Traced, value_in_window: Traced) -> Traced:
    """What the labs took above the metal's value on the invoice dates, in the window. Unit: fraction of that value."""
    return ratio(paid_in_window, value_in_window, 1) - 1


@figure("Premium of all lines", "fraction")
def premium_ever(paid_ever: Traced, value_ever: Traced) -> Traced:
    """The same over all alloy lines there are."""
    return ratio(paid_ever, value_ever, 1) - 1


@figure("Premium choice", "whole")
def premium_choice(
    lines_in_window: Traced,
    value_in_window: Traced,
    lines_ever: Traced,
    value_ever: Traced,
    least_alloy_lines: Traced = fixed("least_alloy_lines"),
) -> Traced:
    """1 if the window has lines enough, 2 if only all lines together have, 3 if the practice's default must serve.

    Lines whose metal is worth nothing, for want of any quote, tell nothing.
    """
    few = any_of(lines_in_window < least_alloy_lines, value_in_window <= 0)
    few_ever = any_of(lines_ever < least_alloy_lines, value_ever <= 0)
    return 1 + few + few * few_ever


@figure("Alloy premium", "fraction")
def alloy_premium(
    premium_choice: Traced, premium_in_window: Traced, premium_ever: Traced, default_alloy_premium: Traced
) -> Traced:
    """What the labs add to the metal's value, from the practice's own alloy lines. Unit: fraction of the metal value."""
    return pick(premium_choice, premium_in_window, premium_ever, default_alloy_premium)


@figure("Premium taken from", "text")
def premium_basis(premium_choice: Traced) -> Traced:
    """Where the premium comes from."""
    return pick(premium_choice, "lines in the window", "all alloy lines", "the practice's default")


@figure("Adds up", "whole")
def adds_up(fraction_share: Traced, fraction_slack: Traced = fixed("fraction_slack")) -> Traced:
    """1 if the fractions add up to 1 within the slack. Unit: 0 or 1."""
    return size(fraction_share - 1) <= fraction_slack


@figure("Alloy price per g", "money_per_g")
def alloy_price_per_g(metal_value_per_g: Traced, alloy_premium: Traced) -> Traced:
    """What one gram of the alloy costs at today's metal prices. Unit: money per g.

    >>> round(alloy_price_per_g(97.70, 0.25), 3)
    122.125
    """
    return metal_value_per_g * (1 + alloy_premium)


@figure("Weight, g", "grams")
def weight_g(weight: Traced, grams_in_unit: Traced, share: Traced) -> Traced:
    """Grams billed on this part of the line.

    >>> round(weight_g(2.1, 1.55517384, 1), 3)
    3.266
    """
    return weight * grams_in_unit * share


@figure("Billed", "money")
def alloy_billed(line_amount: Traced, share: Traced) -> Traced:
    """What the lab billed for this part's alloy. Unit: money."""
    return line_amount * share


@figure("Units", "units")
def alloy_units(line_units: Traced, share: Traced) -> Traced:
    """Units this alloy was for: a bridge's alloy is spread evenly over its units."""
    return line_units * share


@figure("Metal value on the day", "money")
def value_on_day(weight_g: Traced, day_value_per_g: Traced) -> Traced:
    """What the metal in the billed grams was worth on the invoice date. Unit: money."""
    return weight_g * day_value_per_g


@figure("Own mean", "grams")
def own_mean_g(billed_g: Traced, n: Traced) -> Traced:
    """Grams a unit on the practice's own invoices. Unit: g."""
    return ratio(billed_g, n, 0)


@figure("Z", "weight")
def credibility(n: Traced, credibility_units: Traced) -> Traced:
    """How much the own mean weighs against the starting value: n / (n + k), nought where there is nothing.

    >>> credibility(15, 5)
    0.75
    """
    return ratio(larger(n, 0), larger(n, 0) + credibility_units, 0)


@figure("Blend", "number")
def blend(credibility: Traced, own_mean: Traced, starting: Traced) -> Traced:
    """The own mean and the starting value, weighted by Z and 1 - Z.

    >>> blend(0.75, 2.0, 4.0)
    2.5
    """
    return credibility * own_mean + (1 - credibility) * starting


@figure("Alloy grams", "grams")
def alloy_g(credibility: Traced, own_mean_g: Traced, starting_g: Traced) -> Traced:
    """Grams of alloy in one unit: the own mean and the starting value, weighted by Z and 1 - Z. Unit: g."""
    return blend(credibility, own_mean_g, starting_g)


def price_rows(practice: Practice) -> pd.DataFrame:
    """Every quote in order of metal and day, with grams in its unit. One row a quote."""
    quotes = practice.tables["metal_prices"].copy()
    quotes["grams"] = [reference.grams_in(str(unit)) for unit in quotes["unit"]]
    quotes["metal"] = quotes["metal"].astype(str)
    return quotes.sort_values(["metal", "date"], kind="stable").reset_index(drop=True)


def latest_quote(quotes: pd.DataFrame, metals: Sequence[str], days: Sequence[Any]) -> np.ndarray:
    """The number of each metal's latest quote on or before its day; 0 where there is none."""
    result = np.zeros(len(metals), dtype=np.int64)
    wanted = pd.DataFrame({"metal": list(metals), "day": pd.to_datetime(list(days)).astype("datetime64[s]")})
    for metal, rows in quotes.groupby("metal", sort=False):
        mine = np.flatnonzero((wanted["metal"] == metal).to_numpy())
        found = (
            rows["date"]
            .to_numpy()
            .astype("datetime64[s]")
            .searchsorted(wanted["day"].to_numpy()[mine], side="right")
        )
        numbers = np.concatenate([[0], rows.index.to_numpy() + 1])
        result[mine] = numbers[found]
    return result


def quotes_block(quotes: pd.DataFrame) -> Block:
    """All metal quotes, oldest first, one row a quote."""
    block = Block(
        "quotes",
        "Metal history",
        "Metal quotes",
        len(quotes),
        "As typed in the metal prices sheet.",
        label=("metal", "date"),
    )
    block.number()
    block.given("metal", "Metal", list(quotes["metal"]))
    block.given("date", "Date", list(quotes["date"]), "date")
    block.given("price", "Quoted price", list(quotes["price"]), "money")
    block.given("quoted_unit", "Quoted unit", words(quotes["unit"]))
    block.given("grams_in_unit", "Grams in the unit", list(quotes["grams"]), "exact")
    block.worked(metal_price_per_g)
    return block


def composition_rows(practice: Practice) -> pd.DataFrame:
    """One row per alloy and metal that it holds: alloy, metal, fraction."""
    alloys = practice.tables["alloys"]
    rows = [
        (str(alloy), metal, float(fractions[position]))
        for metal in reference.metals()
        for fractions in [alloys[metal].fillna(0.0).to_numpy()]
        for position, alloy in enumerate(alloys["alloy"])
        if fractions[position] != 0
    ]
    table = pd.DataFrame(rows, columns=["alloy", "metal", "fraction"])
    order = numbers_of(table["alloy"], words(alloys["alloy"]))
    return table.iloc[np.argsort(order, kind="stable")].reset_index(drop=True)


_SLIP = 5
"""A price this many times over or under the quote is taken for a slip of the pen (common practice, no source)."""


def metals_block(practice: Practice, quotes: pd.DataFrame, composition: pd.DataFrame) -> Block:
    """The metals of the practice's alloys at the price of the pricing date; one without a quote counts nought."""
    held = [
        m
        for m in reference.metals()
        if m in set(composition["metal"]) | set(quotes["metal"]) and m != "other"
    ]
    latest = latest_quote(quotes, held, [practice.settings["pricing_date"]] * len(held))
    priced = [quotes.iloc[number - 1] if number else None for number in latest]
    block = Block(
        "metals",
        "Alloy",
        "Metal prices on the pricing date",
        len(held),
        "Type a new price on the Inputs sheet and every fee follows.",
        label=("metal",),
    )
    block.number()
    block.given("metal", "Metal", list(held))
    block.given(
        "quote_date",
        "Quoted on",
        [q["date"] if q is not None else "no quote: counts 0" for q in priced],
        "date",
    )
    block.given("quoted_unit", "Quoted unit", [str(q["unit"]) if q is not None else "gram" for q in priced])
    places = [_quote_place(practice, q) if q is not None else ("no quote: counts 0", "", "") for q in priced]
    block.given(
        "price",
        "Price",
        [float(q["price"]) if q is not None else 0.0 for q in priced],
        "money",
        entry=True,
        low=[float(q["price"]) / _SLIP if q is not None else 0.0 for q in priced],
        high=[float(q["price"]) * _SLIP if q is not None else 1e6 for q in priced],
        places=places,
        meaning="Price of one quoted unit.",
    )
    block.given(
        "grams_in_unit",
        "Grams in the unit",
        [float(q["grams"]) if q is not None else 1.0 for q in priced],
        "exact",
    )
    block.worked(metal_price_per_g)
    block.given(
        "noble",
        "Noble",
        [float(reference.metals()[metal].noble) for metal in held],
        "whole",
        counter=True,
        meaning="1 for gold and the platinum group (ADA 2003), else 0.",
    )
    return block


def _quote_place(practice: Practice, quote: pd.Series) -> tuple[str, str, str]:
    source = practice.sources[int(quote["source"])]
    return source.file, source.sheet, source.cell("price", int(quote["row"]))


def composition_block(
    practice: Practice, quotes: pd.DataFrame, composition: pd.DataFrame, model: Model, who: Roster
) -> Block:
    """What each alloy is made of, one row per alloy and metal."""
    metals = model.blocks["metals"].labels("metal")
    block = Block("composition", "Alloy", "Composition", len(composition), label=("alloy", "metal"))
    block.counter(
        "alloy_no", "Alloy no.", numbers_of(composition["alloy"], who.alloys), "Row in the Alloys table."
    )
    block.counter(
        "metal_no",
        "Metal no.",
        numbers_of(composition["metal"], metals),
        "Row in the metal prices; 0: no price.",
    )
    block.given("alloy", "Alloy", list(composition["alloy"]))
    block.given("metal", "Metal", list(composition["metal"]))
    block.given("fraction", "Mass fraction", list(composition["fraction"]), "fraction")
    block.fetch("metal_price_per_g", "Price per g", "money_per_g", "metals.metal_price_per_g", "metal_no", 0)
    block.worked(metal_value)
    _add_then(block, practice, quotes, list(composition["metal"]))
    block.fetch("noble", "Noble", "whole", "metals.noble", "metal_no", 0)
    block.worked(noble_part)
    for metal in ("gold", "titanium"):
        block.counter(
            f"{metal}_flag",
            f"Is {metal}",
            (composition["metal"] == metal).astype(int),
            f"1 if the metal is {metal}.",
        )
        block.worked(noble_part, name=f"{metal}_part", heading=f"Of it {metal}", noble=f"{metal}_flag")
    return block


def _add_then(block: Block, practice: Practice, quotes: pd.DataFrame, metals: list[str]) -> None:
    """The metal's value when the current fees were set, where that day is known."""
    day = practice.settings["fees_set_on"]
    if day:
        numbers = latest_quote(quotes, metals, [day] * len(metals))
        block.counter(
            "then_no",
            "Quote no. then",
            numbers,
            "Row in the metal quotes when the current fees were set; 0: none.",
        )
        block.fetch("price_then", "Price per g then", "money_per_g", "quotes.metal_price_per_g", "then_no", 0)
        block.worked(
            metal_value, name="value_then", heading="Metal value then", metal_price_per_g="price_then"
        )


def alloys_block(practice: Practice, who: Roster, composition: pd.DataFrame) -> Block:
    """The alloys: class, metal value, premium and price, one row an alloy."""
    table = practice.tables["alloys"]
    block = Block("alloys", "Alloy", "Alloys", len(who.alloys), label=("alloy",))
    block.number()
    block.given("alloy", "Alloy", list(who.alloys))
    block.given("class_billed", "Class as billed", words(table["class_billed"]))
    for name, heading, unit in (
        ("fraction", "Fractions in all", "fraction"),
        ("noble_part", "Noble", "fraction"),
        ("gold_part", "Gold", "fraction"),
        ("titanium_part", "Titanium", "fraction"),
    ):
        block.total(
            f"{name.removesuffix('_part')}_share",
            heading,
            unit,
            f"composition.{name}",
            "composition.alloy_no",
            "no",
            meaning="Sum over the alloy's metals.",
        )
    block.worked(adds_up, name="whole")
    for function in (is_noble, is_titanium, is_high_noble, class_rank):
        block.worked(function)
    block.worked(alloy_class)
    block.total(
        "metal_value_per_g",
        "Metal value per g",
        "money_per_g",
        "composition.metal_value",
        "composition.alloy_no",
        "no",
        meaning="What the metal in one gram is worth today.",
    )
    for suffix, flag in (("in_window", "in_window"), ("ever", "priced")):
        when_words = "in the window" if suffix == "in_window" else "of all dates"
        block.total(
            f"lines_{suffix}",
            f"Lines {when_words}",
            "whole",
            "alloy_lines.first_part",
            "alloy_lines.alloy_no",
            "no",
            f"alloy_lines.{flag}",
            meaning=f"Alloy lines {when_words} with a weight and a metal price.",
        )
        block.total(
            f"paid_{suffix}",
            f"Billed {when_words}",
            "money",
            "alloy_lines.alloy_billed",
            "alloy_lines.alloy_no",
            "no",
            f"alloy_lines.{flag}",
            meaning="What the labs billed for them.",
        )
        block.total(
            f"value_{suffix}",
            f"Metal value {when_words}",
            "money",
            "alloy_lines.value_on_day",
            "alloy_lines.alloy_no",
            "no",
            f"alloy_lines.{flag}",
            meaning="What their metal was worth on the invoice dates.",
        )
        block.worked(premium_in_window if suffix == "in_window" else premium_ever)
    block.worked(premium_choice)
    block.worked(premium_basis)
    block.worked(alloy_premium)
    block.worked(alloy_price_per_g)
    if practice.settings["fees_set_on"]:
        block.total(
            "value_then_per_g",
            "Metal value per g then",
            "money_per_g",
            "composition.value_then",
            "composition.alloy_no",
            "no",
            meaning="What the metal in one gram was worth when the current fees were set.",
        )
        block.worked(
            alloy_price_per_g,
            name="alloy_price_then",
            heading="Alloy price per g then",
            metal_value_per_g="value_then_per_g",
        )
    block.given("caution", "Caution", [_caution(composition, alloy) for alloy in who.alloys], width=26)
    return block


def _caution(composition: pd.DataFrame, alloy: str) -> str:
    held = set(composition.loc[composition["alloy"] == alloy, "metal"]) & {"nickel", "beryllium"}
    return f"holds {' and '.join(sorted(held))}" if held else ""


def cautions(practice: Practice, who: Roster, figures: Numbers) -> list[Problem]:
    """Alloys that hold nickel or beryllium, and alloys billed as another class than their composition gives."""
    composition, problems = composition_rows(practice), []
    worked_out = figures.of("alloys", "alloy_class")
    for position, alloy in enumerate(who.alloys):
        billed = str(practice.tables["alloys"]["class_billed"].iloc[position])
        holds = _caution(composition, alloy)
        if holds:
            problems.append(
                Problem(
                    "caution",
                    f"{alloy} {holds}.",
                    "Follow the dentist's judgement and local safety law.",
                    *practice.place("alloys", position, "alloy"),
                )
            )
        if billed and billed != worked_out[position]:
            what = f'{alloy} is billed as "{billed}"; by its composition it is {worked_out[position]} (ADA 2003).'
            problems.append(
                Problem(
                    "caution",
                    what,
                    "Ask the lab for the certificate.",
                    *practice.place("alloys", position, "class_billed"),
                )
            )
    return problems


def day_rows(practice: Practice, who: Roster, parts: pd.DataFrame) -> pd.DataFrame:
    """The alloy and day pairs that a metal value is needed for: alloy lines, all-in crowns, the pricing date."""
    table = practice.tables["labs"]
    all_in = set(table.loc[table["alloy_billing"].astype(str) == "all-in", "lab"].astype(str))
    wanted = (parts["treatment"] == ALLOY) & parts["weight"].notna()
    wanted |= (parts["treatment"] == UNIT) & parts["lab"].astype(str).isin(all_in)
    pairs = parts.loc[wanted & (parts["alloy_used"] != ""), ["alloy_used", "date"]]
    today = pd.DataFrame(
        {"alloy_used": list(who.alloys), "date": pd.Timestamp(practice.settings["pricing_date"])}
    )
    pairs = pd.concat([today, pairs]).astype({"date": "datetime64[s]"}).drop_duplicates()
    order = np.lexsort((pairs["date"].to_numpy(), numbers_of(pairs["alloy_used"], who.alloys)))
    return pairs.iloc[order].reset_index(drop=True)


def day_metal_rows(days: pd.DataFrame, composition: pd.DataFrame, quotes: pd.DataFrame) -> pd.DataFrame:
    """One row per day pair and quoted metal of its alloy, with the quote that held on that day (0: none yet)."""
    quoted = composition[composition["metal"].isin(set(quotes["metal"]))].copy()
    quoted["composition_no"] = quoted.index + 1
    rows = days.assign(day_no=np.arange(1, len(days) + 1)).merge(
        quoted, left_on="alloy_used", right_on="alloy"
    )
    rows["quote_no"] = latest_quote(quotes, list(rows["metal"]), list(rows["date"]))
    return rows


def day_blocks(days: pd.DataFrame, day_metals: pd.DataFrame, who: Roster) -> tuple[Block, Block]:
    """What each alloy's metal was worth on each invoice date, and the quotes behind it."""
    parts = Block(
        "day_metals",
        "Metal history",
        "Quotes behind the values",
        len(day_metals),
        label=("alloy", "metal", "date"),
    )
    parts.counter("day_no", "Value no.", list(day_metals["day_no"]), "Row in the alloy values by day.")
    parts.counter(
        "composition_no",
        "Composition no.",
        list(day_metals["composition_no"]),
        "Row in the Composition table.",
    )
    parts.counter(
        "quote_no", "Quote no.", list(day_metals["quote_no"]), "Row in the metal quotes; 0: no quote yet."
    )
    parts.given("alloy", "Alloy", list(day_metals["alloy"]))
    parts.given("date", "Date", list(day_metals["date"]), "date")
    parts.given("metal", "Metal", list(day_metals["metal"]))
    parts.fetch("fraction", "Mass fraction", "fraction", "composition.fraction", "composition_no")
    parts.fetch(
        "metal_price_per_g",
        "Price per g",
        "money_per_g",
        "quotes.metal_price_per_g",
        "quote_no",
        0,
        meaning="The latest quote on or before the day.",
    )
    parts.worked(metal_value)
    values = Block("days", "Metal history", "Alloy values by day", len(days), label=("alloy", "date"))
    values.number()
    values.given("alloy", "Alloy", list(days["alloy_used"]))
    values.given("date", "Date", list(days["date"]), "date")
    values.total(
        "day_value_per_g",
        "Metal value per g",
        "money_per_g",
        "day_metals.metal_value",
        "day_metals.day_no",
        "no",
        meaning="What the metal in one gram of the alloy was worth on that day.",
    )
    return values, parts


def alloy_line_rows(
    parts: pd.DataFrame, days: pd.DataFrame, day_metals: pd.DataFrame, who: Roster
) -> pd.DataFrame:
    """The alloy lines with a weight, one row a part, each with its day, pool and whether its metals had prices."""
    rows = parts[
        (parts["treatment"] == ALLOY) & parts["weight"].notna() & (parts["alloy_used"] != "") & ~parts["copy"]
    ].copy()
    rows["line_no"] = rows.index + 1
    rows["first_part"] = (~rows["line"].duplicated()).astype(int)
    rows["grams"] = [reference.grams_in(unit) for unit in words(rows["weight_unit"])]
    rows["date"] = rows["date"].astype("datetime64[s]")
    keyed = days.assign(day_no=np.arange(1, len(days) + 1))
    rows = rows.merge(keyed, on=["alloy_used", "date"], how="left")
    unpriced = set(day_metals.loc[day_metals["quote_no"] == 0, "day_no"])
    rows["priced"] = (~rows["day_no"].isin(unpriced)).astype(int)
    rows["pool_no"] = numbers_of(zip(rows["material"], rows["region"], strict=True), who.pools)
    return rows


def alloy_lines_block(rows: pd.DataFrame, who: Roster) -> Block:
    """The alloy lines in grams and in metal value on their day, one row per part of an invoice line."""
    block = Block(
        "alloy_lines",
        "Alloy lines",
        "Alloy billed by weight",
        len(rows),
        "Each row opens to its invoice line through the number in the first column.",
        label=("line_no",),
    )
    window = rows["in_window"].to_numpy(dtype=bool)
    block.counter("line_no", "Line no.", list(rows["line_no"]), "Row in the invoice lines.")
    block.counter(
        "alloy_no", "Alloy no.", numbers_of(rows["alloy_used"], who.alloys), "Row in the Alloys table."
    )
    block.counter(
        "pool_no", "Grams no.", list(rows["pool_no"]), "Row in the alloy grams; 0: tooth region not known."
    )
    block.counter("day_no", "Value no.", list(rows["day_no"]), "Row in the alloy values by day.")
    block.counter(
        "first_part", "Counts as a line", list(rows["first_part"]), "1 on the first part of each line."
    )
    block.counter(
        "priced", "All metals priced", list(rows["priced"]), "1 if every metal had a quote by that day."
    )
    block.counter(
        "in_window",
        "In the window and priced",
        list((window & (rows["priced"] == 1)).astype(int)),
        "1 if it counts for the window's premium.",
    )
    block.counter(
        "weighed",
        "Counts for grams",
        list((window & (rows["pool_no"] > 0)).astype(int)),
        "1 if it is in the window and its tooth region is known.",
    )
    block.given("alloy", "Alloy", list(rows["alloy_used"]))
    block.given("date", "Date", list(rows["date"]), "date")
    block.given("weight", "Weight", list(rows["weight"]), "number")
    block.given("weight_unit", "Unit", words(rows["weight_unit"]))
    block.given("grams_in_unit", "Grams in the unit", list(rows["grams"]), "exact")
    block.fetch("line_amount", "Line amount", "money", "lines.amount", "line_no")
    block.fetch("line_units", "Line units", "units", "lines.units", "line_no")
    block.fetch("share", "Share of the line", "number", "lines.share", "line_no")
    block.worked(weight_g)
    block.worked(alloy_units)
    block.worked(alloy_billed)
    block.fetch("day_value_per_g", "Metal value per g", "money_per_g", "days.day_value_per_g", "day_no")
    block.worked(value_on_day)
    return block


def pools_block(practice: Practice, who: Roster) -> Block:
    """Grams of alloy by material and tooth region: own mean, n, Z and starting value."""
    table = practice.tables["starting_grams"]
    starts = {}
    for position, key in enumerate(zip(words(table["material"]), words(table["tooth_region"]), strict=True)):
        starts[(key[0].casefold(), key[1])] = (
            float(table["starting_g"].iloc[position]),
            practice.place("starting_grams", position, "starting_g"),
        )
    found = [starts.get((material.casefold(), region)) for material, region in who.pools]
    block = Block("pools", "Alloy", "Alloy grams", len(who.pools), label=("material", "region"))
    block.number()
    block.given("material", "Material", [material for material, _ in who.pools])
    block.given("region", "Tooth region", [region for _, region in who.pools])
    alloys = [who.alloy_of[material] for material, _ in who.pools]
    block.counter(
        "alloy_no", "Alloy no.", numbers_of(alloys, who.alloys), "Row in the Alloys table; 0: no alloy."
    )
    block.given("alloy", "Alloy", alloys)
    block.given(
        "starting_g",
        "Starting grams",
        [value[0] if value else 0.0 for value in found],
        "grams",
        entry=True,
        low=0.0,
        high=50.0,
        places=[value[1] if value else ("no alloy", "", "") for value in found],
        meaning="The practice's own estimate.",
    )
    block.total(
        "n",
        "n",
        "units",
        "alloy_lines.alloy_units",
        "alloy_lines.pool_no",
        "no",
        "alloy_lines.weighed",
        meaning="Units of the alloy lines in the window.",
    )
    block.total(
        "billed_g",
        "Billed grams",
        "grams",
        "alloy_lines.weight_g",
        "alloy_lines.pool_no",
        "no",
        "alloy_lines.weighed",
        meaning="Grams of those lines.",
    )
    block.worked(own_mean_g)
    block.worked(credibility)
    block.worked(alloy_g)
    block.fetch(
        "alloy_price_per_g", "Alloy price per g", "money_per_g", "alloys.alloy_price_per_g", "alloy_no", 0
    )
    if practice.settings["fees_set_on"]:
        block.fetch(
            "alloy_price_then",
            "Alloy price per g then",
            "money_per_g",
            "alloys.alloy_price_then",
            "alloy_no",
            0,
        )
    return block


def add_metal(model: Model, practice: Practice, who: Roster, parts: pd.DataFrame) -> pd.DataFrame:
    """Add every block about metal; returns the alloy value days, which all-in prices need too."""
    quotes, composition = price_rows(practice), composition_rows(practice)
    model.add(metals_block(practice, quotes, composition))
    model.add(alloys_block(practice, who, composition))
    model.add(pools_block(practice, who))
    model.add(composition_block(practice, quotes, composition, model, who))
    days = day_rows(practice, who, parts)
    day_metals = day_metal_rows(days, composition, quotes)
    model.add(alloy_lines_block(alloy_line_rows(parts, days, day_metals, who), who))
    for block in day_blocks(days, day_metals, who):
        model.add(block)
    model.add(quotes_block(quotes))
    return days
