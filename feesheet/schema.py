"""What a column of an input table means, is called and looks like.

One `Table` of `Field`s drives five things: reading, problems, the blank template, the documentation
and random test data. Nothing about a column is said anywhere else.
"""

from __future__ import annotations

import random
import re
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache
from typing import Any, Literal

FieldKind = Literal[
    "text",  # any words
    "code",  # text that may look like a number: kept as text, leading zeros too
    "money",  # an amount in the practice's currency
    "number",  # any number
    "whole",  # a whole number
    "fraction",  # a share or rate, 0.18 for 18 %
    "grams",  # a mass in g
    "minutes",  # a time in min
    "date",  # a calendar day
    "choice",  # one of `choices`
    "yes_no",  # yes or no
    "teeth",  # one tooth or several, in the lab's notation
]

NUMERIC_KINDS = frozenset({"money", "number", "whole", "fraction", "grams", "minutes"})


@dataclass(frozen=True)
class Field:
    """One column: its name in the program, its heading on paper and everything a person needs to fill it in.

    `required` means that the column must be there and each cell filled; `default` is what a blank cell of
    an optional field stands for (None: nothing is known). `low` and `high` are inclusive.
    """

    name: str
    heading: str
    kind: FieldKind
    help: str
    example: Any
    unit: str = ""
    also: tuple[str, ...] = ()
    required: bool = True
    default: Any = None
    low: float | None = None
    high: float | None = None
    choices: tuple[str, ...] = ()

    @property
    def names(self) -> tuple[str, ...]:
        """Every heading that this column answers to, made plain."""
        return tuple(dict.fromkeys(plain(word) for word in (self.heading, self.name, *self.also)))


@dataclass(frozen=True)
class Table:
    """One input table. `key` names the columns that tell its rows apart; `many` lets it stand on several sheets.

    A `vertical` table is a list of settings: one row a field, with the headings "Setting" and "Value".
    """

    name: str
    sheet: str
    help: str
    fields: tuple[Field, ...]
    key: tuple[str, ...] = ()
    also: tuple[str, ...] = ()
    many: bool = False
    required: bool = False
    vertical: bool = False
    workbook: str = ""

    def field(self, name: str) -> Field:
        """The field of that name."""
        return next(field for field in self.fields if field.name == name)

    @property
    def names(self) -> tuple[str, ...]:
        """Every sheet name that this table answers to, made plain."""
        return tuple(dict.fromkeys(plain(word) for word in (self.sheet, self.name, *self.also)))

    @property
    def required_fields(self) -> tuple[Field, ...]:
        """The columns that must be there."""
        return tuple(field for field in self.fields if field.required)


_BRACKETS = re.compile(r"[\(\[].*?[\)\]]")
_MARKS = re.compile(r"[^\w%]+")


def plain(words: object) -> str:
    """A heading without case, spacing, punctuation or a unit in brackets, so that headings can be compared.

    >>> plain("  Yearly  cost (EUR) ")
    'yearly cost'
    """
    return _plain(str(words))


@lru_cache(maxsize=10_000)
def _plain(words: str) -> str:
    """The same few names stand in very many lines."""
    closed = max(words.rfind(")"), words.rfind("]")) + 1
    text = f"{_BRACKETS.sub(' ', words[:closed])}{words[closed:]}" if closed else words
    return " ".join(_MARKS.sub(" ", text.replace("_", " ")).lower().split())


def sample(field: Field, rng: random.Random) -> Any:
    """A random valid value of the field, for test data."""
    if field.choices:
        return rng.choice(field.choices)
    if field.kind == "yes_no":
        return rng.choice(("yes", "no"))
    if field.kind == "date":
        return date(2026, 1, 1) + timedelta(days=rng.randrange(365))
    if field.kind in NUMERIC_KINDS:
        return _sample_number(field, rng)
    return f"{field.heading} {rng.randrange(1000)}"


def _sample_number(field: Field, rng: random.Random) -> float:
    low = 0.0 if field.low is None else field.low
    high = low + 1000.0 if field.high is None else field.high
    if field.kind == "whole":
        return rng.randint(int(low), int(min(high, low + 1000)))
    return round(low + (high - low) * rng.random() * 0.999, 4)
