"""Money as notices say it: with its currency, and as it was billed where a lab bills in another."""

from __future__ import annotations

import pandas as pd

from feesheet.practice import Practice


def money(practice: Practice, amount: float) -> str:
    """An amount in the practice's currency."""
    return f"{amount:,.2f} {practice.settings['currency']}"


def billed_abroad(practice: Practice, parts: pd.DataFrame) -> str:
    """What line parts come to as they were billed, currency by currency; "" if all are in the practice's own.

    `parts` needs `share`, and `billed_amount` and `billed_currency` where any line of the practice was converted.
    """
    if "billed_currency" not in parts:
        return ""
    abroad = parts[parts["billed_currency"].astype(str) != str(practice.settings["currency"])]
    sums = (abroad["billed_amount"] * abroad["share"]).groupby(abroad["billed_currency"].astype(str)).sum()
    said = " and ".join(f"{amount:,.2f} {currency}" for currency, amount in sums.items())
    return f" (billed as {said})" if said else ""
