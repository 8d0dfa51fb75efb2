"""Some of the invented labs' months as their own systems print them: an invoice with a letterhead, a list, a statement."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from pathlib import Path

import xlsxwriter
from example_tables import Row

from feesheet.writing.blank import CREATED

LETTERHEADS = ("lab B 2026-03", "lab B 2026-08")
"""Months of lab B in a workbook with one sheet an invoice, under a letterhead, headings over two rows."""
LISTS = ("lab B 2026-04",)
"""Months of lab B as a list for spreadsheets: semicolons, decimal commas, invoices below one another."""
STATEMENT = "lab A 2026-10"
"""A month of lab A that comes with a statement, in a file of its own."""

REMADE = ", remake 50 %"


def write_letterheads(path: Path, lines: Sequence[Row]) -> None:
    """One sheet an invoice."""
    with xlsxwriter.Workbook(str(path)) as book:
        book.set_properties({"created": CREATED})
        for number, of_invoice in invoices_of(lines).items():
            _write_letterhead(book, number, of_invoice)


def _write_letterhead(book: xlsxwriter.Workbook, number: str, lines: Sequence[Row]) -> None:
    sheet = book.add_worksheet(number)
    head, bold = (
        book.add_format({"bold": True, "font_size": 14}),
        book.add_format({"bold": True, "bottom": 1}),
    )
    day, money = book.add_format({"num_format": "dd.mm.yyyy"}), book.add_format({"num_format": "#,##0.00"})
    sheet.set_column(0, 5, 13)
    sheet.set_column(2, 2, 42)
    sheet.write_string(0, 0, "Lab B, crowns and bridges", head)
    sheet.write_row(2, 0, ["Invoice no.", number])
    sheet.write_row(3, 0, ["Clinic", lines[0]["site"]])
    sheet.write_row(5, 0, ["Sent", "Tooth", "Work", "Units", "", ""], bold)
    sheet.merge_range(5, 4, 5, 5, "USD", bold)
    sheet.write_row(6, 0, ["on", "(ISO)", "", "", "Price", "Amount"], bold)
    row = 7
    for line in (line for line in lines if line["kind"] not in ("tax", "balance")):
        sheet.write_datetime(row, 0, line["date"], day)
        sheet.write_string(row, 1, str(line.get("teeth", "")))
        sheet.write_string(row, 2, wording(line))
        if line.get("units"):
            sheet.write_number(row, 3, line["units"])
            sheet.write_number(row, 4, round(line["amount"] / line["units"], 2), money)
        sheet.write_number(row, 5, line["amount"], money)
        row += 1
    for words, amount in totals_of(lines):
        sheet.write_string(row, 2, words, bold)
        sheet.write_number(row, 5, amount, money)
        row += 1
    sheet.write_string(row + 1, 0, "Please tell us of errors within 30 days. Thank you for your trust.")


def write_list(path: Path, lines: Sequence[Row]) -> None:
    """All invoices below one another."""
    with path.open("w", encoding="cp1252", newline="") as file:
        writer = csv.writer(file, delimiter=";", lineterminator="\r\n")
        writer.writerow(["Lab B, crowns and bridges"])
        for number, of_invoice in invoices_of(lines).items():
            writer.writerows([[], ["Invoice no.", number], ["Clinic", of_invoice[0]["site"]]])
            writer.writerow(["Tooth", "Work", "Sent on", "Units", "Amount USD"])
            for line in (line for line in of_invoice if line["kind"] not in ("tax", "balance")):
                facts = [
                    line.get("teeth", ""),
                    wording(line),
                    f"{line['date']:%d.%m.%Y}",
                    line.get("units", ""),
                ]
                writer.writerow([*facts, _comma(line["amount"])])
            writer.writerows(["", words, "", "", _comma(amount)] for words, amount in totals_of(of_invoice))


def write_statement(path: Path, lines: Sequence[Row], carried: float) -> None:
    """What a month's invoices come to, what was carried over and what was paid."""
    with xlsxwriter.Workbook(str(path)) as book:
        book.set_properties({"created": CREATED})
        sheet = book.add_worksheet("Statement")
        sheet.set_column(0, 3, 16)
        day, money = (
            book.add_format({"num_format": "yyyy-mm-dd"}),
            book.add_format({"num_format": "#,##0.00"}),
        )
        sheet.write_string(0, 0, "Lab A")
        sheet.write_string(1, 0, "Statement of account, October 2026")
        sheet.write_string(2, 0, "Statement date")
        sheet.write_datetime(2, 1, max(line["date"] for line in lines), day)
        sheet.write_row(4, 0, ["Date", "Invoice", "Details", "Amount"])
        rows = [("", "", "Previous balance", carried), ("", "", "Payment, thank you", -carried)]
        for number, of_invoice in invoices_of(lines).items():
            rows.append(
                (of_invoice[0]["date"], number, "Invoice", sum(line["amount"] for line in of_invoice))
            )
        for at, (date, number, words, amount) in enumerate(rows, start=5):
            if date:
                sheet.write_datetime(at, 0, date, day)
            sheet.write_row(at, 1, [number, words])
            sheet.write_number(at, 3, round(amount, 2), money)
        sheet.write_string(len(rows) + 5, 2, "Amount due")
        sheet.write_number(len(rows) + 5, 3, round(sum(row[3] for row in rows), 2), money)


def invoices_of(lines: Sequence[Row]) -> dict[str, list[Row]]:
    """The lines by their invoice, in order."""
    found: dict[str, list[Row]] = {}
    for line in lines:
        found.setdefault(line["invoice"], []).append(line)
    return found


def wording(line: Row) -> str:
    """What the paper calls the line: a remake says so."""
    return f"{line['product']}{REMADE}" if line["kind"] == "remake" else str(line["product"])


def totals_of(lines: Sequence[Row]) -> list[tuple[str, float]]:
    """The tax and the total of an invoice, as its paper ends."""
    return [(line["product"], line["amount"]) for line in lines if line["kind"] in ("tax", "balance")]


def _comma(amount: float) -> str:
    return f"{amount:.2f}".replace(".", ",")
