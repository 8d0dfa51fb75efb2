"""Work that was billed on two invoices of one lab, or twice on one: the later line is asked back."""

from __future__ import annotations

import numpy as np
import pandas as pd

from feesheet.costing.meaning import UNIT
from feesheet.costing.roster import Roster
from feesheet.formula.model import Model, figure
from feesheet.formula.numbers import Numbers
from feesheet.formula.tree import Traced
from feesheet.practice import Practice
from feesheet.pricing.review.findings import Finding
from feesheet.pricing.review.lab.alloy_rows import terms_of
from feesheet.pricing.review.lab.letters import day_words, money_words
from feesheet.pricing.review.lab.line_tests import (
    amount_columns,
    back_words,
    converted_words,
    finding,
    tested_block,
    units_words,
    were,
    where,
)
from feesheet.pricing.review.lab.paid_back import add_paid_back
from feesheet.pricing.review.lab.repeats import repeated

TEST = "twice_tests"
_SAID = {
    "unit fee": "a unit fee", "extra": "an extra", "rush": "a rush charge", "alloy surcharge": "an alloy surcharge",
}  # fmt: skip
"""What was billed, by the kind of its line; of the others the kind itself says it."""


@figure("Money", "money")
def whole_money(amount: Traced, paid_back: Traced) -> Traced:
    """The whole line, less what came back already. Unit: money."""
    return amount + paid_back


def add(model: Model, practice: Practice, who: Roster, parts: pd.DataFrame) -> None:
    """Add the lines of the period that repeat an earlier one."""
    if TEST in model.blocks:
        return
    add_paid_back(model, parts)
    pairs = repeated(parts)
    lines = (
        parts.assign(line_no=np.arange(1, len(parts) + 1))
        .drop_duplicates("line")
        .set_index("line", drop=False)
    )
    rows, first = lines.loc[pairs["later"]], lines.loc[pairs["earlier"]]
    block = tested_block(
        TEST,
        "Work billed twice",
        rows,
        "Same case, the same weight of alloy, or papers that show it themselves; a tooth alone may be another patient's. "
        "Copies are counted once and are none.",
    )
    block.counter("first_line_no", "First line no.", first["line_no"].to_numpy(), "Row in the invoice lines.")
    block.given("first_invoice", "First invoice", pd.Categorical(first["invoice"].astype(str)), "code")
    block.given("first_date", "First date", list(first["date"]), "date")
    block.fetch(
        "first_amount",
        "First amount",
        "money",
        "lines.amount",
        "first_line_no",
        meaning="The first line's amount.",
    )
    amount_columns(block)
    block.worked(whole_money, name="money")
    model.add(block)


def found(
    model: Model, practice: Practice, who: Roster, parts: pd.DataFrame, numbers: Numbers
) -> list[Finding]:
    """The later lines, each named with the one that it repeats."""
    columns = ("line_no", "first_line_no", "money", "paid_back")
    places = zip(*(numbers.of(TEST, name) for name in columns), strict=True)
    least = float(model.settings["money_tolerance"].value)
    made, terms = [], terms_of(practice)
    for row, (later_no, first_no, money, back) in enumerate(places, start=1):
        later, first = parts.iloc[int(later_no) - 1], parts.iloc[int(first_no) - 1]
        if money <= least:
            continue
        words = (
            f"{where(later)}: {_what(later)} billed at {money_words(practice, float(later['amount']))}"
            f"{_before(later, first)}."
            f"{back_words(practice, float(back))} Please credit {money_words(practice, float(money))}."
            f"{converted_words(practice, later)}"
        )
        lines = (int(later["line"]), int(first["line"]))
        made.append(finding("billed twice", terms, later, lines, (TEST, row), float(money), words))
    return made


def billed_again(model: Model, practice: Practice, who: Roster, parts: pd.DataFrame) -> set[int]:
    """The lines that are asked back whole: no other test asks for a part of them."""
    add(model, practice, who, parts)
    rows = np.asarray(model.blocks[TEST].columns["line_no"].values, dtype=int) - 1
    return set(parts["line"].to_numpy()[rows].tolist())


def _before(later: pd.Series, first: pd.Series) -> str:
    """Where the same work was billed before."""
    if later["invoice_no"] == first["invoice_no"]:
        return " a second time on the same invoice, for the same case"
    return f", as for the same work on invoice {first['invoice'] or 'without a number'} of {day_words(first['date'])}"


def _what(line: pd.Series) -> str:
    """What was billed, with its verb."""
    if line["treatment"] == UNIT and line["material"]:
        return f"{units_words(line)} {were(line['units'])}"
    return f"{_SAID.get(str(line['kind']), line['kind'])} was"
