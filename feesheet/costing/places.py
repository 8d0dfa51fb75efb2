"""What the rows of the lab fees and of the alloy values are about."""

from __future__ import annotations

import pandas as pd

from feesheet.costing.roster import Roster


def lab_places(who: Roster) -> list[tuple[str, str, str]]:
    """Material, tooth region and site of every row of the lab fees."""
    return [(material, region, site) for material, region in who.pools for site in who.sites]


def day_places(days: pd.DataFrame) -> list[tuple[str, pd.Timestamp]]:
    """Alloy and day of every row of the alloy values by day."""
    return list(zip(days["alloy_used"], days["date"], strict=True))
