"""Totals of published electronic invoices, read from invoices built anew with the published amounts.

Totals and signs are those of the sources, as published with them. Names and dates are this suite's own, and so is, where
it says so, how a published sum is split over its lines; the lines of example2 and the rates of examples 1 and 5 are from
memory and come to the published totals. Sources, by repository and commit:

- OpenPEPPOL/peppol-bis-invoice-3, 78d7f7d: base-example, base-creditnote-correction, base-negative-inv-correction
- ConnectingEurope/eInvoicing-EN16931, b6c9e06: ubl-tc434-example1, 2, 5 and 8, guide-example3
- ZUGFeRD/corpus, 47b61be: EN16931_Einfach (Cross Industry Invoice)
"""

from __future__ import annotations

import math
from dataclasses import replace
from decimal import Decimal

import pytest
from e_invoices import Extra, Item, Paper, cii, ubl

from feesheet.reading.invoices.cii import CII
from feesheet.reading.invoices.context import Context
from feesheet.reading.invoices.document import Document
from feesheet.reading.invoices.ubl import UBL
from feesheet.reading.invoices.xml_tree import read_xml


def spread(total: str, count: int) -> tuple[Item, ...]:
    """Lines that add up to a published sum, which its own lines split in another way."""
    each = (Decimal(total) / count).quantize(Decimal("0.01"))
    last = Decimal(total) - each * (count - 1)
    amounts = [*[each] * (count - 1), last]
    return tuple(Item("zirconia crown", str(amount)) for amount in amounts)


BASE = Paper(
    items=(
        Item("zirconia crown", "2800.00", "7", price="400"),
        Item("zirconia crown", "-1500.00", "-3", price="500"),
    ),
    extras=(Extra("25.00", True, "Insurance"),),
    taxes=(("1325.00", "25"),),
)
"""base-example: 7 at 400 and -3 at 500, a charge of 25, tax of 25 %."""

NEGATIVE = replace(
    BASE,
    items=(
        Item("zirconia crown", "-2800.00", "-7", price="400"),
        Item("zirconia crown", "1500.00", "3", price="500"),
    ),
    extras=(Extra("-25.00", True, "Insurance"),),
    taxes=(("-1325.00", "25"),),
)
"""base-negative-inv-correction: the same with every sign turned, as an invoice."""

EXAMPLE_1 = Paper(items=spread("229.60", 20), taxes=(("183.23", "6"), ("46.37", "21")))
"""ubl-tc434-example1: 20 lines (the split of 229.60 is made up) and tax of 20.73."""

EXAMPLE_2 = Paper(
    items=(
        Item("zirconia crown", "1273.00"),
        Item("zirconia crown", "-3.96", "-1", price="3.96"),
        Item("zirconia crown", "4.96"),
        Item("zirconia crown", "-25.00", "-1", price="25"),
        Item("zirconia crown", "187.50"),
    ),
    currency="NOK",
    extras=(Extra("100.00", False, "Loyal customer", flag="0"), Extra("100.00", True, "Packaging", flag="1")),
    taxes=(("1460.50", "25"), ("1.00", "15"), ("-25.00", "0")),
    prepaid="1000.00",
)
"""ubl-tc434-example2: five lines, an allowance and a charge marked by "0" and "1", and a payment before."""

EXAMPLE_5 = Paper(
    items=spread("4000.00", 2),
    currency="DKK",
    extras=(Extra("150.00", False, "Loyal customer"), Extra("150.00", True, "Packaging")),
    taxes=(("1500.00", "25"), ("2500.00", "12")),
    prepaid="2337.50",
)
"""ubl-tc434-example5: 4,000 less 150 plus 150, tax of 675, half of it paid (the split over lines is made up)."""

EXAMPLE_8 = Paper(items=spread("908.91", 10), taxes=(("908.91", "21"),))
"""ubl-tc434-example8: ten lines (the split of 908.91 is made up) and tax of 21 %."""

GUIDE_3 = Paper(
    items=spread("800.00", 1), extras=(Extra("100.00", True, "Freight"),), taxes=(("900.00", "25"),)
)
"""guide-example3: 800 and a charge of 100."""

