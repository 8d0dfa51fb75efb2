"""An explanation leads from the new fee to the invoice lines and the metal quote, and no figure in it is new."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from opened_book import OpenedBook, position
from practices import random_practice, write_practice
from written_books import EXAMPLE, random_schedule, schedule_of, written

from feesheet.uses.delivered import Delivered, open_delivered
from feesheet.uses.explain import Explanation, explain
from feesheet.uses.references import Cell, Reader, Rows
from feesheet.uses.told import Told

GOLD, ZIRCONIA = "CR-CHN-M", "CR-ZM-P"
SITE = "North"


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The example's workbook as delivered."""
    return written(schedule_of(EXAMPLE), tmp_path_factory.mktemp("explain") / "fees.xlsx")


@pytest.fixture(scope="module")
def gold(book: Path) -> Explanation:
    """A gold crown explained."""
    return explain(book, GOLD, SITE)


@pytest.fixture(scope="module")
def zirconia(book: Path) -> Explanation:
    """A zirconia crown explained."""
    return explain(book, ZIRCONIA, SITE)


def every(steps: list[Told]) -> Iterator[Told]:
    """Every figure told, top first."""
    for step in steps:
        yield step
        yield from every(step.parts)


def line_of(result: Explanation, beginning: str) -> str:
    """The first line that begins so."""
    return next(line.strip() for line in result.lines() if line.strip().startswith(beginning))


def cost_of(result: Explanation) -> Told:
    """The unit cost, told at the top."""
    return next(step for step in result.steps if step.heading == "Unit cost")


def test_the_top_lines_are_the_fees_and_the_cost(gold: Explanation, zirconia: Explanation) -> None:
    """Current fee, new fee with its reason, needed fee, unit cost: in this order."""
    for result, code in ((gold, GOLD), (zirconia, ZIRCONIA)):
        assert result.clean and result.title.startswith(f"{code} at {SITE}: Crown, ")
        assert [step.heading for step in result.steps] == [
            "Current fee",
            "New fee",
            "Needed fee",
            "Unit cost",
        ]
    assert "Held back by the largest rise." in gold.steps[1].note
    assert "Kept from falling." in zirconia.steps[1].note


def test_a_rule_that_changed_the_fee_shows_what_decided(gold: Explanation) -> None:
    """The largest rise is followed to the current fee and to the cell where the rule was typed."""
    rule = next(part for part in gold.steps[1].parts if part.heading == "Fee after 3 largest rise")
    (bound,) = rule.parts

    assert rule.note == "Held back by the largest rise." and bound.value == rule.value
    assert bound.words == "Current fee × (1 + Rule 3: largest rise)"
    typed = line_of(gold, "Rule 3: largest rise")
    assert re.fullmatch(
        r"Rule 3: largest rise: 8\.0% \(typed in fees and plans\.xlsx, Rules, [A-Z]\d+\)", typed
    )


def test_the_unit_cost_is_followed_part_by_part(gold: Explanation, zirconia: Explanation) -> None:
    """Six parts in the order of the sum, in words and in figures."""
    for result in (gold, zirconia):
        cost = cost_of(result)
        assert cost.words == "Lab fee + Alloy cost + Supplies + People + Overhead + Remakes"
        assert [part.heading for part in cost.parts] == cost.words.split(" + ")


def test_the_way_leads_to_invoice_lines(gold: Explanation, zirconia: Explanation) -> None:
    """At least one line with its file, sheet, row, day, lab and product."""
    pattern = re.compile(
        r"lab \w \d{4}-\d\d\.\w+, (Invoice lines, )?row \d+, \d{4}-\d\d-\d\d, lab \w, .+: -?[\d,.]+ USD"
    )
    for result in (gold, zirconia):
        lab_fee = cost_of(result).parts[0]
        found = [line for line in lab_fee.lines() if pattern.match(line.strip())]
        assert 1 <= len(found) <= 12


