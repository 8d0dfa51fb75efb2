"""The alloy lines of the period, one row a line, and why some of them can't be tested."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from feesheet import reference
from feesheet.costing.alloys import composition_rows
from feesheet.costing.meaning import ALLOY
from feesheet.costing.roster import Roster
from feesheet.formula.model import Block, Model
from feesheet.practice import Practice
from feesheet.pricing.review.lab.letters import grams_words, money_words, price_words
from feesheet.schema import plain

TESTED = "tested"
TRACE = 0.02
"""Share of an alloy that noble metals and silver without a quote may be (common practice, no source)."""
MOST_UNSTATED = 0.5
"""Share of an alloy that may be of no stated metal: beyond it, its composition is not known (common practice, no source)."""


def lines_of(parts: pd.DataFrame, chosen: pd.Series) -> pd.DataFrame:
    """The chosen line parts as lines, one row each: the facts of the first part and `line_no`, its row in the invoice lines."""
    rows = parts[chosen].drop_duplicates("line").copy()
    rows["line_no"] = rows.index + 1
    return rows


def alloy_rows(model: Model, practice: Practice, parts: pd.DataFrame) -> pd.DataFrame:
    """Every alloy line of the period, copies aside.

    `line_no` and `alloy_line_no` are its rows in the invoice lines and in the alloy lines (0: none), `grams` those in its
    unit of weight, `why_not` is why
    its weight means nothing, "" where it does.
    """
    rows = lines_of(parts, (parts["treatment"] == ALLOY) & parts["in_window"] & ~parts["copy"])
    weighed = model.blocks["alloy_lines"].columns["line_no"].values
    places = {int(line): place for place, line in enumerate(() if weighed is None else weighed, start=1)}
    rows["alloy_line_no"] = [places.get(int(line), 0) for line in rows["line_no"]]
    rows["grams"] = [reference.grams_in(str(unit)) or np.nan for unit in rows["weight_unit"]]
    amounts, weights = rows["amount"].fillna(0.0), rows["weight"].fillna(0.0)
    rows["why_not"] = np.select(
        [
            (rows["alloy_used"] == "").to_numpy(),
            rows["weight"].isna().to_numpy(),
            (rows["weight_basis"] == "estimated").to_numpy(),
            ((amounts <= 0) | (weights <= 0)).to_numpy(),
            rows["primary"].to_numpy(dtype=bool),
            (rows["alloy_line_no"] == 0).to_numpy(),
        ],
        [
            "alloy not named",
            "no weight",
            "weight estimated",
            "a credit, or no charge",
            "primary tooth",
            "no weight",
        ],
        "",
    ).astype(object)
    return rows.reset_index(drop=True)


def unstated(practice: Practice) -> set[str]:
    """The alloys of which no one has said what they are made of, for the most part."""
    composition = composition_rows(practice)
    rest = composition[(composition["metal"] == "other") & (composition["fraction"] > MOST_UNSTATED)]
    return set(rest["alloy"])


def without_quotes(practice: Practice) -> dict[str, str]:
    """Why the metal value of an alloy means nothing, whatever the day: alloy to words; no such reason: no entry."""
    composition = composition_rows(practice)
    quoted = composition["metal"].isin(set(practice.tables["metal_prices"]["metal"].astype(str)))
    dear = composition["metal"].map(lambda metal: reference.metals()[metal].noble or metal == "silver")
    missing = composition[dear & ~quoted]
    missing = missing[missing.groupby("alloy")["fraction"].transform("sum") > TRACE]
    words = {str(alloy): f"no quote for {rows['metal'].iloc[0]}" for alloy, rows in missing.groupby("alloy")}
    worthless = set(composition["alloy"]) - set(composition.loc[quoted, "alloy"])
    words |= dict.fromkeys(worthless, "its metals have no quotes")
    return words | dict.fromkeys(unstated(practice), "composition not known")


def labs_terms(practice: Practice, column: str) -> dict[str, float]:
    """What the Labs table says of each lab in a column of numbers, by the lab's name in plain letters."""
    labs = practice.tables["labs"]
    return {plain(lab): float(value) for lab, value in zip(labs["lab"], labs[column], strict=True)}


