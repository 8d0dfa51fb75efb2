"""Blocks of columns: the tables that a workbook is made of, whatever program works them out.

A column is either given (facts as read) or worked out (a tree over other columns). Blocks that share
`aligned` have the same rows in the same order and may name each other's columns.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any, TypeAlias

import numpy as np
import pandas as pd

from feesheet.formula import operations as op
from feesheet.formula.tree import Above, Call, Name, Node, Traced, Whole, call, node, trace

Facts: TypeAlias = Sequence[Any] | np.ndarray[Any, Any] | pd.Categorical
"""Given figures or words, one a row."""

_TRUTHS = frozenset({"less", "at_most", "more", "at_least", "same", "all_of", "any_of", "known"})

CARRIED = {"sum": "cumsum", "least": "cummin", "most": "cummax"}
"""What a running figure carries down: the sum, the least or the most so far; and what pandas calls it."""


@dataclass(frozen=True)
class Figure:
    """What a traced function makes: the column's heading and its unit."""

    heading: str
    unit: str


def figure(heading: str, unit: str) -> Callable[[Callable[..., Traced]], Callable[..., Traced]]:
    """Mark a plain function as a calculation that makes a column: its name is the column's name."""

    def mark(function: Callable[..., Traced]) -> Callable[..., Traced]:
        function.figure = Figure(heading, unit)  # type: ignore[attr-defined]
        return function

    return mark


@dataclass(frozen=True)
class Column:
    """One column: what it is called, means and holds.

    `values` are the given facts, one a row; `tree` is the calculation of a worked-out column, `trees` one calculation
    a row (summaries and checks, whose rows are about different things). An `entry` may be
    typed over in the workbook, within `low` and `high`, one for all or one a row; its `places` say where it was read. A `counter` is the
    number of a row in some block. `running` names the (amounts, key) of a running figure, `carried` says what of the
    rows above goes on in it (one of `CARRIED`). `units` has a unit a row where the rows are of several; `unit` then is
    the first one's.
    """

    name: str
    heading: str
    unit: str
    meaning: str = ""
    values: Facts | None = None
    tree: Node | None = None
    trees: Sequence[Node] = ()
    entry: bool = False
    counter: bool = False
    low: float | Sequence[float] | None = None
    high: float | Sequence[float] | None = None
    places: Sequence[tuple[str, str, str]] = ()
    running: tuple[str, str] | None = None
    carried: str = "sum"
    units: Sequence[str] = ()
    width: float | None = None


@dataclass(frozen=True)
class Setting:
    """One figure that holds everywhere, read by its name. `fixed` ones carry a published source, not a place."""

    name: str
    heading: str
    unit: str
    value: Any
    source: str
    low: float | None = None
    high: float | None = None
    fixed: bool = False
    choices: tuple[str, ...] = ()


