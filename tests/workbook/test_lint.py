"""The example's workbook breaks no rule, and each rule reports a workbook broken on purpose."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest
from opened_book import OpenedBook, letters, parts, write_parts
from workbook.lint import ALL_RULES, lint
from written_books import EXAMPLE, random_schedule, schedule_of, written

from feesheet.writing.book import Schedule, layout_of

SEEDS = (0, 3, 4, 6)
"""Random practices with and without alloys, plans, invoices and a mill."""

Parts = dict[str, bytes]


@dataclass
class Draft:
    """A workbook's parts, to be broken."""

    schedule: Schedule
    opened: OpenedBook
    parts: Parts

    def sheet(self, name: str) -> str:
        """The path of the sheet's part."""
        return self.opened.sheets[name].part

    def cell(self, block: str, column: str, row: int = 0) -> tuple[str, str]:
        """Sheet and address of a figure of the model."""
        place = layout_of(self.schedule).places[block]
        return place.sheet, f"{letters(place.columns[column] + 1)}{place.first_row + row}"

    def put(self, place: tuple[str, str], content: str) -> None:
        """Give a cell another formula or value, its look kept."""
        self.replace(
            self.sheet(place[0]),
            rf'(<c r="{place[1]}"(?: s="\d+")?)(?: t="\w+")?(?:/>|>.*?</c>)',
            rf"\g<1>>{content}</c>",
        )

    def formula(self, place: tuple[str, str], change: Callable[[str], str]) -> None:
        """Change a cell's formula; its cached value stays."""
        part = self.sheet(place[0])
        pattern = rf'(<c r="{place[1]}"[^>]*><f>)([^<]*)(</f>)'
        found = re.search(pattern, self.parts[part].decode())
        assert found is not None, f"{place} has no formula"
        self.replace(part, pattern, found[1].replace("\\", "\\\\") + change(found[2]) + found[3])

    def replace(self, part: str, pattern: str, by: str, count: int = 1) -> None:
        """Replace text in a part; not finding it is a failure."""
        text, found = re.subn(pattern, by, self.parts[part].decode(), count=count, flags=re.S)
        assert found, f"{part} has no {pattern}"
        self.parts[part] = text.encode()


COST = ("costs", "unit_cost")
SUMMARY, INPUTS, INPUT = "Summary", "Inputs", ("inputs", "value")

