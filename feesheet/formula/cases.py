"""What the cases of a model change, and the twin blocks in which each block's rows stand once a case."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from feesheet.formula.model import Block, Column, Model
from feesheet.formula.tree import Node

Key = tuple[str, str]
"""A column as (block, name); a setting as ("", name)."""

CaseRows = np.ndarray[Any, Any]
"""Whole numbers, one row a case and one column a row of the base block."""

CASE, BASE = "case_no", "base_row_no"
"""Columns of every twin block: the number of the row's case, and its row in the base block."""


@dataclass(frozen=True)
class Cases:
    """What the cases change.

    `name` begins the twin blocks' names, `sheet` is where they stand, `titles` says what each case is. `changed` has
    the columns and settings that are changed: the numbers of rows in the block `changes`, whose columns `factor` and
    `added` say how; 0 where nothing changes. `counters` has counters that a case replaces, with the new numbers.
    `rows` keeps only some rows (counted from 0) of a block, or of the blocks aligned under that name. `worked` has
    columns that every case works out in another way: the calculation as the base block would have it. `blocks` has
    blocks whose rows are others in every case, under the names of those that they stand in for: built alike, aligned
    with none. Without `changed` there need be no block `changes`.
    """

    name: str
    sheet: str
    titles: Sequence[str]
    changes: str
    changed: Mapping[Key, CaseRows]
    counters: Mapping[Key, CaseRows] = field(default_factory=dict)
    rows: Mapping[str, Sequence[int]] = field(default_factory=dict)
    worked: Mapping[Key, Node] = field(default_factory=dict)
    blocks: Mapping[str, Block] = field(default_factory=dict)

    def twin(self, block: str) -> str:
        """The name of a block's twin."""
        return f"{self.name}_{block}"

    @property
    def settings(self) -> str:
        """The name of the block with the settings of each case."""
        return self.twin("settings")

    def kept_rows(self, block: Block) -> Sequence[int]:
        """The rows of a block (counted from 0) that stand in each case."""
        return self.rows.get(block.aligned or block.name, range(block.rows))


def add_twins(
    model: Model,
    cases: Cases,
    columns: dict[str, dict[str, Column]],
    groups: dict[str, dict[str, tuple[str, ...]]],
) -> None:
    """Add the twin blocks of those columns ("": settings) and groups, in the order of the base blocks."""
    if columns.get(""):
        model.add(_settings_block(cases, columns[""]))
    for base in [block for block in model.blocks.values() if block.name in columns]:
        rows = cases.blocks.get(base.name, base)
        model.add(_twin(cases, rows, columns[base.name], groups.get(base.name, {})))


def _settings_block(cases: Cases, columns: dict[str, Column]) -> Block:
    block = Block(
        cases.settings,
        cases.sheet,
        "Settings of each case",
        len(cases.titles),
        label=("case",),
    )
    block.number()
    block.given("case", "Case", list(cases.titles))
    for column in sorted(columns.values(), key=lambda one: not one.counter):
        block.add(column)
    return block


def _twin(
    cases: Cases, base: Block, columns: dict[str, Column], groups: Mapping[str, tuple[str, ...]]
) -> Block:
    kept, count = list(cases.kept_rows(base)), len(cases.titles)
    aligned = cases.twin(base.aligned) if base.aligned else ""
    twin = Block(
        cases.twin(base.name),
        cases.sheet,
        base.title,
        len(kept) * count,
        aligned=aligned,
        label=("case", *base.label),
    )
    numbers = np.repeat(np.arange(1, count + 1), len(kept))
    twin.counter(CASE, "Case no.", numbers, "Number of the case.")
    if base.name not in cases.blocks:
        twin.counter(
            BASE, "Row no.", np.tile(np.asarray(kept) + 1, count), f"Row in the table: {base.title}."
        )
    twin.given("case", "Case", [title for title in cases.titles for _ in kept])
    for label in base.label:
        words = base.labels(label)
        twin.given(label, base.columns[label].heading, [words[row] for row in kept] * count)
    order = {name: position for position, name in enumerate(base.columns)}
    for name in sorted(columns, key=lambda name: (not columns[name].counter, order.get(name, -1))):
        if name not in base.label:
            twin.add(columns[name])
    for group, members in groups.items():
        twin.group(group, members)
    return twin
