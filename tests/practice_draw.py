"""Random values for test practices, held within what the tables allow."""

from __future__ import annotations

import random
from dataclasses import dataclass
from typing import Any

from feesheet import reference
from feesheet.schema import NUMERIC_KINDS, sample
from feesheet.tables import TABLES

Row = dict[str, Any]

CURRENCIES = {"EUR": 1.0, "USD": 1.0, "JPY": 150.0, "KWD": 0.3, "GBP": 0.9, "ISK": 130.0}
"""Currencies with two, no and three minor digits, and how much larger amounts are in them."""


@dataclass(frozen=True)
class Draw:
    """One seeded source of values, with the practice's currency."""

    rng: random.Random
    currency: str

    def row(self, table: str, **given: Any) -> Row:
        """A row of the table: what is given, held within the limits; a random value where one is required."""
        values = {}
        for field in TABLES[table].fields:
            value = given.get(field.name)
            if field.required and field.name not in given:
                value = sample(field, self.rng)
            if field.kind in NUMERIC_KINDS and isinstance(value, int | float):
                value = value if field.low is None else max(value, field.low)
                value = value if field.high is None else min(value, field.high)
            values[field.name] = value
        return values

    def between(self, low: float, high: float, digits: int = 2) -> float:
        """A number between the two, with so many decimals."""
        return round(self.rng.uniform(low, high), digits)

    def money(self, low: float, high: float) -> float:
        """An amount between the two, which are in euros, in the practice's currency and its minor unit."""
        return self.in_currency(self.rng.uniform(low, high))

    def in_currency(self, amount: float) -> float:
        """An amount given in euros in the practice's currency and its minor unit."""
        return self.to_minor_unit(amount * CURRENCIES[self.currency])

    def to_minor_unit(self, amount: float) -> float:
        """An amount of the practice's currency without more digits than it has."""
        return round(amount, reference.minor_digits()[self.currency])

    def maybe(self, value: Any, chance: float = 0.5) -> Any:
        """The value, or a blank."""
        return value if self.rng.random() < chance else None
