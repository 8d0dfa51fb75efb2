"""Remakes and deposits with the credits that pay them back: linked once, open until then."""

from __future__ import annotations

from datetime import date

import pytest
from invoiced import Row, line, outcome, practice_of, said, table

from feesheet.costing.cases import BY_CASE, BY_TOOTH
from feesheet.costing.line_uses import RETURNED

JANUARY, FEBRUARY = date(2026, 1, 12), date(2026, 2, 9)


def remake(amount: float = 185, day: date = JANUARY, **more: object) -> Row:
    """A remake of tooth 16 on an invoice of its own."""
    return line(amount, **{"kind": "remake", "teeth": "16", "date": day, "invoice": "A-1", **more})


def credit(amount: float = -185, day: date = FEBRUARY, **more: object) -> Row:
    """A credit for a remake on a later invoice."""
    plainly = {"kind": "remake credit", "product": "Credit for a remake", "date": day, "invoice": "A-2"}
    return line(amount, **{**plainly, **more})


def claims(*lines: Row, **lab: object) -> list[Row]:
    """The claims of the workbook; a crown that is no part of any stands beside them."""
    return table(outcome(practice_of([line(200, teeth="36"), *lines], **lab))[0], "claims")  # type: ignore[arg-type]


def test_a_credit_is_linked_by_its_case() -> None:
    """A remake of 185.00 in January and a credit of -185.00 in February of the same case: nothing is left."""
    (row,) = claims(remake(case="C 7"), credit(case="c7"))

    assert (row["charged"], row["credited"], row["open_amount"]) == (185, -185, 0)
    assert (row["linked"], row["claim_state"]) == ("by case", "settled")


def test_the_same_remake_was_open_in_january() -> None:
    """Credits after the pricing date are not there yet."""
    (row,) = claims(remake(day=date(2026, 10, 5)), credit(day=date(2026, 11, 2), teeth="16"))

    assert (row["open_amount"], row["linked"], row["days_since"]) == (185, "", 26)


def test_without_a_case_the_tooth_links() -> None:
    """Same lab and teeth within 180 days: linked, and marked so; after that, or another tooth, it is not."""
    assert claims(remake(), credit(teeth="16"))[0]["linked"] == "by tooth"
    assert claims(remake(), credit(teeth="26"))[0]["linked"] == ""
    assert claims(remake(), credit(teeth="16", day=date(2026, 7, 11)))[0]["linked"] == "by tooth"
    assert claims(remake(), credit(teeth="16", day=date(2026, 7, 12)))[0]["linked"] == ""
    assert claims(remake(), credit(teeth="16", day=date(2026, 1, 2)))[0]["linked"] == ""


def test_two_remakes_share_no_credit() -> None:
    """One credit pays one remake back: that of its own amount, else the older one."""
    older, younger = claims(remake(), remake(day=date(2026, 1, 20), invoice="A-3"), credit(teeth="16"))
    assert (older["open_amount"], younger["open_amount"]) == (0, 185)

    older, younger = claims(
        remake(), remake(92.5, day=date(2026, 1, 20), invoice="A-3"), credit(-92.5, teeth="16")
    )
    assert (older["open_amount"], younger["open_amount"]) == (185, 0)


@pytest.mark.parametrize("amount", [-185, -100])
def test_a_tooth_links_at_the_credit_s_own_site_first(amount: float) -> None:
    """The same tooth was made again at two sites: a credit of the second one's pays that one back, though it is younger."""
    here = {"site": "South", "day": date(2026, 1, 20), "invoice": "A-3"}
    paid_back = credit(amount, teeth="16", site="South")
    older, younger = claims(remake(), remake(**here), paid_back, sites=["South"])  # type: ignore[arg-type]
    assert (older["open_amount"], younger["open_amount"]) == (185, 185 + amount)


def test_two_credits_pay_two_remakes() -> None:
    """Each credit goes to a remake that is still open."""
    rows = claims(
        remake(case="7"), remake(case="7", invoice="A-3"), credit(case="7"), credit(case="7", invoice="A-4")
    )

    assert [row["open_amount"] for row in rows] == [0, 0]


def test_one_credit_for_two_remakes_is_shared() -> None:
    """A credit of -370.00 for two remakes of 185.00 of a case settles both; each money is counted once."""
    lines = [remake(case="7"), remake(case="7", invoice="A-3"), credit(-370, case="7")]
    priced, _ = outcome(practice_of([line(200, teeth="36"), *lines]))

    assert [row["open_amount"] for row in table(priced, "claims")] == [0, 0]
    assert sum(row["credited_part"] for row in table(priced, "credits")) == -370


def test_a_credit_without_a_remake_is_shown() -> None:
    """It stands among the credits with no claim."""
    (row,) = table(outcome(practice_of([line(200, teeth="36"), credit(teeth="11")]))[0], "credits")

    assert (row["claim_no"], row["how"], row["credited_part"]) == (0, "no claim found", -185)


