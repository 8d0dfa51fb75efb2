"""The third reading of a tree: words, for the method page and for `feesheet explain`."""

from __future__ import annotations

from feesheet.formula.model import Block, Model
from feesheet.formula.operations import ALL_OPERATIONS, ATOM, Operation
from feesheet.formula.tree import Above, Call, Name, Node, Value, Whole


def words(tree: Node, block: Block, model: Model) -> str:
    """The calculation as a sentence part, in the headings that people see."""
    return _words(tree, block, model)[0]


def _words(tree: Node, block: Block, model: Model) -> tuple[str, int]:
    match tree:
        case Name(name):
            return model.heading(name, block), ATOM
        case Above(name):
            return f"{model.heading(name, block)} of the row above", ATOM
        case Whole(other, column):
            home = model.blocks[other]
            return f"{home.title}: {home.columns[column].heading}", ATOM
        case Value(value):
            return (f"“{value}”" if isinstance(value, str) else f"{value:g}"), ATOM
        case Call(operation, parts):
            return _said(operation, parts, block, model)
    raise TypeError(f"{tree!r} is not part of a calculation")


_PHRASE = 1
"""Binding power of an operation said in several words, looser than any sign."""


def _said(operation: str, parts: tuple[Node, ...], block: Block, model: Model) -> tuple[str, int]:
    made = ALL_OPERATIONS[operation]
    said = []
    for position, part in enumerate(parts):
        text, binds = _words(part, block, model)
        said.append(f"({text})" if binds < _needed(made, position) else text)
    flags = (
        "".join(f" and {flag} is 1" for flag in said[3 if operation == "total" else 2 :])
        if "{flags}" in made.words
        else ""
    )
    binds = made.binds if made.binds < ATOM else _PHRASE if " " in made.words else ATOM
    return made.words.format(*said, all=" and ".join(said), rest=", ".join(said[1:]), flags=flags), binds


def _needed(made: Operation, position: int) -> int:
    """How tightly a part must hold together to be said without brackets: where words follow it, as one thing."""
    if made.binds < ATOM:
        return made.binds + (1 if made.strict and position else 0)
    place = f"{{{position}}}"
    return ATOM if made.words.startswith(place) or f"/ {place}" in made.words else _PHRASE + 1
