"""What each part of an invoice line is used for, or why it is set aside."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from feesheet.costing.cases import BY_CASE, BY_TOOTH
from feesheet.costing.meaning import ALLOY, ASIDE, CONTROL, COST, REMAKE, TAX, UNIT

USED = ("lab fee", "charge on the invoice", "alloy")
"""The uses that bring a line's amount into a cost; every other use is a reason for setting it aside."""

UNMAPPED = "product name not on the map"
UNNAMED = "alloy not named"
ALONE = "charge on an invoice without units"
FOREIGN = "charge on a product that is no known crown"
NO_KIND = "not understood"
NO_CROWN = "not a crown, as the product map says"
RETURNED = {
    BY_CASE: "credit for a remake, found by its case: costed through the remake rate",
    BY_TOOTH: "credit for a remake, found by its teeth: costed through the remake rate",
}
"""The uses of credits that pay a remake back, by how the remake was found."""

NOT_UNDERSTOOD = (UNMAPPED, UNNAMED, ALONE, FOREIGN, NO_KIND)
"""The uses of lines whose money means nothing yet: it is in no cost, and nobody has said that it should not be."""


def uses(parts: pd.DataFrame) -> np.ndarray[Any, Any]:
    """What each part's amount is used for, or why it is set aside. The first reason that holds is given."""
    treatment = parts["treatment"]
    charge = treatment.isin((COST, TAX))
    whole = charge & ~parts["placed"]
    makes = (
        parts["units"].where(treatment.isin((UNIT, REMAKE)) & ~parts["copy"] & parts["in_window"], 0)
        * parts["share"]
    )
    units = makes.groupby(parts["invoice_no"]).transform("sum")
    weightless = (treatment == ALLOY) & (parts["weight"].isna() | (parts["amount"].isna()))
    no_crown, made = parts["no_crown"], treatment.isin((UNIT, REMAKE))
    alone = whole & (units.round(9) <= 0)
    returned = (parts["returned"] == BY_CASE) | ((parts["returned"] != "") & alone)
    answers: list[tuple[pd.Series, object]] = [
        (treatment == CONTROL, "control: a balance, payment or total"),
        (parts["copy"], "copy of an invoice already counted"),
        (treatment == ASIDE, parts["reason"]),
        (weightless, "alloy without a weight: the alloy is costed from grams"),
        (parts["primary"], "primary tooth: not among the crowns"),
        (~parts["in_window"], "outside the invoice window"),
        ((treatment == ALLOY) & (parts["alloy_used"] == "") & no_crown, NO_CROWN),
        ((treatment == ALLOY) & (parts["alloy_used"] == ""), UNNAMED),
        (treatment == ALLOY, USED[2]),
        (made & no_crown, NO_CROWN),
        (made & (parts["material"] == ""), UNMAPPED),
        ((treatment == REMAKE), "remake: counted, costed through the remake rate"),
        (charge & parts["remade"], "charge on a remake"),
        (charge & returned, parts["returned"].astype(object).map(RETURNED)),
        (charge & (parts["of_no_crown"] | (alone & no_crown)), NO_CROWN),
        (charge & parts["foreign"], FOREIGN),
        (alone, ALONE),
        (whole, USED[1]),
        (treatment.isin((UNIT, COST, TAX)), USED[0]),
    ]
    result = pd.Series(NO_KIND, index=parts.index, dtype=object)
    for mask, answer in reversed(answers):
        result = result.mask(mask, answer)
    return np.asarray(result)