@pytest.mark.parametrize(("day", "left"), [(date(2026, 10, 3), 2), (date(2026, 10, 1), 0)])
def test_days_left_to_dispute(day: date, left: int) -> None:
    """28 days into a window of 30, 2 are left, and a notice says so; on the last day it still does."""
    practice = practice_of([line(200, teeth="36"), remake(day=day)], dispute_days=30)
    priced, problems = outcome(practice)

    assert table(priced, "claims")[0]["days_left"] == left
    (what,) = said(problems, "open credit")
    assert f"185.00 for a remake has not come back; {left} of 30 days" in what


def test_no_notice_when_the_days_are_over_or_none_are_agreed() -> None:
    """The sheet says which of the two it is."""
    for lab, state in (({"dispute_days": 30}, "open, days are over"), ({}, "open, no days agreed")):
        priced, problems = outcome(practice_of([line(200, teeth="36"), remake(day=date(2026, 9, 30))], **lab))

        assert said(problems, "open credit") == []
        assert table(priced, "claims")[0]["claim_state"] == state


def test_a_remake_at_half_price_is_one_remake() -> None:
    """A remake billed at 50 %: 92.50, one unit made again, in no lab fee."""
    priced, _ = outcome(practice_of([line(200, teeth="36"), remake(92.5)]))

    assert table(priced, "claims")[0]["charged"] == 92.5
    assert sum(row["units_remade"] for row in table(priced, "lines")) == 1
    assert sum(row["lab_cost"] for row in table(priced, "lines")) == 200


def test_a_free_remake_is_no_claim() -> None:
    """What cost nothing has nothing to come back."""
    assert claims(remake(0)) == []


def test_a_deposit_comes_back_by_its_amount() -> None:
    """A return deposit of 50.00 and its return are linked where they have neither case nor teeth, and are no crown cost."""
    lent = line(50, kind="deposit", product="Deposit", date=JANUARY, invoice="A-1")
    back = line(-50, kind="deposit", product="Deposit", date=FEBRUARY, invoice="A-2")
    priced, _ = outcome(practice_of([line(200, teeth="36"), lent, back]))
    (row,) = table(priced, "claims")

    assert (row["claim"], row["open_amount"], row["linked"]) == ("return deposit", 0, "by amount")
    assert sum(row["used_amount"] for row in table(priced, "lines")) == 200


def test_a_plain_credit_linked_by_case_is_in_no_lab_fee() -> None:
    """A credit of a remake's case pays the remake back, not the crowns that happen to be on its invoice."""
    other = line(200, teeth="26", date=FEBRUARY, invoice="A-2")
    back = credit(kind="credit", product="Credit", case="7")
    priced, _ = outcome(practice_of([other, remake(case="7"), back]))
    rows = {row["amount"]: row for row in table(priced, "lines")}

    assert rows[-185]["use"] == RETURNED[BY_CASE]
    assert rows[200]["lab_cost"] == 200


def test_a_credit_beside_its_crown_is_for_the_crown() -> None:
    """A plain credit on a tooth that its own invoice charges a crown for is no remake's."""
    crown = line(200, teeth="16", date=FEBRUARY, invoice="A-2")
    (row,) = claims(crown, remake(), credit(-20, kind="credit", product="Credit", teeth="16"))

    assert row["open_amount"] == 185


def test_the_use_says_how_the_remake_was_found() -> None:
    """A credit on an invoice of its own that only the tooth links says so, and speaks of no case."""
    back = credit(kind="credit", product="Credit", teeth="16")
    priced, _ = outcome(practice_of([line(200, teeth="36"), remake(), back]))
    rows = {row["amount"]: row for row in table(priced, "lines")}

    assert rows[-185]["use"] == RETURNED[BY_TOOTH]
    assert "by its teeth" in RETURNED[BY_TOOTH]


def test_two_cases_are_two_patients() -> None:
    """The same tooth of another case links nothing; where one side has no case, the tooth still does."""
    assert claims(remake(case="7"), credit(teeth="16", case="8"))[0]["linked"] == ""
    assert claims(remake(case="7"), credit(teeth="16"))[0]["linked"] == "by tooth"
    assert claims(remake(), credit(teeth="16", case="8"))[0]["linked"] == "by tooth"


def test_a_credit_whose_case_holds_a_crown_is_for_the_crown() -> None:
    """A plain credit of a case that an earlier invoice charges a crown for is no remake's without a case."""
    crown = line(200, teeth="16", date=JANUARY, invoice="A-0", case="8")
    back = credit(-20, kind="credit", product="Credit", teeth="16", case="8")

    assert claims(crown, remake(), back)[0]["open_amount"] == 185
