"""Alloy premiums: held against what was agreed, else what the lab usually takes, else the alloy's other lines."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from alloy_audit import PALE, Audit, Rows, alloy, at_price, audit, rows_of, unit

from feesheet.pricing.review.lab import premium
from feesheet.pricing.review.period import Period

VALUE = 96.2


def _premiums(found: Audit) -> list[float]:
    return [round(float(row["premium"]), 4) for row in found.table("premium_tests")]


def _each_day(rows: Rows, last: date) -> Rows:
    """The rows with a quote of every day of the month to that day, at the price then in force."""
    quotes = sorted(rows["metal_prices"], key=lambda quote: quote["date"])
    for metal in ("gold", "silver"):
        known = [quote for quote in quotes if quote["metal"] == metal]
        for back in range(32):
            day = last - timedelta(days=back)
            before = [quote for quote in known if quote["date"] <= day][-1]
            if before["date"] < day:
                rows["metal_prices"].append({**before, "date": day})
    return rows


def test_a_line_over_the_usual_premium() -> None:
    """Four lines at 25 % (120.25 a gram), one of 3 g at 150: 450 - 3 x 120.25 = 89.25 is over."""
    found = audit(premium, rows_of([*at_price(1.25 * VALUE), *at_price(150.0, 1, first=9)], dispute_days=90))

    (one,) = found.found
    assert (one.kind, one.lab, one.site, one.invoice, one.lines) == (
        "alloy premium",
        "lab A",
        "North",
        "A-9",
        (9,),
    )
    assert one.money == pytest.approx(89.25) == found.money_of(one)
    assert one.days_left == 30  # 90 days less the 60 from 1 September to 31 October
    assert one.sentence == (
        "Invoice A-9 of 1 September 2026, tooth 16 (ISO): 3.00 g of yellow alloy were billed at 150.00 EUR a gram, "
        "450.00 EUR in all. By the metal prices that we have for that day, the metal was worth 96.20 EUR a gram; the "
        "price is 55.9 % above it, and you usually take 25 % for this alloy, which makes 360.75 EUR. Please credit the "
        "difference of 89.25 EUR, or tell us which day's metal price was used."
    )


@pytest.mark.parametrize(("over", "count"), [(0.095, 0), (0.105, 1)])
def test_ten_points_over_the_usual_one_are_let_pass(over: float, count: int) -> None:
    """9.5 points over the usual premium pass, 10.5 do not."""
    lines = [*at_price(1.25 * VALUE, grams=100), *at_price((1.25 + over) * VALUE, 1, grams=100, first=9)]
    assert len(audit(premium, rows_of(lines)).found) == count


def test_a_faulty_line_does_not_move_what_it_is_held_against() -> None:
    """The usual premium of a line is that of the others: of four lines at 20, 22, 24 and 90 % the last one's is 22 %."""
    lines = [
        row
        for at, more in enumerate((1.2, 1.22, 1.24, 1.9))
        for row in at_price(more * VALUE, 1, first=at, grams=10)
    ]
    rows = audit(premium, rows_of(lines)).table("premium_tests")

    assert [round(float(row["held_premium"]), 3) for row in rows] == [0.24, 0.24, 0.22, 0.22]


@pytest.mark.parametrize(("price", "count"), [(1.25, 1), (1.205, 0)])
def test_an_agreed_premium_holds_to_the_rounding_of_a_price(price: float, count: int) -> None:
    """Agreed on 20 %: 25 % on fresh quotes is over; half a point may be another source of quotes."""
    rows = rows_of(at_price(price * VALUE, 1), agreed_premium=0.2)
    found = audit(premium, _each_day(rows, date(2026, 9, 1)))

    assert len(found.found) == count
    if count:
        assert found.found[0].money == pytest.approx(360.75 - 346.32)
        assert "we agreed on 20 %" in found.found[0].sentence


def test_a_fresh_quote_after_a_silent_month_tells_less() -> None:
    """Agreed on 20 %, one quote a month: the price of a day between is not seen, so that 25 % passes and 35 % does not."""
    for price, count in ((1.25, 0), (1.35, 1)):
        found = audit(premium, rows_of(at_price(price * VALUE, 1), agreed_premium=0.2))
        assert len(found.found) == count
        (row,) = found.table("premium_tests")
        assert (row["exactly"], row["quote_days"]) == (0, 31)


def test_a_week_without_a_quote_is_no_weekend() -> None:
    """Quotes of each day are fresh with three days between two of them, as over a weekend; with four they are not."""
    for away, exactly in ((2, 1), (3, 0)):
        rows = _each_day(rows_of(at_price(1.25 * VALUE, 1), agreed_premium=0.2), date(2026, 9, 1))
        gone = [date(2026, 8, 10) + timedelta(days=at) for at in range(away)]
        rows["metal_prices"] = [row for row in rows["metal_prices"] if row["date"] not in gone]
        (row,) = audit(premium, rows).table("premium_tests")
        assert (row["exactly"], row["quote_days"]) == (exactly, away + 1)


