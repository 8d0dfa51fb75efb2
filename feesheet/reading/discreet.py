"""Cells of invoice lines and of work seated quoted in problems: never a word, number or day that may be a patient's.

The cell's address tells which one is meant; what is quoted is only there to be recognised.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace

from feesheet import reference
from feesheet.problems import Problem
from feesheet.schema import Field
from feesheet.tables import INVOICE_LINES, SEATED
from feesheet.wording import clean, trade_words

_FIGURE = re.compile(r"[\W\d]{0,14}[^\W\d_]{0,3}\.?", re.UNICODE)
"""A number with at most a sign, a currency or a slip of a few letters."""
_THREE = re.compile(r"\d+[-/.]\d+[-/.]\d+")
_OLD = re.compile(r"(?<!\d)1\d{3}(?!\d)|(?<!\d)1\d{7}(?!\d)")
"""The year of a day before 2000, which is no invoice's: it may be somebody's birthday."""
_OLD_DAY = re.compile(r"\b1\d{3}-\d\d-\d\d\b")
_EXAMPLE = re.compile(r'(?<="[.,]" \()[^()]*(?=\))')
"""What is quoted in brackets after a decimal mark."""
_QUOTED = re.compile(r'"([^"]*)"')
_HEADINGS = frozenset(field.heading for field in (*INVOICE_LINES.fields, *SEATED.fields))


def discreet(field: Field, problems: Iterable[Problem]) -> list[Problem]:
    """The problems of one column of such a table, what they quote made safe to show."""
    days = field.kind == "date"
    return [
        one if one.kind == "no charge" else replace(one, what=_said(one.what, days), do=_said(one.do, days))
        for one in problems
    ]


def _said(words: str, days: bool) -> str:
    plainer = _EXAMPLE.sub(lambda match: shown(match[0], days), _OLD_DAY.sub("…", words))
    return _QUOTED.sub(
        lambda match: match[0] if match[1] in _HEADINGS else f'"{shown(match[1], days)}"', plainer
    )


def shown(text: str, days: bool = False) -> str:
    """A cell's text as it may be shown: figures as they stand, days only in a column of days, no unknown word.

    >>> shown("$"), shown("CAD"), shown("Roe")
    ('$', 'CAD', '…')
    >>> shown("12,5O"), shown("Doe J"), shown("03/04/2026", days=True), shown("crown?")
    ('12,5O', '…', '03/04/2026', 'crown?')
    >>> shown("03/04/2026"), shown("03/04/1961", days=True), shown("20260304"), shown("20260304", days=True)
    ('…', '…', '…', '20260304')
    """
    if text.upper() in reference.minor_digits():
        return text
    digits = sum(map(str.isdigit, text)) or not any(map(str.isalpha, text))
    as_day = days and not _OLD.search(text)
    if _FIGURE.fullmatch(text) and (as_day or not _THREE.search(text)) and 0 < digits < (9 if as_day else 8):
        return text
    return clean(text, trade_words())
