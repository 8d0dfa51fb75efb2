"""Typed values out of the elements of an XML invoice; what can't be read becomes a problem with its line."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping
from datetime import date
from decimal import Decimal
from functools import cache
from xml.etree.ElementTree import Element

from feesheet import reference
from feesheet.problems import Problem
from feesheet.reading.invoices.e_invoice import Figure
from feesheet.reading.invoices.xml_tree import line_of
from feesheet.schema import plain
from feesheet.teeth import parse_teeth

_DECIMAL = re.compile(r"[+-]?(?:[0-9]{1,15}(?:\.[0-9]{0,10})?|\.[0-9]{1,10})")
_DAY = re.compile(r"([0-9]{4})-?([0-9]{2})-?([0-9]{2})(?:Z|[+-][0-9]{2}:[0-9]{2})?")
_YEARS = range(1970, 2200)
_LARGEST = Decimal(10) ** 8
_MOST_WORDS = 600
"""Longer names are cut: no product needs more characters, and no search should run over more."""

_ASK = "Ask the lab for a correct invoice, or type its lines into the sheet of invoice lines."
_EPOCH = date(1970, 1, 1)


class Values:
    """Reads values below an element by paths such as "cac:Item/cbc:Name"; `spaces` gives the prefixes."""

    def __init__(self, spaces: Mapping[str, str]) -> None:
        """Nothing is wrong yet, and no currency is known."""
        self.spaces = dict(spaces)
        self.currency = ""
        self.problems: list[Problem] = []

    def first(self, element: Element, path: str) -> Element | None:
        """The first element at that path."""
        return element.find(path, self.spaces)

    def all(self, element: Element, path: str) -> list[Element]:
        """Every element at that path."""
        return element.findall(path, self.spaces)

    def text(self, element: Element, path: str) -> str:
        """The words of the first element at that path, single-spaced, "" if there is none."""
        found = self.first(element, path)
        return _words(found)

    def texts(self, element: Element, paths: Iterable[str]) -> list[str]:
        """The words of every element at those paths, each once."""
        found = [_words(one) for path in paths for one in self.all(element, path)]
        return list(dict.fromkeys(word for word in found if word))

    def flag(self, element: Element, path: str) -> bool | None:
        """A truth value of XML Schema ("true", "1", "false" or "0"), None for anything else."""
        return {"true": True, "1": True, "false": False, "0": False}.get(self.text(element, path))

    def teeth(self, element: Element, path: str, name: str, value: str) -> str:
        """The teeth that a property of that name gives. Properties of any other name, a patient's too, stay unread."""
        for found in self.all(element, path):
            if plain(self.text(found, name)) in _tooth_names():
                words = self.text(found, value)
                if parse_teeth(words, "universal") or parse_teeth(words, "ISO"):
                    return words
        return ""

    def day(self, element: Element, path: str) -> float:
        """A date as days from 1970, NaN if there is none."""
        found = self.first(element, path)
        words = _words(found)
        if found is None or not words:
            return math.nan
        match = _DAY.fullmatch(words)
        try:
            day = date(*map(int, match.groups()[:3])) if match else None
        except ValueError:
            day = None
        if day is not None and day.year in _YEARS:
            return float((day - _EPOCH).days)
        self.problem("not a date", "The invoice date is no date that can be read.", found)
        return math.nan

    def figure(self, element: Element, path: str, what: str, must: bool = False) -> Figure | None:
        """The number at that path, None for one that may be missing and is; `what` it is called in a problem."""
        found = self.first(element, path)
        if found is not None and _words(found):
            return self.figure_of(found, what)
        if not must:
            return None
        self.problem("missing value", f"The {what} is missing.", element)
        return Figure(None, line_of(element))

    def figure_of(self, found: Element, what: str) -> Figure:
        """The number that the element holds."""
        words = _words(found)
        value = Decimal(words) if _DECIMAL.fullmatch(words) else None
        if value is None:
            self.problem("not a number", f"The {what} is not a number.", found)
        elif abs(value) > _LARGEST:
            self.problem("out of range", f"The {what} is larger than any lab would charge.", found)
            value = None
        self._check_currency(found)
        return Figure(value, line_of(found))

    def _check_currency(self, found: Element) -> None:
        other = found.get("currencyID", "")
        if self.currency and other and other != self.currency:
            what = f"An amount is not in {self.currency}, the currency of its invoice."
            self.problem("mixed currency", what, found)

    def problem(self, kind: str, what: str, element: Element, do: str = _ASK) -> None:
        """Keep a problem with the line of that element."""
        self.problems.append(Problem(kind, what, do, cell=f"line {line_of(element)}"))


def _words(element: Element | None) -> str:
    text = (element.text or "") if element is not None else ""
    return " ".join(text[: 4 * _MOST_WORDS].split())[:_MOST_WORDS]


@cache
def _tooth_names() -> frozenset[str]:
    """What labs call teeth, as headings of columns do."""
    rows = (row for row in reference.rows("invoice_headings") if row["field"] == "teeth")
    return frozenset(plain(word) for row in rows for word in row["words"].split("|"))


def currency_of(words: str) -> str:
    """A currency's three letters, "" for anything else."""
    return words if re.fullmatch(r"[A-Z]{3}", words) else ""


def joined(name: str, description: str) -> str:
    """Name and description of an item as one text, without saying the same twice."""
    if description.casefold() in name.casefold():
        return name
    return description if name.casefold() in description.casefold() else f"{name} {description}"


def case_of(reference: str, order: str, order_line: str) -> str:
    """The case that a line refers to: a paper of its own, an order, or an order's line that is more than a count."""
    counted = order_line.isdecimal() and len(order_line) < 4
    return reference or order or ("" if counted else order_line)