def test_an_old_quote_tells_less() -> None:
    """Agreed on 20 %, the quotes a month old: 25 % passes, 35 % does not."""
    late = date(2026, 10, 1)
    for price, count in ((1.25, 0), (1.35, 1)):
        found = audit(premium, rows_of(at_price(price * VALUE, 1, date=late), agreed_premium=0.2))
        assert len(found.found) == count
        assert [row["exactly"] for row in found.table("premium_tests")] == [0]


def test_the_price_of_the_casting_day_explains_a_line() -> None:
    """Gold fell by a third on 15 September: an invoice of the 16th at 25 % over the value of the 1st is not over."""
    rows = rows_of(at_price(1.25 * VALUE, 1, date=date(2026, 9, 16)), agreed_premium=0.25)
    rows["metal_prices"] += [
        {"date": date(2026, 9, 15), "metal": "gold", "price": 80, "unit": "gram", "confirmed": "yes"},
        {"date": date(2026, 9, 15), "metal": "silver", "price": 2, "unit": "gram"},
    ]
    found = audit(premium, _each_day(rows, date(2026, 9, 16)))
    (row,) = found.table("premium_tests")

    assert found.found == [] and row["value_per_g"] == pytest.approx(64.2)
    assert row["high_value_per_g"] == pytest.approx(VALUE) and row["exactly"] == 1
    rows["invoice_lines"][1]["amount"] = 400.0
    assert len(audit(premium, rows).found) == 1


def test_too_few_lines_tell_nothing() -> None:
    """Three lines of an alloy leave two others: nothing to hold the dear one against."""
    found = audit(premium, rows_of([*at_price(120.0, 2), *at_price(200.0, 1, first=9)]))

    assert found.found == []
    assert {row["held_choice"] for row in found.table("premium_tests")} == {4}


def test_another_lab_tells_where_a_lab_has_few_lines() -> None:
    """One line of lab B is held against the alloy's other lines, those of lab A: 450 - 360.75 is over."""
    lines = [*at_price(1.25 * VALUE), *at_price(150.0, 1, first=9, lab="lab B")]
    (one,) = audit(premium, rows_of(lines)).found

    assert one.lab == "lab B" and one.money == pytest.approx(89.25, abs=0.02)
    assert "our other invoices for this alloy have 25 %" in one.sentence and one.days_left is None


def test_a_line_far_under_is_shown_and_not_found() -> None:
    """A line below its metal value has a negative premium and money, and is no finding."""
    found = audit(premium, rows_of([*at_price(1.25 * VALUE), *at_price(50.0, 1, first=9)]))

    assert found.found == [] and _premiums(found)[-1] == round(50 / VALUE - 1, 4)
    assert found.table("premium_tests")[-1]["money"] == pytest.approx(150 - 360.75, abs=0.01)


def test_lines_that_are_not_tested_are_counted() -> None:
    """No weight, an estimated weight, a credit: each with its reason, its count and its money."""
    extra = [
        unit("A-8"), alloy(100, 3, "A-8", weight=None), unit("A-7"), alloy(290, 3, "A-7", weight_basis="estimated"),
        unit("A-6"), alloy(-50, -1, "A-6"),
    ]  # fmt: skip
    found = audit(premium, rows_of([*at_price(1.25 * VALUE), *extra]))
    counts = {row["why"]: (row["lines_so"], row["money_so"]) for row in found.table("premium_counts")}

    assert counts == {
        "tested": (4, pytest.approx(4 * 360.75)), "no weight": (1, 100), "weight estimated": (1, 290),
        "a credit, or no charge": (1, -50),
    }  # fmt: skip
    assert found.found == []


def test_an_alloy_without_quotes_is_not_tested() -> None:
    """Without a silver quote, an alloy of seven tenths silver has no metal value to hold it against."""
    rows = rows_of(at_price(60.0, 5, alloy=PALE))
    rows["metal_prices"] = [quote for quote in rows["metal_prices"] if quote["metal"] == "gold"]
    found = audit(premium, rows)

    assert [row["why"] for row in found.table("premium_counts")] == ["no quote for silver"]
    assert found.found == []


def test_premiums_over_time() -> None:
    """Five lines in two quarters of the period: each quarter's premium is its billed over its metal value."""
    lines = [*at_price(120.0, 4), *at_price(100.0, 1, first=9, date=date(2026, 5, 4))]
    rows = audit(premium, rows_of(lines)).table("premium_history")

    assert [row["time_lines"] for row in rows] == [1, 4]
    assert [str(row["time_from"])[:10] for row in rows] == ["2026-05-01", "2026-08-01"]
    worth = 0.8 * 100 + 0.1 * 2
    assert [row["premium_of_time"] for row in rows] == pytest.approx([100 / worth - 1, 120 / VALUE - 1])


