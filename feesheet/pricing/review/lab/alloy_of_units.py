"""Alloy lines of the period with the units that they are for."""

from __future__ import annotations

import numpy as np
import pandas as pd

from feesheet.costing.meaning import ALLOY, REMAKE, UNIT
from feesheet.pricing.review.lab.cases_of_lines import SURCHARGE

_OF_UNIT = {
    "case_no": "of_case", "whole_teeth": "of_teeth", "line": "of_line", "material": "made_of", "units": "of_units",
    "role": "of_role",
}  # fmt: skip
"""What a unit's columns are called beside those of the alloy line."""


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
        columns=_OF_UNIT
    )
    lines = alloy[["line", "invoice_no", "case_no", "whole_teeth"]]
    near = _by_tooth(lines, made)
    far = lines[~lines["line"].isin(near["line"])]
    same_case = far[far["case_no"] > 0].merge(
        made, left_on=["invoice_no", "case_no"], right_on=["invoice_no", "of_case"]
    )
    rest = far[~far["line"].isin(same_case["line"])].merge(made, on="invoice_no")
    pairs = pd.concat([near, same_case, rest]).sort_values(["line", "of_line"], ignore_index=True)
    return pairs[["line", "made_of", "of_line", "of_units", "of_role"]]


def _by_tooth(lines: pd.DataFrame, made: pd.DataFrame) -> pd.DataFrame:
    """Alloy lines with the units of their invoice that have a tooth of theirs, but for those of another case."""
    alloy_teeth, unit_teeth = (
        frame.assign(tooth=frame[teeth].astype(str).str.split()).explode("tooth").dropna(subset="tooth")
        for frame, teeth in ((lines, "whole_teeth"), (made, "of_teeth"))
    )
    pairs = alloy_teeth.merge(unit_teeth, on=["invoice_no", "tooth"]).drop_duplicates(["line", "of_line"])
    known = (pairs["case_no"] > 0) & (pairs["of_case"] > 0)
    return pairs[~known | (pairs["case_no"] == pairs["of_case"])]
