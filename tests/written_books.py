"""Workbooks written from a practice on disk: the example's, and those of random practices."""

from __future__ import annotations

import random
from pathlib import Path

from practices import random_practice, write_practice

from feesheet.pricing.what_if.moves import scenario_of
from feesheet.pricing.what_if.swaps import with_grams
from feesheet.pricing.what_if.tornado import priced_metals
from feesheet.problems import errors
from feesheet.reading.folder import read_folder
from feesheet.reading.history_file import read_history
from feesheet.uses.annual_update import price
from feesheet.uses.review import Examined, examine
from feesheet.uses.review_asked import ReviewAsked, periods
from feesheet.uses.what_if_asked import Asked
from feesheet.uses.what_if_model import Builder
from feesheet.writing.book import Schedule, write_book

EXAMPLE = Path(__file__).resolve().parent.parent / "examples" / "practice"


def schedule_of(folder: Path) -> Schedule:
    """The practice in that folder read and priced; an error in reading is a failure."""
    practice, problems = read_folder(folder)
    wrong = [str(problem) for problem in errors(problems)]
    if wrong:
        raise AssertionError(f"no valid practice: {wrong}")
    priced, more = price(practice)
    return Schedule(practice, priced.model, priced.numbers, priced.inputs, problems + more)


HISTORY = EXAMPLE / "What-if" / "metal prices by day.csv"


def what_if_of(folder: Path, *words: str, history: Path | None = None) -> Schedule:
    """The what-if of the practice in that folder: one scenario of those words, or none; a refusal is a failure."""
    practice, problems = read_folder(folder)
    prices, more = read_history(history, practice) if history else (practice, [])
    scenario, refused = scenario_of(words, practice) if words else (None, [])
    wrong = [str(problem) for problem in (*errors(problems), *errors(more), *refused)]
    if wrong:
        raise AssertionError(wrong)
    priced, noticed = price(practice)
    metals = priced_metals(priced.model, priced.numbers)
    builder = Builder(practice, priced, Asked(), metals, problems + noticed)
    return builder.schedule([with_grams(scenario, practice)[0]] if scenario else [], prices)


def review_of(
    folder: Path, months: int | None = None, against: str = "", last_year: Path | None = None
) -> tuple[Schedule, Examined]:
    """The review of the practice in that folder; a refusal is a failure."""
    practice, problems = read_folder(folder)
    asked = ReviewAsked(months=months, against=against, last_year=last_year)
    now, then, more = periods(practice, asked)
    wrong = [str(problem) for problem in errors([*problems, *more])]
    examined, noticed = examine(practice, now, then, asked) if now and not wrong else (None, [])
    wrong += [str(problem) for problem in errors(noticed)]
    if wrong or examined is None:
        raise AssertionError(wrong)
    examined.schedule.problems[:0] = [*problems, *more]
    return examined.schedule, examined


def random_schedule(seed: int, folder: Path) -> Schedule:
    """A random practice of a random size, taken the whole way; its workbooks are put into the folder."""
    rng = random.Random(f"size {seed}")
    rows = random_practice(
        seed,
        sites=rng.randint(1, 3),
        materials=rng.randint(2, 6),
        lines=rng.choice((0, 20, 60, 120)),
        plans=rng.randint(0, 3),
    )
    return schedule_of(write_practice(rows, folder))


def written(schedule: Schedule, path: Path) -> Path:
    """The schedule's workbook at that path."""
    path.parent.mkdir(parents=True, exist_ok=True)
    write_book(path, schedule)
    return path
