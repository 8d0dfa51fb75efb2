"""The model of a review: the period's own model with what was earned, why it changed, and the lab audit added."""

from __future__ import annotations

from dataclasses import dataclass, field

from feesheet.formula.numbers import Numbers
from feesheet.practice import Practice
from feesheet.pricing import checks, inputs
from feesheet.pricing.review import (
    bills_to_cost,
    bridge,
    capacity,
    cash,
    cuts,
    earned,
    found,
    front,
    plan_fees,
    shares,
    shown,
    spend,
    then_book,
    then_items,
    then_period,
)
from feesheet.pricing.review.earned_basis import BY_LABS
from feesheet.pricing.review.findings import Finding
from feesheet.pricing.review.holds import review_checks
from feesheet.pricing.review.lab import audit
from feesheet.pricing.review.lab.every import TESTS
from feesheet.pricing.review.last_year import LastYear
from feesheet.pricing.review.period import Period
from feesheet.problems import Problem
from feesheet.uses.annual_update import Priced
from feesheet.writing.book import Schedule


@dataclass
class ReviewBuilder:
    """The model while it grows. `problems` grows by what is noticed on the way, `found` by what the lab audit finds.

    The comparison is with the period `then`, or with `last_year`, or with nothing.
    """

    practice: Practice
    priced: Priced
    now: Period
    then: Period | None
    last_year: LastYear | None
    problems: list[Problem]
    found: list[Finding] = field(default_factory=list)

    def schedule(self) -> Schedule:
        """All that the workbook is written from."""
        model, who, parts, practice = self.priced.model, self.priced.who, self.priced.parts, self.practice
        numbers = self.priced.numbers  # works out blocks as they are added, and everything once
        self._earned()
        compared = self._compared()
        capacity.add_capacity(model, practice, who, self.now.months)
        if compared:
            bridge.add_bridge(model, who)
        cuts.add_cuts(model, practice, who, parts, numbers)
        self.problems += plan_fees.add_plan_fees(model, practice, who, numbers)
        self.found += audit.findings(TESTS, model, practice, who, parts, numbers)
        found.add_findings(model, practice, parts, self.found)
        spend.add_spend(model, parts)
        bills_to_cost.add_bills_to_cost(model, who, self.now)
        self.problems += cash.add_cash(model, practice, who, parts, self.now)
        self.problems += shares.add_shares(model, practice, self.now)
        front.add_front(model, self.now, self._compared_with(), self.last_year is not None)
        self.problems += self._promised()
        shown.add_shown(model, numbers)
        model.blocks["checks"] = checks.checks_block(model, review_checks(model))
        typed = inputs.input_rows(model)
        inputs.add_inputs(model, typed)
        return Schedule(practice, model, Numbers(model), typed, self.problems)

    def _earned(self) -> None:
        """What was earned in the period, and in the one before it."""
        model, who, parts = self.priced.model, self.priced.who, self.priced.parts
        if self.then:
            then_period.add_then(model, self.practice, who, parts, self.then)
        self.problems += earned.add_earned(model, self.practice, who, parts, self.now, self.then)

    def _compared(self) -> bool:
        """Add the figures of then beside those of now; whether there are any."""
        model, who = self.priced.model, self.priced.who
        if self.last_year:
            then_book.add_then_book(model, self.practice, who, self.last_year)
        elif self.then:
            model.add(then_items.then_items_block(model, who))
            model.add(then_items.then_sites_block(model, who))
            model.add(then_items.then_totals_block(model))
        return bool(self.last_year or self.then)

    def _compared_with(self) -> str:
        """What then is, in words; "" where there is nothing to compare with."""
        if self.last_year:
            told = "units as typed, money as fees and plans promised"
            return f"{self.last_year.period.title}, from {self.last_year.file}: {told}"
        return self.then.title if self.then else ""

    def _promised(self) -> list[Problem]:
        """Where units or money are not what was seated and came in."""
        if BY_LABS in self.priced.model.blocks["earned"].note:
            return [Problem("assumed", BY_LABS, 'Fill in "Work seated" to see what really came in.')]
        if self.last_year is None:
            return []
        what = (
            f"{self.last_year.file} counts units as typed and money as fees and plans promised; this period counts the work "
            "seated: price, volume and the share then compare the two."
        )
        return [
            Problem(
                "assumed",
                what,
                "Compare with the period before it to see like with like.",
                self.last_year.file,
            )
        ]