def test_a_gold_crown_leads_to_the_metal_quote(gold: Explanation) -> None:
    """Gold's price, the unit it is quoted in, and the cell where the quote was read."""
    lines = [line.strip() for line in cost_of(gold).parts[1].lines()]

    at = next(number for number, line in enumerate(lines) if line.startswith("Price per g for gold"))
    assert re.fullmatch(
        r"Price: [\d,.]+ USD \(typed in metal prices\.xlsx, Metal prices, D\d+\)", lines[at + 1]
    )
    assert lines[at + 2] == "Grams in the unit: 31.1035"


def test_a_zirconia_crown_has_no_alloy_to_follow(zirconia: Explanation) -> None:
    """What is nought is said and not followed."""
    alloy = cost_of(zirconia).parts[1]

    assert alloy.value == "0.00 USD" and not alloy.parts


def test_settings_name_the_cell_they_were_typed_in(gold: Explanation) -> None:
    """The target margin and the yearly cost of the dentist, by name."""
    cell = r"[A-Z]\d+\)"
    margin = rf"Target margin: 22\.0% \(typed in practice\.xlsx, Practice, {cell}"
    assert re.fullmatch(margin, line_of(gold, "Target margin"))
    assert re.search(rf"\(typed in practice\.xlsx, Staff roles, {cell}", line_of(gold, "Yearly cost"))


def test_every_figure_is_the_workbooks(book: Path, gold: Explanation, zirconia: Explanation) -> None:
    """Each figure told agrees with the stored value of the cell that it names, to the decimals shown."""
    cells = OpenedBook(book).sheets
    count = 0
    for told in (*every(gold.steps), *every(zirconia.steps)):
        number = re.match(r"-?[\d,]+(?:\.(\d+))?(%?)", told.value)
        if told.cell and number:
            shown = float(number[0].rstrip("%").replace(",", "")) / (100 if number[2] else 1)
            stored = cells[told.sheet].cells[position(told.cell)].value
            allowed = 0.5000001 * 10.0 ** -(len(number[1] or "") + (2 if number[2] else 0))
            assert isinstance(stored, float) and abs(shown - stored) <= allowed, told
            count += 1
    assert count > 200


def test_no_figure_is_followed_twice(gold: Explanation) -> None:
    """A figure that was told before is named again without what is behind it."""
    followed = [(told.sheet, told.cell) for told in every(gold.steps) if told.parts and told.words]

    assert len(followed) == len(set(followed))
    assert any(told.note == "see above" for told in every(gold.steps))


def test_row_numbers_of_tables_are_left_out(gold: Explanation) -> None:
    """Nobody needs "Lab fee no." to follow a fee."""
    assert not [told.heading for told in every(gold.steps) if told.heading.endswith(" no.")]
    assert "in all" in "\n".join(gold.lines())


def test_the_record_nests_as_the_lines_do(gold: Explanation) -> None:
    """For machines: the same steps, parts within parts, each with its sheet and cell."""
    record = gold.record()

    assert [step["heading"] for step in record["steps"]] == [step.heading for step in gold.steps]
    assert record["steps"][3]["parts"][0]["sheet"] == "Lab fees"
    assert record["problems"] == []


def problem_of(result: Explanation) -> str:
    """The one problem of a question that has no answer."""
    (problem,) = result.problems
    assert not result.clean and result.lines() == [str(problem)]
    return str(problem)


def test_an_unknown_code_names_those_like_it(book: Path) -> None:
    """The nearest codes are offered."""
    assert "has no code CR-CHN-X. Codes like it: CR-CHN" in problem_of(explain(book, "CR-CHN-X", SITE))


def test_a_code_at_several_sites_asks_which(book: Path) -> None:
    """The sites are listed; an unknown site asks as well; capitals don't matter."""
    assert "several sites. Add --site with one of: North, Harbour, Hill." in problem_of(explain(book, GOLD))
    assert "no fee at a site West" in problem_of(explain(book, GOLD, "West"))
    assert explain(book, GOLD.lower(), SITE.lower()).clean


