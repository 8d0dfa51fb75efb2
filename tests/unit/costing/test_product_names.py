"""What the practice's product-name list says of the labs' wordings, and what it does not say."""

from __future__ import annotations

from pathlib import Path
from zipfile import ZipFile

import pytest
from invoiced import CROWN, Row, line, outcome, practice_of, said, table

from feesheet.costing.line_uses import NO_CROWN, UNMAPPED
from feesheet.costing.product_names import ProductNames, unconfirmed
from feesheet.writing.book import Schedule, write_book

GOLD = "cast gold"
GUARD = {"wording": "Night guard", "material": "not a crown"}


def lines_of(lines: list[Row], **more: object) -> list[Row]:
    """The invoice lines of the workbook."""
    return table(outcome(practice_of(lines, **more))[0], "lines")  # type: ignore[arg-type]


def test_a_product_that_is_no_crown_has_a_use_of_its_own() -> None:
    """A product named as no crown is set aside and understood; one on no list is set aside and not understood."""
    lines = [line(200, teeth="16"), line(90, product="Night guard"), line(70, product="Sports guard")]
    crown, guard, new = lines_of(lines, names=[GUARD])

    assert (crown["use"], guard["use"], new["use"]) == ("lab fee", NO_CROWN, UNMAPPED)
    assert [row["not_understood"] for row in (crown, guard, new)] == [0, 0, 1]
    assert [row["aside_amount"] for row in (crown, guard, new)] == [0, 90, 70]


def test_what_belongs_to_no_crown_is_understood_too() -> None:
    """A charge on the teeth of a guard follows the guard, and so does a remake of it."""
    lines = [
        line(90, product="Night guard", teeth="16"),
        line(8, kind="extra", product="Strap", teeth="16"),
        line(45, kind="remake", product="Night guard", teeth="16", invoice="A-10"),
    ]

    assert [row["use"] for row in lines_of(lines, names=[GUARD])] == [NO_CROWN] * 3


def test_a_kind_on_the_list_replaces_the_line_s_kind() -> None:
    """Where the list says what sort of charge a wording is, every line with that wording is of that sort."""
    names = [{"wording": "Courier", "material": "not a crown", "kind": "freight"}]
    crown, courier = lines_of([line(200, teeth="16"), line(12, product="Courier")], names=names)

    assert (courier["kind"], courier["use"]) == ("freight", "charge on the invoice")
    assert crown["charge_per_unit"] == 12


def test_a_line_made_a_total_by_the_list_is_no_charge() -> None:
    """A kind that is a balance takes the line out of the file's total as read as well, so that all checks still pass."""
    names = [{"wording": "Carried over", "material": "not a crown", "kind": "balance"}]
    priced, _ = outcome(practice_of([line(200, teeth="16"), line(500, product="Carried over")], names=names))

    assert table(priced, "files")[0]["read"] == 200
    assert table(priced, "state")[0]["number"] == 0


def test_guesses_wait_until_somebody_confirms_them() -> None:
    """A row that says no under Confirmed is not used, and a notice counts such rows."""
    guess = {"wording": "Gold cap", "material": GOLD, "confirmed": "no"}
    priced, problems = outcome(practice_of([line(200, product="Gold cap", teeth="16")], names=[guess]))

    assert table(priced, "lines")[0]["use"] == UNMAPPED
    assert "1 product name(s)" in said(problems, "not understood")[0]


@pytest.mark.parametrize(
    "wording", ["MRS SMITHSON Full cast crown", "full  CAST crown", "Full cast crown (Smithson)"]
)
def test_unknown_words_round_a_known_wording_do_not_hide_it(wording: str) -> None:
    """A wording is found by what is left of it without unknown words, where that names a product."""
    assert lines_of([line(200, product=wording, teeth="16")])[0]["material"] == GOLD


def test_a_word_for_any_crown_does_not_stand_for_a_new_product() -> None:
    """Where "crown" is on the list, "Emaxis crown" is still a new name: what was hidden may be the product."""
    names = ProductNames(practice_of([line(1)], names=[{"wording": "crown", "material": GOLD}]))

    assert names.meaning("lab A", "Crown").material == GOLD
    assert names.meaning("lab A", "Emaxis crown").material == ""


