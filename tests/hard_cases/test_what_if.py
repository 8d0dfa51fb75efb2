"""Hard cases of what-if: alloy that hides in a unit fee, prices that can't be, metal that falls, alloy nobody described."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hard_case_papers import read_lines
from practices import write_practice
from priced import Rows, read_rows
from seven_crowns import BARE, BONDED, CAST, QUOTES, crowns
from what_ifs import Asking, asked, typed_scenario

from feesheet.pricing.what_if.exposure import BY_WEIGHT, HIDDEN, NO_BREAK_EVEN
from feesheet.pricing.what_if.moves import typed_move
from feesheet.problems import errors
from feesheet.uses.what_if import what_if
from feesheet.uses.what_if_asked import Asked

METAL_CAST = 2.5 * (0.77 * 3921 + 0.13 * 46 + 0.01 * 1364) / 31.1034768 * 1.25
"""What the alloy of the full-cast crown costs: grams by fractions by prices, a quarter on top."""


def all_in() -> Rows:
    """The seven crowns from a lab that bills one price, alloy inside, and quotes the cast one with it."""
    rows = crowns(0)
    rows["labs"][0]["alloy_billing"] = "all-in"
    for quote in rows["lab_prices"]:
        quote["quoted_price"] = 150.0 + METAL_CAST
    return rows


def of_crown(found: Asking, material: str, metal: str, column: str) -> object:
    """One figure of a metal in a crown."""
    block = found.model.blocks["metal_items"]
    pairs = list(zip(block.labels("material"), block.labels("metal"), strict=True))
    return found.numbers.of("metal_items", column)[pairs.index((material, metal))]


def test_case_110_alloy_inside_the_unit_fee() -> None:
    """The exposure is not nought: it is estimated from grams, as if the alloy were billed apart, and called hidden."""
    hidden, apart = asked(read_rows(all_in())), asked(read_rows(crowns(0)))
    for metal, fraction in (("gold", 0.77), ("palladium", 0.01), ("silver", 0.13)):
        inside = of_crown(hidden, CAST, metal, "metal_cost")
        assert inside == pytest.approx(2.5 * fraction * QUOTES[metal] / 31.1034768 * 1.25, rel=1e-9)
        assert inside == pytest.approx(of_crown(apart, CAST, metal, "metal_cost"), rel=1e-9)
        assert of_crown(hidden, CAST, metal, "billed") == HIDDEN
        assert of_crown(apart, CAST, metal, "billed") == BY_WEIGHT
    assert HIDDEN.startswith("hidden in unit fee")
    assert "estimated from grams" in HIDDEN


def test_case_110_in_a_year() -> None:
    """Over a year all of it is hidden where alloy is inside unit fees, and none where it is billed by weight."""
    for rows, share in ((all_in(), 1.0), (crowns(0), 0.0)):
        found = asked(read_rows(rows))
        of = found.numbers.of
        metal, hidden = (np.asarray(of("metal_years", name)) for name in ("metal_cost_year", "hidden_year"))
        assert (metal > 0).all()
        assert hidden == pytest.approx(share * metal, rel=1e-9)


def test_case_110_a_scenario_moves_the_hidden_alloy() -> None:
    """40 % more gold moves the crown's cost as if the alloy were on a line of its own."""
    risen = [
        asked(practice, [typed_scenario(practice, "gold=+40%")]).items(0, "cost_change")
        for practice in (read_rows(all_in()), read_rows(crowns(0)))
    ]
    assert risen[0] == pytest.approx(risen[1], rel=1e-9)
    assert risen[0][0] == pytest.approx(121, abs=0.5)


