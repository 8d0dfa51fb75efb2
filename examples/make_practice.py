"""Write the invented example practice: `python examples/make_practice.py`. The same bytes on every run."""

from __future__ import annotations

import csv
from pathlib import Path

import example_history
import example_invoices
import example_papers
import example_seated
import example_tables
import xlsxwriter
from example_tables import Row

from feesheet.pricing.what_if.scenario import Move, Scenario
from feesheet.tables import INVOICE_LINES, TABLES
from feesheet.writing.blank import CREATED, write_workbook
from feesheet.writing.scenario_file import write_scenario

FOLDER = Path(__file__).resolve().parent / "practice"
AS_CSV = ("lab B 2026-02", "lab B 2026-07")
OWN_LAYOUT = "lab A 2026-05"
"""A workbook as a lab's system might export it: a title above, other headings in another order."""
OWN_HEADINGS = {
    "Invoice no": "invoice", "Invoice date": "date", "Clinic": "site", "Case": "", "Description": "product",
    "Tooth": "teeth", "Qty": "units", "Type of line": "kind", "Net amount": "amount", "Alloy": "alloy",
    "Alloy weight": "weight", "Unit of weight": "weight_unit", "Laboratory": "lab",
}  # fmt: skip


SCENARIOS = (
    Scenario(
        "gold at 4,500",
        (Move("metal", "gold", 4500.0),),
        reason="the owner asks what it does to the crowns",
        source="invented",
        day="2026-10-30",
    ),
    Scenario(
        "a dear year",
        (
            Move("metal", "gold", 0.4, by_share=True),
            Move("lab fees", "", 0.05, by_share=True),
            Move("overhead", "", 0.04, by_share=True),
        ),
        reason="gold, labs and rent rise together",
        source="invented",
        day="2026-10-30",
    ),
)


def main(folder: Path = FOLDER) -> None:
    """Write every input file of the example afresh; what was made from it is left alone."""
    folder.mkdir(exist_ok=True)
    for old in [*folder.iterdir(), *(folder / "Scenarios").glob("*")]:
        if old.is_file():
            old.unlink()
    for scenario in SCENARIOS:
        write_scenario(folder / "Scenarios" / f"{scenario.title}.xlsx", scenario)
    (folder / "What-if").mkdir(exist_ok=True)
    example_history.write(folder / "What-if" / example_history.NAME)
    tables = example_tables.tables()
    tables["product_map"] = example_invoices.product_map()
    tables["metal_prices"] = example_invoices.metal_prices()
    tables["seated"], tables["collections"] = example_seated.seated(), example_seated.collections()
    for book in dict.fromkeys(table.workbook for table in TABLES.values()):
        names = [name for name, table in TABLES.items() if table.workbook == book and name in tables]
        if names:
            rows = {name: tables[name] for name in names}
            write_workbook(folder / f"{book}.xlsx", rows, example=False)
    for name, lines in _books().items():
        _write_invoices(folder, name, lines)
        if name == example_papers.STATEMENT:
            example_papers.write_statement(folder / f"{name} statement.xlsx", lines, 4210.35)


def _books() -> dict[str, list[Row]]:
    """A workbook per lab and month; the mill's log in one."""
    books = example_invoices.invoices()
    mill = [name for name in books if name.startswith("own mill")]
    log = [line for name in mill for line in books.pop(name)]
    return {**books, "own mill log": log}


def _write_invoices(folder: Path, name: str, lines: list[Row]) -> None:
    if name in example_papers.LETTERHEADS:
        example_papers.write_letterheads(folder / f"{name}.xlsx", lines)
    elif name in example_papers.LISTS:
        example_papers.write_list(folder / f"{name}.csv", lines)
    elif name in AS_CSV:
        _write_csv(folder / f"{name}.csv", lines)
    elif name == OWN_LAYOUT:
        _write_own_layout(folder / f"{name}.xlsx", lines)
    else:
        write_workbook(folder / f"{name}.xlsx", {"invoice_lines": lines}, example=False)


def _write_csv(path: Path, lines: list[Row]) -> None:
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(field.heading for field in INVOICE_LINES.fields)
        for line in lines:
            writer.writerow(line.get(field.name, "") for field in INVOICE_LINES.fields)


def _write_own_layout(path: Path, lines: list[Row]) -> None:
    with xlsxwriter.Workbook(str(path)) as book:
        book.set_properties({"created": CREATED})
        day = book.add_format({"num_format": "dd mmm yyyy"})
        sheet = book.add_worksheet("Invoice lines")
        sheet.set_column(0, len(OWN_HEADINGS), 16)
        sheet.write_string(0, 0, "lab A, statement of May 2026")
        sheet.write_string(1, 0, "All invoices of the month, amounts in USD")
        sheet.write_row(3, 0, list(OWN_HEADINGS))
        for row, line in enumerate(lines, start=4):
            for column, field in enumerate(OWN_HEADINGS.values()):
                if field == "date":
                    sheet.write_datetime(row, column, line[field], day)
                elif field:
                    sheet.write(row, column, line.get(field, ""))


if __name__ == "__main__":
    main()
