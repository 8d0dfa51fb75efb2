"""Part of a review for tests: what was earned, its cuts and the plans, added to a priced practice."""

from __future__ import annotations

import random
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

import numpy as np
from practices import Row
from priced import Rows
from seven_crowns import crowns

from feesheet.formula.model import Model
from feesheet.formula.numbers import Numbers
from feesheet.practice import Practice
from feesheet.pricing import inputs
from feesheet.pricing.checks import Check, checks_block
from feesheet.pricing.review.cuts import add_cuts, cut_checks
from feesheet.pricing.review.earned import add_earned, earned_checks
from feesheet.pricing.review.period import Period, as_of
from feesheet.pricing.review.plan_fees import add_plan_fees
from feesheet.pricing.review.then_period import add_then
from feesheet.problems import Problem
from feesheet.uses.annual_update import Priced, price
from feesheet.writing.book import Schedule


@dataclass(frozen=True)
class Earned:
    """A practice priced for the period, with what was earned in its model, and what was said of it."""

    practice: Practice
    priced: Priced
    problems: list[Problem]

    @property
    def model(self) -> Model:
        """The model with everything in it."""
        return self.priced.model

    @property
    def numbers(self) -> Numbers:
        """Its figures."""
        return self.priced.numbers

    def table(self, block: str) -> list[Row]:
        """The rows of a block as plain values."""
        columns = {name: list(self.numbers.of(block, name)) for name in self.model.blocks[block].columns}
        return [dict(zip(columns, row, strict=True)) for row in zip(*columns.values(), strict=True)]

    def total(self, block: str, column: str) -> float:
        """The sum of a column."""
        return float(np.sum(np.asarray(self.numbers.of(block, column), dtype=float)))

    def failing(self) -> list[str]:
        """The checks of this part that do not pass."""
        return [
            what for what, found, should in self.checks() if abs(self._is(found) - self._is(should)) > 1e-6
        ]

    def checks(self) -> list[Check]:
        """The checks of this part."""
        return [*earned_checks(self.model), *cut_checks(self.model)]

    def _is(self, tree: Any) -> float:
        return float(self.numbers.evaluate(tree, self.model.blocks["earned"]))


def earned_of(
    practice: Practice, now: Period | None = None, then: Period | None = None, twins: bool = False
) -> Earned:
    """What was earned in the period, else in the practice's own invoice window; its cuts and the plans.

    With `twins` the model has the lab fees of the period then.
    """
    now = now or Period(practice.day("pricing_date"), int(practice.settings["invoice_months"]))
    practice = as_of(practice, now)
    priced, _ = price(practice)
    model, who, parts = priced.model, priced.who, priced.parts
    if then and twins:
        add_then(model, practice, who, parts, then)
    problems = add_earned(model, practice, who, parts, now, then)
    add_cuts(model, practice, who, parts, priced.numbers)
    problems += add_plan_fees(model, practice, who, priced.numbers)
    return Earned(practice, priced, problems)


def crowns_billed(*lines: Row) -> Rows:
    """The seven crowns with these invoice lines; each product is "<material> crown"."""
    rows = crowns(0)
    names = [row["material"] for row in rows["materials"]]
    rows["product_map"] = [{"wording": f"{name} crown", "material": name} for name in names]
    rows["invoice_lines"] = list(lines)
    return rows


def billed(material: str, amount: float, units: float = 1, **more: Any) -> Row:
    """A line of lab A for so many crowns of the material."""
    plainly = {
        "date": date(2025, 6, 2),
        "invoice": f"A-{material}-{amount}",
        "lab": "lab A",
        "site": "North",
        "kind": "unit fee",
        "product": f"{material} crown",
    }
    return {**plainly, "units": units, "amount": amount, **more}


def work(code: str, units: float, received: float | None, **more: Any) -> Row:
    """A row of work seated at North within the last year of the seven crowns."""
    return {
        "seated_on": date(2025, 6, 20),
        "code": code,
        "site": "North",
        "units": units,
        "received": received,
        **more,
    }


def earned_schedule(practice: Practice) -> Schedule:
    """Everything that a workbook with those blocks and their checks is written from."""
    made = earned_of(practice)
    made.model.blocks["checks"] = checks_block(made.model, made.checks())
    typed = inputs.input_rows(made.model)
    inputs.add_inputs(made.model, typed)
    return Schedule(made.practice, made.model, Numbers(made.model), typed, made.problems)


def with_seated(rows: Rows, seed: int, count: int = 40) -> Rows:
    """The practice with so many random rows of work seated in the year before the pricing date.

    Some are without money, some of codes that no fee row has at the site, some of a named dentist.
    """
    rng = random.Random(seed)
    last = rows["practice"][0]["pricing_date"]
    sites = [site["site"] for site in rows["sites"]]
    plans = ["", *(plan["plan"] for plan in rows["plans"])]
    seated = [
        {
            "seated_on": last - timedelta(days=rng.randrange(360)),
            "code": rng.choice(rows["fees"])["code"],
            "site": rng.choice(sites),
            "plan": rng.choice(plans),
            "dentist": rng.choice(("", "dentist A", "Dentist a", "dentist B")),
            "units": rng.choice((1, 1, 2, 3, -1)),
            "received": rng.choice((None, float(rng.randrange(200, 2000)))),
        }
        for _ in range(count)
    ]
    return {**rows, "seated": seated}
