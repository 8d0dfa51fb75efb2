"""What must hold in a review beside the checks of every workbook: its money added up several ways."""

from __future__ import annotations

from feesheet.formula.model import Model
from feesheet.pricing.checks import Check
from feesheet.pricing.review.bills_to_cost import bill_checks
from feesheet.pricing.review.bridge import bridge_checks
from feesheet.pricing.review.cash import cash_checks
from feesheet.pricing.review.cuts import cut_checks
from feesheet.pricing.review.earned import earned_checks
from feesheet.pricing.review.spend import spend_checks
from feesheet.pricing.summary import sum_of


def review_checks(model: Model) -> list[Check]:
    """The invoices' money, every cut of what was earned, the way from then to now, cash, and the findings."""
    rows = [
        *spend_checks(model),
        *bill_checks(model),
        *earned_checks(model),
        *cut_checks(model),
        *cash_checks(model),
        *bridge_checks(model),
        ("How far the same money three ways is apart", sum_of("review_ways.apart"), 0),
    ]
    if model.blocks["findings"].rows:
        by_kind, by_lab = sum_of("findings_by_kind.kind_money"), sum_of("findings_by_lab.lab_money")
        rows += [
            ("Money of the findings by kind, against one by one", by_kind, sum_of("findings.finding_money")),
            ("Money of the findings by lab, against one by one", by_lab, sum_of("findings.finding_money")),
        ]
    return rows
