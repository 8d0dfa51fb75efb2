"""The cost components that can take part, and the settings that plug-ins bring with them."""

from __future__ import annotations

from feesheet import plugins
from feesheet.costing.components import Component, OwnSetting
from feesheet.formula.model import Setting
from feesheet.practice import Practice
from feesheet.problems import Problem


def cost_parts(practice: Practice) -> tuple[list[Component], list[Setting], list[Problem]]:
    """The components whose settings are all typed in the Practice sheet, those settings, and what keeps others out."""
    parts, problems = plugins.components()
    complete: list[Component] = []
    own: list[Setting] = []
    for part in parts:
        found = [_typed(practice, wanted) for wanted in part.settings]
        typed = [setting for setting in found if setting is not None]
        if len(typed) == len(found):
            complete.append(part)
            own += typed
        problems += [
            _missing(practice, part, wanted)
            for wanted, setting in zip(part.settings, found, strict=True)
            if setting is None
        ]
    return complete, own, problems


def _typed(practice: Practice, wanted: OwnSetting) -> Setting | None:
    """The setting as typed; None where it is missing, no number or out of range."""
    value = practice.settings.get(wanted.name)
    if not isinstance(value, (int, float)) or not wanted.low <= value <= wanted.high:
        return None
    place = ", ".join(practice.setting_cells.get(wanted.name, ()))
    return Setting(wanted.name, wanted.heading, wanted.unit, float(value), place, wanted.low, wanted.high)


def _missing(practice: Practice, part: Component, wanted: OwnSetting) -> Problem:
    limits = f"a number from {wanted.low:g} to {wanted.high:g}"
    what = f'The cost component {part.name} needs the setting "{wanted.heading}", {limits}.'
    if wanted.name in practice.setting_cells:
        return Problem("missing value", what, "Correct it.", *practice.setting_cells[wanted.name])
    return Problem("missing value", what, f'Add a row "{wanted.name}" with its value to the Practice sheet.')
