"""Units whose wording says that the alloy is in their price, from labs that are said to bill alloy apart."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pandas as pd

from feesheet import reference
from feesheet.costing.lab_prices import all_in_labs
from feesheet.costing.line_notices import counted, first_place
from feesheet.costing.line_uses import USED
from feesheet.costing.meaning import UNIT
from feesheet.costing.wording import without_names
from feesheet.phrases import first, spaced
from feesheet.practice import Practice
from feesheet.problems import Problem
from feesheet.schema import plain

NEAR = 7
"""Words between which "included" and "alloy" must stand to belong together: a weight, its unit and a class fit in."""

_CURE = 'If so, set the lab\'s "Alloy billing" to all-in; if not, or not on all of its lines, ask the lab.'


def says_included(text: str) -> bool:
    """Whether a wording says that its price holds the alloy.

    >>> says_included("Full cast crown incl. 2.1 dwt alloy"), says_included("Gold crown, alloy not included")
    (True, False)
    """
    words = spaced(text)
    said = {row["part"]: row["words"] for row in reference.rows("included_words")}
    if first(words, said["denial"]) >= 0:
        return False
    every = words.split()
    windows = (f" {' '.join(every[at : at + NEAR])} " for at in range(len(every)))
    return first(words, said["alone"]) >= 0 or any(
        first(window, said["inclusion"]) >= 0 and first(window, said["alloy"]) >= 0 for window in windows
    )


def included_alloy(practice: Practice, parts: pd.DataFrame) -> Iterator[Problem]:
    """One notice for each lab and wording that says so where the alloy's cost comes on top of the lab fee."""
    materials = practice.tables["materials"]
    cast = {str(name) for name in materials.loc[materials["alloy"].astype(str) != "", "material"]}
    lines = parts[
        (parts["treatment"] == UNIT) & (parts["use"] == USED[0]) & parts["material"].astype(str).isin(cast)
    ]
    told = {wording: says_included(wording) for wording in lines["product"].astype(str).unique()}
    all_in = all_in_labs(practice)
    pairs = zip(lines["product"].astype(str), lines["lab"].astype(str), strict=True)
    so = [told[wording] and plain(lab) not in all_in for wording, lab in pairs]
    lines = lines[np.array(so, dtype=bool)]
    lines = lines.assign(
        words=without_names(practice, lines["product"]).astype(object), money=lines["amount"] * lines["share"]
    )
    for (lab, words), group in lines.groupby(["lab", "words"], observed=True, sort=False):
        what = (
            f'{lab}: "{words}", {counted(practice, group)}, says that the alloy is included, but the lab is said to '
            "bill alloy apart: its lab fee holds alloy, and the alloy's cost by weight comes on top."
        )
        yield Problem("may count twice", what, _CURE, *first_place(practice, group))
