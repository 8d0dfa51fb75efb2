"""Totals of papers and statements against the lines."""

from __future__ import annotations

from datetime import date

import pytest
from invoiced import entry, paper
from lab_audited import Audited, audited, line, money_is_live, practice_of

from feesheet.pricing.review.lab import totals


def _found(total: float | None = None, listed: float | None = None, **more: object) -> Audited:
    papers = [paper("A-9", total, date="2026-09-04")] if total is not None else []
    entries = [entry("A-9", listed, date="2026-09-04")] if listed is not None else []
    return audited(
        practice_of([line(142.0, **more)], papers=papers, entries=entries, dispute_days=30), totals
    )


def test_a_total_above_its_lines_is_found() -> None:
    """150.00 for lines of 142.00: 8.00 to be explained; no line is named, for none is known to be wrong."""
    one = _found(total=150.0)
    (finding,) = one.found

    assert (finding.kind, finding.lines, finding.money) == ("total differs", (), pytest.approx(8.0))
    assert (finding.site, finding.days_left) == ("North", 4)
    assert finding.sentence == (
        "Invoice A-9 of 4 September 2026: its lines add up to 142.00 EUR. "
        "Its own total says 150.00 EUR, which is 8.00 EUR more. Please tell us which of them holds."
    )
    assert money_is_live(one)


def test_a_total_below_its_lines_is_asked_too() -> None:
    """It is to be explained whichever side asks for more."""
    (finding,) = _found(total=130.0).found
    assert finding.money == pytest.approx(12.0)
    assert "Its own total says 130.00 EUR, which is 12.00 EUR less." in finding.sentence


@pytest.mark.parametrize("total", [142.0, 142.01, 141.99])
def test_a_coin_is_rounding(total: float) -> None:
    """What agrees, or is a coin off, is no finding."""
    assert _found(total=total, listed=total).found == []


def test_a_statement_that_asks_for_more_is_found() -> None:
    """The invoice's own total holds, the statement lists 10.00 more."""
    (finding,) = _found(total=142.0, listed=152.0).found
    assert finding.money == pytest.approx(10.0)
    assert "Your statement says 152.00 EUR, which is 10.00 EUR more." in finding.sentence
    assert "Its own total" not in finding.sentence


def test_an_invoice_that_only_the_statement_knows_is_asked_for() -> None:
    """Nobody pays what no invoice shows."""
    entries = [entry("A-77", 99.0, date="2026-09-04")]
    (finding,) = audited(practice_of([line(142.0)], entries=entries), totals).found
    assert finding.money == pytest.approx(99.0)
    assert finding.sentence == (
        "Invoice A-77 of 4 September 2026 stands on your statement with 99.00 EUR, but we have no such invoice. "
        "Please send us a copy of it."
    )


def test_other_periods_are_left_out() -> None:
    """An invoice of the year before is not of this review."""
    assert _found(total=150.0, date=date(2025, 9, 4)).found == []
