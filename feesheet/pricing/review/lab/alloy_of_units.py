"""Alloy lines of the period with the units that they are for."""

from __future__ import annotations

import numpy as np
import pandas as pd

from feesheet.costing.meaning import ALLOY, REMAKE, UNIT
from feesheet.pricing.review.lab.paid_back import SURCHARGE


def charged_alloy(parts: pd.DataFrame, again: set[int]) -> pd.DataFrame:
    """The period's alloy lines and surcharges that were charged, with their row `line_no`; copies and the lines `again`, billed twice, are left out."""
    lines = parts.assign(line_no=np.arange(1, len(parts) + 1)).drop_duplicates("line")
    alloy = (lines["treatment"] == ALLOY) | (lines["kind"] == SURCHARGE)
    lines = lines[alloy & lines["in_window"] & ~lines["copy"] & (lines["amount"] > 0)]
    return lines[~lines["line"].isin(again)].reset_index(drop=True)


def units_behind(alloy: pd.DataFrame, parts: pd.DataFrame) -> pd.DataFrame:
    """The units that alloy lines are for: those of their teeth on their invoice, else of their case there, else all on it.

    One row a pair: `line` of the alloy, `made_of`, `of_line`, `of_units` and `of_role` of the unit.
    """
    made = parts[parts["treatment"].isin((UNIT, REMAKE)) & ~parts["copy"]].drop_duplicates("line")
    made = made[["invoice_no", "case_no", "whole_teeth", "line", "material", "units", "role"]].rename(
        columns={"case_no": "of_case", "whole_teeth": "of_teeth", "line": "of_line", "material": "made_of", "units": "of_units",
                 "role": "of_role"}
    )  # fmt: skip
    pairs = alloy[["line", "invoice_no", "case_no", "whole_teeth"]].merge(made, on="invoice_no")
    teeth = zip(pairs["whole_teeth"].astype(str), pairs["of_teeth"].astype(str), strict=True)
    other_case = (pairs["case_no"] > 0) & (pairs["of_case"] > 0) & (pairs["case_no"] != pairs["of_case"])
    near = [len(set(one.split()) & set(other.split())) > 0 for one, other in teeth]
    same_case = (pairs["case_no"] > 0) & (pairs["case_no"] == pairs["of_case"])
    rank = np.select([np.array(near, dtype=bool) & ~other_case, same_case], [1, 2], 3)
    return pairs[rank == pd.Series(rank, index=pairs.index).groupby(pairs["line"]).transform("min")]
