"""Classes billed: by the line, by its unit, or by the Alloys table, against the composition."""

from __future__ import annotations

import pytest
from alloy_audit import PALE, alloy, audit, rows_of, unit

from feesheet.pricing.review.lab import classes

HIGH, NOBLE, BASE = "high noble", "noble", "predominantly base"


def test_a_class_that_the_alloy_is_not() -> None:
    """The pale alloy has 20 % noble metals: base, billed as noble; the surcharge names the right class."""
    lines = [
        unit("A-1"), alloy(180, 3, "A-1", alloy=PALE, alloy_class=NOBLE),
        alloy(30, 3, "A-1", kind="alloy surcharge", alloy=PALE, alloy_class=BASE),
        unit("A-2", teeth="26"), alloy(360, 3, "A-2", alloy_class=HIGH),
    ]  # fmt: skip
    found = audit(classes, rows_of(lines, dispute_days=90))

    (one,) = found.found
    assert (one.kind, one.invoice, one.lines, one.days_left) == ("class", "A-1", (1,), 30)
    assert one.money == 180 == found.money_of(one)
    assert one.sentence == (
        'Invoice A-1 of 1 September 2026, 1 line for tooth 16 (ISO): the class is given as "noble", but pale '
        "alloy is predominantly base by its composition (ADA 2003). The alloy came to 180.00 EUR. Please send us the "
        "alloy's certificate, and tell us which of the two is right."
    )


def test_case_50_the_units_class_holds_for_its_alloy() -> None:
    """Hard case 50: a high noble unit whose alloy line names a base alloy; without a class on the unit nothing is said."""
    for named, count in ((HIGH, 1), ("", 0)):
        lines = [unit("A-1", alloy_class=named), alloy(180, 3, "A-1", alloy=PALE)]
        found = audit(classes, rows_of(lines))
        assert [one.money for one in found.found] == [180.0] * count
        named_by = [row["named_by"] for row in found.table("class_lines")]
        assert named_by == ["the line", "the unit's line"][: 2 * count]


def test_the_alloys_table_is_one_finding_a_lab() -> None:
    """A class typed for the alloy and not borne out: all its lines of the lab at once."""
    rows = rows_of(
        [unit("A-1"), alloy(180, 3, "A-1", alloy=PALE), unit("A-2"), alloy(200, 3, "A-2", alloy=PALE)]
    )
    rows["alloys"][1]["class_billed"] = NOBLE
    (one,) = audit(classes, rows).found
    assert (one.invoice, one.lines, one.money) == ("2 invoices", (1, 3), pytest.approx(380))
    rows["alloys"][1]["class_billed"] = BASE
    assert audit(classes, rows).found == []


@pytest.mark.parametrize(
    ("metals", "named", "count"),
    [
        ({"gold": 0.46, "palladium": 0.06, "silver": 0.39, "copper": 0.09}, NOBLE, 0),  # hard case 47
        ({"gold": 0.46, "palladium": 0.06, "silver": 0.39, "copper": 0.09}, HIGH, 1),
        ({"titanium": 0.9, "other": 0.1}, "titanium", 0),  # hard case 49
        ({"titanium": 0.9, "other": 0.1}, BASE, 1),
        ({"gold": 0.1, "other": 0.9}, HIGH, 0),  # composition not known
    ],
)  # fmt: skip
def test_cases_47_and_49_and_compositions_that_nobody_stated(
    metals: dict[str, float], named: str, count: int
) -> None:
    """Silver is not noble, titanium is its own class, and an alloy of unstated metals is not judged."""
    rows = rows_of([unit("A-1"), alloy(180, 3, "A-1", alloy="an alloy", alloy_class=named)])
    rows["alloys"].append({"alloy": "an alloy", **metals})
    assert len(audit(classes, rows).found) == count


def test_a_composition_that_nobody_stated_is_of_no_other_class() -> None:
    """The live figure says so too: neither line nor money is of another class."""
    rows = rows_of([unit("A-1"), alloy(180, 3, "A-1", alloy="an alloy", alloy_class=HIGH)])
    rows["alloys"].append({"alloy": "an alloy", "gold": 0.1, "other": 0.9})
    (group,) = audit(classes, rows).table("class_tests")
    assert (group["group_lines"], group["group_other"], group["money"]) == (1, 0, 0)


def test_a_unit_fee_counts_only_where_the_alloy_is_in_it() -> None:
    """A gold crown named base: its fee of 200 is no money for alloy, but of a lab whose price holds the alloy it is."""
    for billing, money in (("apart", 0), ("all-in", 200)):
        found = audit(classes, rows_of([unit("A-1", alloy_class=BASE)], alloy_billing=billing))
        assert [(one.money, found.money_of(one)) for one in found.found] == [(money, money)]
        assert ("The alloy came to" in found.found[0].sentence) == bool(money)
