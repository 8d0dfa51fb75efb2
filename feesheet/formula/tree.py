"""A calculation as a small tree, made by calling a plain function with names instead of numbers."""

from __future__ import annotations

import inspect
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, NoReturn

Traced = Any
"""What a traced function is given and gives: a number when called plainly, a `Node` when traced."""


class Node:
    """Something that ordinary arithmetic can be written with, and that remembers what was written."""

    __array_ufunc__ = None  # a numpy number on the left must not swallow the node

    def __add__(self, other: Traced) -> Node:
        """Sum."""
        return call("add", self, other)

    def __radd__(self, other: Traced) -> Node:
        """Sum."""
        return call("add", other, self)

    def __sub__(self, other: Traced) -> Node:
        """Difference."""
        return call("subtract", self, other)

    def __rsub__(self, other: Traced) -> Node:
        """Difference."""
        return call("subtract", other, self)

    def __mul__(self, other: Traced) -> Node:
        """Product."""
        return call("multiply", self, other)

    def __rmul__(self, other: Traced) -> Node:
        """Product."""
        return call("multiply", other, self)

    def __truediv__(self, other: Traced) -> Node:
        """Quotient."""
        return call("divide", self, other)

    def __rtruediv__(self, other: Traced) -> Node:
        """Quotient."""
        return call("divide", other, self)

    def __lt__(self, other: Traced) -> Node:
        """Whether less."""
        return call("less", self, other)

    def __le__(self, other: Traced) -> Node:
        """Whether at most."""
        return call("at_most", self, other)

    def __gt__(self, other: Traced) -> Node:
        """Whether more."""
        return call("more", self, other)

    def __ge__(self, other: Traced) -> Node:
        """Whether at least."""
        return call("at_least", self, other)

    def __bool__(self) -> NoReturn:
        """No: a tree has no truth of its own."""
        raise TypeError(
            "A calculation can't use if, and, or, max, min: write when, both, either, larger, smaller."
        )

    def __eq__(self, other: object) -> NoReturn:
        """No: what looks like a comparison would silently be false."""
        raise TypeError("A calculation can't use ==: write same.")

    __hash__ = object.__hash__


@dataclass(frozen=True, eq=False)
class Name(Node):
    """A figure by its name: a column of the same row, or a setting."""

    name: str


@dataclass(frozen=True, eq=False)
class Value(Node):
    """Nought, one or a word: all that may stand in a formula without a name of its own."""

    value: float | str


@dataclass(frozen=True, eq=False)
class Whole(Node):
    """A whole column of another block, for totals and look-ups."""

    block: str
    column: str


@dataclass(frozen=True, eq=False)
class Above(Node):
    """A column's figure in the row above."""

    name: str


@dataclass(frozen=True, eq=False)
class Call(Node):
    """An operation on parts."""

    operation: str
    parts: tuple[Node, ...]


def node(thing: Traced) -> Node:
    """A part of a tree: nodes as they are, nought, one and words as values; any other number needs a name."""
    if isinstance(thing, Node):
        return thing
    if isinstance(thing, str) or (isinstance(thing, (int, float)) and thing in (0, 1)):
        return Value(thing if isinstance(thing, str) else float(thing))
    raise TypeError(
        f"{thing!r} can't stand in a formula: give it a name in fixed_numbers.csv or the settings."
    )


def call(operation: str, *parts: Traced) -> Call:
    """The operation as a node."""
    return Call(operation, tuple(node(part) for part in parts))


def figure_in(block: str, column: str, row: int) -> Node:
    """The figure in one row, counted from 1, of another block's column.

    The row may stand in the formula as a number: it says where a figure is, as a cell's address does, and is none itself.
    """
    return call("lookup", Whole(block, column), Value(float(row)))


def trace(function: Callable[..., Traced], renamed: Mapping[str, str] | None = None) -> Node:
    """The function's tree, its arguments standing as names (`renamed`: argument to column).

    >>> trace(lambda alloy_g, alloy_price_per_g: alloy_g * alloy_price_per_g).operation
    'multiply'
    """
    renamed = renamed or {}
    arguments = {name: Name(renamed.get(name, name)) for name in inspect.signature(function).parameters}
    return node(function(**arguments))


def added(parts: Iterable[Traced]) -> Node:
    """The parts added up, in order; nought where there are none."""
    total: Traced = None
    for part in parts:
        total = part if total is None else total + part
    return node(0 if total is None else total)


def walk(tree: Node) -> Iterator[Node]:
    """Every node of the tree, top first."""
    yield tree
    if isinstance(tree, Call):
        for part in tree.parts:
            yield from walk(part)


def names_in(function: Callable[..., Traced]) -> set[str]:
    """What a calculation reads by name: columns and settings.

    >>> sorted(names_in(lambda alloy_g, alloy_price_per_g: alloy_g * alloy_price_per_g))
    ['alloy_g', 'alloy_price_per_g']
    """
    return {part.name for part in walk(trace(function)) if isinstance(part, Name)}
