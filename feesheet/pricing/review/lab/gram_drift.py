"""Grams of many castings together: each is let pass alone, and a lab's are all heavier than they were before."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pandas as pd

from feesheet import reference
from feesheet.costing.regions import region_of_tooth
from feesheet.costing.roster import Roster, numbers_of
from feesheet.formula.model import Block, Model
from feesheet.formula.numbers import Numbers
from feesheet.practice import Practice
from feesheet.pricing.review.findings import Finding
from feesheet.pricing.review.lab import drift
from feesheet.pricing.review.lab import drift_figures as figures
from feesheet.pricing.review.lab.gram_figures import counted_units, unit_grams
from feesheet.pricing.review.lab.gram_parts import SHEET
from feesheet.pricing.review.lab.letters import counted, day_words, grams_words, money_words
from feesheet.pricing.review.lab.middles import middle
from feesheet.pricing.review.lab.premium_figures import line_grams
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
from feesheet.reference import fixed

LINES, RUNS = "run_castings", "casting_runs"
KIND = "grams of many lines"
NEAR = 0.1
"""How near a rise must be to a pennyweight's grams for the sentence to name that slip (common practice, no source)."""


def add(model: Model, practice: Practice, who: Roster, parts: pd.DataFrame) -> None:
    """Add the castings of one size of tooth in the period and the year before it, and how a lab's have changed."""
    drift.add(model, practice, who, parts)
    rows = _rows(model, practice, parts)
    pairs = _usual_rows(rows)
    lines = Block(
        LINES,
        SHEET,
        "Castings of the period and of the year before it",
        len(rows),
        "Lines over teeth of one size. Usual: the middle of the practice's lines of that material and size, by volume where known.",
        label=("run_invoice", "run_alloy"),
    )
    line_facts(model, lines, rows)
    _castings(lines, rows, pairs)
    model.add(lines)
    keys = [(str(lab),) if pair[0] else ("",) for lab, pair in zip(rows["lab"], pairs, strict=True)]
    sizes = np.asarray(Numbers(model).of(LINES, "of_usual"), dtype=float)
    runs = chosen_runs(practice, keys, rows["date"], _heavier(sizes), lambda key: True)
    model.add(_runs_block(sizes, runs, rows))
    _money(lines, run_numbers(runs, len(rows)))


def _rows(model: Model, practice: Practice, parts: pd.DataFrame) -> pd.DataFrame:
    """The lines whose teeth are of one size and material, with `premium_no`, their row in the premiums (0: none)."""
    rows = run_rows(model, practice, parts)
    valued = model.blocks[drift.LINES].columns["line_no"].values
    rows["premium_no"] = numbers_of(rows["line_no"], [] if valued is None else list(valued))
    named = rows["teeth"].astype(str) != ""
    rows["line_teeth"] = rows["whole_teeth"].astype(str).str.split().map(len).where(named, 0)
    alloys = practice.tables["alloys"]
    density = dict(zip(alloys["alloy"].astype(str), alloys["density"].fillna(0.0).astype(float), strict=True))
    rows["density"] = [density.get(str(alloy), 0.0) for alloy in rows["alloy_used"]]
    spread = counted_units(rows["units"], rows["line_teeth"])
    each = unit_grams(line_grams(rows["weight"], rows["grams"]), spread)
    rows["casting"] = figures.casting(each, rows["density"])
    whole = parts[(parts["region"] != "") & (parts["material"] != "")].groupby("line")
    facts = {"placed": whole["share"].sum(), "materials": whole["material"].nunique()}
    placed, materials = (rows["line"].map(facts[name]).fillna(0.0) for name in facts)
    rows["kin"] = [
        _kin(teeth, region) for teeth, region in zip(rows["whole_teeth"], rows["region"], strict=True)
    ]
    fits = (placed.round(9) >= 1) & (materials == 1) & (rows["kin"] != "") & (spread > 0)
    return rows[fits].reset_index(drop=True)


