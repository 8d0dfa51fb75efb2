"""The lab audit of a practice, and what of its planted faults was found."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from planted_faults import Fault

from feesheet.formula.model import Setting
from feesheet.practice import Practice
from feesheet.pricing.review.findings import Finding
from feesheet.pricing.review.lab.audit import findings
from feesheet.pricing.review.lab.every import TESTS
from feesheet.pricing.review.period import Period, as_of
from feesheet.uses.annual_update import price

LEAST_FINDING = 1.0
"""Money under which nothing is said."""


@dataclass(frozen=True)
class Audited:
    """What an audit found, and how many invoice lines it had before it."""

    findings: list[Finding]
    lines: int


@dataclass(frozen=True)
class Outcome:
    """A planted fault and the findings that are of it; `wrong` says what is not right about them, "" for nothing."""

    fault: Fault
    found: list[Finding]
    wrong: str


def audited(practice: Practice, last: date) -> Audited:
    """The audit of the twelve months to that day."""
    restated = as_of(practice, Period(last, 12))
    priced = price(restated)[0]
    least = Setting("least_finding", "Smallest finding", "money", LEAST_FINDING, "typed", 0.0, 1e6)
    priced.model.settings["least_finding"] = least
    found = findings(TESTS, priced.model, restated, priced.who, priced.parts, priced.numbers)
    lines = priced.parts[priced.parts["in_window"]]["line"].nunique()
    return Audited(found, int(lines))


def outcomes(faults: Sequence[Fault], found: Sequence[Finding]) -> list[Outcome]:
    """Each fault with the findings of an accepted kind on its lines, or on its invoice where it is a total."""
    return [_outcome(fault, [one for one in found if of_fault(fault, one)]) for fault in faults]


def of_fault(fault: Fault, one: Finding) -> bool:
    """Whether the finding is of the fault: an accepted kind, and a line or the total of its invoice."""
    if one.kind not in fault.accepted:
        return False
    whole = not fault.lines or fault.kind == "billed twice"
    return (whole and one.invoice == fault.invoice) or bool(set(one.lines) & set(fault.lines))


def others(faults: Sequence[Fault], found: Sequence[Finding]) -> list[Finding]:
    """Findings that are of no planted fault."""
    return [one for one in found if not any(of_fault(fault, one) for fault in faults)]


def _outcome(fault: Fault, found: list[Finding]) -> Outcome:
    if not found:
        return Outcome(fault, [], "not found")
    named = {line for one in found for line in one.lines}
    if missed := set(fault.lines) - named - set(fault.instead):
        return Outcome(fault, found, f"lines {sorted(missed)} are not named")
    first = min((one.kind for one in found), key=fault.accepted.index)
    money = sum(one.money for one in found if one.kind == first)
    if fault.off is not None and abs(money - fault.money) > fault.off + 1e-9:
        return Outcome(fault, found, f"{money:.2f} in place of {fault.money:.2f}")
    return Outcome(fault, found, "")
