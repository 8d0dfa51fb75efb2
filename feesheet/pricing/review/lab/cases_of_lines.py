"""The case of each line, as the audit asks about it: a case number often stands on the unit's line alone.

Alloy and charges of the same teeth on the same invoice are of the unit's case, where the units of these teeth have just
one; without teeth they are of the only case whose units the invoice bills. Where any of these units has no case, or is a
remake, nothing is taken over: it may be another patient's, or another work. The costs do not need a case and keep the lines
as they were read.
"""

from __future__ import annotations

import pandas as pd

from feesheet.costing.meaning import ALLOY, COST, REMAKE, TAX, UNIT

SURCHARGE = "alloy surcharge"


def with_cases(parts: pd.DataFrame) -> pd.DataFrame:
    """The line parts with `case_no` and `case` of their unit, where they have none of their own (0 and "": still none)."""
    found = _cases(parts.drop_duplicates("line"))
    if found.empty:
        return parts
    taken = parts["line"].map(found)
    numbers = parts["case_no"].where(taken.isna(), taken).astype(parts["case_no"].dtype)
    known = parts[parts["case_no"] > 0].drop_duplicates("case_no").set_index("case_no")["case"].astype(str)
    words = parts["case"].astype(object).where(taken.isna(), taken.map(known))
    return parts.assign(case_no=numbers, case=words)


def _cases(lines: pd.DataFrame) -> pd.Series:
    """The number of the case that each line takes over, by its line; only lines that do."""
    made = lines[lines["treatment"].isin((UNIT, REMAKE)) & ~lines["copy"]]
    made = made.assign(of_case=made["case_no"].where(made["treatment"] == UNIT, 0))
    charge = (lines["treatment"].isin((COST, TAX)) | (lines["kind"] == SURCHARGE)) & (lines["amount"] > 0)
    bare = lines[(charge | (lines["treatment"] == ALLOY)) & (lines["case_no"] == 0)]
    toothed, rest = bare[bare["whole_teeth"] != ""], bare[bare["whole_teeth"] == ""]
    units = _exploded(made)[["invoice_no", "tooth", "of_case"]]
    touched = _exploded(toothed).merge(units, on=["invoice_no", "tooth"], how="left")
    around = rest.merge(made[["invoice_no", "of_case"]], on="invoice_no", how="left")
    every = pd.concat([touched, around])[["line", "of_case"]]
    cases = every.assign(of_case=every["of_case"].fillna(0)).groupby("line")["of_case"].agg(["min", "max"])
    single = (cases["min"] == cases["max"]) & (cases["min"] > 0)
    return cases.loc[single, "min"].astype(int)


def _exploded(lines: pd.DataFrame) -> pd.DataFrame:
    """One row a line and tooth."""
    return lines.assign(tooth=lines["whole_teeth"].astype(str).str.split()).explode("tooth")