def _kin(teeth: object, region: object) -> str:
    """The size of all those teeth, else of the region where none is named; "" where they are of several."""
    regions = reference.tooth_regions()
    sizes = sorted(regions, key=lambda name: len(regions[name]))
    kin = {region_of_tooth(int(tooth), sizes) for tooth in str(teeth).split()} or {str(region)}
    return kin.pop() if len(kin) == 1 else ""


def _usual_rows(rows: pd.DataFrame) -> list[tuple[int, int]]:
    """The rows in the middle of all lines of each one's material and size of tooth; (0, 0) where they are too few.

    Volumes and grams are kept apart.
    """
    known = rows["density"] > 0
    sizes, found = rows["casting"].to_numpy(dtype=float), [(0, 0)] * len(rows)
    for places in rows.groupby([rows["material"].astype(str), "kin", known], sort=False).indices.values():
        if len(places) >= fixed("least_alloy_lines"):
            pair = middle_rows(sizes, places.tolist())
            for place in places.tolist():
                found[place] = pair
    return found


def _castings(block: Block, rows: pd.DataFrame, pairs: list[tuple[int, int]]) -> None:
    """How large each casting is beside the usual one, and what its price leaves to ask for."""
    block.given("run_material", "Material", pd.Categorical(rows["material"].astype(str)), width=24)
    block.given("run_kin", "Size of tooth", pd.Categorical(rows["kin"].astype(str)))
    block.fetch("line_units", "Units", "units", "lines.units", "line_no")
    meaning = "Teeth that the line itself names."
    block.given("line_teeth", "Teeth named", list(rows["line_teeth"]), "whole", meaning=meaning)
    block.worked(counted_units)
    block.worked(unit_grams)
    meaning = "From the Alloys table; 0: not known."
    block.given("density", "Density, g/cm³", list(rows["density"]), "number", meaning=meaning)
    block.worked(figures.casting)
    for name, heading, place in (("lower", "Usual", 0), ("upper", "Usual, from above", 1)):
        numbers = [pair[place] for pair in pairs]
        meaning = "Row, as issued, in the middle of the lines of that material and size; 0: too few lines."
        block.counter(f"{name}_no", f"{heading} no.", numbers, meaning)
        block.fetch(f"{name}_casting", heading, "number", f"{LINES}.casting", f"{name}_no", 0)
    block.worked(
        middle, name="usual_casting", heading="Usual casting", lower="lower_casting", upper="upper_casting"
    )
    block.worked(figures.of_usual)
    meaning = "Row in the premiums of the same lines; 0: metal value not known."
    block.counter("premium_no", "Premium no.", list(rows["premium_no"]), meaning)
    for name, heading in (
        ("asked_alone", "Asked about its price alone"),
        ("over_level", "Asked about the prices of many"),
    ):
        block.fetch(name, heading, "money", f"{drift.LINES}.{name}", "premium_no", 0)
    block.worked(figures.price_left)


def _heavier(sizes: np.ndarray) -> Callable[[Run], bool]:
    """Whether a run's castings are heavier than before, as the block of runs works it out."""

    def heavier(run: Run) -> bool:
        """Whether those of this one are."""
        times = figures.times_as_heavy(middle_of(sizes, run.now), middle_of(sizes, run.before))
        most = figures.rise_let_pass(len(run.now), len(run.before))
        return bool(figures.is_heavier(times, most))

    return heavier


