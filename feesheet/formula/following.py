"""What a column is worked out of, and what follows from it."""

from __future__ import annotations

from collections.abc import Iterator

from feesheet.formula.cases import Key
from feesheet.formula.model import Model
from feesheet.formula.tree import Name, Whole, walk


def read_by(model: Model, key: Key) -> Iterator[Key]:
    """The columns and settings that a column is worked out of."""
    if not key[0]:
        return
    block = model.blocks[key[0]]
    column = block.columns[key[1]]
    for tree in (column.tree, *column.trees):
        for part in walk(tree) if tree is not None else ():
            if isinstance(part, Whole):
                yield part.block, part.column
            elif isinstance(part, Name):
                home = model.home(part.name, block)
                members = home.groups.get(part.name, (part.name,)) if home else (part.name,)
                yield from ((home.name if home else "", member) for member in members)


def following(model: Model, sources: set[Key]) -> set[Key]:
    """Every column that follows from the sources, and the sources themselves."""
    known: dict[Key, bool] = dict.fromkeys(sources, True)

    def follows(key: Key) -> bool:
        if key not in known:
            known[key] = False  # a running total reads itself
            known[key] = any(follows(other) for other in read_by(model, key))
        return known[key]

    for block in model.blocks.values():
        for column in block.columns:
            follows((block.name, column))
    return {key for key, yes in known.items() if yes}
