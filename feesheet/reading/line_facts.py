"""What several checks of invoice lines ask of them: treatment, invoice, sheet, and how many teeth are named."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pandas as pd

from feesheet.practice import Practice
from feesheet.reading.spelling import key
from feesheet.teeth import parse_teeth

MOST_INVOICES = 5
"""Invoices that one notice names; the rest are counted."""


def invoice_numbers(lines: pd.DataFrame, *also: str) -> np.ndarray:
    """A number for each line's lab and invoice, and for what else should tell lines apart."""
    numbers = lines.groupby(["lab", "invoice", *also], observed=True, sort=False).ngroup()
    return np.asarray(numbers, dtype=np.int64)


def notations(practice: Practice) -> dict[str, str]:
    """The tooth notation of each lab, by its `key`; an own mill writes ISO."""
    labs = practice.tables["labs"]
    mills = practice.tables["milling"]["lab"].astype(object)
    listed = zip(labs["lab"].astype(object), labs["tooth_notation"].astype(object), strict=True)
    return {**{key(mill): "ISO" for mill in mills}, **{key(lab): way for lab, way in listed}}


def teeth_named(practice: Practice) -> np.ndarray:
    """How many teeth each line names; 0 for none, and where lab, notation or teeth are not understood."""
    lines, ways = practice.tables["invoice_lines"], notations(practice)
    labs, teeth = lines["lab"].cat, lines["teeth"].cat
    joint = labs.codes.to_numpy().astype(np.int64) * len(teeth.categories) + teeth.codes.to_numpy()
    pairs, where = np.unique(joint, return_inverse=True)
    counts = [
        len(parse_teeth(words, way) or ()) if words and way else 0
        for lab, words in (
            (labs.categories[pair // len(teeth.categories)], teeth.categories[pair % len(teeth.categories)])
            for pair in pairs
        )
        for way in (ways.get(key(lab), ""),)
    ]
    return np.asarray(np.array(counts, dtype=np.int64)[where])


def some(names: Sequence[str], of: int | None = None) -> str:
    """The first few of many, the rest counted; `of` is how many there are if only the first are given.

    >>> some(["A-1", "A-2"]), some(list("abcdefg")), some(list("abcde"), 9)
    ('A-1; A-2', 'a; b; c; d; e … and 2 more', 'a; b; c; d; e … and 4 more')
    """
    rest = (len(names) if of is None else of) - MOST_INVOICES
    return "; ".join(names[:MOST_INVOICES]) + (f" … and {rest} more" if rest > 0 else "")
