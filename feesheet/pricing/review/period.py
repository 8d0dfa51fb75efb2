"""The period of a review and the one that it is compared with."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta

import pandas as pd

from feesheet.practice import Practice


@dataclass(frozen=True)
class Period:
    """Whole months up to and including the last day; up to a month's last day they are calendar months.

    `window` is the day before its first day where a pricing window says so: the costing rules count calendar months back
    from any day, so that six months to 30 April begin on 31 October.

    >>> Period(date(2026, 4, 30), 6).title
    '1 November 2025 to 30 April 2026'
    """

    last: date
    months: int
    window: date | None = None

    @property
    def first(self) -> date:
        """Its first day."""
        return self.day_before + timedelta(days=1)

    @property
    def day_before(self) -> date:
        """The day before its first day."""
        if self.window:
            return self.window
        last = pd.Timestamp(self.last)
        before: pd.Timestamp = last - pd.DateOffset(months=self.months)
        day: date = (before + pd.offsets.MonthEnd(0) if last.is_month_end else before).date()
        return day

    @property
    def before(self) -> Period:
        """The period of the same length that ends the day before."""
        return Period(self.day_before, self.months)

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
        "day_before_window": period.day_before,
        "effective_date": period.last,
    }
    return replace(practice, settings=settings)
