"""What a tiled case must come to: the same model with the case's values typed into it, one case at a time."""

from __future__ import annotations

import copy
import random
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from feesheet.formula.model import Model
from feesheet.formula.numbers import Numbers
from feesheet.formula.tiling import Cases, Key, following


def typed_in(model: Model, cases: Cases, case: int) -> Model:
    """The model with one case's counters and changed values in place of its own; what a change follows from is typed first."""
    changes = Numbers(model)
    factors, adds = (np.asarray(changes.of(cases.changes, name)) for name in ("factor", "added"))
    made = Model(dict(model.settings), copy.deepcopy(model.blocks))
    for (block, column), numbers in cases.counters.items():
        put(made, (block, column), list(numbers[case]))
    keys = list(cases.changed)
    before = {key: sum(key in following(model, {other}) for other in keys) for key in keys}
    for key in sorted(keys, key=before.__getitem__):
        rows = np.atleast_1d(cases.changed[key][case])
        present = (
            np.asarray(Numbers(made).of(*key)) if key[0] else np.array([float(made.settings[key[1]].value)])
        )
        there = rows > 0
        at = np.maximum(rows, 1) - 1
        put(made, key, np.where(there, present * factors[at] + adds[at], present))
    return made


def put(model: Model, key: Key, values: Any) -> None:
    """Type figures into a column of the model, or one into a setting."""
    block, name = key
    if not block:
        model.settings[name] = replace(model.settings[name], value=float(values[0]))
        return
    column = model.blocks[block].columns[name]
    model.blocks[block].columns[name] = replace(column, values=values, tree=None)


def compared(model: Model, cases: Cases) -> dict[Key, int]:
    """Hold every worked-out figure of every twin block against the typed model, bit for bit.

    Gives the columns that were compared, each with the number of rows in which it differs from the base.
    """
    base, tiled = Numbers(model), Numbers(model)
    typed = [Numbers(typed_in(model, cases, case)) for case in range(len(cases.titles))]
    moved: dict[Key, int] = {}
    for block in list(model.blocks.values()):
        twin = model.blocks.get(cases.twin(block.name))
        if twin is None:
            continue
        kept = list(cases.rows.get(block.aligned or block.name, range(block.rows)))
        for column in twin.columns:
            if column not in block.columns:
                continue
            found = np.asarray(tiled.of(twin.name, column)).reshape(len(typed), len(kept))
            wanted = np.array([np.asarray(one.of(block.name, column))[kept] for one in typed])
            same = (found == wanted) | ((found != found) & (wanted != wanted))
            assert same.all(), f"{twin.name}.{column}: {found[~same][:3]} is not {wanted[~same][:3]}"
            before = np.asarray(base.of(block.name, column))[kept]
            moved[block.name, column] = int(((found != before) & (before == before)).sum())
    return moved


def drawn_changes(rng: random.Random, model: Model, keys: Mapping[Key, int], cases: int) -> dict[Key, Any]:
    """Change numbers drawn for each column: `keys` says how many changes there are to draw from; 0: as it is."""
    result = {}
    for (block, column), most in keys.items():
        rows = model.blocks[block].rows if block else 1
        result[block, column] = np.array(
            [[rng.choice((0, rng.randint(1, most))) for _ in range(rows)] for _ in range(cases)]
        )
    return result
