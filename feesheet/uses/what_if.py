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
from feesheet.pricing.what_if.history import up_to_pricing
from feesheet.pricing.what_if.moves import listed_scenarios, scenario_of
from feesheet.pricing.what_if.scenario import Scenario
from feesheet.pricing.what_if.swaps import doubtful_prices, with_grams
from feesheet.problems import Problem, errors
from feesheet.reading.folder import read_folder
from feesheet.reading.history_file import read_history
from feesheet.reading.scenario_file import with_scenarios
from feesheet.uses.annual_update import Progress, price
from feesheet.uses.what_if_asked import Asked, not_possible, saved_before, saved_titles, without_effect
from feesheet.uses.what_if_model import Builder
from feesheet.uses.what_if_told import figures_told, lines_told
from feesheet.writing.book import Schedule, write_book
from feesheet.writing.place import free_stem, write_whole
from feesheet.writing.scenario_file import write_scenario

SCENARIOS = "Scenarios"
"""The folder of the saved scenarios inside a practice folder."""

LONGEST_NAME = 80
"""Letters of a title that its file's name keeps."""

_DEVICES = frozenset(
    {"con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in range(1, 10))}
)
"""Names that Windows keeps for devices."""


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
    problems += without_effect(asked)
    kept = saved_titles(practice)
    if asked.scenario:
        practice, more = with_scenarios(asked.scenario, practice)
        problems += more
    if errors(problems):
        return Answer(problems)
    scenarios, of_scenarios = _scenarios(practice, asked)
    problems += of_scenarios + saved_before(asked, scenarios[0].title if scenarios else "", kept)
    history, of_history = _history(practice, asked)
    problems += of_history
    priced, more = price(practice)
    problems += more
    metals = tornado.priced_metals(priced.model, priced.numbers)
    problems += not_possible(asked, metals, priced)
    if errors(problems):
        return Answer(problems)
    read = len(problems)
    schedule = Builder(practice, priced, asked, metals, problems).schedule(scenarios, history)
    if errors(problems):
        return Answer(problems)
    for scenario in scenarios:
        problems += doubtful_prices(scenario, priced.model)
    answer = _answer(schedule, [*of_scenarios, *of_history, *problems[read:]])
    if tell:
        tell(answer)
    workbook = None if asked.screen else _written(out, scenarios, schedule)
    saved = _saved(folder, scenarios) if asked.save and asked.moves else None
    return replace(answer, workbook=workbook, saved=saved)


def _history(practice: Practice, asked: Asked) -> tuple[Practice, list[Problem]]:
    """The quotes that quote safety is worked out from, up to the pricing date, and what is wrong with a file of them."""
    if asked.history is None:
        return up_to_pricing(practice)[0], []
    read, problems = read_history(asked.history, practice)
    history, more = up_to_pricing(read)
    return history, [*problems, *more]


def _answer(schedule: Schedule, noticed: list[Problem]) -> Answer:
    """The answers on the screen and for machines; nothing is written yet."""
    digits = int(schedule.model.settings["money_digits"].value)
    model, numbers = schedule.model, schedule.numbers
    lines = lines_told(model, numbers, schedule.practice.settings["currency"], digits)
    return Answer(schedule.problems, noticed, lines=lines, figures=figures_told(model, numbers))


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
    >>> file_name("???"), file_name("CON")
    ('scenario', 'CON scenario')
    """
    kept = "".join(" " if sign in '<>:"/\\|?*' or ord(sign) < 32 else sign for sign in title)
    name = " ".join(kept.split())[:LONGEST_NAME].strip(" .") or "scenario"
    return f"{name} scenario" if name.split(".")[0].lower() in _DEVICES else name


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
