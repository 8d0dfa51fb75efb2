"""The annual update: last year's fees and this year's costs to new fees, every figure traceable.

`price` is the recipe: what the lines mean, then costs, plans, rules, results, summary, inputs, checks.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pandas as pd

from feesheet import plugins
from feesheet.costing import alloy_use, alloys, chair, components, lab_fees, lines, notices, overhead, places
from feesheet.costing.billed_classes import billed_as_another
from feesheet.costing.case_blocks import add_cases, open_claims
from feesheet.costing.product_names import with_kinds
from feesheet.costing.reconciliation import invoice_totals
from feesheet.costing.reconciliation_block import total_notices
from feesheet.costing.roster import Roster, roster
from feesheet.formula.model import Model
from feesheet.formula.numbers import Numbers
from feesheet.practice import Practice
from feesheet.pricing import changes, checks, fees, inputs, plans, results, rule_rows, rules, summary
from feesheet.problems import Problem, errors
from feesheet.reading.folder import read_folder
from feesheet.uses.own_parts import cost_parts
from feesheet.writing.book import Schedule, write_book
from feesheet.writing.export import fee_list, save_list
from feesheet.writing.place import free_stem, write_whole

Progress = Callable[[str, int, int], None]
"""Called with what is being done, how many are done and how many there are."""

MOST_LINES = 1_048_000
"""Rows of a sheet that invoice lines may take."""


@dataclass(frozen=True)
class Priced:
    """A practice priced: who is who, the model of the workbook, its figures, the cells of its Inputs sheet, and its
    invoice lines with their meaning (`costing.lines.understand`)."""

    who: Roster
    model: Model
    numbers: Numbers
    inputs: list[inputs.InputRow]
    parts: pd.DataFrame


def price(practice: Practice) -> tuple[Priced, list[Problem]]:
    """Work out every fee of a practice that was read without errors."""
    practice = with_kinds(practice)
    parts, own, problems = cost_parts(practice)
    known_rules, more = plugins.rules()
    problems += more
    who, model = roster(practice), Model()
    inputs.add_settings(model, practice, own)
    parts, more = components.that_fit(parts, model.settings)
    problems += more
    line_parts, more = lines.understand(practice)
    problems += more
    set_no, set_site_no = chair.add_chair_time(model, practice, who)
    days = alloy_use.add_metal(model, practice, who, line_parts)
    mills, known_staff = practice.tables["milling"], chair.staff_rows(practice)
    staff = [
        chair.staff_number(known_staff, str(r), str(s))
        for r, s in zip(mills["role"], mills["site"], strict=True)
    ]
    totals = invoice_totals(practice, line_parts)
    lab_fees.add_laboratory(model, practice, who, line_parts, days, staff, totals)
    add_cases(model, practice, line_parts)
    overhead.add_overhead(model, practice, who)
    numbers = components.item_numbers(who, places.lab_places(who), set_no, set_site_no)
    model.add(components.costs_block(who, numbers, parts, bool(practice.settings["fees_set_on"])))
    plans.add_plans(model, practice, who)
    known_rules, more = rules.that_fit(known_rules, {*model.settings, *model.names("items")})
    problems += more
    rows, more = rule_rows.rule_rows(practice, who, known_rules)
    problems += more
    fees.add_fees(model, who, rows)
    results.add_results(model, practice, who)
    summary.add_summary(model, practice, who)
    typed = inputs.input_rows(model)
    inputs.add_inputs(model, typed)
    changes.add_changes(model)
    checks.add_checks(model, practice, line_parts, [part.name for part in parts])
    figures = Numbers(model)
    problems += _notices(practice, who, figures) + billed_as_another(practice, who, line_parts, figures)
    problems += total_notices(practice, line_parts, totals, figures)
    problems += open_claims(practice, line_parts, figures)
    return Priced(who, model, figures, typed, line_parts), problems


def _notices(practice: Practice, who: Roster, figures: Numbers) -> list[Problem]:
    """What is said of the fees and of the costs behind them, lines and papers aside."""
    return [
        *nothing_to_start_from(practice, who, figures),
        *alloys.cautions(practice, who, figures),
        *lab_fees.all_rejected(practice, who, figures),
        *no_current_fee(practice),
        *kept_by_force(practice, who, figures),
        *notices.cost_notices(practice, who, figures),
    ]


def no_current_fee(practice: Practice) -> list[Problem]:
    """Fee rows without a current fee: they get the needed fee, and no cap acts on them."""
    what = "The row has no current fee."
    cure = "Type it; until then the largest rise and fall don't act on the row, and it is in no change."
    blank = practice.tables["fees"]["current_fee"].fillna(0.0).to_numpy() == 0
    return [
        Problem("no current fee", what, cure, *practice.place("fees", row, "current_fee"))
        for row, missing in enumerate(blank)
        if missing
    ]


def kept_by_force(practice: Practice, who: Roster, figures: Numbers) -> list[Problem]:
    """Fee rows whose rules contradict each other, or whose margin no fee reaches: both are left at the current fee."""
    contradict, lowest, highest = (
        figures.of("fee_rules", column) for column in ("contradiction", "lowest", "highest")
    )
    problems = []
    for item, (row, site) in enumerate(zip(who.items["fee_row"], who.items["site"], strict=True)):
        place = practice.place("fees", int(row) - 1, "current_fee")
        if contradict[item]:
            what = f"{site}: the rules want at least {lowest[item]:,.2f} and at most {highest[item]:,.2f}. The fee is left on hold."
            problems.append(
                Problem("rules contradict", what, "Raise the largest rise, or set this fee by hand.", *place)
            )
    return problems + out_of_reach(practice, who, figures)


def out_of_reach(practice: Practice, who: Roster, figures: Numbers) -> list[Problem]:
    """Fees that reach no margin: one notice a material, at its fee that misses most."""
    do = "Ask for other allowed amounts, or a lower target margin."
    items = who.items.assign(short=figures.of("plan_items", "shortfall"))
    problems = []
    for material, group in items[figures.of("plan_items", "out_of_reach") >= 1].groupby(
        "material", sort=False
    ):
        worst = group.loc[group["short"].idxmax()]
        what = (
            f"{material or 'Without a material'}: the margin cannot be reached by {len(group)} fee(s), sites counted apart; "
            f"{worst['short']:,.2f} a unit is missing at the most, for {worst['code']} at {worst['site']}."
        )
        place = practice.place("fees", int(worst["fee_row"]) - 1, "current_fee")
        problems.append(Problem("out of reach", what, do, *place))
    return problems


def nothing_to_start_from(practice: Practice, who: Roster, figures: Numbers) -> list[Problem]:
    """Items whose lab fee has neither invoices nor a quoted price behind it."""
    problems = []
    n, quote = figures.of("lab_fees", "n"), figures.of("lab_fees", "group_no")
    material_units = figures.of("materials", "material_units")[
        figures.of("lab_fees", "material_no").astype(int) - 1
    ]
    empty = (n <= 0) & (quote == 0) & (material_units <= 0)
    for material in dict.fromkeys(
        m for m, bad in zip(figures.of("lab_fees", "material"), empty, strict=True) if bad
    ):
        file, sheet, cell = practice.place("materials", who.materials.index(material), "material")
        what = f"{material} has no invoice lines in the window and no quoted price."
        problems.append(
            Problem(
                "nothing to start from",
                what,
                'Type its price in "Lab prices", or add its invoices.',
                file,
                sheet,
                cell,
            )
        )
    return problems


@dataclass(frozen=True)
class Outcome:
    """What an update wrote, the five figures, and every problem; without a workbook where an error stopped it.

    `understood` is the share of the invoices' money that is understood, None where nothing was priced.
    """

    problems: list[Problem]
    workbook: Path | None = None
    export: Path | None = None
    figures: tuple[tuple[str, str], ...] = ()
    understood: float | None = None


def check(folder: Path, progress: Progress | None = None) -> tuple[Practice, Priced | None, list[Problem]]:
    """Read a folder and price it, as far as its errors allow."""
    practice, problems = read_folder(folder, progress)
    if errors(problems):
        return practice, None, problems
    priced, more = price(practice)
    return practice, priced, problems + more


def update(folder: Path, out: Path, progress: Progress | None = None) -> Outcome:
    """The annual update: read, price, write the workbook and the plain list beside it. Errors stop it before anything is written."""
    practice, priced, problems = check(folder, progress)
    if priced is None or errors(problems):
        return Outcome(problems)
    lines = priced.model.blocks["lines"].rows
    if lines > MOST_LINES:
        what = f"{lines:,} invoice lines are more than a sheet of a workbook holds ({MOST_LINES:,})."
        return Outcome(
            [*problems, Problem("too large", what, "Split the practice, or shorten the invoice months.")]
        )
    if progress:
        progress("writing the workbook", 0, 1)
    out.mkdir(parents=True, exist_ok=True)
    stem = free_stem(out, f"Fees {practice.day('effective_date').isoformat()}", (".xlsx", ".csv"))
    workbook, export = out / f"{stem}.xlsx", out / f"{stem}.csv"
    schedule = Schedule(practice, priced.model, priced.numbers, priced.inputs, problems)
    write_whole(workbook, lambda path: write_book(path, schedule))
    digits = int(priced.model.settings["money_digits"].value)
    listed = fee_list(priced.numbers, practice.day("effective_date").isoformat(), digits)
    write_whole(export, lambda path: save_list(path, listed))
    return Outcome(problems, workbook, export, figures(priced), understood(priced))


def understood(priced: Priced) -> float:
    """The share of the invoices' money in the window that is in a cost or set aside for a known reason."""
    return float(priced.numbers.of("understanding", "share_understood")[0])


def percent(share: float) -> float:
    """A share in percent with one decimal, never rounded up: what is not all must not look like it.

    >>> percent(0.99996), percent(1.0)
    (99.9, 100.0)
    """
    return math.floor(round(share * 1000, 8)) / 10


def figures(priced: Priced) -> tuple[tuple[str, str], ...]:
    """The five figures in words: heading and text."""
    shown = (priced.numbers.of("figures", name) for name in ("figure", "shown_as", "value", "remark"))
    formats = {
        "figure_share": "{:.1f}%",
        "figure_change": "{:+.1%}",
        "figure_count": "{:,.0f}",
        "figure_money": "{:+,.0f}",
    }
    return tuple(
        (
            str(name),
            f"{formats[unit].format(percent(value) if unit == 'figure_share' else float(value))} {remark}",
        )
        for name, unit, value, remark in zip(*shown, strict=True)
    )
