"""Cost components and pricing rules, found through entry points; the built-in ones use the same door."""

from __future__ import annotations

from importlib.metadata import EntryPoint, entry_points
from inspect import isfunction
from typing import Any

from feesheet.costing.components import CURE, Component
from feesheet.formula.tree import trace
from feesheet.pricing.rules import Rule
from feesheet.problems import Problem
from feesheet.schema import plain

COMPONENTS = "feesheet.cost_components"
RULES = "feesheet.pricing_rules"

BUILT_IN = ("lab_fee", "alloy_cost", "supplies", "people_cost", "overhead_cost", "remake_cost")
"""Order of the built-in components; a stranger's follow by name."""


def components() -> tuple[list[Component], list[Problem]]:
    """Every cost component, the built-in ones first, and those that failed to load."""
    found, problems = _loaded(COMPONENTS, Component)
    order = {name: position for position, name in enumerate(BUILT_IN)}
    return sorted(found, key=lambda part: (order.get(part.name, len(order)), part.name)), problems


def rules() -> tuple[dict[str, Rule], list[Problem]]:
    """Every pricing rule by its name, and those that failed to load."""
    found, problems = _loaded(RULES, Rule)
    return {plain(rule.name): rule for rule in found}, problems


def _loaded(group: str, kind: type[Any]) -> tuple[list[Any], list[Problem]]:
    found, problems = [], []
    for point in sorted(entry_points(group=group), key=lambda point: point.name):
        thing = _load(point, kind)
        if isinstance(thing, Problem):
            problems.append(thing)
        else:
            found.append(thing)
    return found, problems


def _load(point: EntryPoint, kind: type[Any]) -> Any:
    """The object behind an entry point, or the problem that names it. A stranger's code may fail in any way."""
    try:
        thing = point.load()
        if isinstance(thing, kind):
            _try(thing)
            return thing
        wrong = f"is no {kind.__name__}"
    except (Exception, SystemExit) as failure:
        wrong = f"can't be used: {failure}"
    return Problem("plug-in failed", f'The plug-in "{point.name}" ({point.value}) {wrong.rstrip(".")}.', CURE)


def _try(thing: Component | Rule) -> None:
    """Trace its function once, so that one that can't be a formula fails here."""
    function = thing.work if isinstance(thing, Component) else thing.bound
    if not isfunction(function):
        raise TypeError("its calculation must be a plain function")
    trace(function)
    if not hasattr(function, "figure"):
        raise TypeError(f"mark {function.__name__} with figure(heading, unit)")
