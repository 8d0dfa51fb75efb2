"""All tests of the lab audit, in the order in which their sheets stand."""

from __future__ import annotations

from feesheet.pricing.review.lab import (
    classes,
    credits,
    drift,
    gram_drift,
    grams,
    included,
    line_sums,
    no_metal,
    other_alloy,
    premium,
    prescribed,
    price_list,
    remakes,
    teeth_named,
    totals,
    twice,
)
from feesheet.pricing.review.lab.audit import Test

TESTS: tuple[Test, ...] = (
    price_list,
    line_sums,
    teeth_named,
    twice,
    premium,
    grams,
    classes,
    prescribed,
    other_alloy,
    no_metal,
    included,
    drift,
    gram_drift,
    credits,
    remakes,
    totals,
)
