"""Premiums of many alloy lines together: each is let pass alone, and all of them are above what was agreed or usual before."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pandas as pd

from feesheet.costing.roster import Roster
from feesheet.formula.model import Block, Model
from feesheet.formula.numbers import Numbers
from feesheet.practice import Practice
from feesheet.pricing.review.findings import Finding
from feesheet.pricing.review.lab import drift_figures as figures
from feesheet.pricing.review.lab import grams, premium
from feesheet.pricing.review.lab.alloy_rows import labs_terms
from feesheet.pricing.review.lab.letters import counted, day_words, money_words, percent_words
from feesheet.pricing.review.lab.premium_figures import held_per_g
from feesheet.pricing.review.lab.premium_figures import premium as premium_figure
from feesheet.pricing.review.lab.runs import (
    Run,
    chosen_runs,
    found_runs,
    line_facts,
    middle_columns,
    middle_of,
    middle_rows,
    run_columns,
    run_numbers,
    run_rows,
)
from feesheet.schema import plain

LINES, RUNS = "run_premiums", "premium_runs"
KIND = "premium of many lines"


def add(model: Model, practice: Practice, who: Roster, parts: pd.DataFrame) -> None:
    """Add the alloy lines of the period and of the year before it, and what many of them together are held against."""
    if RUNS in model.blocks:
        return
    grams.add(model, practice, who, parts)
    rows = valued_rows(model, practice, parts)
    lines = Block(
        LINES,
        premium.SHEET,
        "Alloy lines of the period and of the year before it",
        len(rows),
        "What many lines of a lab are together held against. Lines that are asked back whole are left out.",
        label=("run_invoice", "run_alloy"),
    )
    line_facts(model, lines, rows)
    _premiums(lines, rows)
    model.add(lines)
    agreed = labs_terms(practice, "agreed_premium")
    keys: list[tuple[str, ...]] = list(
        zip(rows["lab"].astype(str), rows["alloy_used"].astype(str), strict=True)
    )
    terms = {key: agreed.get(plain(key[0]), np.nan) for key in keys}
    runs = chosen_runs(
        practice, keys, rows["date"], _over(Numbers(model), terms), lambda key: np.isnan(terms[key])
    )
    model.add(_runs_block(Numbers(model), runs, rows, [terms[run.key] for run in runs]))
    _money(lines, run_numbers(runs, len(rows)))


def valued_rows(model: Model, practice: Practice, parts: pd.DataFrame) -> pd.DataFrame:
    """The lines whose metal value is known, in the order of their block."""
    rows = run_rows(model, practice, parts)
    return rows[rows["valued"]].reset_index(drop=True)


def _premiums(block: Block, rows: pd.DataFrame) -> None:
    """What each line was billed above its metal value, on its day and on the dearest one before it."""
    block.counter("day_no", "Value no.", list(rows["day_no"]), "Row in the alloy values by day.")
    block.fetch("value_per_g", "Metal value per g", "money_per_g", "days.day_value_per_g", "day_no")
    block.worked(premium_figure)
    for name, heading, unit, source in (
        ("high_value_per_g", "Highest of the month", "money_per_g", "high_value_per_g"),
        ("exact", "To the cent", "whole", "exactly"),
        ("back_left", "Of credits for the price", "money", "back_left"),
        ("is_over", "A finding alone", "whole", "is_over"),
        ("line_over", "Over, alone", "money", "money"),
    ):
        block.fetch(name, heading, unit, f"{premium.TESTS}.{source}", "test_no", 0)
    for function in (figures.premium_at_most, figures.asked_alone):
        block.worked(function)


def _over(numbers: Numbers, terms: dict[tuple[str, ...], float]) -> Callable[[Run], bool]:
    """Whether a run is over, as the block of runs works it out."""
    premiums, at_most, exact = (
        np.asarray(numbers.of(LINES, name), dtype=float) for name in ("premium", "premium_at_most", "exact")
    )

    def over(run: Run) -> bool:
        """Whether the middle premium of this one is."""
        agreed = terms[run.key]
        held = figures.level(agreed, middle_of(premiums, run.before))
        most = figures.points_let_pass(agreed, held, exact[list(run.now)].sum(), len(run.now))
        return bool(figures.is_risen(middle_of(premiums, run.now), middle_of(at_most, run.now), held, most))

    return over


def _runs_block(numbers: Numbers, runs: list[Run], rows: pd.DataFrame, agreed: list[float]) -> Block:
    """One row a lab and alloy: the middle premium of its lines, what it is held against, and the money."""
    premiums, at_most = (
        np.asarray(numbers.of(LINES, name), dtype=float) for name in ("premium", "premium_at_most")
    )
    block = Block(
        RUNS,
        premium.SHEET,
        "Premiums of many lines together",
        len(runs),
        "Held against the agreed premium, else the middle one of the twelve months before the first of those lines' months.",
        label=("run_lab", "run_alloy"),
    )
    run_columns(block, LINES, runs, rows)
    block.given("run_alloy", "Alloy", [run.key[1] for run in runs], width=22)
    for name, heading, source, pairs in (
        ("now", "Premium", "premium", [middle_rows(premiums, run.now) for run in runs]),
        ("at_most", "At the highest values", "premium_at_most", [middle_rows(at_most, run.now) for run in runs]),
        ("before", "Premium before", "premium", [middle_rows(premiums, run.before) for run in runs]),
    ):  # fmt: skip
        middle_columns(block, name, heading, "fraction", f"{LINES}.{source}", pairs)
    block.given(
        "agreed", "Premium agreed", agreed, "fraction", meaning="From the Labs table; blank: none agreed."
    )
    block.worked(figures.level, before="middle_before")
    block.total("exact_lines", "Lines to the cent", "whole", f"{LINES}.exact", f"{LINES}.run_no", "no")
    block.worked(figures.points_let_pass)
    block.worked(figures.is_risen)
    block.total("money", "Over", "money", f"{LINES}.over_level", f"{LINES}.run_no", "no")
    return block


def _money(block: Block, numbers: list[int]) -> None:
    """What each line is over what its run is held against."""
    block.counter("run_no", "Run no.", numbers, "Row in the premiums of many lines together; 0: none.")
    block.fetch("run_found", "Its run a finding", "whole", f"{RUNS}.is_risen", "run_no", 0)
    block.worked(figures.counts)
    block.fetch("level", "Held against", "fraction", f"{RUNS}.level", "run_no", 0)
    block.worked(held_per_g, name="line_per_g", heading="Held against per g", held_premium="level")
    block.worked(figures.over_level)


def found(
    model: Model, practice: Practice, who: Roster, parts: pd.DataFrame, numbers: Numbers
) -> list[Finding]:
    """The lines of a lab and alloy whose middle premium is above what was agreed, or what it was in the year before."""
    facts = {name: numbers.of(LINES, name) for name in ("run_no", "over_level", "asked_alone")}
    rows = valued_rows(model, practice, parts).assign(**facts)
    names = ("money", "middle_now", "level", "agreed", "lines_before", "before_from", "before_to")
    runs = pd.DataFrame({name: list(numbers.of(RUNS, name)) for name in names})
    runs["found"] = list(numbers.of(RUNS, "is_risen"))
    return found_runs(practice, KIND, RUNS, runs, rows, "over_level", _sentence)


def _sentence(practice: Practice, run: pd.Series, rows: pd.DataFrame) -> str:
    """What to ask the lab about many lines."""
    since, until = (day_words(day) for day in (rows["date"].min(), rows["date"].max()))
    held = percent_words(float(run["level"]))
    usual = (
        f"we agreed on {held}"
        if pd.notna(run["agreed"])
        else f"on {counted(run['lines_before'], 'line')} from {day_words(run['before_from'])} to {day_words(run['before_to'])} it was {held}"
    )
    beside = ", beside what we ask about single lines" if (rows["asked_alone"] > 0).any() else ""
    alloy = str(rows["alloy_used"].iloc[0])
    return (
        f"{alloy[:1].upper()}{alloy[1:]}, {counted(len(rows), 'line')} from {since} to {until}: by the metal prices that we "
        f"have, the middle premium over the metal's value is {percent_words(float(run['middle_now']))}; {usual}. At {held}, the "
        f"lines would have come to {money_words(practice, float(run['money']))} less{beside}. Please tell us what has changed."
    )
