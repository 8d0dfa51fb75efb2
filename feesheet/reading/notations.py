"""How a lab numbers teeth, where its row on the Labs sheet does not say: what its invoices show, or a question."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd

from feesheet.practice import Practice
from feesheet.problems import Problem
from feesheet.reading.spelling import key
from feesheet.teeth import infer_notation, parse_teeth


def inferred(practice: Practice) -> tuple[Practice, list[Problem]]:
    """The practice with a notation for every lab, and what was taken from the evidence or must be asked."""
    labs = practice.tables["labs"]
    ways = labs["tooth_notation"].astype(str).to_numpy(dtype=object)
    blank = np.flatnonzero((ways == "") & (labs["lab"].astype(str) != "").to_numpy())
    if not len(blank):
        return practice, []
    lines, problems = practice.tables["invoice_lines"], []
    pairs = lines[["lab", "teeth"]].drop_duplicates().astype(str)
    for row in blank:
        texts = list(pairs["teeth"][pairs["lab"].map(key) == key(str(labs["lab"].iloc[row]))])
        found = infer_notation(texts)
        ways[row] = found or "ISO"
        problem = _told(practice, int(row), found, texts)
        problems += [problem] if problem else []
    column = pd.Categorical(ways, categories=sorted({"", *ways}))
    tables = {**practice.tables, "labs": labs.assign(tooth_notation=column)}
    return replace(practice, tables=tables), problems


def _told(practice: Practice, row: int, found: str, texts: list[str]) -> Problem | None:
    """What is said of a lab whose notation is not typed; nothing where its teeth can be read in one way only."""
    place = practice.place("labs", row, "tooth_notation")
    lab = practice.tables["labs"]["lab"].iloc[row]
    if found:
        what = f'The teeth of "{lab}" are read in the {found} notation, as its invoices show.'
        return Problem("assumed", what, "Type it here, so that it stays so.", *place)
    if all(parse_teeth(text, "ISO") == parse_teeth(text, "universal") for text in texts):
        return None
    what = f'The teeth of "{lab}" can be read in either notation: 14 is one tooth in ISO and another in universal.'
    return Problem("unclear tooth", what, "Type ISO or universal here.", *place)
