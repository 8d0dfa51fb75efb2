"""The audit names every cell that was typed over and every stored value that is not its formula's, and no other."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest
from conftest import need_libreoffice
from opened_book import OpenedBook, parts, write_parts
from recalculated.engines import converted
from written_books import EXAMPLE, schedule_of, written

from feesheet.formula.excel import at_rows
from feesheet.uses.audit import Audit, audit
from feesheet.uses.delivered import Delivered, Span, address, open_delivered
from feesheet.uses.moved_rows import Step, origin, steps
from feesheet.writing.seals import BLANK, marked, seal_of_value

Place = tuple[str, str]
"""Sheet and cell."""

TYPED = 987654.25


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The example's workbook as delivered."""
    return written(schedule_of(EXAMPLE), tmp_path_factory.mktemp("audit") / "fees.xlsx")


@pytest.fixture(scope="module")
def delivered(book: Path) -> Delivered:
    """The same, opened."""
    found, problems = open_delivered(book)
    assert found is not None, problems
    return found


def edited(book: Path, to: Path, cells: dict[Place, str], keep: str = "") -> Path:
    """The workbook with other XML inside these cells; what matches `keep` in a cell stays before it."""
    contents = parts(book)
    for name, sheet in OpenedBook(book).sheets.items():
        wanted = {cell: inside for (where, cell), inside in cells.items() if where == name}

        def put(found: re.Match[bytes], wanted: dict[str, str] = wanted) -> bytes:
            inside = wanted.get(found[1].decode())
            if inside is None:
                return found[0]
            kept = re.search(keep.encode(), found[0]) if keep else None
            return b'<c r="%s">%s%s</c>' % (found[1], kept[0] if kept else b"", inside.encode())

        if wanted:
            pattern = rb'<c r="([A-Z]+\d+)"[^>]*?(?:/>|>.*?</c>)'
            contents[sheet.part] = re.sub(pattern, put, contents[sheet.part])
    return write_parts(to, contents)


def typed_over(result: Audit) -> set[Place]:
    """Where the audit says that something was typed over."""
    return {(finding.sheet, finding.cell) for finding in result.findings if finding.kind == "typed over"}


def middle(span: Span) -> int:
    """A row in the middle of the column."""
    return (span.first_row + span.last_row) // 2


def figure_for(delivered: Delivered, span: Span) -> float:
    """A figure whose seal is not the one in the middle of the column."""
    issued = delivered.seals[span.sheet][middle(span)][2 * span.column : 2 * span.column + 2]
    return next(figure for figure in (TYPED, TYPED + 1) if seal_of_value(figure) != issued)


def with_rows_of_its_own(delivered: Delivered) -> list[Span]:
    """The columns of tables that have rows."""
    return [span for span in delivered.spans if middle(span) in delivered.seals[span.sheet]]