def _quoted_long_ago(rows: Rows) -> Rows:
    """The rows with one quote a metal, before all lines."""
    last = {quote["metal"]: {**quote, "date": date(2024, 1, 1)} for quote in rows["metal_prices"]}
    return {**rows, "metal_prices": list(last.values())}


def _from(last: date, months: int) -> list[str]:
    """The first days of the premiums over time: one alloy line on the 15th of every month to that one, in so many of them."""
    days = [
        date(at // 12, at % 12 + 1, 15)
        for at in range(12 * last.year + last.month - months, 12 * last.year + last.month)
    ]
    lines = [row for at, day in enumerate(days) for row in at_price(120.0, 1, first=at, date=day)]
    rows = rows_of(lines)
    found = audit(premium, _quoted_long_ago(rows), Period(last, months)).table("premium_history")
    return [str(row["time_from"])[:10] for row in found]


@pytest.mark.parametrize(
    ("last", "months", "starts"),
    [
        (date(2026, 4, 30), 3, ["2026-02-01", "2026-03-01", "2026-04-01"]),
        (date(2026, 6, 30), 6, [f"2026-0{month}-01" for month in range(1, 7)]),
        (date(2026, 9, 30), 9, ["2026-01-01", "2026-04-01", "2026-07-01"]),
        (date(2026, 6, 30), 7, ["2025-12-01", "2026-03-01", "2026-06-01"]),
        (date(2026, 10, 20), 2, ["2026-08-21", "2026-09-21"]),
    ],
)
def test_premiums_over_time_begin_with_the_months_of_the_period(
    last: date, months: int, starts: list[str]
) -> None:
    """Up to six months are shown month by month, more by threes, from the first of a month where the period ends with one."""
    assert _from(last, months)[-len(starts) :] == starts


def test_premiums_over_time_begin_with_the_window() -> None:
    """A window that counts from the very day, six months to 30 April, begins on 31 October: that day and November are its first month."""
    days = (date(2025, 10, 31), date(2025, 11, 15))
    lines = [row for at, day in enumerate(days) for row in at_price(120.0, 1, first=at, date=day)]
    rows = _quoted_long_ago(rows_of(lines))
    found = audit(premium, rows, Period(date(2026, 4, 30), 6, date(2025, 10, 30))).table("premium_history")
    assert [str(row["time_from"])[:10] for row in found] == ["2025-10-31"]


def test_headings_are_told_apart() -> None:
    """No two columns of a block have one heading."""
    found = audit(premium, rows_of(at_price(120.0)))
    for name in ("premium_tests", "premium_history", "premium_counts", "highest_days", "highest_metals"):
        headings = [column.heading for column in found.model.blocks[name].columns.values()]
        assert len(set(headings)) == len(headings), name


def test_the_day_is_the_invoices() -> None:
    """The metal's value is that of the invoice date, not of the period's last day."""
    rows = rows_of(at_price(1.25 * VALUE))
    rows["metal_prices"].append({"date": date(2026, 10, 30), "metal": "gold", "price": 125, "unit": "gram"})
    found = [row["value_per_g"] for row in audit(premium, rows).table("premium_tests")]
    assert found == pytest.approx([VALUE] * 4)


def test_a_wrong_sum_is_asked_for_by_its_own_test_alone() -> None:
    """3 g at 120.25 are 360.75; the 460.75 that was charged is a wrong sum of 100.00, and no premium."""
    wrong = alloy(460.75, 3.0, "A-9", unit_price=120.25)
    found = audit(premium, rows_of([*at_price(1.25 * VALUE), unit("A-9"), wrong]))

    assert found.found == []
    row = found.table("premium_tests")[-1]
    assert (row["wrong_sum"], row["billed"]) == (pytest.approx(100), 460.75)
    assert row["premium"] == pytest.approx(0.25)


def test_beside_a_wrong_sum_the_price_is_still_held_against_the_metal() -> None:
    """3 g at 150 are 450, charged at 550: 100.00 is a wrong sum, and 89.25 the premium's."""
    both = alloy(550.0, 3.0, "A-9", unit_price=150.0)
    (one,) = audit(premium, rows_of([*at_price(1.25 * VALUE), unit("A-9"), both])).found

    assert one.money == pytest.approx(89.25)
    assert "150.00 EUR a gram, 550.00 EUR in all (100.00 EUR of it is asked for apart)." in one.sentence


@pytest.mark.parametrize(("back", "left"), [(50.0, 39.25), (89.25, None)])
def test_what_came_back_is_not_asked_for_again(back: float, left: float | None) -> None:
    """Of 89.25 over the usual premium, what the lab took off is taken off the finding too."""
    lines = [*at_price(1.25 * VALUE), *at_price(150.0, 1, first=9), alloy(-back, 0.0, "A-9", kind="alloy")]
    found = audit(premium, rows_of(lines)).found

    assert [round(one.money, 2) for one in found] == ([] if left is None else [left])
    assert all(f"{back:.2f} EUR of it was taken off already." in one.sentence for one in found)
