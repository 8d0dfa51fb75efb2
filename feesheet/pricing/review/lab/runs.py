"""A lab's alloy lines as they ran on: those of the period or its last months, and those of the year before them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from feesheet.costing.meaning import window_start
from feesheet.costing.roster import numbers_of
from feesheet.formula.model import Block, Model
from feesheet.practice import Practice
from feesheet.pricing.review.findings import Finding
from feesheet.pricing.review.lab import included, line_sums, no_metal, premium, twice
from feesheet.pricing.review.lab.alloy_rows import Terms, alloy_rows, terms_of, without_quotes
from feesheet.pricing.review.lab.gram_parts import TESTS as GRAM_TESTS
from feesheet.pricing.review.lab.letters import counted
from feesheet.pricing.review.lab.middles import middle
from feesheet.pricing.review.lab.premium_figures import billed_per_g, line_grams, own_sum
from feesheet.pricing.review.period import Period
from feesheet.reference import fixed

LAST_MONTHS = (6, 3)
"""Months up to the last day that are looked at beside the whole period: what began late is small in the whole."""


@dataclass(frozen=True)
class Run:
    """The rows (from 0) of one lab's lines from a day on, and of those of the twelve months before it."""

    key: tuple[str, ...]
    first: pd.Timestamp
    now: tuple[int, ...]
    before: tuple[int, ...]

    @property
    def lab(self) -> str:
        """Whose lines they are."""
        return self.key[0]


def run_rows(model: Model, practice: Practice, parts: pd.DataFrame) -> pd.DataFrame:
    """The weighed alloy lines of the period and of the year before it, none that is asked back whole.

    `day_no` is their row in the alloy values by day, `test_no` that in the alloy prices (0: before the period), `valued`
    whether their metal value is known.
    """
    first = _starts(practice)[0] - _year()
    last = pd.Timestamp(practice.day("pricing_date"))
    wide = parts.assign(in_window=(parts["date"] >= first) & (parts["date"] <= last))
    rows = alloy_rows(model, practice, wide)
    rows = rows[(rows["why_not"] == "") & ~rows["line_no"].isin(_asked_whole(model))].reset_index(drop=True)
    at = rows["alloy_line_no"].to_numpy(dtype=int) - 1
    day_no, priced = (
        np.asarray(model.blocks["alloy_lines"].columns[name].values, dtype=int)[at]
        for name in ("day_no", "priced")
    )
    rows["day_no"] = day_no
    rows["valued"] = (priced == 1) & ~rows["alloy_used"].isin(without_quotes(practice))
    tested = model.blocks[premium.TESTS].columns["line_no"].values
    rows["test_no"] = numbers_of(rows["line_no"], [] if tested is None else list(tested))
    return rows


def _asked_whole(model: Model) -> set[int]:
    """The rows in the invoice lines of those that other tests ask back whole."""
    blocks = [
        model.blocks[name] for name in (twice.TEST, no_metal.TEST, included.TEST) if name in model.blocks
    ]
    return {int(number) for block in blocks for number in np.asarray(block.columns["line_no"].values)}


def _year() -> pd.DateOffset:
    return pd.DateOffset(months=int(fixed("months_per_year")))


def _starts(practice: Practice) -> list[pd.Timestamp]:
    """The first days of the period and of its last months."""
    last, months = practice.day("pricing_date"), int(practice.settings["invoice_months"])
    whole = pd.Timestamp(Period(last, months, window_start(practice).date()).first)
    later = [pd.Timestamp(Period(last, few).first) for few in LAST_MONTHS]
    return [whole, *(start for start in later if start > whole)]


def chosen_runs(
    practice: Practice,
    keys: Sequence[tuple[str, ...]],
    dates: pd.Series,
    over: Callable[[Run], bool],
    needs_before: Callable[[tuple[str, ...]], bool],
) -> list[Run]:
    """One run for each key: the longest that is over, else the longest with lines enough; none where no run has them.

    A row whose key has no lab is of no run.
    """
    least, found = int(fixed("least_run_lines")), []
    days = pd.to_datetime(dates)
    for key in sorted({key for key in keys if key[0]}):
        mine = np.array([one == key for one in keys])
        runs = []
        for first in _starts(practice):
            later, earlier = mine & (days >= first), mine & (days < first) & (days >= first - _year())
            run = Run(key, first, _places(later), _places(earlier) if needs_before(key) else ())
            if len(run.now) >= least and (len(run.before) >= least or not needs_before(key)):
                runs.append(run)
        if runs:
            found.append(next((run for run in runs if over(run)), runs[0]))
    return found


def _places(chosen: Any) -> tuple[int, ...]:
    return tuple(np.flatnonzero(np.asarray(chosen, dtype=bool)).tolist())


def run_numbers(runs: Sequence[Run], rows: int) -> list[int]:
    """The number of the run that each row is of; 0: of none."""
    numbers = np.zeros(rows, dtype=int)
    for number, run in enumerate(runs, start=1):
        numbers[list(run.now)] = number
    return [int(number) for number in numbers]


def middle_of(figures: np.ndarray[Any, Any], places: Sequence[int]) -> float:
    """The middle figure of those rows (from 0); nought where there are none."""
    low, high = middle_rows(figures, places)
    return float(middle(figures[low - 1], figures[high - 1])) if low else 0.0


