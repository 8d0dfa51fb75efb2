"""Tidy invoice lines written as labs lay them out: banners, letterheads, pages, cases, totals and statements."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass, field
from itertools import groupby
from typing import Any

from invoice_tables import ACCOUNTS, LETTERHEAD, Lines
from invoice_words import HEADINGS, day, number

Rows = list[list[Any]]

PATIENTS = ("Zwetschgenbaum P", "Quillfeather", "OKONKWO-BARR J", "van der Lindqvist")
"""Names that stand in a column of the patients'."""


@dataclass
class Paper:
    """One sheet: its rows, and the ranges that are merged (first row, first column, last row, last column)."""

    rows: Rows
    merged: list[tuple[int, int, int, int]] = field(default_factory=list)


@dataclass(frozen=True)
class Style:
    """How a lab writes: `numbers` and `dates` as in `invoice_words`; `seed` settles everything else."""

    layout: str = "banner"
    language: str = "English"
    numbers: str = "typed"
    dates: str = "typed"
    seed: int = 0


class Hand:
    """Writes cells in a style; its choices are the same for the same seed."""

    def __init__(self, style: Style) -> None:
        """All words are chosen once, as one lab's program would."""
        self.style = style
        self.rng = random.Random(style.seed)
        self.words = {
            what: self.rng.choice(choices) for what, choices in sorted(HEADINGS[style.language].items())
        }
        self.weight_way = self.rng.choice(("columns", "words"))
        self.teeth_way = self.rng.choice(("column", "column", "words"))
        self.patients = self.rng.random() < 0.5

    def number(self, value: float, digits: int = 2) -> Any:
        """A number in the lab's way."""
        return number(value, self.style.numbers, digits)

    def day(self, line: dict[str, Any]) -> Any:
        """A line's day in the lab's way."""
        return day(line["date"], self.style.dates)

    def columns(self, inside: bool) -> list[str]:
        """The table's columns in the lab's order; `inside` if each row names its invoice."""
        names = ["product", "units", "unit_price", "amount"]
        names += ["date", "invoice", "site"] if inside else []
        names += ["teeth"] if self.teeth_way == "column" else []
        names += ["weight", "weight_unit"] if self.weight_way == "columns" else []
        names += ["patient"] if self.patients else []
        names += ["case"] if self.rng.random() < 0.5 else []
        self.rng.shuffle(names)
        return names

    def heading(self, names: list[str]) -> list[str]:
        """The heading row."""
        return [self.words[name] for name in names]

    def cell(self, line: dict[str, Any], name: str) -> Any:
        """One cell of a line."""
        if name == "date":
            return self.day(line)
        if name == "site":
            return line["site"] if self.style.seed % 2 else ACCOUNTS[line["site"]]
        if name == "product":
            return self.product(line)
        if name == "patient":
            return self.rng.choice(PATIENTS)
        if name == "units":
            return "" if line["kind"] in ("alloy", "tax") else self.number(line["units"], 0)
        if name == "unit_price" and line["kind"] == "tax":
            return ""
        if name in ("amount", "unit_price"):
            return self.number(line[name])
        if name == "weight":
            return self.number(line["weight"], 1) if line["weight"] else ""
        return line[name]

    def product(self, line: dict[str, Any]) -> str:
        """The description, with the teeth and the weight in it if they have no column."""
        text = line["product"]
        if line["teeth"] and self.teeth_way == "words":
            text += f" #{line['teeth'].lstrip('#').replace(', ', ',').replace(' ', ',')}"
        if line["weight"] and self.weight_way == "words":
            weight = self.number(line["weight"], 1)
            text += (
                f" {weight} {line['weight_unit']} @ {self.number(line['unit_price'])}/{line['weight_unit']}"
            )
        return text

    def row(self, line: dict[str, Any], names: list[str]) -> list[Any]:
        """One line of the table."""
        return [self.cell(line, name) for name in names]

    def foot(self, names: list[str], word: str, amount: float) -> list[Any]:
        """A row of words with an amount below the column of amounts."""
        at = names.index("amount")
        row: list[Any] = [""] * len(names)
        row[at] = self.number(round(amount, 2))
        row[at - 1 if at else 1] = self.words[word]
        return row


def papers(lines: Lines, style: Style) -> dict[str, Paper]:
    """One lab's lines as sheets by name."""
    return LAYOUTS[style.layout](lines, Hand(style))


def _letterhead(lines: Lines, hand: Hand) -> Rows:
    rows = [[LETTERHEAD[lines[0]["lab"]]], ["12 Mill Lane, Sampletown"], ["Tel. 555 0100"]]
    return [*rows[: hand.rng.randint(1, 3)], [], []]


def _invoices(lines: Lines) -> list[Lines]:
    return [list(found) for _, found in groupby(lines, key=lambda line: line["invoice"])]


def _sum(lines: Lines) -> float:
    return round(sum(line["amount"] for line in lines), 2)


def _labels(lines: Lines, hand: Hand) -> Rows:
    """Number, day and clinic of one invoice, with their words before them."""
    names = ["invoice", "date", "site"]
    hand.rng.shuffle(names)
    return [[f"{hand.words[name]}:", hand.cell(lines[0], name)] for name in names]


def _feet(lines: Lines, hand: Hand, names: list[str]) -> Rows:
    """Subtotal, tax and total of one invoice."""
    charges, taxes = (
        [line for line in lines if (line["kind"] == "tax") == is_tax] for is_tax in (False, True)
    )
    rows = [hand.foot(names, "net", _sum(charges))] if taxes else []
    for line in taxes:
        row = hand.foot(names, "net", line["amount"])
        rows.append([line["product"] if cell == hand.words["net"] else cell for cell in row])
    return [*rows, hand.foot(names, "total", _sum(lines))]


