"""Alloy premiums: what a lab took above the metal's value, against what was agreed or what it usually takes."""

from __future__ import annotations

import numpy as np
import pandas as pd

from feesheet.costing.places import day_places
from feesheet.costing.roster import Roster, numbers_of
from feesheet.formula.model import Block, Model
from feesheet.formula.numbers import Numbers
from feesheet.practice import Practice
from feesheet.pricing.review.findings import Finding
from feesheet.pricing.review.lab import line_sums
from feesheet.pricing.review.lab import premium_figures as figures
from feesheet.pricing.review.lab.alloy_rows import (
    TESTED,
    alloy_rows,
    billed_at,
    borrowed_words,
    counts_block,
    labs_terms,
    line_columns,
    outcome_columns,
    terms_of,
    weight_words,
    without_quotes,
)
from feesheet.pricing.review.lab.highest_days import highest_blocks, highest_days, longest_silences
from feesheet.pricing.review.lab.letters import (
    money_words,
    percent_words,
    place_words,
    price_words,
)
from feesheet.pricing.review.lab.line_tests import back_words
from feesheet.pricing.review.lab.middles import middle, middles
from feesheet.pricing.review.lab.paid_back import paid_back_column
from feesheet.pricing.review.lab.premium_history import history_block, history_places
from feesheet.reference import fixed
from feesheet.schema import plain

SHEET, TESTS = "Alloy prices", "premium_tests"
KIND = "alloy premium"


def add(model: Model, practice: Practice, who: Roster, parts: pd.DataFrame) -> None:
    """Add the alloy lines of the period with their premiums, how many were tested, and the premiums over time, once."""
    if TESTS in model.blocks:
        return
    line_sums.add(model, practice, who, parts)
    rows = _rows(model, practice, parts)
    block = Block(
        TESTS,
        SHEET,
        "Alloy prices against the metal's value",
        len(rows),
        "One row an alloy line of the period. A price is the invoice's; the metal's value is that of the invoice date.",
        label=("test_invoice", "test_alloy"),
    )
    _facts(model, block, rows, who)
    _held(block, practice, rows)
    places = history_places(practice, rows)
    block.counter(
        "history_no", "Over time no.", places.numbers, "Row in the premiums over time; 0: not tested."
    )
    counts = counts_block("premium_counts", "Alloy lines tested for their price", block)
    over_time = history_block(SHEET, TESTS, places.names)
    for one in (counts, over_time, block, *highest_blocks(model, practice, highest_days(practice, rows))):
        model.add(one)


def _rows(model: Model, practice: Practice, parts: pd.DataFrame) -> pd.DataFrame:
    """The lines with the day of their metal value, the age of its quotes and the premium as issued."""
    rows = alloy_rows(model, practice, parts)
    days = model.blocks["days"].columns
    table = pd.DataFrame({"alloy_used": days["alloy"].values, "date": days["date"].values})
    keys = zip(rows["alloy_used"], rows["date"].astype("datetime64[s]"), strict=True)
    rows["day_no"] = numbers_of(keys, day_places(table))
    highest = highest_days(practice, rows)
    keys = zip(rows["alloy_used"], rows["date"].astype("datetime64[s]"), strict=True)
    rows["high_no"] = numbers_of(keys, day_places(highest))
    unquoted = _unquoted(model)
    numbers = Numbers(model)
    values = np.append(np.asarray(numbers.of("days", "day_value_per_g"), dtype=float), 0.0)
    grams = figures.line_grams(rows["weight"].fillna(0.0), rows["grams"].fillna(0.0))
    wrong = rows["line_no"].map(line_sums.wrong_sums(numbers)).fillna(0.0)
    per_g = figures.billed_per_g(figures.own_sum(rows["amount"].fillna(0.0), wrong), grams)
    rows["premium"] = figures.premium(per_g, values[rows["day_no"] - 1])
    never = without_quotes(practice)
    silences = longest_silences(practice, highest)
    rows["quote_days"] = [silences[number - 1] if number else 0.0 for number in rows["high_no"]]
    reasons = zip(rows["why_not"], rows["alloy_used"], rows["day_no"], strict=True)
    rows["outcome"] = [
        why or never.get(str(alloy)) or ("no quote by that day" if day in unquoted else TESTED)
        for why, alloy, day in reasons
    ]
    return rows


def _unquoted(model: Model) -> set[int]:
    """The value days on which a metal had no quote yet."""
    metals = model.blocks["day_metals"].columns
    rows = pd.DataFrame({"day_no": metals["day_no"].values, "quote_no": metals["quote_no"].values})
    return set(rows.loc[rows["quote_no"] == 0, "day_no"])