def _runs_block(sizes: np.ndarray, runs: list[Run], rows: pd.DataFrame) -> Block:
    """One row a lab: its middle casting beside the usual one, now and before, and the money."""
    block = Block(
        RUNS,
        SHEET,
        "Grams of many lines together",
        len(runs),
        "A lab's castings beside the usual ones, held against its own of the twelve months before.",
        label=("run_lab",),
    )
    run_columns(block, LINES, runs, rows)
    for name, heading in (("now", "Of the usual"), ("before", "Of the usual before")):
        pairs = [middle_rows(sizes, getattr(run, name)) for run in runs]
        middle_columns(block, name, heading, "fraction", f"{LINES}.of_usual", pairs)
    for function in (figures.times_as_heavy, figures.rise_let_pass, figures.is_heavier):
        block.worked(function)
    for name, heading, unit, source in (
        ("run_grams", "Grams over", "grams", "grams_over"),
        ("money", "Money of the grams over", "money", "grams_money"),
    ):
        block.total(name, heading, unit, f"{LINES}.{source}", f"{LINES}.run_no", "no")
    return block


def _money(block: Block, numbers: list[int]) -> None:
    """What each line's grams are over what they would have been before."""
    block.counter("run_no", "Run no.", numbers, "Row in the grams of many lines together; 0: none.")
    block.fetch("run_found", "Its run a finding", "whole", f"{RUNS}.is_heavier", "run_no", 0)
    block.worked(figures.counts)
    block.fetch("middle_before", "Middle before", "fraction", f"{RUNS}.middle_before", "run_no", 0)
    block.worked(figures.grams_over)
    block.worked(figures.grams_money)


def found(
    model: Model, practice: Practice, who: Roster, parts: pd.DataFrame, numbers: Numbers
) -> list[Finding]:
    """The labs whose castings are heavier than they were."""
    facts = {
        name: numbers.of(LINES, name)
        for name in ("run_no", "grams_over", "of_usual", "asked_alone", "over_level")
    }
    rows = _rows(model, practice, parts).assign(**facts)
    names = (
        "money",
        "times_as_heavy",
        "middle_before",
        "run_grams",
        "lines_before",
        "before_from",
        "before_to",
    )
    runs = pd.DataFrame({name: list(numbers.of(RUNS, name)) for name in names})
    runs["found"] = list(numbers.of(RUNS, "is_heavier"))
    return found_runs(practice, KIND, RUNS, runs, rows, "grams_over", _sentence)


def _sentence(practice: Practice, run: pd.Series, rows: pd.DataFrame) -> str:
    """What to ask the lab about the grams of many lines."""
    since, until = (day_words(day) for day in (rows["date"].min(), rows["date"].max()))
    before = " to ".join(day_words(run[f"before_{end}"]) for end in ("from", "to"))
    asked = (rows["asked_alone"] + rows["over_level"].clip(lower=0) > 0).any()
    beside = ", without what we ask about the prices" if asked else ""
    return (
        f"Alloy weights, {counted(len(rows), 'line')} from {since} to {until}: size of tooth, material and alloy considered, the "
        f"middle casting is {float(run['times_as_heavy']):.2f} times as heavy as on {counted(run['lines_before'], 'line')} from "
        f"{before}. At the weights of then it would be {grams_words(float(run['run_grams']))} less, "
        f"{money_words(practice, float(run['money']))} at your prices{beside}.{_slip(run, rows)} Please tell us what was weighed."
    )


def _slip(run: pd.Series, rows: pd.DataFrame) -> str:
    """That grams may have been billed as pennyweight: where the run, or a month with lines enough, is that much heavier."""
    penny = float(reference.grams_in("dwt") or np.nan)
    weighed = rows[(rows["grams"] / penny).round(6) == 1]
    months = weighed["of_usual"].groupby(weighed["date"].dt.to_period("M")).agg(["median", "size"])
    enough = months.loc[months["size"] >= fixed("least_run_lines"), "median"] / float(run["middle_before"])
    near = enough[(enough / penny - 1).abs() <= NEAR]
    if near.empty:
        return ""
    month = near.index[-1].to_timestamp()
    return f" In {month:%B %Y} it was {near.iloc[-1]:.2f} times as heavy: grams billed as pennyweight would be {penny:.2f} times."