@dataclass(frozen=True)
class Terms:
    """The days in which each lab must hear of what is disputed (NaN: none agreed), by its name in plain letters, and the period's last day."""

    days: Mapping[str, float]
    last: pd.Timestamp

    def left(self, lab: object, day: object) -> float | None:
        """Days left to dispute what the lab billed on a day, counted on the last day; None where none are agreed."""
        agreed = self.days.get(plain(str(lab)), float("nan"))
        return None if agreed != agreed else agreed - (self.last - pd.Timestamp(day)).days


def terms_of(practice: Practice) -> Terms:
    """What the practice and its labs agreed on, worked out once for all lines of a test."""
    return Terms(labs_terms(practice, "dispute_days"), pd.Timestamp(practice.day("pricing_date")))


def line_columns(block: Block, rows: pd.DataFrame, who: Roster) -> None:
    """Where the lines stand and what they are of: the first columns of a block of alloy lines."""
    block.number()
    block.counter("line_no", "Line no.", list(rows["line_no"]), "Row in the invoice lines.")
    places = list(rows["alloy_line_no"])
    block.counter("alloy_line_no", "Alloy line no.", places, "Row in the alloy lines; 0: none.")
    numbers = {alloy: number for number, alloy in enumerate(who.alloys, start=1)}
    found = [numbers.get(alloy, 0) for alloy in rows["alloy_used"]]
    block.counter("alloy_no", "Alloy no.", found, "Row in the Alloys table; 0: not named.")
    block.given("test_lab", "Lab", pd.Categorical(rows["lab"].astype(str)))
    block.given("test_invoice", "Invoice", pd.Categorical(rows["invoice"].astype(str)), "code")
    block.given("test_date", "Date", list(rows["date"]), "date")
    block.given("test_teeth", "Teeth (ISO 3950)", list(rows["whole_teeth"].astype(str)))
    block.given("test_alloy", "Alloy", list(rows["alloy_used"].astype(str)), width=22)


def outcome_columns(block: Block, words: Sequence[str]) -> None:
    """Whether each line was tested, and why not."""
    truths = [int(word == TESTED) for word in words]
    block.counter("tested", "Tested", truths, "1 for yes, 0 for no.")
    block.given("outcome", "Tested, or why not", list(words), width=24)


def counts_block(name: str, title: str, tests: Block) -> Block:
    """How many lines were tested, and how many were not and why, with their money."""
    words = tests.labels("outcome")
    kinds = sorted(set(words), key=lambda word: (word != TESTED, word))
    numbers = {word: number for number, word in enumerate(kinds, start=1)}
    tests.counter(
        "outcome_no",
        "Outcome no.",
        [numbers[word] for word in words],
        "Row in what was tested and what was not.",
    )
    block = Block(
        name,
        tests.sheet,
        title,
        len(kinds),
        "Lines that are not tested say nothing either way.",
        label=("why",),
    )
    block.number()
    block.given("why", "Tested, or why not", kinds, width=24)
    block.count("lines_so", "Lines", f"{tests.name}.outcome_no", "no")
    block.total("money_so", "Billed", "money", f"{tests.name}.billed", f"{tests.name}.outcome_no", "no")
    return block


def weight_words(row: pd.Series) -> str:
    """The grams of a line, and its weight as billed where that is in another unit."""
    grams = grams_words(float(row["line_grams"]))
    return grams if row["grams"] == 1 else f"{grams} ({row['weight']:g} {row['weight_unit']})"


def billed_at(practice: Practice, row: pd.Series) -> str:
    """What a line was billed at a gram and in all, and what of it its weight and price don't explain."""
    price = price_words(practice, float(row["billed_per_g"]))
    words = f"were billed at {price} a gram, {money_words(practice, float(row['billed']))} in all"
    wrong = float(row["wrong_sum"])
    return words + (f" ({money_words(practice, wrong)} of it is asked for apart)" if wrong > 0 else "")


def borrowed_words(row: pd.Series) -> str:
    """Says that the line names no alloy itself; "" where it does."""
    return (
        ""
        if row["alloy"]
        else " The line names no alloy; we took it for the one that our material is cast from."
    )
