"""The present minutes at last year's pay: what people would cost in each item if pay had stayed as it was."""

from __future__ import annotations

import numpy as np

from feesheet.formula.cases import CaseRows, Cases, Key
from feesheet.formula.model import Block, Model
from feesheet.formula.tiling import tile
from feesheet.pricing.review.last_year import LastYear, roles_then
from feesheet.pricing.review.then_book_facts import WORKINGS

PAY = "pay_then"
"""Begins the names of the blocks with the present minutes at last year's pay."""

_PAY_FIGURES = (("yearly_cost", "Yearly cost", "money"), ("productive_hours", "Productive hours", "number"))


def _pay_rows(model: Model, last_year: LastYear) -> list[tuple[int, int]]:
    """Each present role that was paid then: its row now and then, both counted from 1."""
    staff = model.blocks["staff"]
    labels = list(zip(staff.labels("role"), staff.labels("site"), strict=True))
    return [(now, then) for now, then in enumerate(roles_then(labels, last_year.roles), start=1) if then]


def pay_block(model: Model, last_year: LastYear) -> Block:
    """Last year's pay, a row a changed figure: how the case makes the present figure last year's."""
    pairs = _pay_rows(model, last_year)
    staff, rows = (
        model.blocks["staff"],
        [(now - 1, last_year.roles[then - 1], *of) for now, then in pairs for of in _PAY_FIGURES],
    )
    block = Block(
        "then_pay",
        WORKINGS,
        "Pay as in last year's workbook",
        len(rows),
        "A role that was not there then keeps its present pay.",
        label=("role", "site", "what"),
    )
    for name, heading in (("role", "Role"), ("site", "Site")):
        block.given(name, heading, [staff.labels(name)[now] for now, *_ in rows])
    block.given("what", "What", [heading for *_, heading, _ in rows])
    block.counter(
        "factor",
        "Kept of the present",
        [0] * len(rows),
        "0: last year's figure takes the present one's place.",
    )
    units = [unit for *_, unit in rows]
    values = [then.of(column) for _, then, column, *_ in rows]
    meaning = "As it was then."
    block.given("added", "Figure then", values, units[0] if units else "number", units=units, meaning=meaning)
    found = [(then.figures[column].sheet, then.figures[column].cell) for _, then, column, *_ in rows]
    block.given(
        "read_from", "Read from", [f"{last_year.file}: {sheet}, {cell}" for sheet, cell in found], width=44
    )
    return block


def add_pay_case(model: Model, last_year: LastYear) -> None:
    """People's cost of one unit at the present minutes and last year's pay, through the model's own calculations."""
    changed: dict[Key, CaseRows] = {
        ("staff", column): np.zeros((1, model.blocks["staff"].rows), dtype=np.int64)
        for column, *_ in _PAY_FIGURES
    }
    row = 0
    for now, _ in _pay_rows(model, last_year):
        for column, *_ in _PAY_FIGURES:
            row += 1
            changed["staff", column][0, now - 1] = row
    tile(model, Cases(PAY, WORKINGS, ["pay as last year"], "then_pay", changed), [("costs", "people_cost")])
