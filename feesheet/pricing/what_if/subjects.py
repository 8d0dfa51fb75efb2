"""What a scenario can change: where the names stand that follow "of", and which column's limits a new value must keep."""

from __future__ import annotations

import re
from dataclasses import dataclass

from feesheet import reference
from feesheet.practice import Practice
from feesheet.pricing.what_if.refusals import Refusal, near, quoted
from feesheet.pricing.what_if.scenario import DRIVERS, Driver
from feesheet.schema import Field, plain
from feesheet.tables import LAB_PRICES, MATERIALS, METAL_PRICES, OVERHEAD, PLANS, PRACTICE, STAFF


@dataclass(frozen=True)
class Subject:
    """One driver: `home` is the table and column that lists its names (none: the whole practice), `field` keeps the limits.

    `sort` says what a new value is: a price, an amount, a share, an alloy, or nothing but a change in %. With `each`
    a new value without a name after "of" holds for each of them; without, the name is asked for where there are several.
    """

    driver: Driver
    sort: str
    field: Field
    home: tuple[str, str] | None = None
    each: bool = True


_MATERIAL = ("materials", "material")

SUBJECTS: dict[Driver, Subject] = {
    subject.driver: subject
    for subject in (
        Subject("metal", "price", METAL_PRICES.field("price")),
        Subject("lab fees", "price", LAB_PRICES.field("quoted_price"), _MATERIAL),
        Subject("minutes", "change", MATERIALS.field("material"), _MATERIAL),
        Subject("pay", "amount", STAFF.field("yearly_cost"), ("staff", "role"), each=False),
        Subject("overhead", "amount", OVERHEAD.field("amount"), ("sites", "site"), each=False),
        Subject("supplies", "amount", MATERIALS.field("supplies"), _MATERIAL),
        Subject("remake rate", "share", MATERIALS.field("remake_rate"), _MATERIAL),
        Subject("plan share", "share", PLANS.field("plan_share"), ("plans", "plan"), each=False),
        Subject("target margin", "share", PRACTICE.field("target_margin")),
        Subject("collected share", "share", PRACTICE.field("collected")),
        Subject("card cost", "share", PRACTICE.field("card_cost")),
        Subject("alloy", "alloy", MATERIALS.field("alloy"), _MATERIAL, each=False),
    )
}
"""Every driver by its name."""

_OF = re.compile(r"\s+of(?:\s+|$)", re.IGNORECASE)


def metal_of(words: str) -> str:
    """The metal that a name or a chemical symbol stands for, "" for none.

    >>> metal_of("Au"), metal_of(" Gold "), metal_of("other")
    ('gold', 'gold', '')
    """
    word = plain(words)
    return next(
        (
            metal.name
            for metal in reference.metals().values()
            if metal.symbol and word in (metal.name, metal.symbol.lower())
        ),
        "",
    )


def subject_of(words: str, of: str, practice: Practice) -> tuple[Driver, str] | Refusal:
    """The driver, and its name as the practice spells it, of words such as "gold" or "lab fees" and a name or "".

    Where `of` is "" it may stand in the words themselves, as in "lab fees of zirconia".
    """
    head, mark, tail = words, "", of
    if not of and not metal_of(words) and (match := _OF.search(words)):
        head, mark, tail = words[: match.start()], "of", words[match.end() :]
    metal = metal_of(head)
    if metal:
        return _metal(metal, tail, practice)
    driver = next((name for name in DRIVERS if name != "metal" and plain(head) == name), None)
    if driver is None:
        return _unknown(head)
    if not tail.strip():
        return _whole(driver, bool(mark), practice)
    home = SUBJECTS[driver].home
    if home is None:
        what = f"the {driver} is one for the whole practice."
        return Refusal("unknown name", what, f"Leave out the words after {quoted(driver)}.", "of_whom")
    name = listed_name(tail, names_in(practice, home), home[1])
    return name if isinstance(name, Refusal) else (driver, name)


def _unknown(head: str) -> Refusal:
    metals = [name for name, metal in reference.metals().items() if metal.symbol]
    drivers = [name for name in DRIVERS if name != "metal"]
    hint = near(head.strip(), [*drivers, *metals])
    if hint.startswith("Known"):
        hint = f"Type a metal, or one of: {', '.join(drivers)}."
    return Refusal("unknown name", f"{quoted(head.strip())} is nothing that a scenario can change.", hint)


def _whole(driver: Driver, is_of: bool, practice: Practice) -> tuple[Driver, str] | Refusal:
    """The driver without a name: the name is missing after "of", or always needed."""
    home = SUBJECTS[driver].home
    if home and (is_of or driver in ("plan share", "alloy")):
        hint = near("", names_in(practice, home))
        return Refusal(
            "missing value", f"it names no {home[1]}.", f'Type "{driver} of" and a name. {hint}', "of_whom"
        )
    return driver, ""


def names_in(practice: Practice, home: tuple[str, str]) -> list[str]:
    """The names that one column of the practice lists, in its order."""
    table, column = home
    return [str(name) for name in practice.tables[table][column].astype(object).drop_duplicates() if name]


def listed_name(word: str, names: list[str], sort: str, field: str = "of_whom") -> str | Refusal:
    """The listed name that a word means: the very same first, then one without regard to marks and what is in brackets."""
    folded = " ".join(word.split()).casefold()
    found = [name for name in names if " ".join(name.split()).casefold() == folded]
    found = found or [name for name in names if plain(name) == plain(word)]
    if len(found) == 1:
        return found[0]
    if found:
        shown = " or ".join(quoted(name) for name in found)
        return Refusal(
            "unknown name", f"{quoted(word.strip())} can be {shown}.", "Type the whole name.", field
        )
    what = f"{quoted(word.strip())} is not among the practice's {sort}s."
    return Refusal("unknown name", what, near(word.strip(), names), field)


def _metal(metal: str, of: str, practice: Practice) -> tuple[Driver, str] | Refusal:
    """The metal, if an alloy of the practice holds it."""
    if of.strip():
        return Refusal(
            "unknown name",
            f"the price of {metal} is one for all.",
            'Leave out the words after "of".',
            "of_whom",
        )
    alloys = practice.tables["alloys"]
    if (alloys[metal] > 0).any():
        return "metal", metal
    held = [name for name, known in reference.metals().items() if known.symbol and (alloys[name] > 0).any()]
    do = near("", held) if held else 'The sheet "Alloys" lists no metal.'
    return Refusal("unknown name", f"no alloy of the practice holds {metal}.", do)
