"""Invoice lines and quotes that can't be taken as they stand: units, teeth, currencies."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from feesheet import reference
from feesheet.practice import Practice
from feesheet.problems import Problem
from feesheet.reading import currency_words
from feesheet.reading.discreet import shown
from feesheet.reading.line_facts import notations
from feesheet.reading.messages import Piece
from feesheet.reading.spelling import key
from feesheet.reading.units import unit_problem
from feesheet.schema import plain
from feesheet.teeth import parse_teeth

_SIGN_CODES = {
    "€": "EUR",
    "£": "GBP",
    "₹": "INR",
    "₩": "KRW",
    "₺": "TRY",
    "₽": "RUB",
    "₴": "UAH",
    "₪": "ILS",
    "฿": "THB",
}
"""Currency signs that name one currency; "$", "¥" and the like name several."""


def units(practice: Practice) -> list[Problem]:
    """Units of mass that are unknown or may name two masses, on quotes and on lines with a weight."""
    problems = []
    lines = practice.tables["invoice_lines"]
    weighed = lines["weight"].notna().to_numpy()
    for table, column, needed in (("metal_prices", "unit", None), ("invoice_lines", "weight_unit", weighed)):
        words = practice.tables[table][column]
        wrong = {word: problem for word in words.cat.categories if (problem := unit_problem(word))}
        if needed is None:
            wrong.pop("", None)
        bad = words.isin(wrong).to_numpy() & (True if needed is None else needed)
        for row in np.flatnonzero(bad):
            kind, what, do = wrong[words.iloc[row]]
            if table == "invoice_lines" and plain(words.iloc[row]) not in reference.UNCLEAR_UNITS:
                what = what.replace(words.iloc[row][:40], shown(words.iloc[row][:40]))
            problems.append(Problem(kind, what, do, *practice.place(table, int(row), column)))
    return problems


def teeth(practice: Practice) -> list[Problem]:
    """Teeth that the lab's notation does not know. Silent where the lab is unknown."""
    lines, ways = practice.tables["invoice_lines"], notations(practice)
    pairs = lines[["lab", "teeth"]].drop_duplicates().astype(object)
    bad = {}
    for lab, words in pairs.itertuples(index=False):
        notation = ways.get(key(lab))
        if notation and words and parse_teeth(words, notation) is None:
            bad[lab, words] = notation
    return list(_bad_teeth(practice, bad)) if bad else []


def _bad_teeth(practice: Practice, bad: dict[tuple[str, str], str]) -> Iterator[Problem]:
    lines = practice.tables["invoice_lines"]
    for row, pair in enumerate(zip(lines["lab"].astype(object), lines["teeth"].astype(object), strict=True)):
        if pair in bad:
            yield Problem(
                "unclear tooth",
                f'"{shown(pair[1][:40])}" names no teeth in the {bad[pair]} notation of this lab.',
                'Correct it, or the lab\'s notation on the sheet "Labs".',
                *practice.place("invoice_lines", row, "teeth"),
            )


def currencies(practice: Practice, pieces: list[tuple[str, Piece]]) -> list[Problem]:
    """Quotes, lines and amounts in another currency than the practice's."""
    own = practice.settings.get("currency")
    if not isinstance(own, str):
        return []
    return [*_named_currencies(practice, own), *_shown_currencies(own, pieces)]


def _named_currencies(practice: Practice, own: str) -> Iterator[Problem]:
    for table in ("metal_prices", "invoice_lines"):
        words = practice.tables[table]["currency"]
        other = {word for word in words.cat.categories if word and word.upper() != own}
        named = words.isin(other).to_numpy()
        for row in np.flatnonzero(named & ~_undated(practice) if table == "invoice_lines" else named):
            yield _foreign(words.iloc[row], own, practice.place(table, int(row), "currency"))


def _undated(practice: Practice) -> np.ndarray:
    """Lines whose currency has a rate and that lack a date alone: their date is asked for, no rate."""
    lines, rates = practice.tables["invoice_lines"], practice.tables["exchange_rates"]
    rated = set(rates.loc[rates["rate"].notna(), "foreign"].astype(str).str.upper())
    has_rate = lines["currency"].astype(str).str.upper().isin(rated)
    return np.asarray(has_rate & lines["date"].isna())


def _shown_currencies(own: str, pieces: list[tuple[str, Piece]]) -> Iterator[Problem]:
    for file, piece in pieces:
        shown = {_SIGN_CODES.get(sign, sign): (sign, cell) for sign, cell in piece.currencies.items()}
        codes = {code for code in shown if code in reference.minor_digits()}
        for code, (sign, cell) in shown.items():
            if (code in codes and code != own) or (code not in codes and len(shown) > 1):
                yield _foreign(sign, own, (file, piece.sheet, cell))


def _foreign(word: str, own: str, place: tuple[str, str, str]) -> Problem:
    said = word if currency_words.is_known(word) else shown(word)
    return Problem(
        "mixed currency",
        f'The amount is in "{said}", the practice counts in {own}.',
        f'Add the rate you paid to the sheet "Exchange rates", or convert it to {own}.',
        *place,
    )
