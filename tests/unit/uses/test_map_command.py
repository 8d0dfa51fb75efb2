"""Unknown lab wordings are listed once, with a best guess and without people's names; confirmed ones are used from then on."""

from __future__ import annotations

import zipfile
from dataclasses import replace
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from drawn_sheets import write
from golden_files import DRAWN
from golden_practice import write_tables
from reading_inputs import Rows, good, write_practice

from feesheet.problems import errors
from feesheet.reading.folder import read_folder
from feesheet.tables import NOT_A_CROWN, PRODUCT_MAP
from feesheet.uses.annual_update import update
from feesheet.uses.import_summary import import_summary
from feesheet.uses.product_names import STEM, NamesToConfirm, name_products, unknown_names
from feesheet.writing.blank import HEADING_ROW
from feesheet.writing.names_to_confirm import NOT_CHOSEN, NameRow, write_names

BOOK = f"{STEM}.xlsx"


def line(product: str, amount: float, **other: Any) -> dict[str, Any]:
    """A unit of lab A with that wording and amount."""
    return {**good()["invoice_lines"][0], "product": product, "amount": amount, **other}


def folder_with(tmp_path: Path, *lines: dict[str, Any], **tables: Rows) -> Path:
    """The small practice with these invoice lines more, and other tables."""
    whole = {**good(), **tables}
    return write_practice(tmp_path, {**whole, "invoice_lines": [*whole["invoice_lines"], *lines]})


def found(folder: Path) -> list[NameRow]:
    """The unknown wordings of a folder."""
    return unknown_names(read_folder(folder)[0])


def filled_in(path: Path, answers: dict[str, dict[str, str]]) -> None:
    """Type into the workbook as a person does: for a wording, new cells by heading."""
    book = openpyxl.load_workbook(path)
    sheet = book[PRODUCT_MAP.sheet]
    headings = {cell.value: cell.column for cell in sheet[HEADING_ROW + 1]}
    for row in range(HEADING_ROW + 2, sheet.max_row + 1):
        for heading, value in answers.get(str(sheet.cell(row, 1).value), {}).items():
            sheet.cell(row, headings[heading], value)
    book.save(path)


def test_a_practice_whose_wordings_are_all_known_gets_no_workbook(tmp_path: Path) -> None:
    """Nothing is written, and that is said in one line."""
    result = name_products(write_practice(tmp_path))

    assert result.clean and result.workbook is None
    assert result.lines() == ["Every wording is known."]
    assert [path.name for path in tmp_path.iterdir()] == ["all.xlsx"]


def test_wordings_are_listed_by_lab_and_money(tmp_path: Path) -> None:
    """One row a lab and wording, whatever its case: lines, units and money added up, the largest first, three places."""
    lines = [line("Zirconia layered crown", 10)] * 4
    lines += [
        line("ZIRCONIA layered crown", 5, units=3),
        line("Pressed crown", 300),
        line("Pressed crown", 1, lab="lab B"),
    ]
    rows = found(folder_with(tmp_path, *lines))

    assert [(r.wording.lower(), r.lab, r.lines, r.units, r.money) for r in rows] == [
        ("pressed crown", "lab A", 1, 1, 300),
        ("zirconia layered crown", "lab A", 5, 7, 45),
        ("pressed crown", "lab B", 1, 1, 1),
    ]
    assert rows[1].seen == tuple(f"all.xlsx, Invoice lines, F{row}" for row in (6, 7, 8))


def test_what_needs_no_product_is_not_asked(tmp_path: Path) -> None:
    """Totals, notes, tax, freight, rush, discounts and deposits have no material; nor is a material's own name asked."""
    kinds = ("balance", "note", "tax", "freight", "rush", "discount", "deposit", "finance charge", "credit")
    lines = [line(f"Crown {kind}", 7, kind=kind) for kind in kinds]
    lines += [
        line("Zirconia", 90),
        line("Custom stain", 8, kind="extra"),
        line("Crown remade", 9, kind="remake"),
    ]

    assert [row.wording for row in found(folder_with(tmp_path, *lines))] == ["Crown remade"]


def test_a_name_in_a_wording_is_never_shown(tmp_path: Path) -> None:
    """Unknown words are hidden in the rows and in every byte of the workbook; how to go on is said above the table."""
    folder = folder_with(tmp_path, line("Quillfeather zirconia crown", 50), line("Zwetschgenbaum crown", 40))
    result = name_products(folder)

    assert all("…" in row.wording for row in result.rows)
    assert result.workbook is not None
    with zipfile.ZipFile(result.workbook) as book:
        inside = b"".join(book.read(name) for name in book.namelist())
    assert b"Quillfeather" not in inside and b"Zwetschgenbaum" not in inside
    assert b"First seen" in inside and "…".encode() in inside


