"""What if: scenarios beside the baseline, what metal does to each crown and the year, and how long a quote is safe.

`what_if` is the recipe: read, price, add the what-if's blocks to the same model, write, tell.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from feesheet.practice import Practice
from feesheet.pricing.what_if import tornado
from feesheet.pricing.what_if.moves import listed_scenarios, scenario_of
from feesheet.pricing.what_if.scenario import Scenario
from feesheet.pricing.what_if.swaps import doubtful_prices, with_grams
from feesheet.problems import Problem, errors
from feesheet.reading.folder import read_folder
from feesheet.reading.history_file import read_history
from feesheet.reading.scenario_file import with_scenarios
from feesheet.schema import plain
from feesheet.uses.annual_update import Priced, Progress, price
from feesheet.uses.what_if_model import Asked, Builder, item_of
from feesheet.uses.what_if_told import figures_told, lines_told
from feesheet.writing.book import Schedule, write_book
from feesheet.writing.place import free_stem, write_whole
from feesheet.writing.scenario_file import write_scenario

FOLDER, SCENARIOS = "What-if", "Scenarios"


@dataclass(frozen=True)
class Answer:
    """The workbook, the saved scenario, the answers in lines and figures, and every problem; no workbook where an error stopped it.

    `noticed` are the notices that are about the what-if itself; `update` tells the others.
    """

    problems: list[Problem]
    noticed: list[Problem] = field(default_factory=list)
    workbook: Path | None = None
    saved: Path | None = None
    lines: list[str] = field(default_factory=list)
    figures: dict[str, Any] = field(default_factory=dict)


def what_if(
    folder: Path,
    asked: Asked,
    out: Path,
    progress: Progress | None = None,
    tell: Callable[[Answer], None] | None = None,
) -> Answer:
    """Answer, and write the workbook. Neither the inputs nor a fee schedule is touched.

    `tell` is called with the answers as soon as there are any, before the workbook is written.
    """
    practice, problems = read_folder(folder, progress, scenarios=True)
    if asked.scenario:
        practice, more = with_scenarios(asked.scenario, practice)
        problems += more
    if errors(problems):
        return Answer(problems)
    scenarios, of_scenarios = _scenarios(practice, asked)
    problems += of_scenarios
    history, more = (practice, []) if asked.history is None else read_history(asked.history, practice)
    problems += more
    priced, more = price(practice)
    problems += more
    metals = tornado.priced_metals(priced.model, priced.numbers)
    problems += _not_possible(asked, metals, priced)
    if errors(problems):
        return Answer(problems)
    read = len(problems)
    schedule = Builder(practice, priced, asked, metals, problems).schedule(scenarios, history)
    if errors(problems):
        return Answer(problems)
    for scenario in scenarios:
        problems += doubtful_prices(scenario, priced.model)
    answer = _answer(schedule, [*of_scenarios, *problems[read:]])
    if tell:
        tell(answer)
    workbook = None if asked.screen else _written(out, scenarios, schedule)
    saved = _saved(folder, scenarios) if asked.save and asked.moves else None
    return replace(answer, workbook=workbook, saved=saved)


def _answer(schedule: Schedule, noticed: list[Problem]) -> Answer:
    """The answers on the screen and for machines; nothing is written yet."""
    digits = int(schedule.model.settings["money_digits"].value)
    told = (schedule.model, schedule.numbers, schedule.practice.settings["currency"], digits)
    return Answer(schedule.problems, noticed, lines=lines_told(*told), figures=figures_told(*told))


def _written(out: Path, scenarios: list[Scenario], schedule: Schedule) -> Path:
    """The workbook, named by its scenario; nothing is overwritten."""
    out.mkdir(parents=True, exist_ok=True)
    many = f"{len(scenarios)} scenarios" if scenarios else "metal"
    title = scenarios[0].title if len(scenarios) == 1 else many
    workbook = out / f"{free_stem(out, file_name(f'What if {title}'), ('.xlsx',))}.xlsx"
    write_whole(workbook, lambda path: write_book(path, schedule))
    return workbook


def file_name(title: str) -> str:
    """A title that any system takes as a file's name.

    >>> file_name("What if gold 4,500; lab fees +5 %?")
    'What if gold 4,500; lab fees +5 %'
    """
    kept = "".join(" " if sign in '<>:"/\\|?*' or ord(sign) < 32 else sign for sign in title)
    return " ".join(kept.split())[:80].rstrip(" .")


def _saved(folder: Path, scenarios: list[Scenario]) -> Path:
    """The scenario beside the others; a sibling of the practice's own files that `update` does not read."""
    place = folder / SCENARIOS
    place.mkdir(exist_ok=True)
    return write_scenario(place / f"{file_name(scenarios[0].title)}.xlsx", scenarios[0])


def _scenarios(practice: Practice, asked: Asked) -> tuple[list[Scenario], list[Problem]]:
    """The scenario that was typed, and those of a file that was named; without either, those that are saved.

    Swaps get their change of grams.
    """
    found: list[Scenario] = []
    problems: list[Problem] = []
    if asked.moves:
        one, problems = scenario_of(asked.moves, practice, asked.title, asked.reason, asked.source, asked.day)
        found += [one] if one else []
    if asked.scenario or not asked.moves:
        listed, more = listed_scenarios(practice)
        found, problems = [*found, *listed], [*problems, *more]
    result = []
    for scenario in found:
        scenario, more = with_grams(scenario, practice)
        result.append(scenario)
        problems += more
    return result, problems


def _not_possible(asked: Asked, metals: list[str], priced: Priced) -> list[Problem]:
    """What was asked and cannot be: a metal without a price, a level, a hold, an item that is not there."""
    problems = []
    if asked.metal and plain(asked.metal) not in map(plain, metals):
        known = ", ".join(metals) or "none"
        what = f"{asked.metal} is in no alloy of an item, or has no price. Metals that are: {known}."
        problems.append(Problem("unknown name", what, "Name one of them."))
    if not 0.5 <= asked.level <= 0.999:
        what = f"A level of {asked.level:g} is outside 0.5 to 0.999."
        problems.append(Problem("out of range", what, "Type it as a fraction, for example 0.95."))
    if not 1 <= asked.hold_days <= 730:
        what = f"A quote can't be held for {asked.hold_days} days here."
        problems.append(Problem("out of range", what, "Name 1 to 730 days."))
    if len(asked.grid) not in (0, 2):
        what = f"The grid has two drivers, and {len(asked.grid)} are named."
        problems.append(Problem("missing value", what, 'Name two: --grid gold --grid "lab fees".'))
    if asked.code and item_of(asked, priced) is None:
        where = f" at {asked.site}" if asked.site else ""
        what = f"The fee schedule has no item {asked.code}{where}."
        problems.append(Problem("unknown name", what, "Use a code, and a site, of the sheet Current fees."))
    return problems