def _invoice(lines: Lines, hand: Hand) -> Rows:
    """One invoice: labels, table, feet."""
    names = hand.columns(inside=False)
    body = [hand.row(line, names) for line in lines if line["kind"] != "tax"]
    return [*_labels(lines, hand), [], hand.heading(names), *body, *_feet(lines, hand, names)]


def banner(lines: Lines, hand: Hand) -> dict[str, Paper]:
    """One table of all invoices below a letterhead, columns in any order."""
    names = hand.columns(inside=True)
    body = [hand.row(line, names) for line in lines]
    total = hand.foot(names, "total", _sum(lines))
    return {"Sheet1": Paper([*_letterhead(lines, hand), hand.heading(names), *body, [], total])}


def one_a_sheet(lines: Lines, hand: Hand) -> dict[str, Paper]:
    """Each invoice on a sheet of its own, named by its number."""
    return {
        found[0]["invoice"]: Paper([*_letterhead(found, hand), *_invoice(found, hand)])
        for found in _invoices(lines)
    }


def stacked(lines: Lines, hand: Hand) -> dict[str, Paper]:
    """All invoices below one another on one sheet, each with its labels."""
    rows: Rows = _letterhead(lines, hand)
    for found in _invoices(lines):
        rows += [*_invoice(found, hand), [], []]
    return {"Invoices": Paper(rows)}


def two_rows(lines: Lines, hand: Hand) -> dict[str, Paper]:
    """Headings in two rows: groups above, names below, cells merged."""
    plain = [name for name in hand.columns(inside=True) if name not in ("product", "unit_price", "amount")]
    names = [*plain, "product", "unit_price", "amount"]
    first = len(plain)
    above = [*hand.heading(plain), hand.words["work"], hand.words["money"], ""]
    below = ["" for _ in plain] + hand.heading(names[first:])
    head = _letterhead(lines, hand)
    at = len(head)
    merged = [(at, column, at + 1, column) for column in range(first)] + [(at, first + 1, at, first + 2)]
    body = [hand.row(line, names) for line in lines]
    total = hand.foot(names, "total", _sum(lines))
    return {"Sheet1": Paper([*head, above, below, *body, total], merged)}


def paged(lines: Lines, hand: Hand) -> dict[str, Paper]:
    """Headings again on each page, the page's total at its foot and the sum so far carried to the next."""
    names, rows = hand.columns(inside=True), _letterhead(lines, hand)
    pages = [lines[at : at + 4] for at in range(0, len(lines), 4)]
    for number_, page in enumerate(pages, start=1):
        rows.append([f"{hand.words['page']} {number_} / {len(pages)}"])
        rows.append(hand.heading(names))
        if number_ > 1:
            rows.append(hand.foot(names, "carried", _sum(lines[: 4 * (number_ - 1)])))
        rows += [hand.row(line, names) for line in page]
        rows.append(hand.foot(names, "page total", _sum(page)))
        rows.append([])
    return {"Sheet1": Paper([*rows, hand.foot(names, "total", _sum(lines))])}


def by_case(lines: Lines, hand: Hand) -> dict[str, Paper]:
    """Each invoice's lines under the head of their case, with the case's total below them."""
    rows: Rows = _letterhead(lines, hand)
    for found in _invoices(lines):
        names = [name for name in hand.columns(inside=False) if name not in ("case", "patient")]
        charges = [line for line in found if line["kind"] != "tax"]
        rows += [*_labels(found, hand), [], hand.heading(names)]
        for at in range(0, len(charges), 2):
            case = charges[at : at + 2]
            rows.append([f"{hand.words['case']} {case[0]['case']}  {hand.rng.choice(PATIENTS)}"])
            rows += [hand.row(line, names) for line in case]
            rows.append(hand.foot(names, "case total", _sum(case)))
        rows += [*_feet(found, hand, names), [], []]
    return {"Invoices": Paper(rows)}


def wrapped(lines: Lines, hand: Hand) -> dict[str, Paper]:
    """Descriptions that run on in the next row, which holds nothing else."""
    rows: Rows = []
    for found in _invoices(lines):
        names = hand.columns(inside=False)
        rows += [*_letterhead(found, hand), *_labels(found, hand), [], hand.heading(names)]
        for line in (line for line in found if line["kind"] != "tax"):
            rows.append(hand.row(line, names))
            if hand.rng.random() < 0.4:
                rows.append(["shade A2" if name == "product" else "" for name in names])
        rows += [*_feet(found, hand, names), []]
    return {"Invoices": Paper(rows)}


def with_statement(lines: Lines, hand: Hand) -> dict[str, Paper]:
    """A statement that lists the invoices on the first sheet, the invoices themselves on the others."""
    listed = [
        [hand.day(found[0]), found[0]["invoice"], hand.number(_sum(found))] for found in _invoices(lines)
    ]
    names = ["date", "invoice", "amount"]
    head = [*_letterhead(lines, hand), ["Statement of account"], [], hand.heading(names)]
    first = Paper([*head, *listed, hand.foot(names, "total", _sum(lines))])
    return {"Statement": first, **one_a_sheet(lines, hand)}


LAYOUTS: dict[str, Callable[[Lines, Hand], dict[str, Paper]]] = {
    "banner": banner,
    "one a sheet": one_a_sheet,
    "stacked": stacked,
    "two rows": two_rows,
    "paged": paged,
    "by case": by_case,
    "wrapped": wrapped,
    "statement": with_statement,
}
"""Every layout by name."""
