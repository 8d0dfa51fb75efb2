"""The units that an alloy line is for: by tooth, else by case, else all on its invoice."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from feesheet.pricing.review.lab.alloy_of_units import units_behind

COLUMNS = ["line", "invoice_no", "case_no", "whole_teeth", "treatment"]


def _parts(*rows: tuple[int, int, str, str]) -> pd.DataFrame:
    """Lines of those invoices, cases, teeth and treatments, numbered from 0."""
    lines = pd.DataFrame([(number, *row) for number, row in enumerate(rows)], columns=COLUMNS)
    return lines.assign(copy=False, material="cast gold", units=1.0, role="")


def _behind(*rows: tuple[int, int, str, str]) -> list[tuple[int, int]]:
    """Each alloy line with each of its units."""
    parts = _parts(*rows)
    pairs = units_behind(parts[parts["treatment"] == "alloy"], parts)
    return [(int(line), int(of)) for line, of in zip(pairs["line"], pairs["of_line"], strict=True)]


@pytest.mark.parametrize(
    ("line", "units"),
    [
        ((1, 0, "16 17", "alloy"), [0, 1]),  # either of its teeth, once each
        ((1, 5, "16", "alloy"), [0]),  # the tooth before the case; a unit without a case may be of any
        ((1, 6, "26", "alloy"), [2]),  # the tooth is another case's: the units of its own
        ((1, 6, "", "alloy"), [2]),
        ((1, 9, "48", "alloy"), [0, 1, 2, 3]),  # neither tooth nor case: all on the invoice
        ((1, 0, "", "alloy"), [0, 1, 2, 3]),
        ((2, 0, "16", "alloy"), [4]),
        ((3, 5, "16", "alloy"), []),
    ],
)
def test_tooth_then_case_then_invoice(line: tuple[int, int, str, str], units: list[int]) -> None:
    """The nearest way that finds a unit on the invoice counts, and no other."""
    work = [
        (1, 0, "16 17", "unit"), (1, 5, "17", "unit"), (1, 6, "36", "remake"), (1, 7, "26", "unit"), (2, 5, "16", "unit"),
    ]  # fmt: skip
    assert _behind(*work, line) == [(len(work), unit) for unit in units]


def test_a_large_invoice_makes_few_pairs() -> None:
    """A thousand works of one invoice, each with its case and alloy, are a thousand pairs."""
    teeth = np.resize([str(10 * jaw + place) for jaw in range(1, 5) for place in range(1, 9)], 1000)
    rows = [(1, case, tooth, of) for case, tooth in enumerate(teeth, start=1) for of in ("unit", "alloy")]
    assert _behind(*rows) == [(2 * at + 1, 2 * at) for at in range(1000)]