EINFACH = Paper(
    items=(Item("zirconia crown", "198.00"), Item("zirconia crown", "275.00")),
    taxes=(("198.00", "19"), ("275.00", "7")),
)
"""EN16931_Einfach: two lines at two rates of tax."""

PUBLISHED = {
    "base-example": (BASE, 2, 1325.00, 331.25, 1656.25, 1656.25),
    "base-creditnote-correction": (replace(BASE, code="381"), 2, -1325.00, -331.25, -1656.25, -1656.25),
    "base-negative-inv-correction": (NEGATIVE, 2, -1325.00, -331.25, -1656.25, -1656.25),
    "ubl-tc434-example1": (EXAMPLE_1, 20, 229.60, 20.73, 250.33, 250.33),
    "ubl-tc434-example2": (EXAMPLE_2, 5, 1436.50, 365.28, 1801.78, 801.78),
    "ubl-tc434-example5": (EXAMPLE_5, 2, 4000.00, 675.00, 4675.00, 2337.50),
    "ubl-tc434-example8": (EXAMPLE_8, 10, 908.91, 190.87, 1099.78, 1099.78),
    "guide-example3": (GUIDE_3, 1, 900.00, 225.00, 1125.00, 1125.00),
    "EN16931_Einfach": (EINFACH, 2, 473.00, 56.87, 529.87, 529.87),
}
"""For each: the paper, its lines, the totals without tax, of tax and with tax, and what is due."""


def read(paper: Paper, syntax: str) -> Document:
    """The document that a paper makes in one syntax."""
    reader, text = (UBL, ubl(paper)) if syntax == "ubl" else (CII, cii(paper))
    (document,) = reader.read(read_xml(text.encode()), Context(b"key"))
    return document


def cents(amounts: list[float]) -> float:
    """A sum to the cent."""
    return round(math.fsum(amounts), 2)


@pytest.mark.parametrize("syntax", ["ubl", "cii"])
@pytest.mark.parametrize("name", PUBLISHED)
def test_published_totals(name: str, syntax: str) -> None:
    """Lines, allowances, charges and tax add up to the published totals in either syntax, and nothing is told."""
    paper, _, net, tax, total, due = PUBLISHED[name]

    document = read(paper, syntax)

    costs = [line for line in document.lines if line.kind != "balance"]
    assert document.problems == []
    assert (document.net, document.total) == (net, total)
    assert cents([line.amount for line in costs if line.kind != "tax"]) == net
    assert cents([line.amount for line in costs if line.kind == "tax"]) == tax
    assert cents([line.amount for line in costs]) == total
    assert cents([line.amount for line in document.lines]) == due


@pytest.mark.parametrize("name", PUBLISHED)
def test_every_line_is_there(name: str) -> None:
    """Each line of the file is one line, besides allowances, charges, tax and payments; both syntaxes agree."""
    paper, count, *_ = PUBLISHED[name]

    first, second = read(paper, "ubl"), read(paper, "cii")

    amounts = [line.amount for line in first.lines]
    assert amounts == [line.amount for line in second.lines]
    assert len(amounts) == count + len(paper.extras) + 1 + bool(paper.prepaid)


@pytest.mark.parametrize("syntax", ["ubl", "cii"])
@pytest.mark.parametrize("flags", [("0", "1"), ("false", "true")])
def test_charge_indicator_is_a_truth_value(flags: tuple[str, str], syntax: str) -> None:
    """ "0" means false and "1" true, as XML Schema has it (part 2, 3.2.2): an allowance of "0" is taken off."""
    off, on = (replace(extra, flag=flag) for extra, flag in zip(EXAMPLE_2.extras, flags, strict=True))

    document = read(replace(EXAMPLE_2, extras=(off, on)), syntax)

    assert [line.amount for line in document.lines if line.kind == "discount"] == [-100.0]
    assert 100.0 in [line.amount for line in document.lines]


def test_kinds_of_published_papers() -> None:
    """381 is a credit note, whose positive amounts are given back; a negative 380 stays an invoice."""
    credit, negative = (
        read(PUBLISHED[name][0], "ubl")
        for name in ("base-creditnote-correction", "base-negative-inv-correction")
    )

    assert (credit.kind, negative.kind) == ("credit note", "invoice")
    assert credit.total == negative.total == -1656.25
