"""Lines without a case take that of their unit."""

from __future__ import annotations

from typing import Any

import pytest
from lab_audited import GOLD, alloy, line, practice_of

from feesheet.pricing.review.lab.cases_of_lines import with_cases
from feesheet.uses.annual_update import price

CROWN = line(192.0, product=GOLD, case="1")
METAL = alloy(290.75, 3.0)
FREIGHT = line(12.5, kind="freight", product="Freight", teeth=None, units=None)


def _cases(*lines: dict[str, Any]) -> list[str]:
    """The case of each line as the audit asks about it, and whether its number is that of the word."""
    parts = price(practice_of(lines))[0].parts
    found = with_cases(parts).drop_duplicates("line").sort_values("line")
    numbers = parts[parts["case_no"] > 0].drop_duplicates("case_no").set_index("case_no")["case"].astype(str)
    words = found["case"].astype(str).tolist()
    assert words == [numbers.get(number, "") for number in found["case_no"]]
    return words


def test_alloy_and_charges_take_the_case_of_their_unit() -> None:
    """Of the same tooth; without teeth, of the only case of the invoice."""
    stain = line(18.0, kind="extra", product="Stain")
    surcharge = line(45.0, kind="alloy surcharge", product="Surcharge", units=None)
    assert _cases(CROWN, METAL, stain, surcharge, FREIGHT) == ["1"] * 5


def test_alloy_of_a_bridge_takes_the_case_of_all_its_units() -> None:
    """Three units of one case, one alloy line for the three teeth; of two cases it is neither's."""
    units = [{**CROWN, "teeth": tooth} for tooth in ("14", "15", "16")]
    metal = alloy(290.75, 3.0, teeth="14,15,16")
    assert _cases(*units, metal)[-1] == "1"
    assert _cases(*units[:2], {**units[2], "case": "2"}, metal)[-1] == ""
    assert _cases(*units[:2], metal)[-1] == ""


@pytest.mark.parametrize("other", [{"case": "2"}, {"case": ""}, {"kind": "remake"}])
def test_two_works_of_one_tooth_leave_the_alloy_without_a_case(other: dict[str, Any]) -> None:
    """Another case, a crown without one, or a remake on the same tooth: the alloy may be of either, and so the freight."""
    assert _cases(CROWN, {**CROWN, **other}, METAL, FREIGHT)[2:] == ["", ""]


def test_each_tooth_has_its_own_case() -> None:
    """Two patients on one invoice: alloy goes by its tooth, freight is of neither."""
    other = [{**CROWN, "teeth": "26", "case": "2"}, {**METAL, "teeth": "26"}]
    assert _cases(CROWN, METAL, *other, FREIGHT) == ["1", "1", "2", "2", ""]


@pytest.mark.parametrize("other", [{"teeth": "17"}, {"invoice": "A-10"}, {"lab": "lab B"}, {"case": "3"}])
def test_other_lines_keep_what_they_say(other: dict[str, Any]) -> None:
    """Another tooth, invoice or lab takes nothing over; a line's own case stays."""
    assert _cases(CROWN, {**METAL, **other})[-1] == other.get("case", "")


def test_credits_keep_what_they_say() -> None:
    """A rebate without a case is the whole invoice's; alloy that was taken back is the unit's."""
    rebate = {**FREIGHT, "kind": "discount", "product": "Rebate", "amount": -5.0}
    assert _cases(CROWN, rebate, {**METAL, "amount": -20.0}) == ["1", "", "1"]