def test_rows_that_wait_are_not_listed_again(tmp_path: Path) -> None:
    """A second run writes nothing and says how many rows wait, and where; a new wording gets a workbook of its own."""
    folder = folder_with(tmp_path, line("Pressed crown", 300))
    first, again = name_products(folder), name_products(folder)
    folder_with(tmp_path, line("Pressed crown", 300), line("Layered crown", 20))
    third = name_products(folder)

    assert first.workbook == folder / BOOK and again.workbook is None
    assert again.lines() == [f"1 row in {BOOK} waits for a yes in Confirmed, or for the words behind a …"]
    assert third.workbook == folder / f"{STEM} (2).xlsx"
    assert [row.wording for row in third.rows] == ["Layered crown"] and third.waiting == {BOOK: 1}


def test_a_guess_that_nobody_confirmed_changes_nothing(tmp_path: Path) -> None:
    """As written, the workbook is read without an error, each row says no, and its wording is still unknown to the costs."""
    folder = folder_with(tmp_path, line("Pressed crown", 300))
    before = import_summary(folder).rows[-1].share
    name_products(folder)
    practice, problems = read_folder(folder)

    assert not errors(problems)
    assert practice.tables["product_map"]["confirmed"].tolist().count(False) == 1
    assert import_summary(folder).rows[-1].share == before


def test_where_nothing_can_be_guessed_a_choice_is_asked_for(tmp_path: Path) -> None:
    """No material is put in; as long as the row says no it stops nothing, and a yes without a choice is refused."""
    folder = folder_with(tmp_path, line("Telescope primary part", 300))
    result = name_products(folder)
    assert result.workbook is not None and [row.material for row in result.rows] == [NOT_CHOSEN]
    before = errors(read_folder(folder)[1])
    filled_in(result.workbook, {"Telescope primary part": {"Confirmed": "yes"}})
    (refused,) = errors(read_folder(folder)[1])

    assert before == []
    assert (refused.kind, refused.file, refused.cell) == ("unknown name", BOOK, "B5")


def test_a_guess_that_waits_is_no_duplicate(tmp_path: Path) -> None:
    """Typed into the practice's own list instead, the wording is known; the row that waits stops nothing."""
    folder = folder_with(tmp_path, line("Pressed crown", 300))
    name_products(folder)
    row = {"wording": "Pressed crown", "material": "zirconia", "lab": "lab A"}
    folder_with(tmp_path, line("Pressed crown", 300), product_map=[*good()["product_map"], row])

    assert errors(read_folder(folder)[1]) == []
    assert import_summary(folder).rows[-1].share == 1


def test_a_confirmed_round_is_used_by_the_next_update(tmp_path: Path) -> None:
    """From unknown wordings to every cent understood: listed, filled in by hand, used, and nothing left to ask."""
    known = [row for row in good()["product_map"] if row["wording"] != "FCZ crown"]
    folder = folder_with(tmp_path, line("Night guard", 60, teeth=""), product_map=known)
    share = import_summary(folder).rows[-1].share
    result = name_products(folder)
    assert share is not None and share < 1 and result.workbook is not None
    answers = {row.wording: {"Material": "zirconia", "Confirmed": "yes"} for row in result.rows}
    guard = next(row.wording for row in result.rows if row.money == 60)
    filled_in(result.workbook, {**answers, guard: {"Material": NOT_A_CROWN, "Confirmed": "yes"}})
    outcome = update(folder, folder / "Fee schedules")

    assert outcome.workbook is not None, outcome.problems
    assert import_summary(folder).rows[-1].share == 1
    assert name_products(folder).lines() == ["Every wording is known."]


PAPER = """B Crown and Bridge Works
Invoice #,B-2001
Date,03/27/2026
Account,20417
Tooth,Description,Qty,Unit Price,Amount
4,Sumomo crown,1,145.00,145.00
5,"QUILLFEATHER A, PFM high noble bridge",1,155.00,155.00
,Total,,,300.00
"""
"""A lab's own csv file: a product whose name no list knows, and one beside the name of a patient."""