@dataclass
class Block:
    """A table of the workbook, built column by column, left to right. `label` names the columns that tell rows apart."""

    name: str
    sheet: str
    title: str
    rows: int
    note: str = ""
    aligned: str = ""
    label: tuple[str, ...] = ()
    columns: dict[str, Column] = field(default_factory=dict)
    groups: dict[str, tuple[str, ...]] = field(default_factory=dict)

    def add(self, column: Column) -> None:
        """Add a column; two of one name are the programmer's mistake."""
        if column.name in self.columns:
            raise ValueError(f"{self.name} has two columns {column.name}")
        self.columns[column.name] = column

    def given(self, name: str, heading: str, values: Facts, unit: str = "text", **more: Any) -> None:
        """Facts as read, one a row."""
        if len(values) != self.rows:
            raise ValueError(f"{self.name}.{name} has {len(values)} values for {self.rows} rows")
        self.add(Column(name, heading, unit, values=values, **more))

    def labels(self, column: str) -> list[str]:
        """The words of a given column."""
        values = self.columns[column].values
        return [] if values is None else [str(value) for value in values]

    def number(self) -> None:
        """The rows' own numbers, 1 to n, that counters in other blocks point to."""
        self.given(
            "no", "No.", list(range(1, self.rows + 1)), "whole", counter=True, meaning="The row's number."
        )

    def counter(self, name: str, heading: str, values: Facts, meaning: str) -> None:
        """Numbers of rows in another block."""
        self.given(name, heading, values, "whole", counter=True, meaning=meaning)

    def worked(
        self, function: Callable[..., Traced], name: str = "", heading: str = "", **renamed: str
    ) -> None:
        """A column worked out by a traced function; `renamed` says which column an argument takes."""
        made: Figure = function.figure  # type: ignore[attr-defined]
        meaning = (inspect.getdoc(function) or "").split("\n\n")[0].replace("\n", " ")
        tree = _as_number(trace(function, renamed))
        self.add(Column(name or function.__name__, heading or made.heading, made.unit, meaning, tree=tree))

    def fetch(
        self,
        name: str,
        heading: str,
        unit: str,
        source: str,
        by: str,
        if_none: Traced = None,
        meaning: str = "",
    ) -> None:
        """A figure of the row of another block that the counter `by` points to."""
        whole = _whole(source)
        tree = (
            call("lookup", whole, Name(by))
            if if_none is None
            else call("lookup_or", whole, Name(by), if_none)
        )
        self.add(Column(name, heading, unit, meaning, tree=tree))

    def total(
        self,
        name: str,
        heading: str,
        unit: str,
        source: str,
        where: str,
        by: str,
        *flags: str,
        meaning: str = "",
    ) -> None:
        """The sum of a column of another block over the rows whose counter `where` is this row's `by`."""
        parts = [_whole(source), _whole(where), Name(by), *(_whole(flag) for flag in flags)]
        self.add(Column(name, heading, unit, meaning, tree=call("total", *parts)))

    def count(self, name: str, heading: str, where: str, by: str, *flags: str, meaning: str = "") -> None:
        """The number of rows of another block whose counter `where` is this row's `by`."""
        parts = [_whole(where), Name(by), *(_whole(flag) for flag in flags)]
        self.add(Column(name, heading, "whole", meaning, tree=call("count", *parts)))

    def running_total(self, name: str, heading: str, unit: str, amounts: str, key: str, meaning: str) -> None:
        """The sum of a column from the first row with the same key (rows of one key stand together) down to this one."""
        carried = op.when(op.same(Name(key), Above(key)), Above(name), 0)
        self.add(Column(name, heading, unit, meaning, tree=Name(amounts) + carried, running=(amounts, key)))

    def running_limit(
        self, name: str, heading: str, unit: str, amounts: str, key: str, meaning: str, carried: str
    ) -> None:
        """The least or the most of a column from the first row with the same key (such rows stand together) down to this one."""
        limit = {"least": op.smaller, "most": op.larger}[carried]
        tree = op.when(op.same(Name(key), Above(key)), limit(Above(name), Name(amounts)), Name(amounts))
        self.add(Column(name, heading, unit, meaning, tree=tree, running=(amounts, key), carried=carried))

    def tree(self, name: str, heading: str, unit: str, tree: Node, meaning: str) -> None:
        """A column whose tree is put together by hand, where one function can't know how many parts there are."""
        self.add(Column(name, heading, unit, meaning, tree=_as_number(tree)))

    def listed(
        self,
        name: str,
        heading: str,
        unit: str,
        trees: Sequence[Traced],
        meaning: str,
        width: float | None = None,
        units: Sequence[str] = (),
    ) -> None:
        """A column whose rows are worked out each in its own way; `units` where they are of several units."""
        worked = tuple(_as_number(node(tree)) for tree in trees)
        self.add(Column(name, heading, unit, meaning, trees=worked, width=width, units=units))

    def group(self, name: str, columns: Sequence[str]) -> None:
        """Neighbouring columns that are read together, one a plan."""
        self.groups[name] = tuple(columns)


def _whole(dotted: str) -> Whole:
    block, _, column = dotted.partition(".")
    return Whole(block, column)


def _as_number(tree: Node) -> Node:
    """A truth as 1 or 0, so that it can be counted."""
    if isinstance(tree, Call) and tree.operation in _TRUTHS:
        return call("when", tree, 1, 0)
    return node(tree)


@dataclass
class Model:
    """Everything a workbook says: settings, blocks in order, and where a name is looked for."""

    settings: dict[str, Setting] = field(default_factory=dict)
    blocks: dict[str, Block] = field(default_factory=dict)

    def add(self, block: Block) -> Block:
        """Add a block."""
        self.blocks[block.name] = block
        return block

    def names(self, aligned: str) -> set[str]:
        """The columns and groups of all blocks with those rows."""
        blocks = [block for block in self.blocks.values() if block.aligned == aligned]
        return {name for block in blocks for name in (*block.columns, *block.groups)}

    def home(self, name: str, block: Block) -> Block | None:
        """The block that the name means a column of: this one, or one aligned with it; None for a setting."""
        if name in block.columns or name in block.groups:
            return block
        if block.aligned:
            for other in self.blocks.values():
                if other.aligned == block.aligned and (name in other.columns or name in other.groups):
                    return other
        if name in self.settings:
            return None
        raise KeyError(f"{block.name}: nothing is called {name}")

    def heading(self, name: str, block: Block) -> str:
        """What people call it."""
        home = self.home(name, block)
        if home is None:
            return self.settings[name].heading
        return (
            home.columns[name].heading if name in home.columns else home.columns[home.groups[name][0]].heading
        )
