"""Which control line of an invoice is its own total, and not a subtotal, a balance or a payment; and which is a payment."""

from __future__ import annotations

import numpy as np
import pandas as pd

from feesheet.practice import line_treatments
from feesheet.schema import plain

_TOTALS = frozenset({"total", "invoice total", "amount due"})
_PARTIAL = frozenset({"subtotal", "case total", "payment", "previous balance"})
"""Kinds of control line that are never the invoice's total, whatever their wording."""
_CARRIED = frozenset({"payment", "previous balance", "balance"})
_PARTIAL_WORDS = ("case total", "subtotal", "sub total", "balance", "payment")


def is_total(lines: pd.DataFrame) -> np.ndarray:
    """Whether each line is its invoice's own total; a statement's amount due may carry more than the invoice."""
    control = np.asarray(line_treatments(lines) == "control")
    if not control.any():
        return control
    kinds, wordings = _kinds(lines), lines["product"].cat
    plainly = [plain(word) for word in wordings.categories]
    codes = wordings.codes.to_numpy()
    partial = np.array([any(part in word for part in _PARTIAL_WORDS) for word in plainly])[codes]
    worded = np.array([word == "total" or "invoice total" in word for word in plainly])[codes]
    numbers = lines.groupby(["lab", "invoice"], observed=True, sort=False).ngroup().to_numpy()
    carried = np.bincount(numbers, weights=np.isin(kinds, list(_CARRIED)))[numbers] > 0
    typed = np.isin(kinds, list(_TOTALS)) & ~((kinds == "amount due") & carried)
    wanted = ~partial & (typed | (worded & ~np.isin(kinds, list(_PARTIAL))))
    unnamed = np.asarray((lines["invoice"] == "") | (lines["lab"] == ""))
    return np.asarray(control & wanted & ~unnamed)


def _kinds(lines: pd.DataFrame) -> np.ndarray:
    words = [plain(word) for word in lines["kind"].cat.categories]
    return np.asarray(np.array(words, dtype=str)[lines["kind"].cat.codes.to_numpy()])


def is_payment(lines: pd.DataFrame) -> np.ndarray:
    """Whether each line says what was paid: typed as a payment, or as a balance that is worded as one.

    What is still to be paid ("Payment due") is none.
    """
    control = np.asarray(line_treatments(lines) == "control")
    if not control.any():
        return control
    kinds, wordings = _kinds(lines), lines["product"].cat
    worded = np.array([_worded_payment(plain(word)) for word in wordings.categories], dtype=bool)
    balance = np.isin(kinds, ("balance", "previous balance"))
    return np.asarray(control & ((kinds == "payment") | (balance & worded[wordings.codes.to_numpy()])))


def _worded_payment(words: str) -> bool:
    first, *rest = words.split() or [""]
    return first in ("payment", "payments", "paid") and "due" not in rest