def test_a_labs_own_paper_goes_the_whole_round(tmp_path: Path) -> None:
    """Papers with unknown wordings: asked once, answered, used, and every cent understood."""
    write_tables(tmp_path)
    write(tmp_path / "b-alloy-bridge.xlsx", DRAWN["b-alloy-bridge.xlsx"])
    (tmp_path / "b-2001.csv").write_text(PAPER, encoding="utf-8")
    before = import_summary(tmp_path).rows[-1].share
    result = name_products(tmp_path)
    assert result.workbook is not None and before is not None and before < 1
    assert [(row.wording, row.material, row.money) for row in result.rows] == [
        ("PFM high noble bridge", "metal-ceramic, high noble", 620),
        ("… crown", NOT_CHOSEN, 145),
    ]
    typed = {"Wording": "Sumomo crown", "Material": NOT_A_CROWN, "Confirmed": "yes"}
    filled_in(result.workbook, {"PFM high noble bridge": {"Confirmed": "yes"}, "… crown": typed})
    outcome = update(tmp_path, tmp_path / "Fee schedules")

    assert outcome.workbook is not None, outcome.problems
    assert name_products(tmp_path).lines() == ["Every wording is known."]
    assert import_summary(tmp_path).rows[-1].share == 1


def test_hidden_words_are_learnt_once_they_are_typed(tmp_path: Path) -> None:
    """The words that the manager types in Wording are known from then on, in every file."""
    folder = folder_with(tmp_path, line("Smithium crown", 300))
    result = name_products(folder)
    assert result.workbook is not None and result.rows[0].wording == "… crown"
    words = {"Wording": "Smithium crown", "Material": "zirconia", "Confirmed": "yes"}
    filled_in(result.workbook, {"… crown": words})

    assert found(folder) == []
    assert import_summary(folder).rows[-1].share == 1


def test_without_materials_there_is_nothing_to_choose_from(tmp_path: Path) -> None:
    """No workbook whose every row would be wrong."""
    whole = {name: rows for name, rows in good().items() if name not in ("materials", "product_map")}
    result = name_products(write_practice(tmp_path, whole))

    assert result.workbook is None and result.rows and not result.clean
    assert 'fill in "Materials" first' in "\n".join(result.lines())


def test_a_lab_on_no_list_leaves_no_second_error(tmp_path: Path) -> None:
    """The lab is left blank, so that the workbook itself has no unknown name."""
    folder = folder_with(tmp_path, line("Pressed crown", 300, lab="lab Z"))
    before = len(read_folder(folder)[1])
    result = name_products(folder)

    assert [row.lab for row in result.rows] == [""]
    assert len(read_folder(folder)[1]) == before


@pytest.fixture
def sheet(tmp_path: Path) -> Any:
    """A workbook of two rows as a spreadsheet program opens it."""
    one = NameRow("=HYPERLINK(1)", "zirconia, layered", "lab A", "", 12, 14, 2345.5, "+1", ("a", "b", "c"))
    rows = [one, replace(one, wording="@crown", kind="extra", seen=("a",))]
    write_names(tmp_path / BOOK, rows, ("zirconia, layered", "cast gold, high noble"), 0)
    return openpyxl.load_workbook(tmp_path / BOOK)


def test_the_workbook_is_made_to_be_filled_in(sheet: Any) -> None:
    """Headings stay in sight, cells to type in have their lists, figures the currency's digits, and no text is a formula."""
    names = sheet[PRODUCT_MAP.sheet]
    first = HEADING_ROW + 2

    assert names.freeze_panes == f"B{first}"
    assert [cell.value for cell in names[first]][:5] == [
        "=HYPERLINK(1)",
        "zirconia, layered",
        "lab A",
        None,
        "no",
    ]
    assert names.cell(first, 1).data_type == "s" and names.cell(first + 1, 1).data_type == "s"
    assert (names.cell(first, 8).value, names.cell(first, 8).number_format) == (2345.5, "#,##0")
    assert [names.cell(first, column).value for column in (10, 11)] == ["a", "b; c"]
    lists = {str(check.sqref): check.formula1 for check in names.data_validations.dataValidation}
    assert lists[f"B{first}:B{first + 1}"] == "Choices!$A$1:$A$3"
    assert lists[f"E{first}:E{first + 1}"] == '"yes,no"'
    assert "extra" in lists[f"D{first}:D{first + 1}"]
    assert [cell.value for cell in sheet["Choices"]["A"]] == [
        "zirconia, layered",
        "cast gold, high noble",
        NOT_A_CROWN,
    ]
    assert sheet["Choices"].sheet_state == "hidden"


def test_the_record_is_for_machines() -> None:
    """Workbook, wordings, what waits and problems."""
    assert NamesToConfirm().record() == {"workbook": None, "wordings": [], "waiting": {}, "problems": []}