BREAKAGES: list[tuple[int, str, Callable[[Draft], None]]] = [
    (
        1,
        "an unlocked note",
        lambda d: d.replace(d.sheet(SUMMARY), r'(<c r="A4" )s="\d+"', rf'\1s="{unlocked(d)}"'),
    ),
    (2, "a typed cost", lambda d: d.put(d.cell(*COST), "<v>99</v>")),
    (2, "a typed figure on the first page", lambda d: d.put((SUMMARY, "A7"), "<v>0.5</v>")),
    (3, "a rate in a formula", lambda d: d.formula(d.cell(*COST), lambda f: f"({f})*1.05")),
    (4, "one row apart", lambda d: d.formula(d.cell(*COST, 1), lambda f: f"{f}+0")),
    (4, "a row up", lambda d: d.formula(d.cell(*COST, 2), row_up)),
    (4, "a typed value over a formula", lambda d: d.put(d.cell(*COST, 1), "<v>99</v>")),
    (5, "a long formula", lambda d: d.formula(d.cell(*COST), lambda f: f + "+0" * 70)),
    (6, "an IF in an IF", lambda d: d.formula(d.cell(*COST), lambda f: f"IF(1=0,0,IF(0=1,0,{f}))")),
    (7, "a newer function", lambda d: d.formula(d.cell(*COST), lambda f: f"IFERROR({f},0)")),
    (8, "today", lambda d: d.formula(d.cell(*COST), lambda f: f"{f}+0*TODAY()")),
    (8, "an address in words", lambda d: d.formula(d.cell(*COST), lambda f: f'{f}+0*INDIRECT("A1")')),
    (9, "another file", lambda d: d.formula(d.cell(*COST), lambda f: f"{f}+0*[1]Fees!A1")),
    (9, "a macro", lambda d: d.parts.update({"xl/vbaProject.bin": b""})),
    (10, "twice the same", lambda d: d.formula(d.cell("costs", "stack_lab"), lambda f: stack(d))),
    (11, "no unit", lambda d: d.put(d.cell("inputs", "unit"), "")),
    (
        11,
        "a column left out of the list",
        lambda d: d.replace("xl/sharedStrings.xml", r">costs\.unit_cost<", ">-<"),
    ),
    (12, "two headings alike", lambda d: alike(d)),
    (13, "a negative cost", lambda d: d.put(d.cell("costs", "lab_fee"), "<f>0-1</f><v>-1</v>")),
    (15, "no master check", lambda d: d.put(d.cell("state", "number"), "<v>0</v>")),
    (
        15,
        "a check that fails",
        lambda d: d.put(d.cell("checks", "result"), '<f>"FAIL"</f><v>0</v>') or fails(d),
    ),
    (16, "a sheet without it", lambda d: d.put(("Margins", "A2"), "")),
    (18, "a total by formula", lambda d: d.put(d.cell("files", "read"), "<f>SUM(0)</f><v>0</v>")),
    (
        18,
        "lines left out",
        lambda d: d.formula(d.cell("files", "used"), lambda f: "0") or zero(d, ("files", "used")),
    ),
    (
        19,
        "a hidden sheet",
        lambda d: d.replace("xl/workbook.xml", r'(<sheet name="Method")', r'\1 state="hidden"'),
    ),
    (19, "a hidden row", lambda d: d.replace(d.sheet("Margins"), r'(<row r="9")', r'\1 hidden="1"')),
    (19, "a hidden column", lambda d: d.replace(d.sheet("Margins"), "<col ", '<col hidden="1" ')),
    (20, "an unprotected sheet", lambda d: d.replace(d.sheet("Margins"), r"<sheetProtection[^>]*/>", "")),
    (
        20,
        "a password",
        lambda d: d.replace(d.sheet("Margins"), "<sheetProtection ", '<sheetProtection password="CC1A" '),
    ),
    (
        20,
        "a locked input",
        lambda d: d.replace(d.sheet(INPUTS), rf'(<c r="{d.cell(*INPUT)[1]}" )s="\d+"', r'\1s="1"'),
    ),
    (
        21,
        "no validation",
        lambda d: d.replace(d.sheet("Inputs"), r"<dataValidation .*?</dataValidation>", ""),
    ),
    (21, "a range that no check reads", lambda d: unread_ranges(d)),
    (22, "no title", lambda d: d.replace("docProps/core.xml", r"<dc:title>.*?</dc:title>", "")),
    (
        23,
        "a bare number by name",
        lambda d: d.replace("xl/workbook.xml", r"(<definedName name=\"hundred\">)[^<]*", r"\g<1>100"),
    ),
    (
        23,
        "a name that nothing reads",
        lambda d: d.replace(
            "xl/workbook.xml", "(<definedNames>)", r'\1<definedName name="aa">Inputs!$B$8</definedName>'
        ),
    ),
    (24, "a division by nought", lambda d: d.formula(d.cell(*COST), lambda f: f"({f})/0")),
    (24, "a circle", lambda d: d.formula(d.cell(*COST), lambda f: f"{f}+0*{d.cell(*COST)[1]}")),
    (
        14,
        "a reference to the right",
        lambda d: d.formula(d.cell("costs", "lab_fee"), lambda f: f"{f}+0*{d.cell(*COST)[1]}"),
    ),
    (25, "a rounded cost", lambda d: d.formula(d.cell(*COST), lambda f: f"ROUND({f},money_digits)")),
    (
        26,
        "merged cells",
        lambda d: d.replace(
            d.sheet("Margins"), "(</sheetData>)", r'\1<mergeCells><mergeCell ref="A1:B1"/></mergeCells>'
        ),
    ),
    (26, "a blank row", lambda d: d.replace(d.sheet("Margins"), r'<row r="9".*?</row>', '<row r="9"/>')),
    (27, "no title on a sheet", lambda d: d.put(("Margins", "A1"), "")),
    (
        28,
        "a chart without words",
        lambda d: d.replace("xl/drawings/drawing1.xml", r'descr="[^"]*"', 'descr="Chart"'),
    ),
    (
        29,
        "red alone",
        lambda d: d.replace("xl/styles.xml", r'formatCode="#,##0"', 'formatCode="#,##0;[Red]#,##0"'),
    ),
    (30, "pale letters", lambda d: d.replace("xl/styles.xml", "FF52606D", "FFCBD2D9", count=9)),
    (
        31,
        "another sheet first",
        lambda d: d.replace("xl/workbook.xml", "<workbookView ", '<workbookView activeTab="3" '),
    ),
    (
        32,
        "a wide column",
        lambda d: d.replace(d.sheet("Fee schedule"), r'(<col min="3" max="\d+" width=)"[\d.]+"', r'\1"150"'),
    ),
    (33, "no page number", lambda d: d.replace(d.sheet("Margins"), "&amp;P of &amp;N", "")),
    (34, "headings that scroll away", lambda d: d.replace(d.sheet("Inputs"), r"<pane [^>]*/>", "")),
    (
        34,
        "headings on the first page only",
        lambda d: d.replace("xl/workbook.xml", r"(Inputs!\$A:\$[A-Z]),Inputs!\$\d+:\$\d+", r"\1"),
    ),
    (
        35,
        "a stale cache",
        lambda d: d.replace(d.sheet("Cost build-up"), rf'(<c r="{d.cell(*COST)[1]}".*?<v>)[^<]*', r"\g<1>1"),
    ),
]
"""Rule, what is broken, and how. Rules 36 to 38 and 17 are tests of their own."""


