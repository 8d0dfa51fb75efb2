"""The period of a review and the one that it is compared with."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

import pandas as pd

from feesheet.practice import Practice


@dataclass(frozen=True)
class Period:
    """Whole months up to and including the last day: the same window that the costing rules draw before a pricing date.

    >>> Period(date(2026, 10, 31), 12).title
    '1 November 2025 to 31 October 2026'
    """

    last: date
    months: int

    @property
    def first(self) -> date:
        """Its first day."""
        before: pd.Timestamp = pd.Timestamp(self.last) - pd.DateOffset(months=self.months)
        return (before + pd.Timedelta(days=1)).date()

    @property
    def before(self) -> Period:
        """The period of the same length that ends the day before."""
        return Period((pd.Timestamp(self.first) - pd.Timedelta(days=1)).date(), self.months)

    @property
    def title(self) -> str:
        """From its first to its last day, in words."""
        return f"{_words(self.first)} to {_words(self.last)}"

    def holds(self, days: pd.Series) -> pd.Series:
        """Whether each day is in the period; a day that is not known is not."""
        return (days >= pd.Timestamp(self.first)) & (days <= pd.Timestamp(self.last))


def _words(day: date) -> str:
    return f"{day.day} {day:%B %Y}"


def as_of(practice: Practice, period: Period) -> Practice:
    """The practice with the period as its invoice window, and the allowed amounts of the period's last day."""
    settings = {
        **practice.settings,
        "pricing_date": period.last,
        "invoice_months": period.months,
        "effective_date": period.last,
    }
    return replace(practice, settings=settings)
