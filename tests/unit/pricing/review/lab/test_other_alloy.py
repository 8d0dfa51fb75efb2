"""The alloy of a line against the alloy of its work's material."""

from __future__ import annotations

from typing import Any

import pytest
from lab_audited import GOLD, Audited, alloy, audited, line, money_is_live, practice_of

from feesheet.pricing.review.findings import Finding
from feesheet.pricing.review.lab import other_alloy
from feesheet.pricing.review.lab.audit import asked_once

NOBLE, PALE, SECRET, RICH = "Noble crown", "pale alloy", "secret alloy", "rich alloy"
TABLES: dict[str, list[dict[str, Any]]] = {
    "alloys": [
        {"alloy": PALE, "gold": 0.2, "palladium": 0.2, "silver": 0.6},
        {"alloy": SECRET, "other": 1.0},
        {"alloy": RICH, "gold": 0.7, "silver": 0.3},
    ],
    "product_map": [
        {"wording": NOBLE, "material": "noble"},
        {"wording": "Secret crown", "material": "secret"},
    ],
}
"""The material "gold" is cast from yellow alloy, high noble; "noble" from pale alloy; "secret" from no one knows what."""


def _found(*lines: dict[str, Any]) -> Audited:
    materials = [{"material": "noble", "alloy": PALE}, {"material": "secret", "alloy": SECRET}]
    practice = practice_of(lines, tables={**TABLES, "materials": materials})
    return audited(practice, other_alloy)


def _noble(**more: Any) -> dict[str, Any]:
    return line(175.0, product=NOBLE, **more)


def test_high_noble_alloy_on_a_noble_crown_is_found() -> None:
    """What was billed for it is to be explained, with a certificate."""
    one = _found(_noble(), alloy(121.0, 1.2, alloy=RICH))
    (finding,) = one.found

    assert (finding.kind, finding.lines, finding.money) == ("another alloy", (1,), pytest.approx(121.0))
    assert finding.sentence == (
        "Invoice A-9 of 4 September 2026, tooth 16 (ISO): 121.00 EUR was billed for rich alloy (high noble by its composition, "
        "ADA 2003), but the work is of noble, cast from pale alloy (noble). Please tell us which alloy was cast, and send us its "
        "certificate."
    )
    assert money_is_live(one)


def test_without_its_weight_too() -> None:
    """Which alloy was cast does not hang on the grams."""
    assert len(_found(_noble(), alloy(121.0, 1.2, alloy=RICH) | {"weight": None}).found) == 1


def test_an_alloy_of_the_same_class_is_none() -> None:
    """The class is what was promised: another alloy of it, or the material's own, will do."""
    gold = line(192.0, product=GOLD)
    assert _found(gold, alloy(121.0, 1.2, alloy=RICH)).found == []
    own = _found(_noble(), alloy(38.02, 1.2, alloy=PALE))
    assert own.found == [] and own.column("work_alloys", "test_no") == []
    assert len(_found(gold, alloy(38.02, 1.2, alloy=PALE)).found) == 1


def test_an_alloy_that_the_line_does_not_name_is_the_materials() -> None:
    """Nothing is held against itself."""
    one = _found(_noble(), alloy(121.0, 1.2), alloy(9.0, 0.2, alloy="an alloy of no table"))
    assert one.found == [] and one.column("work_alloys", "test_no") == []
    of_a_gold_crown = alloy(121.0, 1.2, product=GOLD)
    assert _found(_noble(), of_a_gold_crown).found == []


def test_any_unit_that_fits_is_enough() -> None:
    """Without a tooth the line may be for the gold crown; one beside it in ceramics holds no alloy and tells nothing."""
    loose = alloy(121.0, 1.2, alloy=RICH, teeth=None)
    gold, ceramic = line(192.0, product=GOLD, teeth="26"), line(142.0, teeth="26")
    assert _found(_noble(), gold, loose).found == []
    assert [one.lines for one in _found(_noble(), ceramic, loose).found] == [(2,)]
    assert _found(ceramic, alloy(121.0, 1.2, alloy=RICH, teeth="26")).found == []


def test_all_works_of_another_class_are_named() -> None:
    """Pale alloy for two gold crowns, and rich alloy for a crown of another patient: one question."""
    golds = [line(192.0, product=GOLD), line(192.0, product=GOLD, teeth="26")]
    (finding,) = _found(*golds, _noble(teeth="36"), alloy(40.0, 1.2, alloy=PALE, teeth="16, 26")).found
    assert "the work is of cast gold, cast from yellow alloy (high noble)." in finding.sentence


def test_unknown_compositions_materials_and_implants_tell_nothing() -> None:
    """No class, no question; an implant's cast part may be of another alloy."""
    rich = alloy(121.0, 1.2, alloy=RICH)
    assert _found(line(175.0, product="Secret crown"), rich).found == []
    assert _found(_noble(), alloy(121.0, 1.2, alloy=SECRET)).found == []
    assert _found(line(175.0, product="Something new"), rich).found == []
    assert _found(_noble(role="implant"), rich).found == []
    assert _found(_noble(), line(175.0, product="Something new"), rich).found == []


def test_a_credit_settles_it() -> None:
    """What came back is not asked about."""
    rich = alloy(121.0, 1.2, alloy=RICH)
    assert _found(_noble(), rich, alloy(-121.0, -1.2, alloy=RICH)).found == []


@pytest.mark.parametrize(
    ("kind", "lines", "left"),
    [
        ("class", (3, 7), 1),
        ("not as prescribed", (6, 7), 1),
        ("alloy in the price", (7,), 1),
        ("billed twice", (7, 2), 1),
        ("billed twice", (9, 7), 2),
        ("alloy premium", (7,), 2),
    ],
)
def test_it_is_asked_once(kind: str, lines: tuple[int, ...], left: int) -> None:
    """Where another test asks which alloy was cast, or asks the line back whole, that is enough."""
    asked = Finding("another alloy", "lab A", "North", "A-9", (7,), "other_alloy_tests", 1, 121.0, "")
    other = Finding(kind, "lab A", "North", "A-9", lines, "tests", 1, 121.0, "")
    assert len(asked_once([asked, other])) == left
