"""The second reading of a tree: a spreadsheet formula."""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol

from feesheet.formula.model import Block
from feesheet.formula.operations import ALL_OPERATIONS, ATOM, Operation
from feesheet.formula.tree import Above, Call, Name, Node, Value, Whole


class Layout(Protocol):
    """Where things stand. Row-bound references carry `ROW` marks, see `row_mark`."""

    def reference(self, name: str, block: Block) -> str:
        """The cell, in the same row, or the name of a setting."""

    def above(self, name: str, block: Block) -> str:
        """The cell one row up."""

    def whole(self, block: str, column: str) -> str:
        """A column's range."""


def row_mark(offset: int) -> str:
    """A mark that stands for the formula's own row plus an offset until the row is known."""
    return f"\x00{offset}\x00"


def at_rows(formula: str) -> Callable[[int], str]:
    """A formula with row marks as a function of the row (counted from 1).

    >>> at_rows("=A" + row_mark(0) + "*B" + row_mark(-1))(7)
    '=A7*B6'
    >>> at_rows("=TEXT(A" + row_mark(0) + ',"0%")&B' + row_mark(-1))(7)
    '=TEXT(A7,"0%")&B6'
    """
    pieces = formula.split("\x00")
    offsets = [int(piece) for piece in pieces[1::2]]
    literal = pieces[0::2]
    if not offsets:
        return lambda row: formula
    if len(set(offsets)) == 1:
        return lambda row: str(row + offsets[0]).join(literal)
    template = "%d".join(piece.replace("%", "%%") for piece in literal)
    return lambda row: template % tuple([row + offset for offset in offsets])


def formula(tree: Node, block: Block, layout: Layout) -> str:
    """The tree as a formula with row marks."""
    return "=" + _text(tree, block, layout)[0]


def _text(tree: Node, block: Block, layout: Layout) -> tuple[str, int]:
    match tree:
        case Name(name):
            return layout.reference(name, block), ATOM
        case Above(name):
            return layout.above(name, block), ATOM
        case Whole(other, column):
            return layout.whole(other, column), ATOM
        case Value(value):
            return (
                f'"{value.replace(chr(34), chr(34) * 2)}"' if isinstance(value, str) else f"{value:g}"
            ), ATOM
        case Call(operation, parts):
            made = ALL_OPERATIONS[operation]
            return _filled(operation, made, [_text(part, block, layout) for part in parts]), made.binds
    raise TypeError(f"{tree!r} is not part of a calculation")


def _filled(name: str, made: Operation, parts: list[tuple[str, int]]) -> str:
    texts = []
    for position, (text, binds) in enumerate(parts):
        loose = binds < _needed(made, position)
        texts.append(f"({text})" if loose else text)
    flags = (
        "".join(f",{flag},1" for flag in texts[3 if name == "total" else 2 :])
        if "{flags}" in made.excel
        else ""
    )
    return made.excel.format(*texts, all=made.separator.join(texts), flags=flags)


def _needed(made: Operation, position: int) -> int:
    """How tightly a part must hold together to stand without brackets."""
    if made.binds < ATOM:
        return made.binds + (1 if made.strict and position else 0)
    first = made.excel.find(f"{{{position}}}")
    inside_operator = any(mark in made.excel for mark in ("/", "*", "<=")) and first >= 0
    return (
        ATOM
        if inside_operator and not made.excel.startswith(("IF({0}", "INDEX", "SUMIFS", "COUNTIFS"))
        else 0
    )
