"""Many cases of one model: its own calculations over rows that stand once for each case.

A case changes a few columns or settings. `tile` adds, for every block with a column that follows from a change, a twin
block: the base block's rows once a case, the same calculations, and beside them the figures that no case changes,
fetched from the base block. So cases are read as numbers, as formulas and in words like everything else, and there is
no second model.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from feesheet.formula.cases import BASE, CASE, CaseRows, Cases, Key, add_twins
from feesheet.formula.following import following, read_by
from feesheet.formula.model import Block, Column, Model
from feesheet.formula.tree import Call, Name, Node, Traced, Value, Whole, call, node

LOOK_UPS, TOTALS = ("lookup", "lookup_or"), ("total", "count", "total_product")


def tile(model: Model, cases: Cases, wanted: Sequence[Key]) -> None:
    """Add the twin blocks that the wanted columns need; a wanted column that no case changes is fetched for each."""
    tiler = _Tiler(model, cases)
    for key in wanted:
        tiler.need(key)
    add_twins(model, cases, tiler.columns, tiler.groups)


class _Tiler:
    """The twin blocks while they are made: their columns by name, in the order in which they were needed."""

    def __init__(self, model: Model, cases: Cases) -> None:
        self.model, self.cases = model, cases
        others = {(name, column) for name, block in cases.blocks.items() for column in block.columns}
        self.following = following(model, {*cases.changed, *cases.counters, *cases.worked, *others})
        self.columns: dict[str, dict[str, Column]] = {}
        self.groups: dict[str, dict[str, tuple[str, ...]]] = {}

    def need(self, key: Key) -> None:
        """See to it that the twin of the column's block has the column."""
        name, column = key
        made = self.columns.setdefault(name, {})
        if column in made:
            return
        made[column] = Column(column, "", "")  # holds its place while its parts are made
        if not name:
            made[column] = self._setting(column)
            return
        block = self.block(name)
        base = block.columns[column]
        if key in self.following and base.trees and key not in self.cases.worked:
            raise NotImplementedError(f"{name}.{column} is not worked out alike on every row by itself")
        if key in self.cases.counters:
            made[column] = replace(base, values=self.kept(block, self.cases.counters[key]))
        elif key in self.following and base.running:
            made[column] = self._running(block, base, *base.running)
        elif key not in self.cases.changed and self._is_fact(name, base):
            made[column] = replace(base, values=self._repeated(block, base))
        else:
            tree = self._worked(key, block, base)
            made[column] = Column(column, base.heading, base.unit, base.meaning, tree=tree, width=base.width)

    def block(self, name: str) -> Block:
        """The block that the cases have under that name: the model's, or what stands in for it."""
        return self.cases.blocks.get(name) or self.model.blocks[name]

    def _is_fact(self, name: str, base: Column) -> bool:
        """Whether the column stands in the twin as facts: those of other rows, or some that are not known."""
        return base.values is not None and (name in self.cases.blocks or _has_blanks(base))

    def _worked(self, key: Key, block: Block, base: Column) -> Node:
        """The calculation of the column as the twin has it; what no case changes is fetched."""
        tree: Node = call("lookup", Whole(*key), Name(BASE))
        own = self.cases.worked.get(key, base.tree)
        if own is not None and (key in self.cases.worked or self._reads_a_change(key)):
            tree = self.translated(own, block)
        return self._changed(key, tree) if key in self.cases.changed else tree

    def _reads_a_change(self, key: Key) -> bool:
        """Whether the cases have other figures than the model in what the column is worked out of, or other rows."""
        return key[0] in self.cases.blocks or any(part in self.following for part in read_by(self.model, key))

    def _running(self, block: Block, base: Column, amounts: str, key: str) -> Column:
        """The running total within each case: rows of one key stand together there too."""
        if list(self.cases.kept_rows(block)) != list(range(block.rows)):
            raise NotImplementedError(f"{block.name}.{base.name} runs over rows that are not kept")
        self.need((block.name, amounts))
        home, numbers = self._numbers(key, block)
        by = self._apart(home, key, numbers, int(numbers.max(initial=0)) + 1)
        running = Block("", "", "", 0)
        running.running_total(base.name, base.heading, base.unit, amounts, by, base.meaning)
        return running.columns[base.name]

    def _changed(self, key: Key, tree: Node) -> Node:
        """What a case makes of the calculation."""
        name, counter = key[0], f"{key[1]}_change"
        block = self.block(name)
        values = self.kept(block, self.cases.changed[key])
        heading = f"Change no. of {block.columns[key[1]].heading.lower()}"
        self._counter(name, counter, heading, values, "Row in the changed values; 0: as it is.")
        return node(_with_change(tree, self.cases.changes, counter))

    def _setting(self, setting: str) -> Column:
        declared = self.model.settings[setting]
        values = np.asarray(self.cases.changed[("", setting)]).ravel()
        heading = f"Change no. of {declared.heading.lower()}"
        self._counter("", f"{setting}_change", heading, values, "Row in the changed values; 0: as it is.")
        tree = _with_change(Name(setting), self.cases.changes, f"{setting}_change")
        return Column(
            f"case_{setting}", declared.heading, declared.unit, "As each case has it.", tree=node(tree)
        )

    def _counter(self, block: str, name: str, heading: str, values: CaseRows, meaning: str) -> None:
        column = Column(name, heading, "whole", meaning, values=values, counter=True)
        self.columns.setdefault(block, {})[name] = column

    def _repeated(self, block: Block, base: Column) -> list[Any]:
        """The facts of a column once a case: a fetched blank would be nought in a spreadsheet, a repeated one stays blank."""
        assert base.values is not None
        return [base.values[row] for row in self.cases.kept_rows(block)] * len(self.cases.titles)

    def translated(self, tree: Node, block: Block) -> Node:
        """The calculation as a twin block reads it."""
        match tree:
            case Name(name):
                return self._name(name, block)
            case Call(operation, (Whole(other, column), Name(position), *rest)) if operation in LOOK_UPS:
                rest = [self.translated(part, block) for part in rest]
                if (other, column) not in self.following:
                    return Call(operation, (tree.parts[0], self._name(position, block), *rest))
                self.need((other, column))
                moved = self._position(position, block, self.block(other))
                return Call(operation, (Whole(self.cases.twin(other), column), Name(moved), *rest))
            case Call(operation, parts) if operation in TOTALS:
                return self._total(operation, parts, block)
            case Call(operation, parts):
                return Call(operation, tuple(self.translated(part, block) for part in parts))
            case Whole(other, column) if (other, column) in self.following:
                raise NotImplementedError(f"{block.name}: all of {other}.{column} is not one figure a case")
        return tree

    def _name(self, name: str, block: Block) -> Node:
        home = self.model.home(name, block)
        if home is None:
            if ("", name) not in self.following:
                return Name(name)
            self.need(("", name))
            return call("lookup", Whole(self.cases.settings, f"case_{name}"), Name(CASE))
        for member in home.groups.get(name, (name,)):
            self.need((home.name, member))
        if name in home.groups:
            self.groups.setdefault(home.name, {})[name] = home.groups[name]
        return Name(name)

    def _position(self, counter: str, block: Block, other: Block) -> str:
        """A counter moved to the rows that the other block's twin has for the case; 0 stays 0."""
        home, numbers = self._numbers(counter, block)
        kept = self.cases.kept_rows(other)
        row = np.zeros(other.rows + 1, dtype=np.int64)
        row[np.asarray(kept, dtype=np.int64) + 1] = np.arange(1, len(kept) + 1)
        here = numbers[:, list(self.cases.kept_rows(home))]
        if (row[here] == 0)[here > 0].any():
            raise ValueError(f"{home.name}.{counter} points to rows of {other.name} that are not kept")
        cases = np.arange(len(numbers))[:, None] * len(kept)
        moved = np.where(numbers == 0, 0, row[numbers] + cases)
        if self._stays(home, counter, numbers, moved):
            return counter
        name = f"{counter}_in_{other.name}"
        meaning = f"Row of the case in the twin of: {other.title}; 0: none."
        heading = f"{home.columns[counter].heading} of the case: {other.title}"
        self._counter(home.name, name, heading, self.kept(home, moved), meaning)
        return name

    def _total(self, operation: str, parts: tuple[Node, ...], block: Block) -> Node:
        """A total over the rows of the same case."""
        wholes = [part for part in parts if isinstance(part, Whole)]
        if not any((part.block, part.column) in self.following for part in wholes):
            return Call(operation, tuple(self.translated(part, block) for part in parts))
        at = next(position for position, part in enumerate(parts) if isinstance(part, Name))
        key, keys = parts[at], parts[at - 1]
        assert isinstance(key, Name) and isinstance(keys, Whole)
        home, numbers = self._numbers(key.name, block)
        other, many = self._numbers(keys.column, self.block(keys.block))
        self._none_left_out(numbers, many, other)
        span = int(max(numbers.max(initial=0), many.max(initial=0))) + 1
        names = [
            self._apart(owner, counter, found, span)
            for owner, counter, found in ((home, key.name, numbers), (other, keys.column, many))
        ]
        result: list[Node] = []
        for position, part in enumerate(parts):
            if position == at:
                result.append(Name(names[0]))
            elif position == at - 1:
                result.append(Whole(self.cases.twin(keys.block), names[1]))
            else:
                assert isinstance(part, Whole)
                self.need((part.block, part.column))
                result.append(Whole(self.cases.twin(part.block), part.column))
        return Call(operation, tuple(result))

    def _apart(self, home: Block, counter: str, numbers: CaseRows, span: int) -> str:
        """A counter whose numbers of different cases never meet: each case's stand `span` above those before."""
        moved = numbers + np.arange(len(numbers))[:, None] * span
        if self._stays(home, counter, numbers, moved):
            return counter
        name, heading = f"{counter}_by_{span}", home.columns[counter].heading
        heading = f"{heading} of the case, {span} a case"
        meaning = "Rows with one number belong together."
        self._counter(home.name, name, heading, self.kept(home, moved), meaning)
        return name

    def _stays(self, home: Block, counter: str, numbers: CaseRows, moved: CaseRows) -> bool:
        """Whether a counter needs no moving: it then stands in the twin under its own name, unless it stands there in words."""
        if counter in home.label or not np.array_equal(numbers, moved):
            return False
        column = replace(home.columns[counter], values=self.kept(home, numbers))
        self.columns.setdefault(home.name, {})[counter] = column
        return True

    def _none_left_out(self, numbers: CaseRows, many: CaseRows, other: Block) -> None:
        """ValueError where a total would count rows that are not kept."""
        left = sorted({*range(other.rows)} - {*self.cases.kept_rows(other)})
        if np.isin(many[:, left], numbers).any():
            raise ValueError(f"a total counts rows of {other.name} that are not kept")

    def _numbers(self, counter: str, block: Block) -> tuple[Block, CaseRows]:
        """The block of a counter, and its numbers: one row a case."""
        home = self.model.home(counter, block)
        if home is None or home.columns[counter].values is None:
            raise NotImplementedError(f"{block.name}: {counter} is no given number of a row")
        replaced = self.cases.counters.get((home.name, counter))
        if replaced is not None:
            return home, replaced
        values = np.asarray(home.columns[counter].values, dtype=np.int64)
        return home, np.broadcast_to(values, (len(self.cases.titles), home.rows))

    def kept(self, block: Block, values: CaseRows) -> CaseRows:
        """Figures of all rows, one row a case: those of the kept rows, one below the other."""
        return np.asarray(values)[:, list(self.cases.kept_rows(block))].ravel()


def _has_blanks(column: Column) -> bool:
    """Whether some of the facts are not known."""
    return column.values is not None and any(
        value is None or value != value or value == "" for value in column.values
    )


def _with_change(figure: Traced, changes: str, counter: str) -> Traced:
    """The figure times the change's factor, plus what it adds."""
    factor = call("lookup_or", Whole(changes, "factor"), Name(counter), Value(1.0))
    added = call("lookup_or", Whole(changes, "added"), Name(counter), Value(0.0))
    return figure * factor + added