@pytest.mark.parametrize(
    ("words", "kind", "said"),
    [
        ("gold=0", "out of range", "a price must be more than 0"),
        ("gold=-4500", "out of range", "a price can't be negative"),
        ("gold=-100%", "out of range", "leaves nothing"),
        ("gold=-130%", "out of range", "leaves nothing"),
        ("gold=a lot", "not a number", "is not a number"),
        ("gold=", "missing value", "no new value"),
        ("gold=n/a", "not a number", "is not a number"),
        ("gold=#DIV/0!", "not a number", "is not a number"),
    ],
)
def test_case_111_prices_that_can_not_be(words: str, kind: str, said: str, tmp_path: Path) -> None:
    """Nought, a negative price, a fall of 100 % and words are refused in one plain line that repeats what was typed; nothing is written."""
    practice = read_rows(crowns(0))
    move, problems = typed_move(words, practice)
    assert move is None
    assert [one.kind for one in problems] == [kind]
    assert said in problems[0].what
    assert words in problems[0].what
    assert problems[0].do.endswith(".")
    folder = write_practice(crowns(0), tmp_path / "practice")
    answer = what_if(folder, Asked(moves=(words,)), tmp_path / "out")
    assert [one.kind for one in errors(answer.problems)] == [kind]
    assert answer.workbook is None
    assert not (tmp_path / "out").exists()


def test_case_115_gold_falls_by_30_percent() -> None:
    """30 % less gold takes off each crown what 30 % more adds: 91 of the cast one, 30 of the metal-ceramic one, nothing of the others."""
    practice = read_rows(crowns(0))
    found = asked(practice, [typed_scenario(practice, words) for words in ("gold=-30%", "gold=+30%")])
    fallen, risen = found.items(0, "cost_change"), found.items(1, "cost_change")
    assert fallen == pytest.approx([-change for change in risen], rel=1e-9, abs=1e-9)
    materials = found.model.blocks["costs"].labels("material")
    off = dict(zip(materials, fallen, strict=True))
    assert off[CAST] == pytest.approx(-0.3 * 2.5 * 0.77 * 3921 / 31.1034768 * 1.25, rel=1e-9)
    assert (off[CAST], off[BONDED]) == (pytest.approx(-91, abs=0.5), pytest.approx(-30, abs=0.5))
    assert [off[name] for name in BARE] == [0.0] * len(BARE)


def test_an_alloy_that_nobody_described(tmp_path: Path) -> None:
    """Alloy of an unknown composition, beside a crown that says nothing of it, is told as not modelled, in money a year."""
    lines = ("1 | 30 | Lithium disilicate crown | 1 | 120.00 | 120.00",)
    unknown = "1 | 30 | Casting alloy 33: 2 dwt @ 60.00/dwt | | | 120.00"
    found = asked(read_lines(tmp_path / "with", *lines, unknown).practice)
    block = found.model.blocks["unmodelled"]
    assert block.labels("why") == ["alloy lines whose alloy is not known"]
    assert list(found.numbers.of("unmodelled", "unmodelled_year")) == [120.0]
    half = asked(read_lines(tmp_path / "half", *lines, unknown, settings={"invoice_months": 10}).practice)
    assert list(half.numbers.of("unmodelled", "unmodelled_year")) == pytest.approx([144.0])
    assert asked(read_lines(tmp_path / "none", *lines).practice).model.blocks["unmodelled"].rows == 0


def test_a_metal_that_the_practice_does_not_use() -> None:
    """Platinum is in no alloy: a move of it is refused with the metals that are; it has no row among the exposures."""
    practice = read_rows(crowns(0))
    move, problems = typed_move("platinum=+40%", practice)
    assert move is None
    assert problems[0].kind == "unknown name"
    assert "no alloy of the practice holds platinum" in problems[0].what
    assert "gold" in problems[0].do
    assert "platinum" not in asked(practice).model.blocks["metal_years"].labels("metal")


def test_a_metal_without_a_quote() -> None:
    """Cobalt is in an alloy but has no price: a move has nothing to start from, and its crown no break-even."""
    practice = read_rows(crowns(0))
    move, problems = typed_move("cobalt=+40%", practice)
    assert move is None
    assert problems[0].kind == "nothing to start from"
    assert "cobalt" not in asked(practice).model.blocks["metal_items"].labels("metal")


def test_no_break_even_in_words() -> None:
    """A fee under the cost of everything but the metal has no break-even; the words stand in its place."""
    rows = crowns(0)
    rows["fees"][0]["current_fee"] = 150.0
    found = asked(read_rows(rows))
    for column in ("price_at_target", "price_at_floor", "price_at_zero"):
        assert of_crown(found, CAST, "gold", column) == NO_BREAK_EVEN
        assert of_crown(found, BONDED, "gold", column) != NO_BREAK_EVEN
