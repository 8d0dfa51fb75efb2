"""Every calculation of costing and pricing, seen as a whole."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
from collections.abc import Callable
from typing import Any

import pytest

from feesheet import costing, pricing, reference
from feesheet.formula.model import Figure
from feesheet.formula.tree import Name, Node, trace, walk


def _traced_functions() -> dict[str, Callable[..., Any]]:
    """All functions marked as figures, by module and name."""
    found = {}
    for package in (costing, pricing):
        for info in pkgutil.walk_packages(package.__path__, f"{package.__name__}."):
            for name, thing in vars(importlib.import_module(info.name)).items():
                if inspect.isfunction(thing) and hasattr(thing, "figure") and thing.__module__ == info.name:
                    found[f"{info.name}.{name}"] = thing
    return found


FUNCTIONS = _traced_functions()


def test_there_are_some() -> None:
    """The search finds the calculations."""
    assert {"feesheet.costing.chair.expected_min", "feesheet.pricing.results.margin"} <= FUNCTIONS.keys()


@pytest.mark.parametrize("function", FUNCTIONS.values(), ids=FUNCTIONS.keys())
def test_defaults_are_the_published_numbers(function: Callable[..., Any]) -> None:
    """A default is the fixed number of the argument's name, so calling plainly and tracing mean one thing."""
    for name, parameter in inspect.signature(function).parameters.items():
        if name in reference.fixed_numbers():
            assert parameter.default == reference.fixed(name)
        elif name != "money_digits":
            assert parameter.default is inspect.Parameter.empty


@pytest.mark.parametrize("function", FUNCTIONS.values(), ids=FUNCTIONS.keys())
def test_meaning_is_a_sentence(function: Callable[..., Any]) -> None:
    """The workbook shows the docstring's first lines as the column's meaning: one or more whole sentences."""
    meaning = (inspect.getdoc(function) or "").split("\n\n")[0].split("\n>>>")[0]
    assert meaning and not meaning[0].islower() and meaning.rstrip().endswith((".", ")"))
    assert isinstance(function.figure, Figure)  # type: ignore[attr-defined]


@pytest.mark.parametrize("function", FUNCTIONS.values(), ids=FUNCTIONS.keys())
def test_every_one_is_traced(function: Callable[..., Any]) -> None:
    """Each can be traced: it decides nothing in Python and names all its numbers."""
    assert isinstance(trace(function), Node)


@pytest.mark.parametrize("function", FUNCTIONS.values(), ids=FUNCTIONS.keys())
def test_every_argument_is_used(function: Callable[..., Any]) -> None:
    """Each argument stands in the calculation: none is asked for and forgotten."""
    used = {part.name for part in walk(trace(function)) if isinstance(part, Name)}
    assert used == set(inspect.signature(function).parameters)