def test_a_hidden_wording_on_the_list_means_nothing() -> None:
    """A row whose wording holds "…" can't say which of the hidden names it means."""
    names = ProductNames(practice_of([line(1)], names=[{"wording": "… special", "material": GOLD}]))

    assert names.meaning("lab A", "Emaxis special").material == ""
    assert names.meaning("lab A", "special").material == ""


def test_a_confirmed_row_that_hides_words_is_told() -> None:
    """Somebody said yes to it, so its silence would be taken for a yes of the program's."""
    rows = [{"wording": "… special", "material": GOLD}, {"wording": "Gold cap", "material": GOLD}]
    told = [str(one) for one in unconfirmed(practice_of([line(1)], names=rows))]
    assert len(told) == 1
    assert "1 confirmed product name(s), the first here, still hold" in told[0] and "not used" in told[0]
    assert unconfirmed(practice_of([line(1)], names=rows[1:])) == []


def test_a_lab_s_own_row_comes_first() -> None:
    """A row for one lab holds for it against the row for all, in cleaned wordings too."""
    rows = [
        {"wording": "Cap", "material": GOLD},
        {"wording": "Cap", "material": "not a crown", "lab": "lab A"},
    ]
    names = ProductNames(practice_of([line(1)], names=rows))

    assert (names.meaning("lab A", "Smithson Cap").no_crown, names.meaning("lab B", "cap").material) == (
        True,
        GOLD,
    )


def test_a_bridge_names_its_retainers_and_pontics() -> None:
    """The role of the teeth stands beside them; units, regions and money stay as they are."""
    (row,) = lines_of([line(600, teeth="14-16", role="bridge", units=3)])[:1]

    assert (row["role"], row["units"]) == ("retainer, pontic", 3)


def test_columns_that_no_line_needs_are_left_out(tmp_path: Path) -> None:
    """Unit price, class, weight basis and case number are columns only where a line has them."""
    columns = {"unit_price", "alloy_class", "weight_basis", "case_no"}
    bare, _ = outcome(practice_of([line(200, teeth="16")]))
    told = {"unit_price": 200, "alloy_class": "noble", "weight_basis": "billed", "case": "C-77"}
    full, _ = outcome(practice_of([line(200, teeth="16", **told)]))

    assert columns & set(bare.model.blocks["lines"].columns) == set()
    assert columns <= set(full.model.blocks["lines"].columns)


def test_a_case_is_a_running_number(tmp_path: Path) -> None:
    """Cases are numbered by lab from 1, blank ones 0; neither the lab's number nor its hash is in the workbook."""
    lines = [line(200, teeth="16", case="C-4711"), line(20, kind="extra", teeth="16", case="C-4711"),
             line(200, teeth="26", case="C-4712", invoice="A-10"), line(200, teeth="26", invoice="A-11")]  # fmt: skip
    practice = practice_of(lines)
    priced, problems = outcome(practice)
    write_book(
        tmp_path / "book.xlsx", Schedule(practice, priced.model, priced.numbers, priced.inputs, problems)
    )
    with ZipFile(tmp_path / "book.xlsx") as book:
        content = "".join(book.read(name).decode("utf-8", "replace") for name in book.namelist())
    numbers = [row["case_no"] for row in table(priced, "lines")]

    assert (numbers[0] == numbers[1], sorted(set(numbers))) == (True, [0, 1, 2])
    hashes = [str(case) for case in practice.tables["invoice_lines"]["case"] if case]
    assert [text for text in [*hashes, "4711", "4712"] if text in content] == []


def test_the_wording_is_that_of_the_list() -> None:
    """The tests' crown is on the list."""
    assert ProductNames(practice_of([line(1)])).meaning("lab A", CROWN).material == GOLD


def test_a_hidden_wording_is_looked_up_on_the_invoice() -> None:
    """A wording of nothing but "…" can't be typed into the list: its product's own words are on the invoice line."""
    lines = [
        line(200, teeth="16"),
        line(70, product="…", teeth="26"),
        line(50, product="… crown", teeth="36"),
    ]
    hidden, partly = (p for p in outcome(practice_of(lines))[1] if p.kind == "not understood")

    assert "Look at the invoice line and type the product's own words into the sheet" in hidden.do
    assert hidden.sort is None and hidden.cell
    assert partly.do.startswith('Add the wording to "Product names"')
