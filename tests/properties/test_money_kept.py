"""Not a cent of an invoice is lost or made between reading and costing, however lines are split."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from practices import random_practice
from priced import read_rows

from feesheet.costing.lines import understand
from feesheet.costing.meaning import CONTROL
from feesheet.costing.product_names import with_kinds
from feesheet.practice import Practice
from feesheet.uses.annual_update import price

SEEDS = range(12)


def close(one: float, other: float) -> bool:
    """The same to nine digits."""
    return math.isclose(one, other, rel_tol=1e-9, abs_tol=1e-6)


def with_cases(practice: Practice) -> Practice:
    """The practice with case numbers on its lines, several invoices to a case."""
    lines = practice.tables["invoice_lines"]
    cases = [f"case {number % 7}" if number % 3 else "" for number in range(len(lines))]
    tables = {**practice.tables, "invoice_lines": lines.assign(case=cases).astype({"case": "category"})}
    return replace(practice, tables=tables)


@pytest.mark.parametrize("seed", SEEDS)
def test_used_set_aside_and_control_are_what_was_read(seed: int) -> None:
    """Used + set aside + control = read; so do the parts of each line, the invoices with their copies, and every check."""
    practice = with_cases(with_kinds(read_rows(random_practice(seed))))
    read = practice.tables["invoice_lines"]["amount"].sum()
    parts, _ = understand(practice)
    priced, _ = price(practice)
    of = priced.numbers.of
    control = (parts["amount"] * parts["share"])[parts["treatment"] == CONTROL].sum()

    assert close(of("lines", "used_amount").sum() + of("lines", "aside_amount").sum() + control, read)
    assert all(close(share, 1) for share in parts.groupby("line")["share"].sum())
    assert close(
        of("invoice_totals", "lines_read").sum() + of("files", "copies").sum(), of("files", "read").sum()
    )
    assert of("state", "number")[0] == 0


@pytest.mark.parametrize("seed", SEEDS)
def test_no_credit_is_given_twice(seed: int) -> None:
    """The shares of each credit add up to 1, and no claim gets more than it charged but from the last of its credits."""
    priced, _ = price(with_cases(read_rows(random_practice(seed, lines=120))))
    shares: dict[int, float] = {}
    for line, share in zip(
        priced.numbers.of("credits", "credit_line_no"),
        priced.numbers.of("credits", "credit_share"),
        strict=True,
    ):
        shares[int(line)] = shares.get(int(line), 0.0) + float(share)

    assert all(close(share, 1) for share in shares.values())
