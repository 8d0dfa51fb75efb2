"""What tests of single lines have in common: where a line stands, what it charges, and how a finding is made of it."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence

import numpy as np
import pandas as pd

from feesheet.formula.model import Block, Model
from feesheet.formula.numbers import Numbers
from feesheet.practice import Practice
from feesheet.pricing.review.findings import Finding
from feesheet.pricing.review.lab.alloy_rows import Terms, terms_of
from feesheet.pricing.review.lab.letters import money_words, place_words
from feesheet.pricing.review.lab.paid_back import SHEET, paid_back_column

Sentence = Callable[[int, pd.Series, float], str]
"""Makes a finding's sentence of the block's row (from 0), the line and the money."""


def tested_block(name: str, title: str, rows: pd.DataFrame, note: str) -> Block:
    """A block of tested lines (`line_no` among their columns), with where they stand and what they charge."""
    block = Block(name, SHEET, title, len(rows), note, label=("lab", "invoice"))
    block.number()
    block.counter("line_no", "Line no.", rows["line_no"].to_numpy(), "Row in the invoice lines.")
    block.given("lab", "Lab", pd.Categorical(rows["lab"].astype(str)))
    block.given("invoice", "Invoice", pd.Categorical(rows["invoice"].astype(str)), "code")
    block.given("date", "Date", list(rows["date"]), "date")
    block.given("teeth", "Teeth (ISO 3950)", list(rows["whole_teeth"].astype(str)))
    return block


def amount_columns(block: Block) -> None:
    """The line's amount, and what of it came back."""
    block.fetch("amount", "Amount", "money", "lines.amount", "line_no", meaning="The line's amount.")
    paid_back_column(block)


def findings(
    kind: str,
    test: str,
    model: Model,
    practice: Practice,
    parts: pd.DataFrame,
    numbers: Numbers,
    says: Sentence,
    but: Collection[int] = (),
) -> list[Finding]:
    """A finding for each row of the test (from 0, but for those named) whose money is over half of the smallest coin."""
    money = np.asarray(numbers.of(test, "money"), dtype=float)
    places = np.asarray(numbers.of(test, "line_no"), dtype=int) - 1
    least = float(model.settings["money_tolerance"].value)
    found, terms = [], terms_of(practice)
    for row in np.flatnonzero(money > least).tolist():
        line, due = parts.iloc[places[row]], float(money[row])
        if row in but:
            continue
        sentence = says(row, line, due) + converted_words(practice, line)
        found.append(finding(kind, terms, line, (int(line["line"]),), (test, row + 1), due, sentence))
    return found


def finding(
    kind: str,
    terms: Terms,
    line: pd.Series,
    lines: Sequence[int],
    at: tuple[str, int],
    money: float,
    words: str,
) -> Finding:
    """A finding about a line of parts, its figure in that block and row."""
    lab, site, invoice = (str(line[name]) for name in ("lab", "site", "invoice"))
    left = terms.left(lab, line["date"])
    return Finding(kind, lab, site, invoice, tuple(lines), *at, money, words, left)


def where(line: pd.Series) -> str:
    """Invoice, day and teeth of a line, to begin a sentence with."""
    return place_words(str(line["invoice"]) or "without a number", line["date"], str(line["whole_teeth"]))


def units_words(line: pd.Series) -> str:
    """The line's units and their material.

    >>> units_words(pd.Series({"units": 1.0, "material": "cast gold"}))
    '1 unit of cast gold'
    """
    return f"{line['units']:g} {'unit' if line['units'] == 1 else 'units'} of {line['material']}"


def were(number: float) -> str:
    """The verb of so many.

    >>> were(1), were(3)
    ('was', 'were')
    """
    return "was" if number == 1 else "were"


def back_words(practice: Practice, paid_back: float) -> str:
    """What has come back already, as a sentence of its own; "" where nothing has."""
    return f" {money_words(practice, -paid_back)} of it was taken off already." if paid_back < 0 else ""


def converted_words(practice: Practice, line: pd.Series) -> str:
    """That the invoice is in another currency, and at which rate the amounts are converted; "" where it is not."""
    own = str(practice.settings["currency"])
    billed = str(line.get("billed_currency", own))
    if billed == own:
        return ""
    return f" The invoice is in {billed}; amounts are converted at {line['exchange_rate']:g} {own} for 1 {billed}."