def middle_rows(figures: np.ndarray[Any, Any], places: Sequence[int]) -> tuple[int, int]:
    """The rows (from 1) that hold the middle figure of those rows (from 0); (0, 0) where there are none.

    >>> middle_rows(np.array([5.0, 1.0, 3.0, 9.0]), [0, 1, 3]), middle_rows(np.array([5.0, 1.0]), [])
    ((1, 1), (0, 0))
    """
    ranked = sorted(places, key=lambda place: float(figures[place]))
    return (ranked[(len(ranked) - 1) // 2] + 1, ranked[len(ranked) // 2] + 1) if ranked else (0, 0)


def middle_columns(
    block: Block, name: str, heading: str, unit: str, source: str, pairs: Sequence[tuple[int, int]]
) -> None:
    """A middle figure of a block of lines: from the rows in the middle, as issued."""
    for side, words, place in (("lower", "", 0), ("upper", ", from above", 1)):
        numbers = [pair[place] for pair in pairs]
        meaning = "Row, as issued, in the middle of those lines; 0: there are none."
        block.counter(f"{side}_{name}_no", f"{heading}{words} no.", numbers, meaning)
        block.fetch(f"{side}_{name}", f"{heading}{words}", unit, source, f"{side}_{name}_no", 0)
    block.worked(
        middle,
        name=f"middle_{name}",
        heading=f"{heading}, their middle",
        lower=f"lower_{name}",
        upper=f"upper_{name}",
    )


def line_facts(model: Model, block: Block, rows: pd.DataFrame) -> None:
    """Where the lines stand, what they are of, their grams and what a gram was billed at."""
    block.number()
    block.counter("line_no", "Line no.", list(rows["line_no"]), "Row in the invoice lines.")
    block.counter("alloy_line_no", "Alloy line no.", list(rows["alloy_line_no"]), "Row in the alloy lines.")
    block.counter(
        "test_no", "Price no.", list(rows["test_no"]), "Row in the alloy prices; 0: before the period."
    )
    block.given("run_lab", "Lab", pd.Categorical(rows["lab"].astype(str)))
    block.given("run_invoice", "Invoice", pd.Categorical(rows["invoice"].astype(str)), "code")
    block.given("run_date", "Date", list(rows["date"]), "date")
    block.given("run_alloy", "Alloy", list(rows["alloy_used"].astype(str)), width=22)
    block.fetch("billed", "Billed", "money", "lines.amount", "line_no")
    block.fetch("weight", "Weight", "number", "alloy_lines.weight", "alloy_line_no")
    block.fetch("grams_in_unit", "Grams in the unit", "exact", "alloy_lines.grams_in_unit", "alloy_line_no")
    block.worked(line_grams)
    line_sums.wrong_sum_columns(model, block, list(rows["line_no"]))
    for function in (own_sum, billed_per_g):
        block.worked(function)
    block.fetch("is_heavy", "Grams asked about", "whole", f"{GRAM_TESTS}.is_heavy", "test_no", 0)


def run_columns(block: Block, lines: str, runs: Sequence[Run], rows: pd.DataFrame) -> None:
    """Each run's lab, its lines, and those before it."""
    block.number()
    block.given("run_lab", "Lab", [run.lab for run in runs])
    block.given("run_from", "From", [run.first for run in runs], "date")
    block.count("run_lines", "Lines", f"{lines}.run_no", "no")
    block.given("lines_before", "Lines before", [len(run.before) for run in runs], "whole")
    for name, heading, place in (("from", "Before: from", 0), ("to", "Before: to", -1)):
        days = [sorted(rows["date"].iloc[list(run.before)])[place] if run.before else None for run in runs]
        block.given(f"before_{name}", heading, days, "date")


def found_runs(
    practice: Practice,
    kind: str,
    block: str,
    runs: pd.DataFrame,
    rows: pd.DataFrame,
    over: str,
    sentence: Callable[[Practice, pd.Series, pd.DataFrame], str],
) -> list[Finding]:
    """One finding a run of the block that is over and has money.

    `runs` are the block's rows with `found` and `money`, `rows` the lines with their `run_no`; a finding is about those of
    its run whose column `over` is more than nought.
    """
    terms, result = terms_of(practice), []
    for place, run in runs[(runs["found"] == 1) & (runs["money"] > 0)].iterrows():
        lines = rows[rows["run_no"] == place + 1]
        words = sentence(practice, run, lines)
        above = lines[lines[over] > 0].sort_values("date", kind="stable")
        result.append(_finding(kind, terms, (block, place + 1), float(run["money"]), above, words))
    return result


def _finding(
    kind: str, terms: Terms, at: tuple[str, int], money: float, rows: pd.DataFrame, sentence: str
) -> Finding:
    """The finding about a run's lines that are over, in the order of their days."""
    lab = str(rows["lab"].iloc[0])
    days = [terms.left(lab, day) for day in (rows["date"].iloc[0], rows["date"].iloc[-1])]
    invoices = list(dict.fromkeys(rows["invoice"].astype(str)))
    return Finding(
        kind,
        lab,
        str(rows["site"].iloc[0]) if rows["site"].astype(str).nunique() == 1 else "several",
        counted(len(invoices), "invoice"),
        tuple(int(line) for line in rows["line"]),
        *at,
        money,
        f"{sentence} Invoices above that: {', '.join(invoices)}.",
        days[1] if days[0] is None or days[0] < 0 else days[0],
    )
