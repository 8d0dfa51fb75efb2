"""All tests of the lab audit, in the order in which their sheets stand."""

from __future__ import annotations

from feesheet.pricing.review.lab import (
    classes,
    credits,
    grams,
    included,
    line_sums,
    no_metal,
    premium,
    prescribed,
    price_list,
    remakes,
    totals,
    twice,
)
from feesheet.pricing.review.lab.audit import Test

TESTS: tuple[Test, ...] = (
    price_list,
    line_sums,
    twice,
    premium,
    grams,
    classes,
    prescribed,
    no_metal,
    included,
    credits,
    remakes,
    totals,
)
