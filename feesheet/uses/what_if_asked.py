"""What a what-if was asked, and what of it can't be, all of it told in one go."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from feesheet.practice import Practice
from feesheet.pricing.what_if.defaults import HOLD_DAYS, LEVEL, LEVELS, LONGEST_HOLD, TOLERANCE
from feesheet.pricing.what_if.tornado import drivers_moved, too_many_items
from feesheet.problems import Problem
from feesheet.schema import plain
from feesheet.uses.annual_update import Priced


@dataclass(frozen=True)
class Asked:
    """What is asked, as it was typed: moves in words, and how the answers are to be worked out.

    `scenario` is a file of scenarios, `watch` the metal that bands and overtakes are worked out for ("": the one that
    costs most in a year), `grid` the two drivers of the grid, `code` and `site` its item, `hold_days` how long a quote
    stands, `level` how sure the buffer is (fraction), `tolerance` how far a band may move a margin (fraction), `history`
    a file of metal quotes. With `screen` no workbook is written.
    """

    moves: tuple[str, ...] = ()
    scenario: Path | None = None
    title: str = ""
    reason: str = ""
    source: str = ""
    day: str = ""
    save: bool = False
    watch: str = ""
    grid: tuple[str, ...] = ()
    code: str = ""
    site: str = ""
    hold_days: int = HOLD_DAYS
    level: float = LEVEL
    tolerance: float = TOLERANCE
    history: Path | None = None
    screen: bool = False


def item_of(asked: Asked, priced: Priced) -> int | None:
    """The row of the asked code and site in the cost build-up."""
    for row, (code, site) in enumerate(zip(priced.who.items["code"], priced.who.items["site"], strict=True)):
        if plain(code) == plain(asked.code) and (not asked.site or plain(site) == plain(asked.site)):
            return row
    return None


def saved_titles(practice: Practice) -> set[str]:
    """The titles of the scenarios that the practice keeps, in small letters: capitals make no other title."""
    return {str(title).strip().casefold() for title in practice.tables["scenarios"]["scenario"]}


def without_effect(asked: Asked) -> list[Problem]:
    """Options that would do nothing as they are given."""
    problems = []
    given = {"--title": asked.title, "--reason": asked.reason, "--source": asked.source, "--date": asked.day}
    idle = [name for name, value in [*given.items(), ("--save", asked.save)] if value]
    if idle and not asked.moves:
        what = f"{' and '.join(idle)} say something of a change, and none is typed."
        problems.append(Problem("missing value", what, 'Type the change too, for example "gold=4500".'))
    if asked.site and not asked.code:
        problems.append(Problem("missing value", "--site names no item by itself.", "Add its --code."))
    return problems


def saved_before(asked: Asked, title: str, saved: set[str]) -> list[Problem]:
    """A title that a saved scenario has already: rows of one title are one scenario."""
    if not asked.save or title.strip().casefold() not in saved:
        return []
    what = f'A scenario "{title}" is saved already.'
    return [Problem("duplicate", what, "Give this one another --title, or ask without --save.")]


def not_possible(asked: Asked, metals: list[str], priced: Priced) -> list[Problem]:
    """What was asked and can't be: a metal without a price, a level, a hold, drivers of a grid, an item that is not there."""
    too_many = too_many_items(priced.model, drivers_moved(metals))
    return [*_of_figures(asked), *_of_names(asked, metals, priced), *too_many]


def _of_figures(asked: Asked) -> Iterator[Problem]:
    """Figures outside what they can be."""
    low, high = LEVELS
    if not low <= asked.level <= high:
        what = f"A level of {asked.level:g} is outside {low:g} to {high:g}."
        yield Problem("out of range", what, f"Type it as a fraction, for example {LEVEL:g}.")
    if not 1 <= asked.hold_days <= LONGEST_HOLD:
        what = f"A quote can't be held for {asked.hold_days} days here."
        yield Problem("out of range", what, f"Name 1 to {LONGEST_HOLD} days.")


def _of_names(asked: Asked, metals: list[str], priced: Priced) -> Iterator[Problem]:
    """Names that nothing has, and drivers that are too few or too many."""
    if asked.watch and plain(asked.watch) not in map(plain, metals):
        known = ", ".join(metals) or "none"
        what = f"{asked.watch} is in no alloy of an item, or has no price. Metals that are: {known}."
        yield Problem("unknown name", what, "Name one of them.")
    if len(asked.grid) not in (0, 2):
        what = f"The grid has two drivers, and {len(asked.grid)} are named."
        yield Problem("missing value", what, 'Name two: --grid gold --grid "lab fees".')
    if asked.code and item_of(asked, priced) is None:
        where = f" at {asked.site}" if asked.site else ""
        what = f"The fee schedule has no item {asked.code}{where}."
        yield Problem("unknown name", what, "Use a code, and a site, of the sheet Current fees.")
