"""A wording that says the alloy is included is told where the lab is said to bill alloy apart."""

from __future__ import annotations

import pytest
from invoiced import line, outcome, practice_of, said

from feesheet.costing.included_alloy import says_included

WORDING = "Full cast yellow gold crown incl. 2.1 dwt alloy"
NAMES = [{"wording": WORDING, "material": "cast gold"}]


@pytest.mark.parametrize(
    "text",
    [WORDING, "FGC alloy incl.", "Full cast crown, alloy included", "Vollgusskrone inkl. Legierung", "Gold crown, all-in",
     "Couronne coulée, alliage compris", "Cast crown including 3.2 g high noble alloy", "Corona, aleación incluida"],
)  # fmt: skip
def test_it_says_so(text: str) -> None:
    """In the words of several trades, with a weight between, before the alloy or after it."""
    assert says_included(text)


@pytest.mark.parametrize(
    "text",
    ["Full cast crown", "Alloy 2.1 dwt", "Crown incl. model", "Gold crown, alloy not included", "Crown plus alloy incl. model",
     "Vollgusskrone ohne Legierung inkl. Modell", "Noble alloy crown with a long description of many words, incl. model", ""],
)  # fmt: skip
def test_it_does_not(text: str) -> None:
    """Another thing that is included, alloy that is named alone, and a denial say nothing of the kind."""
    assert not says_included(text)


def test_alloy_inside_and_on_top_is_told() -> None:
    """At a lab that bills apart, lab fee and grams both hold the alloy: told by lab and wording with lines, money and place."""
    lines = [line(455, product=WORDING, teeth="16"), line(455, product=WORDING, teeth="26", invoice="A-10")]
    _, problems = outcome(practice_of([*lines, line(200, teeth="36")], names=NAMES))
    (told,) = [problem for problem in problems if problem.kind == "may count twice"]

    assert told.what.startswith(f'lab A: "{WORDING}", 2 line(s) here, worth 910.00 EUR in all, says that')
    assert "all-in" in told.do and told.sheet == "Invoice lines"


def test_at_an_all_in_lab_it_is_as_it_should_be() -> None:
    """So is a wording of a product that costs no grams of alloy."""
    lines = [line(455, product=WORDING, teeth="16"), line(200, teeth="36")]

    assert said(outcome(practice_of(lines, names=NAMES, alloy_billing="all-in"))[1], "may count twice") == []
    no_crown = [{"wording": WORDING, "material": "not a crown"}]
    assert said(outcome(practice_of(lines, names=no_crown))[1], "may count twice") == []
