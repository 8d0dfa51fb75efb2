"""Decimal digits of each currency's minor unit."""

from __future__ import annotations

import pytest

from feesheet.formula.operations import rounded
from feesheet.reference import minor_digits


@pytest.mark.parametrize(
    ("digits", "currencies"),
    [(2, "USD EUR GBP CHF"), (0, "JPY KRW ISK"), (3, "KWD BHD TND"), (4, "CLF UYW")],
)
def test_minor_units(digits: int, currencies: str) -> None:
    """Two digits for most, none, three or four for some.

    Source: ISO 4217, by the open package iso4217 1.16.20260101.
    """
    assert {minor_digits()[currency] for currency in currencies.split()} == {digits}


@pytest.mark.parametrize("metal", ["XAU", "XAG", "XPT", "XPD"])
def test_metals_are_no_money(metal: str) -> None:
    """The codes of gold, silver, platinum and palladium have no minor unit, and no practice counts in them.

    Source: ISO 4217.
    """
    assert metal not in minor_digits()


@pytest.mark.parametrize(("currency", "expected"), [("USD", 1234.57), ("JPY", 1235), ("KWD", 1234.565)])
def test_money_of_a_currency(currency: str, expected: float) -> None:
    """1234.565 on each currency's digits, halves away from zero (ISO 4217)."""
    assert float(rounded(1234.565, minor_digits()[currency])) == expected
