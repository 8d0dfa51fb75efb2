"""The margin review: what each crown earned, why it changed, whether the labs charged what they should.

`review` is the recipe: read, price the period by the very rules of the fee schedule, compare, audit, write, tell.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from feesheet.formula.model import Setting
from feesheet.practice import Practice
from feesheet.pricing.review.findings import Finding
from feesheet.pricing.review.last_year import LastYear
from feesheet.pricing.review.period import Period, as_of
from feesheet.problems import Problem, errors
from feesheet.reading.folder import read_folder
from feesheet.uses.annual_update import Priced, Progress, price
from feesheet.uses.last_year import read_last_year
from feesheet.uses.review_asked import ReviewAsked, periods, without_future
from feesheet.uses.review_model import ReviewBuilder
from feesheet.uses.review_told import figures_told, findings_lines, lines_told
from feesheet.writing.book import Schedule, write_book
from feesheet.writing.export import save_list
from feesheet.writing.place import free_stem, write_whole


@dataclass(frozen=True)
class Review:
    """The workbook, the findings as a list, the answers in lines and figures, and every problem; no workbook where an error stopped it.

    `noticed` are the notices that are about the review itself; `update` tells the others. `misused` where what was asked can't be.
    """

    problems: list[Problem]
    noticed: list[Problem] = field(default_factory=list)
    workbook: Path | None = None
    export: Path | None = None
    lines: list[str] = field(default_factory=list)
    figures: dict[str, Any] = field(default_factory=dict)
    misused: bool = False


@dataclass(frozen=True)
class Examined:
    """A practice reviewed: all that its workbook is written from, the period, and what the lab audit found."""

    schedule: Schedule
    now: Period
    found: list[Finding]


def review(
    folder: Path,
    asked: ReviewAsked,
    out: Path,
    progress: Progress | None = None,
    tell: Callable[[Review], None] | None = None,
) -> Review:
    """Review the period, and write the workbook and the list of findings. Nothing of the practice's is touched.

    `tell` is called with the answers as soon as there are any, before the workbook is written.
    """
    practice, problems = read_folder(folder, progress)
    if errors(problems):
        return Review(problems)
    now, then, more = periods(practice, asked)
    problems += more
    if now is None or errors(problems):
        return Review(problems, misused=True)
    examined, noticed = examine(practice, now, then, asked)
    problems += noticed
    if examined is None or errors(problems):
        return Review(problems)
    result = _answer(examined, problems, [*more, *noticed])
    if tell:
        tell(result)
    return _written(out, examined, result)


def examine(
    practice: Practice, now: Period, then: Period | None, asked: ReviewAsked
) -> tuple[Examined | None, list[Problem]]:
    """Price the period, add the review's blocks to its model, and audit the labs."""
    restated = as_of(practice, now)
    priced, of_prices = price(restated)
    last_year, problems = _last_year(asked, priced, restated)
    problems = [*of_prices, *without_future(practice, now), *problems]
    if errors(problems):
        return None, problems
    least = Setting("least_finding", "Smallest finding", "money", asked.least, "typed with --least", 0.0, 1e6)
    priced.model.settings["least_finding"] = least
    builder = ReviewBuilder(restated, priced, now, then, last_year, problems)
    return Examined(builder.schedule(), now, builder.found), problems


def _last_year(
    asked: ReviewAsked, priced: Priced, practice: Practice
) -> tuple[LastYear | None, list[Problem]]:
    """The figures of last year's workbook, where one is named."""
    if asked.last_year is None:
        return None, []
    settings = practice.settings
    name = str(settings["practice_name"])
    return read_last_year(asked.last_year, priced.who, str(settings["currency"]), name)


def _answer(examined: Examined, problems: list[Problem], noticed: list[Problem]) -> Review:
    """The answers on the screen and for machines; nothing is written yet."""
    schedule = examined.schedule
    digits = int(schedule.model.settings["money_digits"].value)
    lines = lines_told(schedule.model, schedule.numbers, schedule.practice.settings["currency"], digits)
    figures = figures_told(schedule.model, schedule.numbers, examined.found, schedule.practice)
    return Review(problems, noticed, lines=lines, figures=figures)


def _written(out: Path, examined: Examined, result: Review) -> Review:
    """The workbook and the list of findings, named by the period's last day; nothing is overwritten."""
    out.mkdir(parents=True, exist_ok=True)
    stem = free_stem(out, f"Review to {examined.now.last.isoformat()}", (".xlsx", ".csv"))
    workbook, export = out / f"{stem}.xlsx", out / f"{stem}.csv"
    write_whole(workbook, lambda path: write_book(path, examined.schedule))
    write_whole(export, lambda path: save_list(path, findings_lines(result.figures["findings"])))
    return replace(result, workbook=workbook, export=export)
