"""Words of a sentence to a lab: days, money, shares, grams, teeth and counts, in the right number."""

from __future__ import annotations

from collections.abc import Sequence

import pandas as pd

from feesheet import reference
from feesheet.practice import Practice


def day_words(day: object) -> str:
    """A day as a letter says it.

    >>> day_words("2026-03-04")
    '4 March 2026'
    """
    when = pd.Timestamp(str(day))
    return f"{when.day} {when:%B %Y}"


def money_words(practice: Practice, amount: float) -> str:
    """An amount in the practice's currency, with its decimals."""
    currency = str(practice.settings["currency"])
    return f"{amount:,.{reference.minor_digits()[currency]}f} {currency}"


def price_words(practice: Practice, price: float) -> str:
    """A price of a gram, with two decimals at least."""
    currency = str(practice.settings["currency"])
    return f"{price:,.{max(2, reference.minor_digits()[currency])}f} {currency}"


def percent_words(share: float) -> str:
    """A share of the metal value, with a decimal only where it has one.

    >>> percent_words(0.25), percent_words(0.1234)
    ('25 %', '12.3 %')
    """
    shown = f"{share * 100:.1f}"
    return f"{shown.removesuffix('.0')} %"


def grams_words(grams: float) -> str:
    """Grams with two decimals."""
    return f"{grams:,.2f} g"


def counted(number: float, one: str, many: str = "") -> str:
    """A count with its noun in the right number.

    >>> counted(1, "line"), counted(3, "line"), counted(2, "tooth", "teeth"), counted(1.5, "unit")
    ('1 line', '3 lines', '2 teeth', '1.5 units')
    """
    return f"{number:g} {one if number == 1 else many or one + 's'}"


def listed(words: Sequence[str]) -> str:
    """Words in a row.

    >>> listed(["a"]), listed(["a", "b", "c"])
    ('a', 'a, b and c')
    """
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def teeth_words(iso: str) -> str:
    """The teeth of a line in ISO 3950; "" where it has none.

    >>> teeth_words("16"), teeth_words("14 15 16"), teeth_words("")
    ('tooth 16', 'teeth 14, 15 and 16', '')
    """
    teeth = iso.split()
    return f"{'tooth' if len(teeth) == 1 else 'teeth'} {listed(teeth)}" if teeth else ""


def place_words(invoice: str, day: object, iso: str = "") -> str:
    """Where a line stands, to begin a sentence with.

    >>> place_words("A-9", "2026-03-04", "16")
    'Invoice A-9 of 4 March 2026, tooth 16 (ISO)'
    """
    teeth = teeth_words(iso)
    return f"Invoice {invoice} of {day_words(day)}{f', {teeth} (ISO)' if teeth else ''}"