def unlocked(draft: Draft) -> int:
    """The number of a look that may be typed over."""
    place = draft.cell(*INPUT)
    return next(cell.style for cell in draft.opened.sheets[place[0]].cells.values() if cell.place == place[1])


def row_up(formula: str) -> str:
    """The formula reading the row above."""
    return re.sub(r"([A-Z])(\d+)", lambda found: f"{found[1]}{int(found[2]) - 1}", formula)


def stack(draft: Draft) -> str:
    """The formula of the layer before."""
    place = draft.cell("costs", "stack_metal")
    return next(
        cell.formula for cell in draft.opened.sheets[place[0]].cells.values() if cell.place == place[1]
    )


def alike(draft: Draft) -> None:
    """The first heading of the margins stands over the second column too."""
    place = layout_of(draft.schedule).places["margins"]
    part = draft.sheet("Margins")
    first = re.search(rf'<c r="A{place.header_row}"[^>]*><v>(\d+)</v>'.encode(), draft.parts[part])
    assert first is not None
    draft.replace(part, rf'(<c r="B{place.header_row}"[^>]*><v>)\d+', rf"\g<1>{first[1].decode()}")


def fails(draft: Draft) -> None:
    """The count of failing checks says one."""
    zero(draft, ("state", "number"), "1")


def zero(draft: Draft, place: tuple[str, str], value: str = "0") -> None:
    """The cached value of a formula."""
    sheet, cell = draft.cell(*place)
    draft.replace(draft.sheet(sheet), rf'(<c r="{cell}"[^>]*><f>[^<]*</f><v>)[^<]*', rf"\g<1>{value}")


def unread_ranges(draft: Draft) -> None:
    """The check of the inputs' ranges counts something else."""
    whole = layout_of(draft.schedule).whole("inputs", "in_range")
    draft.replace(draft.sheet("Checks"), re.escape(f"SUM({whole})"), "SUM(0)")


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> tuple[Schedule, Path]:
    """A random practice's workbook without a fault, long enough for several pages."""
    folder = tmp_path_factory.mktemp("whole")
    schedule = random_schedule(10, folder / "practice")
    return schedule, written(schedule, folder / "whole.xlsx")


def test_the_example_breaks_no_rule(tmp_path: Path) -> None:
    """The example's workbook has no finding."""
    schedule = schedule_of(EXAMPLE)
    assert lint(written(schedule, tmp_path / "book.xlsx"), schedule.model, layout_of(schedule)) == []


@pytest.mark.parametrize("seed", SEEDS)
def test_random_practices_break_no_rule(seed: int, tmp_path: Path) -> None:
    """Nor has a workbook of a practice without alloys, plans, invoices or a mill."""
    schedule = random_schedule(seed, tmp_path / "practice")
    assert lint(written(schedule, tmp_path / "book.xlsx"), schedule.model, layout_of(schedule)) == []


@pytest.mark.parametrize(
    ("rule", "what", "broken"), BREAKAGES, ids=[f"{rule} {what}" for rule, what, _ in BREAKAGES]
)
def test_each_rule_reports_its_breakage(
    rule: int, what: str, broken: Callable[[Draft], None], whole: tuple[Schedule, Path], tmp_path: Path
) -> None:
    """A workbook broken in that way has a finding of that rule."""
    schedule, book = whole
    draft = Draft(schedule, OpenedBook(book), parts(book))
    broken(draft)
    path = write_parts(tmp_path / "broken.xlsx", draft.parts)
    findings = lint(path, schedule.model, layout_of(schedule))
    assert rule in {finding.rule for finding in findings}, f"{what}: only {findings[:5]}"


def test_every_rule_is_broken_once() -> None:
    """No rule of the linter goes without a breakage."""
    numbers = {
        int(number) for rule in ALL_RULES for number in re.findall(r"\d+", (rule.__doc__ or "").split(":")[0])
    }
    assert numbers == {rule for rule, _, _ in BREAKAGES}


def test_same_practice_same_bytes(tmp_path: Path) -> None:
    """Rule 38: read, priced and written twice, the workbook is the same byte for byte."""
    digests = {
        hashlib.sha256(written(schedule_of(EXAMPLE), tmp_path / f"{number}.xlsx").read_bytes()).hexdigest()
        for number in (1, 2)
    }
    assert len(digests) == 1