def test_a_file_that_is_no_fee_schedule_is_one_problem(tmp_path: Path) -> None:
    """No traceback, whatever the file is."""
    (tmp_path / "cut.xlsx").write_bytes(b"PK\x03\x04 cut short")

    assert "cut.xlsx" in problem_of(explain(tmp_path / "cut.xlsx", GOLD))


@pytest.mark.parametrize("seed", range(2))
def test_every_fee_of_a_random_practice_can_be_explained(seed: int, tmp_path: Path) -> None:
    """Held, contradicting, out of reach or with no fee yet: there is a way from the fee to its parts."""
    path = written(random_schedule(seed, tmp_path / "practice"), tmp_path / "fees.xlsx")
    book, problems = open_delivered(path)
    assert book is not None, problems
    spans = book.block("schedule")
    for row in range(spans["code"].first_row, spans["code"].last_row + 1, 3):
        code, site = (str(book.value("Fee schedule", row, spans[name].column)) for name in ("code", "site"))
        result = explain(path, code, site)
        assert result.clean and cost_of(result).value


def test_a_fee_without_rules_can_be_explained(tmp_path: Path) -> None:
    """Without a sheet Rules no rule changes a fee, of whichever row, and the way leads on all the same."""
    rows = random_practice(3, materials=3, lines=20)
    rows["rules"] = []
    path = written(schedule_of(write_practice(rows, tmp_path / "practice")), tmp_path / "fees.xlsx")
    book, problems = open_delivered(path)
    assert book is not None, problems
    spans = book.block("schedule")
    for row in range(spans["code"].first_row, spans["code"].last_row + 1):
        code, site = (str(book.value("Fee schedule", row, spans[name].column)) for name in ("code", "site"))
        result = explain(path, code, site)
        new_fee = next(step for step in result.steps if step.heading == "New fee")
        assert new_fee.parts[0].cell.endswith(str(_row_in_rules(book, code, site)))


def _row_in_rules(book: Delivered, code: str, site: str) -> int:
    """The row of the Fee rules sheet that a code has at a site."""
    spans = book.block("fee_rules")
    keys = {
        (
            str(book.value("Fee rules", row, spans["code"].column)),
            str(book.value("Fee rules", row, spans["site"].column)),
        ): row
        for row in range(spans["code"].first_row, spans["code"].last_row + 1)
    }
    return keys[code, site]


def test_of_a_formula_only_the_branch_that_was_taken_is_read() -> None:
    """Look-ups lead to the row meant, sums to the rows that count, and a nought in a product ends it."""
    values = {"A1": 2, "A2": 0, "B1": 1, "B2": 2, "B3": 2, "C1": 1, "C2": 1, "C3": 0}
    reader = Reader(lambda cell: values.get(f"{'ABCD'[cell.column]}{cell.row}", 7), {"rate": ("S", 9, 4)})

    def read(formula: str) -> list[Cell | Rows]:
        return reader.read(formula, "S")

    assert read("IF(A1 = 0, 0, INDEX($D$1:$D$3, A1))") == [Cell("S", 2, 3)]
    assert read("IF(A2=0,D1,INDEX($D$1:$D$3,A2))") == [Cell("S", 1, 3)]
    assert read("SUMIFS($D$1:$D$3,$B$1:$B$3,A1,$C$1:$C$3,1)") == [Rows("S", 3, (2,))]
    assert read("SUMIFS($D$1:$D$3,$B$1:$B$3,A1)") == [Rows("S", 3, (2, 3))]
    assert read("COUNTIFS('T 1'!$B$1:$B$3,A1)") == [Rows("T 1", None, (2, 3))]
    assert read("D1-A2*D2*(1+D3)") == [Cell("S", 1, 3), Cell("S", 2, 0)]
    assert read("CHOOSE(A1,D1,D2,rate)") == [Cell("S", 2, 3)]
    assert read('D1*rate&"A1"') == [Cell("S", 1, 3), Cell("S", 9, 3)]
    assert reader.passes_on("'T 1'!D5", "S") == Cell("T 1", 5, 3)
    assert reader.passes_on("D5+1", "S") is None