def outside_tables(delivered: Delivered) -> list[Place]:
    """The sealed cells above the tables: first lines and tiles."""
    found = []
    for sheet, rows in delivered.seals.items():
        first = min(span.first_row for span in delivered.spans if span.sheet == sheet)
        for row, text in rows.items():
            columns = range(len(text) // 2 if row < first else 0)
            found += [(sheet, address(row, c)) for c in columns if text[2 * c : 2 * c + 2] != BLANK]
    return found


def test_a_workbook_as_delivered_is_clean(book: Path) -> None:
    """Every formula is counted, every stored value is right, nothing was typed over."""
    result = audit(book)

    assert result.clean, result.lines()[:10]
    counted = sum(1 for cell in OpenedBook(book).formulas() if cell.sheet not in ("Method", "Seals"))
    assert result.formulas == counted
    assert result.record()["clean"] is True


def test_a_figure_typed_into_any_column_of_any_table_is_named(
    book: Path, delivered: Delivered, tmp_path: Path
) -> None:
    """One cell of every column, all at once: each is named, with its heading, and no other cell."""
    columns = with_rows_of_its_own(delivered)
    wanted = {(s.sheet, address(middle(s), s.column)): f"<v>{figure_for(delivered, s)}</v>" for s in columns}
    result = audit(edited(book, tmp_path / "typed.xlsx", wanted))

    assert typed_over(result) == set(wanted)
    headings = {(finding.sheet, finding.cell): finding.heading for finding in result.findings}
    assert all(headings[s.sheet, address(middle(s), s.column)] == s.heading for s in columns)


def test_a_figure_typed_into_the_first_lines_or_a_tile_is_named(
    book: Path, delivered: Delivered, tmp_path: Path
) -> None:
    """The check line and the state line of every sheet and the tiles of the first page are sealed as well."""
    places = outside_tables(delivered)
    assert len(places) > 2 * len(delivered.seals)

    result = audit(edited(book, tmp_path / "typed.xlsx", dict.fromkeys(places, f"<v>{TYPED}</v>")))

    assert typed_over(result) == set(places)


def test_one_cell_typed_over_is_said_in_one_line(book: Path, delivered: Delivered, tmp_path: Path) -> None:
    """Sheet, cell, heading, what stands there now, and that it was a formula."""
    span = delivered.block("fee_rules")["fee_3"]
    cell = address(12, span.column)
    result = audit(edited(book, tmp_path / "typed.xlsx", {("Fee rules", cell): "<v>1500</v>"}))

    assert (
        f"Fee rules, {cell} ({span.heading}): typed over with 1,500.00; issued as a formula."
        in result.lines()
    )


def test_another_formula_is_named(book: Path, delivered: Delivered, tmp_path: Path) -> None:
    """A formula that was changed, one in place of a figure, and a column's fixed range moved by a row."""
    unit_cost, amount = delivered.block("costs")["unit_cost"], delivered.block("lines")["amount"]
    look_up = delivered.block("costs")["lab_fee_here"]
    dragged = at_rows(marked(look_up.formula[1:], look_up.first_row))(9).replace("$8:", "$9:")
    changed = {
        (unit_cost.sheet, address(10, unit_cost.column)): "<f>AB10+AC10+AD10+AE10+AF10</f><v>1</v>",
        (amount.sheet, address(20, amount.column)): "<f>100+42</f><v>142</v>",
        (look_up.sheet, address(9, look_up.column)): f"<f>{dragged}</f><v>1</v>",
    }
    result = audit(edited(book, tmp_path / "typed.xlsx", changed))

    assert typed_over(result) == set(changed)


def test_a_stored_value_that_is_not_its_formulas_is_named(
    book: Path, delivered: Delivered, tmp_path: Path
) -> None:
    """Only the stored value was changed: that cell differs, both values are shown, nothing counts as typed over."""
    span = delivered.block("schedule")["schedule_new"]
    given = delivered.value(span.sheet, 20, span.column)
    place = (span.sheet, address(20, span.column))
    result = audit(
        edited(book, tmp_path / "stale.xlsx", {place: f"<v>{given + 1e-5}</v>"}, keep="<f>.*?</f>")
    )

    (finding,) = result.findings
    assert (finding.sheet, finding.cell, finding.kind) == (*place, "differs")
    assert f"{given + 1e-5:,.15g}" in finding.what and f"{given:,.2f}" in finding.what


def test_a_stored_value_that_is_a_billionth_off_is_the_same(
    book: Path, delivered: Delivered, tmp_path: Path
) -> None:
    """Programs keep 15 to 17 digits; a share of 1e-10 is no difference."""
    span = delivered.block("schedule")["schedule_new"]
    given = delivered.value(span.sheet, 20, span.column)
    place = (span.sheet, address(20, span.column))
    near = edited(
        book, tmp_path / "near.xlsx", {place: f"<v>{given * (1 + 1e-10):.17g}</v>"}, keep="<f>.*?</f>"
    )

    assert audit(near).clean


def test_an_input_typed_over_is_named_with_both_figures(
    book: Path, delivered: Delivered, tmp_path: Path
) -> None:
    """The figure now, the figure as issued, and what the input is."""
    span = delivered.block("inputs")["value"]
    issued = delivered.value(span.sheet, span.first_row, span.column)
    place = (span.sheet, address(span.first_row, span.column))
    result = audit(edited(book, tmp_path / "typed.xlsx", {place: "<v>4321.5</v>"}))

    assert typed_over(result) == {place}
    what = next(str(finding) for finding in result.findings if finding.kind == "typed over")
    name = delivered.value(span.sheet, span.first_row, 0)
    assert "typed over with 4,321.50; issued as" in what and name in what
    assert f"{issued:,.2f}" in what


def test_a_workbook_saved_by_libreoffice_is_clean(book: Path, tmp_path: Path) -> None:
    """Another program's spelling of formulas, days and blanks is no finding."""
    need_libreoffice()
    (saved,) = converted([book], tmp_path)

    result = audit(saved)

    assert result.clean, result.lines()[:10]
    assert result.formulas == audit(book).formulas


def test_a_price_typed_in_libreoffice_is_the_only_finding(
    book: Path, delivered: Delivered, tmp_path: Path
) -> None:
    """A new gold price moves hundreds of figures, all by their own formulas: only the price is named."""
    need_libreoffice()
    span = delivered.block("inputs")["value"]
    rows = range(span.first_row, span.last_row + 1)
    row = next(row for row in rows if "gold" in delivered.value(span.sheet, row, 0))
    place = (span.sheet, address(row, span.column))
    typed = edited(
        book,
        tmp_path / "typed.xlsx",
        {place: f"<v>{delivered.value(span.sheet, row, span.column) * 1.25}</v>"},
    )
    (saved,) = converted([typed], tmp_path)

    (finding,) = audit(saved).findings
    assert (finding.sheet, finding.cell, finding.kind) == (*place, "typed over")


def without_row(book: Path, to: Path, sheet: str, row: int, by: int) -> Path:
    """The workbook with `-by` rows of one sheet taken out, or `by` blank ones put in, the cells below following."""
    contents, part = parts(book), OpenedBook(book).sheets[sheet].part

    def moved(found: re.Match[bytes]) -> bytes:
        now = int(found[1])
        if now < row:
            return found[0]
        if now < row - by:
            return b""
        text = found[0].decode().replace(f'<row r="{now}"', f'<row r="{now + by}"')
        text = re.sub(rf'(<c r="[A-Z]+){now}"', rf'\g<1>{now + by}"', text)
        return re.sub(
            "<f>(.*?)</f>", lambda f: f"<f>{at_rows(marked(f[1], now))(now + by)}</f>", text
        ).encode()

    pattern = rb'<row r="(\d+)"[^>]*?(?:/>|>.*?</row>)'
    contents[part] = re.sub(pattern, moved, contents[part], flags=re.S)
    return write_parts(to, contents)


@pytest.mark.parametrize(
    ("by", "words"),
    [(-1, "1 row was taken out here."), (-3, "3 rows were taken out here."), (2, "2 rows were put in here.")],
)
def test_rows_put_in_or_taken_out_are_named_once(book: Path, tmp_path: Path, by: int, words: str) -> None:
    """The place is told; the cells that only moved are not held to be typed over."""
    result = audit(without_row(book, tmp_path / "moved.xlsx", "Invoice lines", 40, by))

    moves = [finding for finding in result.findings if finding.kind == "rows moved"]
    assert [(move.sheet, move.cell, move.what) for move in moves] == [("Invoice lines", "row 40", words)]
    assert typed_over(result) == set()


def test_steps_are_found_where_rows_moved() -> None:
    """Rows put in, rows taken out and a row typed over, in one sheet."""
    issued = list(range(1, 41))
    now = {row: row for row in range(1, 11)} | {row + 2: row for row in range(11, 21)}
    now |= {row - 1: row for row in range(24, 41)}
    now[5] = 99

    found = steps(issued, lambda row, at: now.get(at) == row)

    assert found == [Step(11, 2), Step(21, -3)]
    assert origin(25, found)[9:25] == [10, 13, 14, 15, 16, 17, 18, 19, 20, 21, 22, 0, 0, 0, 23, 24]


def test_a_missing_sheet_is_named(book: Path, tmp_path: Path) -> None:
    """A sheet that was deleted is one finding; the formulas that named it are not told one by one."""
    contents = parts(book)
    contents["xl/workbook.xml"] = re.sub(rb'<sheet name="Path"[^>]*/>', b"", contents["xl/workbook.xml"])
    result = audit(write_parts(tmp_path / "less.xlsx", contents))

    assert [(f.sheet, f.kind) for f in result.findings if f.kind != "differs"] == [("Path", "missing sheet")]


def test_columns_that_moved_are_told_once(book: Path, delivered: Delivered, tmp_path: Path) -> None:
    """Headings in other places mean that the columns moved, not that every cell was typed over."""
    spans = list(delivered.block("ledger").values())
    row = spans[0].first_row - 1
    mixed = {("Overhead", address(row, span.column)): f"<v>{number}</v>" for number, span in enumerate(spans)}
    result = audit(edited(book, tmp_path / "mixed.xlsx", mixed))

    assert [(f.sheet, f.cell, f.kind) for f in result.findings] == [("Overhead", f"A{row}", "columns moved")]


def problem_of(path: Path) -> str:
    """The one problem with a file that can't be audited."""
    result = audit(path)
    (problem,) = result.problems
    assert result.lines() == [str(problem)] and not result.clean
    assert path.name in str(problem)
    return problem.kind


def test_a_file_that_is_no_fee_schedule_is_one_problem(book: Path, tmp_path: Path) -> None:
    """Whatever the bytes are: one clear line that names the file, and no traceback."""
    data = book.read_bytes()
    for name, content in {
        "cut.xlsx": data[: len(data) // 2],
        "empty.xlsx": b"",
        "words.xlsx": b"date,amount\n",
        "book.csv": b"a,b\n",
        "pdf.xlsx": b"%PDF-1.7",
        "old.xls": b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600,
    }.items():
        (tmp_path / name).write_bytes(content)
        assert problem_of(tmp_path / name) == "not a workbook", name
    assert problem_of(tmp_path / "nowhere.xlsx") == "not a workbook"


def test_the_practices_own_workbook_is_no_fee_schedule(tmp_path: Path) -> None:
    """An input workbook opens, but is told apart."""
    name = next(path for path in sorted(EXAMPLE.glob("*.xlsx")))
    shutil.copy(name, tmp_path / "input.xlsx")

    assert problem_of(tmp_path / "input.xlsx") == "not a workbook"


def test_a_hostile_workbook_never_reaches_the_engine(book: Path, tmp_path: Path) -> None:
    """A cell out of reach and a declared entity are refused at the gate."""
    contents = parts(book)
    sheet = "xl/worksheets/sheet1.xml"
    far = {**contents, sheet: contents[sheet].replace(b'<c r="A1"', b'<c r="XFD1048576"', 1)}
    entity = {
        **contents,
        sheet: contents[sheet].replace(b"<worksheet", b'<!DOCTYPE a [<!ENTITY b "c">]><worksheet', 1),
    }

    assert problem_of(write_parts(tmp_path / "far.xlsx", far)) in ("too large", "not a workbook")
    assert problem_of(write_parts(tmp_path / "entity.xlsx", entity)) == "not a workbook"


def test_a_workbook_that_was_never_calculated_is_one_problem(book: Path, tmp_path: Path) -> None:
    """Formulas without stored values can't be compared: the cure is told instead of every cell."""
    contents = {
        name: re.sub(rb"(</f>)<v>[^<]*</v>", rb"\1", xml) if name.startswith("xl/worksheets/") else xml
        for name, xml in parts(book).items()
    }

    assert problem_of(write_parts(tmp_path / "blank.xlsx", contents)) == "formula without value"