def _facts(model: Model, block: Block, rows: pd.DataFrame, who: Roster) -> None:
    """What the lines say, and the metal value of their days."""
    line_columns(block, rows, who)
    outcome_columns(block, list(rows["outcome"]))
    block.counter("day_no", "Value no.", list(rows["day_no"]), "Row in the alloy values by day; 0: none.")
    block.fetch("billed", "Billed", "money", "lines.amount", "line_no")
    block.fetch("weight", "Weight", "number", "alloy_lines.weight", "alloy_line_no", 0)
    block.fetch(
        "grams_in_unit", "Grams in the unit", "exact", "alloy_lines.grams_in_unit", "alloy_line_no", 0
    )
    block.worked(figures.line_grams)
    line_sums.wrong_sum_columns(model, block, list(rows["line_no"]))
    paid_back_column(block)
    for function in (line_sums.back_left, figures.own_sum, figures.billed_per_g):
        block.worked(function)
    block.fetch("value_per_g", "Metal value per g", "money_per_g", "days.day_value_per_g", "day_no", 0)
    high = "highest_days.high_value_per_g"
    block.counter(
        "high_no", "Highest no.", list(rows["high_no"]), "Row in the month's highest values; 0: none."
    )
    block.fetch("high_value_per_g", "Highest of the month", "money_per_g", high, "high_no", 0)
    block.given(
        "quote_days", "Longest without a quote", list(rows["quote_days"]), "whole",
        meaning="Most days without a new quote of a metal in the month to the invoice date: a price may have moved unseen.",
    )  # fmt: skip
    block.worked(figures.metal_worth)
    block.worked(figures.premium)


def _held(block: Block, practice: Practice, rows: pd.DataFrame) -> None:
    """What each line is held against, and what it is over."""
    agreed = labs_terms(practice, "agreed_premium")
    terms = [agreed.get(plain(lab), np.nan) for lab in rows["lab"]]
    block.given(
        "agreed", "Premium agreed", terms, "fraction", meaning="From the Labs table; blank: none agreed."
    )
    for name, heading, place in (("lower", "Middle", 0), ("upper", "Middle, from above", 1)):
        numbers = [pair[place] for pair in _middles(rows)]
        meaning = "Row, as issued, in the middle of this lab's other lines of the alloy by their premium; 0: too few lines."
        block.counter(f"{name}_no", f"{heading} no.", numbers, meaning)
        block.fetch(f"{name}_premium", heading, "fraction", f"{TESTS}.premium", f"{name}_no", 0)
    block.worked(middle, name="usual", heading="Usual premium", lower="lower_premium", upper="upper_premium")
    for name, heading, unit in (
        ("lines_in_window", "Lines of the alloy", "whole"),
        ("paid_in_window", "Billed for the alloy", "money"),
        ("value_in_window", "Metal value of the alloy", "money"),
    ):
        block.fetch(
            name, heading, unit, f"alloys.{name}", "alloy_no", 0, "All labs' lines of it in the period."
        )
    for function in (
        figures.others_premium, figures.held_choice, figures.held_premium, figures.held_words,
        figures.held_per_g, figures.due, figures.due_at_most, figures.day_slack, figures.exactly, figures.let_pass,
    ):  # fmt: skip
        block.worked(function)
    block.worked(figures.over, name="money")
    block.worked(figures.is_over)


def _middles(rows: pd.DataFrame) -> list[tuple[int, int]]:
    """The rows in the middle of the same lab's other lines of the alloy, by the premium as issued."""
    groups = list(zip(rows["lab"].astype(str), rows["alloy_used"].astype(str), strict=True))
    tested = list(rows["outcome"] == TESTED)
    return middles(list(rows["premium"]), groups, tested, int(fixed("least_alloy_lines")))


def found(
    model: Model, practice: Practice, who: Roster, parts: pd.DataFrame, numbers: Numbers
) -> list[Finding]:
    """The lines that were billed above their metal value by more than is agreed or usual."""
    rows, terms = alloy_rows(model, practice, parts), terms_of(practice)
    names = (
        "is_over", "money", "premium", "held_premium", "held_choice", "line_grams", "billed", "due", "wrong_sum",
        "back_left", "billed_per_g", "value_per_g",
    )  # fmt: skip
    table = rows.assign(**{name: numbers.of(TESTS, name) for name in names})
    return [
        Finding(
            KIND,
            str(row["lab"]),
            str(row["site"]),
            str(row["invoice"]),
            (int(row["line"]),),
            TESTS,
            place + 1,
            float(row["money"]),
            _sentence(practice, row),
            terms.left(row["lab"], row["date"]),
        )
        for place, row in table[table["is_over"] == 1].iterrows()
    ]


_HELD = {
    1: "we agreed on {held}",
    2: "you usually take {held} for this alloy",
    3: "our other invoices for this alloy have {held}",
}


def _sentence(practice: Practice, row: pd.Series) -> str:
    """What to ask the lab about a line."""
    held = _HELD[int(row["held_choice"])].format(held=percent_words(float(row["held_premium"])))
    return (
        f"{place_words(row['invoice'], row['date'], row['whole_teeth'])}: {weight_words(row)} of {row['alloy_used']} "
        f"{billed_at(practice, row)}. By the metal prices that we have for that day, the metal was worth "
        f"{price_words(practice, row['value_per_g'])} a gram; the price is {percent_words(row['premium'])} above it, and "
        f"{held}, which makes {money_words(practice, row['due'])}.{borrowed_words(row)}{back_words(practice, row['back_left'])} Please credit the difference of "
        f"{money_words(practice, row['money'])}, or tell us which day's metal price was used."
    )
