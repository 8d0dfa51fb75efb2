"""A practice with very many invoice lines, for measuring: the example's year of invoices over and over."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from datetime import date, timedelta
from itertools import count, groupby, islice
from pathlib import Path

import example_invoices
import xlsxwriter
from example_tables import Row

from feesheet.writing.blank import write_workbook

EXAMPLE = Path(__file__).resolve().parent.parent / "examples" / "practice"
INVOICES = ("lab A ", "lab B ", "own mill ")
"""What the names of the example's invoice files begin with."""


def invoice_lines(lines: int) -> list[Row]:
    """So many invoice lines, every invoice with a number of its own."""
    return list(islice(_year_after_year(), lines))


def _year_after_year() -> Iterator[Row]:
    year = [line for lines in example_invoices.invoices().values() for line in lines]
    for copy in count(1):
        for line in year:
            yield {**line, "invoice": f"{line['invoice']}/{copy}"}


def in_books(lines: list[Row], lines_a_book: int) -> list[list[Row]]:
    """The lines in books of about that many, no invoice in two of them."""
    books: list[list[Row]] = []
    started = 0
    for _, invoice in groupby(lines, key=lambda line: line["invoice"]):
        if started // lines_a_book >= len(books):
            books.append([])
        found = list(invoice)
        books[-1] += found
        started += len(found)
    return books


def write_big_practice(folder: Path, lines: int, lines_a_book: int, form: str = "plain") -> Path:
    """The example practice with so many invoice lines in place of its own.

    `form` says how they stand there: "plain", in the plain table; "by case", as papers of one case each, as the
    example's labs number their invoices; "by month", as one paper a month for each clinic.
    """
    folder.mkdir()
    for file in EXAMPLE.iterdir():
        if file.is_file() and not file.name.startswith(INVOICES):
            shutil.copy(file, folder)
    for number, book in enumerate(in_books(invoice_lines(lines), lines_a_book), start=1):
        path = folder / f"invoices {number:04}.xlsx"
        if form != "plain":
            write_papers(path, by_month(book) if form == "by month" else book)
        else:
            write_workbook(path, {"invoice_lines": book}, example=False)
    return folder


def by_month(lines: list[Row]) -> list[Row]:
    """The lines with one invoice for all cases of a month, clinic and lab; those of one invoice together."""
    made = []
    for line in lines:
        last = date(line["date"].year + line["date"].month // 12, line["date"].month % 12 + 1, 1) - timedelta(
            1
        )
        copy = str(line["invoice"]).rpartition("/")[2]
        made.append({**line, "date": last, "invoice": f"{last:%Y%m}{line['site'][0]}/{copy}"})
    return sorted(made, key=lambda line: (line["lab"], line["site"], line["invoice"]))


PAPER_HEAD = ("Tooth", "Description", "Qty", "Weight", "Unit of weight", "Amount")


def write_papers(path: Path, lines: list[Row]) -> None:
    """The lines as papers below one another on one sheet: letterhead, labels, table, total."""
    with xlsxwriter.Workbook(str(path)) as book:
        sheet = book.add_worksheet("Invoices")
        rows = (row for _, found in groupby(lines, key=_paper) for row in _paper_rows(list(found)))
        for at, row in enumerate(rows):
            sheet.write_row(at, 0, row)


def _paper(line: Row) -> tuple[object, ...]:
    return line["lab"], line["site"], line["invoice"], line["date"]


def _paper_rows(lines: list[Row]) -> Iterator[list[object]]:
    lab, site, invoice, day = _paper(lines[0])
    yield from ([lab], ["12 Mill Lane"], [])
    yield from (["Clinic:", site], ["Invoice no.:", invoice], ["Invoice date:", str(day)[:10]], [])
    yield list(PAPER_HEAD)
    total = 0.0
    for line in (line for line in lines if line["kind"] != "balance"):
        names = ("teeth", "product", "units", "weight", "weight_unit", "amount")
        yield ["" if line.get(name) is None else line.get(name, "") for name in names]
        total += float(str(line["amount"]))
    yield from (["", "Total", "", "", "", round(total, 2)], [], [])
